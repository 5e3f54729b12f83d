/* The part of the log that is read for a tank says the same of it as the whole log. Logs are made by a seeded generator, invented:
 * fills over fills, clean-outs, amendments and withdrawals of anything, in any order of arrival. */
#include "garden/tank_log.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "garden/clock.h"
#include "garden/tank_state.h"
#include "garden_file.h"
#include "runner.h"
#include "store/sensed.h"

#define HOUR ((int64_t)3600000)

static const char *path;
static struct store *store;
static struct vessel_point points[] = {{0, 0}, {300, 30}};
static struct lid_cup cups[] = {{0, 0}, {1, 1}, {2, 2}, {3, 3}};
static struct vessel_row tub;
static int64_t tank_key;
static uint64_t draw_state;
static char made[600][37];
static int made_kind[600];
static size_t made_count;

static unsigned draw(unsigned below)
{
    draw_state = draw_state * 6364136223846793005u + 1442695040888963407u;
    return (unsigned)(draw_state >> 33) % below;
}

static int make_tank(struct db *db, void *context, struct fault *fault)
{
    struct tank_row tank = {.id = "0190a000-0000-7000-8000-00000000aaaa", .code = "AAAAAA", .name = "tub", .area_key = STORE_NO_INT};

    (void)context;
    if (vessels_add(db, &tub, fault))
        return -1;
    tank.vessel_key = tub.key;
    if (tanks_add(db, &tank, fault))
        return -1;
    tank_key = tank.key;
    return 0;
}

static void open_new(void)
{
    struct fault fault = {0};

    path = garden_file_new("tank-log");
    store = garden_file_open(path);
    tub = (struct vessel_row){.id = "0190a000-0000-7000-8000-00000000bbbb", .name = "tub", .shape = VESSEL_POURED, .floor_l_mm = NAN, .floor_w_mm = NAN,
                              .rim_l_mm = NAN, .rim_w_mm = NAN, .height_mm = 300, .corner_mm = NAN, .points = {points, 2}, .lid_l_mm = NAN,
                              .lid_w_mm = NAN, .lid_corner_mm = NAN, .hole_mm = NAN, .edge_mm = NAN, .spacing_mm = NAN, .pattern = -1, .cups = {cups, 4},
                              .cup_height_mm = NAN, .cup_top_mm = NAN, .cup_bottom_mm = NAN, .cup_medium_fraction = NAN, .start_mm = 250, .low_mm = 30};
    ck_assert_msg(store_write(store, make_tank, NULL, &fault) == 0, "%s", fault.count ? fault.item[0].detail : "");
}

static void close_it(void)
{
    store_close(store);
    garden_file_remove(path);
}

/* ---- making a log ---- */

static void fill_in(struct entry *entry)
{
    switch (entry->kind) {
    case ENTRY_FILL:
        entry->waterline_mm = 240 + draw(15);
        break;
    case ENTRY_TOP_UP:
        *(draw(2) ? &entry->volume_l : &entry->waterline_mm) = 3 + draw(5);
        break;
    case ENTRY_READING:
        entry->waterline_mm = draw(10) ? 20 + draw(230) : (double)NAN;
        entry->ec_ms_cm = draw(3) ? (double)NAN : 1 + draw(10) / 10.0;
        entry->temperature_c = isnan(entry->waterline_mm) ? 20 : (double)NAN;
        break;
    case ENTRY_PLANTING:
        entry->crop = draw(2) ? "lettuce-leaf" : "basil";
        entry->count = 1 + draw(4);
        break;
    case ENTRY_HARVEST:
        entry->how = draw(2) ? HOW_WHOLE : HOW_CUT;
        entry->count = draw(2) ? 1 + draw(4) : STORE_NO_INT;
        break;
    default:
        break;
    }
}

struct making {
    size_t count;
    bool clean_outs;
};

