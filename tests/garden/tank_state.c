/* What the log says of a tank, whatever order it came in. The tank and its log are invented. */
#include "garden/tank_state.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "garden/clock.h"
#include "runner.h"

/* A straight tub of 1 L a cm: 1 mm is 0.1 L. No cups in the water, so that volumes are easy to follow. */
static struct vessel_point tub_points[] = {{0, 0}, {300, 30}};
static struct lid_cup tub_cups[] = {{0, 0}, {1, 1}, {2, 2}, {3, 3}};

static struct vessel_row tub(void)
{
    return (struct vessel_row){.key = 1, .id = "tub", .name = "tub", .shape = VESSEL_POURED, .floor_l_mm = NAN, .floor_w_mm = NAN,
                               .rim_l_mm = NAN, .rim_w_mm = NAN, .height_mm = 300, .corner_mm = NAN, .points = {tub_points, 2},
                               .lid_l_mm = NAN, .pattern = -1, .cups = {tub_cups, 4}, .cup_height_mm = NAN, .cup_top_mm = NAN,
                               .cup_bottom_mm = NAN, .cup_medium_fraction = NAN, .start_mm = 250, .low_mm = 30};
}

static struct entry entries[32];
static size_t count;
static char ids[32][37];
static struct arena arena;
static struct tank_state state;

static void forget(void)
{
    count = 0;
    arena_end(&arena);
}

/* An entry of a kind at an hour since the beginning, by a member. */
static struct entry *log_entry(int kind, double hour, int64_t member)
{
    struct entry *entry = &entries[count];

    *entry = entry_blank();
    snprintf(ids[count], sizeof ids[count], "00000000-0000-7000-8000-%012zu", count + 1);
    entry->id = ids[count++];
    entry->kind = kind;
    entry->at_ms = (int64_t)(hour * 3600000);
    entry->received_ms = entry->at_ms + 1000;
    entry->member_key = member;
    return entry;
}

static struct entry *log_waterline(int kind, double hour, double waterline_mm)
{
    struct entry *entry = log_entry(kind, hour, 1);

    entry->waterline_mm = waterline_mm;
    return entry;
}

static void mark(const char *id, const char *by, bool withdraws)
{
    for (size_t i = 0; i < count; i++)
        if (strcmp(entries[i].id, id) == 0) {
            if (withdraws)
                entries[i].withdrawn_by = by;
            else
                entries[i].amended_by = by;
        }
}

static int by_moment(const void *a, const void *b)
{
    const struct entry *first = a, *second = b;

    if (first->at_ms != second->at_ms)
        return first->at_ms < second->at_ms ? -1 : 1;
    return strcmp(first->id, second->id);
}

static void fold(void)
{
    struct vessel_row row = tub();
    struct fault fault = {0};
    struct list all = {entries, count};

    qsort(entries, count, sizeof *entries, by_moment); /* as the store hands them out */
    ck_assert_msg(tank_state_fold(&row, &all, "UTC", &state, &arena, &fault) == 0, "%s", fault.item[0].detail);
}

static size_t flagged(int flag)
{
    const struct tank_flag_item *item = state.flags.item;
    size_t found = 0;

    for (size_t i = 0; i < state.flags.count; i++)
        found += item[i].flag == flag;
    return found;
}

START_TEST(fill_by_volume_finds_its_waterline)
{
    log_entry(ENTRY_FILL, 0, 1)->volume_l = 25;
    fold();
    ck_assert(state.filled);
    ck_assert_double_eq_tol(state.waterline.value, 250, 1e-6);
    ck_assert_double_eq_tol(state.volume_l, 25, 1e-6);
    ck_assert_double_eq_tol(state.air_gap_mm, 50, 1e-6);
}
END_TEST

START_TEST(late_entries_take_their_place_in_time)
{
    log_waterline(ENTRY_READING, 48, 240);
    log_waterline(ENTRY_FILL, 0, 250);
    log_waterline(ENTRY_READING, 24, 245);
    fold();
    ck_assert_double_eq(state.waterline.value, 240);
    ck_assert_uint_eq(state.readings.count, 3);
    ck_assert_uint_eq(state.flags.count, 0);
}
END_TEST

START_TEST(ceiling_follows_the_lowest_waterline)
{
    struct entry *planting;

    log_waterline(ENTRY_FILL, 0, 250);
    planting = log_entry(ENTRY_PLANTING, 1, 1);
    planting->crop = "lettuce-leaf";
    planting->count = 4;
    log_waterline(ENTRY_READING, 24, 235);
    fold();
    ck_assert_double_eq(state.ceiling_mm, 250); /* 235 + 20 lies above the start */
    log_waterline(ENTRY_READING, 240, 120);
    fold();
    ck_assert_double_eq(state.ceiling_mm, 120 + RISE_SAFE_MM);
}
END_TEST

/* A top-up above the ceiling drowns roots that hang in air: A suspended pot, non-circulating hydroponic method, Acta
 * Horticulturae 648 (2004), abstract: more than 2 cm. */
START_TEST(topping_up_to_the_old_mark_is_flagged)
{
    struct entry *planting, *top_up;

    log_waterline(ENTRY_FILL, 0, 250);
    planting = log_entry(ENTRY_PLANTING, 1, 1);
    planting->crop = "lettuce-leaf";
    planting->count = 4;
    log_waterline(ENTRY_READING, 240, 120);
    top_up = log_entry(ENTRY_TOP_UP, 241, 1);
    top_up->volume_l = 2; /* to 140 mm: just allowed */
    fold();
    ck_assert_uint_eq(flagged(FLAG_ABOVE_CEILING), 0);
    top_up = log_entry(ENTRY_TOP_UP, 300, 2);
    top_up->waterline_mm = 250;
    fold();
    ck_assert_uint_eq(flagged(FLAG_ABOVE_CEILING), 1);
}
END_TEST

START_TEST(rise_without_water_is_flagged)
{
    log_waterline(ENTRY_FILL, 0, 250);
    log_waterline(ENTRY_READING, 24, 230);
    log_waterline(ENTRY_READING, 48, 234); /* a dipstick's noise */
    fold();
    ck_assert_uint_eq(flagged(FLAG_UNEXPLAINED_RISE), 0);
    log_waterline(ENTRY_READING, 72, 245);
    fold();
    ck_assert_uint_eq(flagged(FLAG_UNEXPLAINED_RISE), 1);
}
END_TEST

START_TEST(same_top_up_by_two_people_is_a_probable_double)
{
    log_waterline(ENTRY_FILL, 0, 250);
    log_waterline(ENTRY_READING, 100, 150);
    log_entry(ENTRY_TOP_UP, 101, 1)->volume_l = 2;
    log_entry(ENTRY_TOP_UP, 101.4, 2)->volume_l = 2;
    fold();
    ck_assert_uint_eq(flagged(FLAG_PROBABLE_DOUBLE), 1);
    log_entry(ENTRY_TOP_UP, 101.45, 2)->volume_l = 2; /* the same person twice is two cans */
    log_entry(ENTRY_TOP_UP, 110, 3)->volume_l = 2;    /* hours later is another visit */
    fold();
    ck_assert_uint_eq(flagged(FLAG_PROBABLE_DOUBLE), 2);
}
END_TEST

START_TEST(withdrawn_entries_do_not_count)
{
    struct entry *slip, *gone;

    log_waterline(ENTRY_FILL, 0, 250);
    slip = log_waterline(ENTRY_READING, 24, 24);
    gone = log_entry(ENTRY_NOTE, 25, 1);
    gone->withdraws = slip->id;
    mark(slip->id, gone->id, true);
    fold();
    ck_assert_double_eq(state.waterline.value, 250);
}
END_TEST

START_TEST(withdrawing_the_withdrawal_brings_it_back)
{
    struct entry *reading, *gone, *back;

    log_waterline(ENTRY_FILL, 0, 250);
    reading = log_waterline(ENTRY_READING, 24, 240);
    gone = log_entry(ENTRY_NOTE, 25, 1);
    gone->withdraws = reading->id;
    back = log_entry(ENTRY_NOTE, 26, 1);
    back->withdraws = gone->id;
    mark(reading->id, gone->id, true);
    mark(gone->id, back->id, true);
    fold();
    ck_assert_double_eq(state.waterline.value, 240);
}
END_TEST

START_TEST(amendment_stands_in_the_place_of_what_it_amends)
{
    struct entry *slip, *mended;

    log_waterline(ENTRY_FILL, 0, 250);
    slip = log_waterline(ENTRY_READING, 24, 24);
    mended = log_waterline(ENTRY_READING, 24, 240);
    mended->amends = slip->id;
    mark(slip->id, mended->id, false);
    fold();
    ck_assert_double_eq(state.waterline.value, 240);
    ck_assert_double_eq(state.lowest_mm, 240);
}
END_TEST