static int add_entries(struct db *db, void *context, struct fault *fault)
{
    static const int kinds[] = {ENTRY_FILL, ENTRY_TOP_UP, ENTRY_READING, ENTRY_READING, ENTRY_READING, ENTRY_READING, ENTRY_PLANTING, ENTRY_HARVEST, ENTRY_CLEAN_OUT};
    const struct making *making = context;

    for (size_t i = 0; i < making->count; i++) {
        struct entry entry = entry_blank();
        bool withdraws = made_count > 5 && draw(8) == 0, amends = !withdraws && made_count > 5 && draw(8) == 0;
        size_t of = made_count ? draw((unsigned)made_count) : 0;

        entry.kind = withdraws ? ENTRY_NOTE : amends ? made_kind[of] : kinds[draw(making->clean_outs ? 9 : 8)];
        if (amends && entry.kind == ENTRY_NOTE)
            amends = false;
        snprintf(made[made_count], sizeof made[0], "0190a000-%04x-7000-8000-%012zx", draw(65536), made_count);
        entry.id = made[made_count];
        entry.tank_key = tank_key;
        entry.at_ms = draw(4) ? (int64_t)(i * 20 + draw(30)) * HOUR : (int64_t)draw((unsigned)making->count * 20) * HOUR;
        entry.received_ms = (int64_t)(i * 20) * HOUR;
        entry.member_key = STORE_NO_INT;
        entry.withdraws = withdraws ? made[of] : NULL;
        entry.amends = amends ? made[of] : NULL;
        if (!withdraws)
            fill_in(&entry);
        if (entry.kind == ENTRY_NOTE)
            entry.note = "n";
        if (entries_add(db, &entry, fault))
            return -1;
        made_kind[made_count++] = entry.kind;
    }
    return 0;
}

/* ---- the same state ---- */

static void same(double a, double b, const char *what, unsigned turn)
{
    ck_assert_msg((isnan(a) && isnan(b)) || a == b, "turn %u: %s is %g by the whole log, %g by its part", turn, what, a, b);
}

static void same_text(const char *a, const char *b, const char *what, unsigned turn)
{
    ck_assert_msg((!a && !b) || (a && b && strcmp(a, b) == 0), "turn %u: %s is %s by the whole log, %s by its part", turn, what, a ? a : "none", b ? b : "none");
}

static void same_state(const struct tank_state *whole, const struct tank_state *part, unsigned turn)
{
    const struct cup_state *cup = whole->cups.item, *other = part->cups.item;
    const struct planted *planted = whole->planted.item, *planted_too = part->planted.item;
    const struct waterline_reading *read = whole->readings.item, *read_too = part->readings.item;

    ck_assert_int_eq(whole->filled, part->filled);
    same_text(whole->fill, part->fill, "fill", turn);
    same((double)whole->filled_ms, (double)part->filled_ms, "filled_ms", turn);
    same(whole->waterline.value, part->waterline.value, "waterline", turn);
    same((double)whole->waterline.at_ms, (double)part->waterline.at_ms, "its moment", turn);
    same(whole->ec.value, part->ec.value, "EC", turn);
    same(whole->temperature.value, part->temperature.value, "temperature", turn);
    same(whole->volume_l, part->volume_l, "volume", turn);
    same(whole->lowest_mm, part->lowest_mm, "lowest", turn);
    same(whole->ceiling_mm, part->ceiling_mm, "ceiling", turn);
    same(whole->filled_l, part->filled_l, "filled_l", turn);
    same(whole->added_l, part->added_l, "added_l", turn);
    same((double)whole->cuts.count, (double)part->cuts.count, "cuts", turn);
    same((double)whole->added.count, (double)part->added.count, "top-ups", turn);
    same((double)whole->planted.count, (double)part->planted.count, "plantings", turn);
    same((double)whole->readings.count, (double)part->readings.count, "readings", turn);
    for (size_t i = 0; i < whole->cups.count; i++) {
        same_text(cup[i].planting, other[i].planting, "a cup", turn);
        same((double)cup[i].cuts, (double)other[i].cuts, "a cup's cuts", turn);
    }
    for (size_t i = 0; i < whole->planted.count; i++)
        same((double)planted[i].count, (double)planted_too[i].count, "plants", turn);
    for (size_t i = 0; i < whole->readings.count; i++)
        same_text(read[i].entry, read_too[i].entry, "a reading", turn);
}