START_TEST(cups_hold_what_was_planted_and_left)
{
    static int64_t first_two[] = {1, 2}, second[] = {2};
    struct entry *planting, *harvest;
    const struct cup_state *cup;
    const struct planted *group;

    log_waterline(ENTRY_FILL, 0, 250);
    planting = log_entry(ENTRY_PLANTING, 1, 1);
    planting->crop = "basil";
    planting->cups = (struct list){first_two, 2};
    planting = log_entry(ENTRY_PLANTING, 30, 1);
    planting->crop = "chard";
    planting->count = 9; /* only two cups are free */
    harvest = log_entry(ENTRY_HARVEST, 400, 1);
    harvest->how = HOW_CUT;
    harvest->cups = (struct list){first_two, 2};
    harvest = log_entry(ENTRY_HARVEST, 500, 1);
    harvest->how = HOW_WHOLE;
    harvest->cups = (struct list){second, 1};
    fold();
    cup = state.cups.item;
    ck_assert_str_eq(cup[0].crop, "basil");
    ck_assert_int_eq(cup[0].cuts, 1);
    ck_assert_ptr_null(cup[1].crop);
    ck_assert_str_eq(cup[2].crop, "chard");
    ck_assert_int_eq(cup[2].planted_day, 1);
    ck_assert_uint_eq(state.cuts.count, 1);
    /* Half of what hung was cut to 30 %: 65 % of all leaves stayed. */
    ck_assert_double_eq_tol(((struct cut_back *)state.cuts.item)[0].kept_fraction, 0.65, 1e-9);
    group = state.planted.item;
    ck_assert_uint_eq(state.planted.count, 3); /* basil gone, basil, chard */
    ck_assert_int_eq(group[0].gone_day, 20);
    ck_assert_int_eq(group[2].count, 2);
}
END_TEST

START_TEST(clean_out_empties_the_tank)
{
    log_waterline(ENTRY_FILL, 0, 250);
    log_entry(ENTRY_PLANTING, 1, 1)->crop = "basil";
    entries[count - 1].count = 2;
    log_entry(ENTRY_CLEAN_OUT, 900, 1);
    fold();
    ck_assert(!state.filled);
    ck_assert(isnan(state.waterline.value));
    ck_assert_ptr_null(((struct cup_state *)state.cups.item)[0].crop);
    ck_assert_uint_eq(state.planted.count, 0);
}
END_TEST

static struct entry *log_cups(int kind, double hour, int64_t *cups, size_t n)
{
    struct entry *entry = log_entry(kind, hour, 1);

    entry->cups = (struct list){cups, n};
    if (kind == ENTRY_PLANTING)
        entry->crop = "basil";
    return entry;
}

static const struct cup_state *cup_at(size_t number)
{
    return (const struct cup_state *)state.cups.item + number - 1;
}

START_TEST(plants_change_places_and_keep_their_age)
{
    int64_t first[] = {1}, second[] = {2}, both[] = {1, 2}, turned[] = {2, 1};
    struct entry *move;

    log_waterline(ENTRY_FILL, 0, 250);
    log_cups(ENTRY_PLANTING, 1, first, 1)->sown_day = -20;
    log_cups(ENTRY_PLANTING, 30, second, 1)->crop = "chard";
    log_cups(ENTRY_HARVEST, 200, first, 1)->how = HOW_CUT;
    move = log_cups(ENTRY_MOVE, 240, both, 2);
    move->to_cups = (struct list){turned, 2};
    fold();
    ck_assert_str_eq(cup_at(1)->crop, "chard");
    ck_assert_str_eq(cup_at(2)->crop, "basil");
    ck_assert_int_eq(cup_at(2)->planted_day, 0);
    ck_assert_int_eq(cup_at(2)->here_day, 10);
    ck_assert_int_eq(cup_at(2)->sown_day, -20);
    ck_assert_int_eq(cup_at(2)->cuts, 1);
    ck_assert_uint_eq(state.flags.count, 0); /* they made room for each other */
    ck_assert_uint_eq(state.planted.count, 2); /* nobody stopped drinking */
}
END_TEST