static void fold(struct db *db, bool whole, int64_t since_ms, struct tank_state *state, size_t *read, struct arena *arena)
{
    const struct tank_log_ask ask = {.tank_key = tank_key, .since_ms = since_ms, .to_ms = INT64_MAX};
    struct fault fault = {0};
    struct list entries;
    int failed = whole ? entries_of_tank(db, tank_key, &entries, arena, &fault) : tank_log_read(db, &ask, &entries, arena, &fault);

    ck_assert_msg(!failed && tank_state_fold(&tub, &entries, "UTC", state, arena, &fault) == 0, "%s", fault.count ? fault.item[0].detail : "");
    *read = entries.count;
}

static size_t flags_since(const struct tank_state *state, int64_t since_ms, struct db *db, struct arena *arena)
{
    const struct tank_flag_item *flag = state->flags.item;
    struct fault fault = {0};
    size_t count = 0;

    for (size_t i = 0; i < state->flags.count; i++) {
        struct entry entry;

        ck_assert_int_eq(entries_one(db, flag[i].entry, &entry, arena, &fault), 1);
        count += entry.at_ms >= since_ms;
    }
    return count;
}

#define LEVELS_MS (72 * HOUR)

static const struct entry *entry_in(const struct list *entries, const char *id)
{
    const struct entry *entry = entries->item;

    for (size_t i = 0; i < entries->count; i++)
        if (strcmp(entry[i].id, id) == 0)
            return &entry[i];
    ck_abort_msg("%s was taken, but is not among the entries", id);
}

/* The next thing taken, or deed that counts, from since_ms on; NULL: none. */
static const struct taken *next_taken(const struct list *taken, const struct list *entries, int64_t since_ms, size_t *at)
{
    const struct taken *one = taken->item;

    while (*at < taken->count && entry_in(entries, one[*at].entry)->at_ms < since_ms)
        ++*at;
    return *at < taken->count ? &one[(*at)++] : NULL;
}

static const struct entry *next_deed(const struct list *deeds, int64_t since_ms, size_t *at)
{
    const struct entry *one = deeds->item;

    while (*at < deeds->count && (one[*at].at_ms < since_ms || one[*at].kind == ENTRY_READING))
        ++*at;
    return *at < deeds->count ? &one[(*at)++] : NULL;
}

/* What was put in and taken from a moment on, by the deeds from the last clean-out before it and by all deeds. */
static size_t same_deeds(struct db *db, int64_t since_ms, unsigned turn, struct arena *arena, size_t *read_whole, size_t *read_part)
{
    struct list entries, other, deeds, deeds_too;
    struct tank_state whole, part;
    struct fault fault = {0};
    size_t a = 0, b = 0, count = 0;
    const struct taken *taken, *taken_too;
    const struct entry *deed, *deed_too;

    ck_assert_int_eq(entries_deeds(db, tank_key, LEVELS_MS, &entries, arena, &fault), 0);
    ck_assert_int_eq(tank_log_deeds(db, tank_key, since_ms, LEVELS_MS, &other, arena, &fault), 0);
    ck_assert(tank_state_fold(&tub, &entries, "UTC", &whole, arena, &fault) == 0 && tank_state_fold(&tub, &other, "UTC", &part, arena, &fault) == 0);
    ck_assert(log_effective(&entries, &deeds, arena, &fault) == 0 && log_effective(&other, &deeds_too, arena, &fault) == 0);
    do {
        taken = next_taken(&whole.taken, &entries, since_ms, &a);
        taken_too = next_taken(&part.taken, &other, since_ms, &b);
        ck_assert_msg(!taken == !taken_too, "turn %u: something was taken by one reading alone", turn);
        if (taken) {
            same_text(taken->entry, taken_too->entry, "a harvest", turn);
            same_text(taken->crop, taken_too->crop, "its crop", turn);
            same((double)taken->plants, (double)taken_too->plants, "its plants", turn);
            same((double)taken->planted_day, (double)taken_too->planted_day, "its planting", turn);
            same((double)taken->from_day, (double)taken_too->from_day, "what it grew from", turn);
            same((double)taken->left, (double)taken_too->left, "what it left", turn);
            same(taken->used_l, taken_too->used_l, "its litres", turn);
            count++;
        }
    } while (taken);
    a = b = 0;
    do {
        deed = next_deed(&deeds, since_ms, &a);
        deed_too = next_deed(&deeds_too, since_ms, &b);
        same_text(deed ? deed->id : NULL, deed_too ? deed_too->id : NULL, "a deed", turn);
    } while (deed && deed_too);
    *read_whole += entries.count;
    *read_part += other.count;
    return count;
}