START_TEST(planting_into_an_occupied_cup_is_flagged_unless_it_says_so)
{
    int64_t cup[] = {3};
    const struct planted *group;

    log_waterline(ENTRY_FILL, 0, 250);
    log_cups(ENTRY_PLANTING, 1, cup, 1);
    log_cups(ENTRY_PLANTING, 241, cup, 1);
    fold();
    ck_assert_uint_eq(flagged(FLAG_CUP_TAKEN), 1);
    entries[2].replaces = true;
    fold();
    ck_assert_uint_eq(flagged(FLAG_CUP_TAKEN), 0);
    group = state.planted.item;
    ck_assert_uint_eq(state.planted.count, 2); /* the first drank for ten days */
    ck_assert_int_eq(group[0].gone_day, 10);
    ck_assert_int_eq(cup_at(3)->planted_day, 10);
}
END_TEST

START_TEST(more_plants_than_free_cups_are_flagged)
{
    int64_t first[] = {1};

    log_waterline(ENTRY_FILL, 0, 250);
    log_cups(ENTRY_PLANTING, 1, first, 1);
    log_cups(ENTRY_PLANTING, 2, NULL, 0)->count = 3;
    fold();
    ck_assert_uint_eq(flagged(FLAG_CUPS_FULL), 0);
    entries[2].count = 4;
    fold();
    ck_assert_uint_eq(flagged(FLAG_CUPS_FULL), 1);
}
END_TEST

START_TEST(what_is_taken_from_an_empty_cup_is_flagged)
{
    int64_t planted[] = {1}, empty[] = {2}, to[] = {3};
    struct entry *entry;

    log_waterline(ENTRY_FILL, 0, 250);
    log_cups(ENTRY_PLANTING, 1, planted, 1);
    log_cups(ENTRY_HARVEST, 300, planted, 1)->how = HOW_WHOLE;
    fold();
    ck_assert_uint_eq(flagged(FLAG_CUP_EMPTY), 0);
    log_cups(ENTRY_HARVEST, 301, empty, 1)->how = HOW_WHOLE;
    log_cups(ENTRY_LOSS, 302, empty, 1)->reason = LOST_PESTS;
    entry = log_cups(ENTRY_MOVE, 303, empty, 1);
    entry->to_cups = (struct list){to, 1};
    log_entry(ENTRY_HARVEST, 304, 1)->how = HOW_CUT; /* of all that hangs: nothing does */
    fold();
    ck_assert_uint_eq(flagged(FLAG_CUP_EMPTY), 4);
}
END_TEST

START_TEST(lost_plants_drink_no_more)
{
    int64_t three[] = {1, 2, 3}, lost[] = {2};
    const struct planted *group;

    log_waterline(ENTRY_FILL, 0, 250);
    log_cups(ENTRY_PLANTING, 1, three, 3);
    log_cups(ENTRY_LOSS, 241, lost, 1)->reason = LOST_ROT;
    fold();
    group = state.planted.item;
    ck_assert_uint_eq(state.planted.count, 2);
    ck_assert_int_eq(group[0].count, 1);
    ck_assert_int_eq(group[0].gone_day, 10);
    ck_assert_int_eq(group[1].count, 2);
    ck_assert_int_eq(cup_phase(cup_at(2), 12), CUP_LOST);
    ck_assert_int_eq(cup_at(2)->lost_reason, LOST_ROT);
    ck_assert_int_eq(cup_phase(cup_at(1), 12), CUP_GROWING);
    log_cups(ENTRY_PLANTING, 260, lost, 1);
    fold();
    ck_assert_int_eq(cup_phase(cup_at(2), 12), CUP_GROWING); /* planted again */
    ck_assert_uint_eq(state.flags.count, 0);
}
END_TEST

START_TEST(moved_away_is_gone_and_arrives_with_its_age)
{
    int64_t one[] = {1}, four[] = {4};
    struct entry *move, *planting;

    log_waterline(ENTRY_FILL, 0, 250);
    log_cups(ENTRY_PLANTING, 1, one, 1);
    move = log_cups(ENTRY_MOVE, 241, one, 1);
    move->to_cups = (struct list){four, 1};
    move->to_tank = "other";
    planting = log_cups(ENTRY_PLANTING, 500, one, 1);
    planting->hung_day = 3;
    planting->cuts = 2;
    fold();
    ck_assert_ptr_null(cup_at(4)->crop); /* cup 4 of the other tank */
    ck_assert_int_eq(((const struct planted *)state.planted.item)[0].gone_day, 10);
    ck_assert_int_eq(cup_at(1)->planted_day, 3);
    ck_assert_int_eq(cup_at(1)->here_day, 20);
    ck_assert_int_eq(cup_at(1)->cuts, 2);
    ck_assert_int_eq(((const struct planted *)state.planted.item)[1].day, 3);
}
END_TEST

START_TEST(cup_tells_what_happened_to_it)
{
    int64_t one[] = {1}, two[] = {2};
    static const int expected[] = {CUP_PLANTED, CUP_WAS_CUT, CUP_MOVED_OUT, CUP_PLANTED, CUP_REPLACED, CUP_PLANTED, CUP_WAS_LOST, CUP_PLANTED, CUP_HARVESTED};
    struct vessel_row row = tub();
    struct list all, deeds;
    const struct cup_deed *deed;
    struct fault fault = {0};

    log_waterline(ENTRY_FILL, 0, 250);
    log_cups(ENTRY_PLANTING, 1, one, 1);
    log_cups(ENTRY_HARVEST, 100, one, 1)->how = HOW_CUT;
    log_cups(ENTRY_MOVE, 110, one, 1)->to_cups = (struct list){two, 1};
    log_cups(ENTRY_PLANTING, 120, one, 1);
    log_cups(ENTRY_PLANTING, 130, one, 1);
    log_cups(ENTRY_LOSS, 140, one, 1)->reason = LOST_BROKEN;
    log_cups(ENTRY_PLANTING, 150, one, 1);
    log_cups(ENTRY_HARVEST, 400, one, 1)->how = HOW_WHOLE;
    log_entry(ENTRY_CLEAN_OUT, 500, 1);
    all = (struct list){entries, count};
    ck_assert_int_eq(tank_cup_history(&row, &all, "UTC", 1, &deeds, &arena, &fault), 0);
    deed = deeds.item;
    ck_assert_uint_eq(deeds.count, sizeof expected / sizeof *expected);
    for (size_t i = 0; i < deeds.count; i++)
        ck_assert_int_eq(deed[i].what, expected[i]);
    ck_assert_int_eq(deed[2].other_cup, 2);
    ck_assert_int_eq(deed[6].reason, LOST_BROKEN);
    ck_assert_int_eq(tank_cup_history(&row, &all, "UTC", 2, &deeds, &arena, &fault), 0);
    ck_assert_uint_eq(deeds.count, 2); /* came in, went with the clean-out */
    ck_assert_int_eq(((const struct cup_deed *)deeds.item)[1].what, CUP_CLEANED_OUT);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("tank_state");
    TCase *tcase = tcase_create("tank_state");

    tcase_add_checked_fixture(tcase, NULL, forget);
    tcase_add_test(tcase, fill_by_volume_finds_its_waterline);
    tcase_add_test(tcase, late_entries_take_their_place_in_time);
    tcase_add_test(tcase, ceiling_follows_the_lowest_waterline);
    tcase_add_test(tcase, topping_up_to_the_old_mark_is_flagged);
    tcase_add_test(tcase, rise_without_water_is_flagged);
    tcase_add_test(tcase, same_top_up_by_two_people_is_a_probable_double);
    tcase_add_test(tcase, withdrawn_entries_do_not_count);
    tcase_add_test(tcase, withdrawing_the_withdrawal_brings_it_back);
    tcase_add_test(tcase, amendment_stands_in_the_place_of_what_it_amends);
    tcase_add_test(tcase, cups_hold_what_was_planted_and_left);
    tcase_add_test(tcase, clean_out_empties_the_tank);
    tcase_add_test(tcase, plants_change_places_and_keep_their_age);
    tcase_add_test(tcase, planting_into_an_occupied_cup_is_flagged_unless_it_says_so);
    tcase_add_test(tcase, more_plants_than_free_cups_are_flagged);
    tcase_add_test(tcase, what_is_taken_from_an_empty_cup_is_flagged);
    tcase_add_test(tcase, lost_plants_drink_no_more);
    tcase_add_test(tcase, moved_away_is_gone_and_arrives_with_its_age);
    tcase_add_test(tcase, cup_tells_what_happened_to_it);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