START_TEST(what_was_taken_from_a_moment_on_needs_no_older_deeds)
{
    size_t whole = 0, part = 0, taken = 0;

    for (unsigned turn = 0; turn < 60; turn++) {
        struct making making = {.count = 150, .clean_outs = turn % 4 != 0};
        struct arena arena = {0};
        struct fault fault = {0};
        struct db *db;

        close_it();
        open_new();
        made_count = 0;
        draw_state = 20260701 + turn;
        ck_assert_msg(store_write(store, add_entries, &making, &fault) == 0, "%s", fault.count ? fault.item[0].detail : "");
        db = store_read(store, &fault);
        for (int i = 0; i < 4; i++)
            taken += same_deeds(db, (int64_t)draw(150 * 20) * HOUR, turn, &arena, &whole, &part);
        taken += same_deeds(db, INT64_MIN + 1, turn, &arena, &whole, &part);
        store_done(store, db);
        arena_end(&arena);
    }
    ck_assert_uint_gt(taken, 500);
    ck_assert_uint_lt(part, whole);
}
END_TEST

static void compare(bool clean_outs, size_t *read_whole, size_t *read_part)
{
    *read_whole = *read_part = 0;
    for (unsigned turn = 0; turn < 60; turn++) {
        struct making making = {.count = 150, .clean_outs = clean_outs};
        struct tank_state whole, part;
        struct arena arena = {0};
        struct fault fault = {0};
        struct db *db;
        size_t a, b;
        int64_t since_ms = (int64_t)draw(150 * 20) * HOUR;

        close_it();
        open_new();
        made_count = 0;
        draw_state = 20260501 + turn;
        ck_assert_msg(store_write(store, add_entries, &making, &fault) == 0, "%s", fault.count ? fault.item[0].detail : "");
        db = store_read(store, &fault);
        fold(db, true, 0, &whole, &a, &arena);
        fold(db, false, INT64_MAX, &part, &b, &arena);
        same_state(&whole, &part, turn);
        same((double)whole.last_reading_ms, (double)part.last_reading_ms, "last reading", turn);
        *read_whole += a;
        *read_part += b;
        fold(db, false, since_ms, &part, &b, &arena);
        same((double)flags_since(&whole, since_ms, db, &arena), (double)flags_since(&part, since_ms, db, &arena), "flags", turn);
        store_done(store, db);
        arena_end(&arena);
    }
}

START_TEST(part_says_what_the_whole_says)
{
    size_t whole, part;

    compare(true, &whole, &part);
    ck_assert_uint_lt(part * 4, whole);
}
END_TEST

/* Who fills again and again without ever cleaning out: deeds are read from the first, readings are not. */
START_TEST(also_where_nobody_cleans_out)
{
    size_t whole, part;

    compare(false, &whole, &part);
    ck_assert_uint_lt(part, whole);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("garden/tank_log");
    TCase *tests = tcase_create("tank_log");

    tcase_add_checked_fixture(tests, open_new, close_it);
    tcase_set_timeout(tests, 120);
    tcase_add_test(tests, part_says_what_the_whole_says);
    tcase_add_test(tests, also_where_nobody_cleans_out);
    tcase_add_test(tests, what_was_taken_from_a_moment_on_needs_no_older_deeds);
    suite_add_tcase(suite, tests);
    return run_suite(suite);
}
