/* The log in the file: what goes in comes out, in order, once. */
#include "store/entries.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "garden_file.h"
#include "runner.h"
#include "store/tanks.h"
#include "store/vessels.h"

static const char *path;
static struct store *store;
static struct arena arena;
static int64_t tank_key;

static int make_tank(struct db *db, void *context, struct fault *fault)
{
    struct vessel_point points[] = {{0, 0}, {200, 40}};
    struct lid_cup cups[] = {{100, 100}, {300, 100}};
    struct vessel_row vessel = {.id = "v1", .name = "tub", .shape = VESSEL_POURED, .height_mm = 250, .floor_l_mm = NAN,
                                .floor_w_mm = NAN, .rim_l_mm = NAN, .rim_w_mm = NAN, .corner_mm = NAN, .pattern = -1,
                                .points = {points, 2}, .cups = {cups, 2}, .start_mm = 200, .low_mm = 40};
    struct tank_row tank = {.id = "00000000-0000-7000-8000-0000000000t1", .code = "AB12CD", .name = "one", .area_key = STORE_NO_INT};

    (void)context;
    if (vessels_add(db, &vessel, fault))
        return -1;
    tank.vessel_key = vessel.key;
    if (tanks_add(db, &tank, fault))
        return -1;
    tank_key = tank.key;
    return 0;
}

static void open_new(void)
{
    struct fault fault = {0};

    path = garden_file_new("log");
    store = garden_file_open(path);
    ck_assert_msg(store_write(store, make_tank, NULL, &fault) == 0, "%s", fault.item[0].detail);
}

static void close_it(void)
{
    arena_end(&arena);
    store_close(store);
    garden_file_remove(path);
}

static int add(struct db *db, void *context, struct fault *fault)
{
    return entries_add(db, context, fault);
}

static struct entry reading(const char *id, int64_t at_ms, double waterline_mm)
{
    struct entry entry = entry_blank();

    entry.id = id;
    entry.kind = ENTRY_READING;
    entry.tank_key = tank_key;
    entry.at_ms = at_ms;
    entry.received_ms = at_ms + 500;
    entry.waterline_mm = waterline_mm;
    return entry;
}

static struct entry one(const char *id)
{
    struct fault fault = {0};
    struct entry entry;
    struct db *db = store_read(store, &fault);

    ck_assert_int_eq(entries_one(db, id, &entry, &arena, &fault), 1);
    store_done(store, db);
    return entry;
}

#define ID(n) "01900000-0000-7000-8000-00000000000" #n

START_TEST(entry_comes_back_as_it_went_in)
{
    struct fault fault = {0};
    struct entry_salt salts[] = {{"epsom-salt", 12.5}, {"potassium-nitrate", 30}};
    struct entry entry = reading(ID(1), 1000, 212.5), back;

    entry.kind = ENTRY_FILL;
    entry.note = "first fill";
    entry.weighed = (struct list){salts, 2};
    entry.acid = (struct entry_acid){1, 3.5};
    ck_assert_int_eq(store_write(store, add, &entry, &fault), 0);
    back = one(ID(1));
    ck_assert(entry_same(&entry, &back));
    ck_assert_str_eq(back.tank, "00000000-0000-7000-8000-0000000000t1");
    back.ph = 6;
    ck_assert(!entry_same(&entry, &back));
}
END_TEST

START_TEST(same_id_twice_is_a_conflict)
{
    struct fault fault = {0};
    struct entry entry = reading(ID(1), 1000, 212.5);

    ck_assert_int_eq(store_write(store, add, &entry, &fault), 0);
    ck_assert_int_eq(store_write(store, add, &entry, &fault), -1);
    ck_assert_int_eq(fault.code, FAULT_CONFLICT);
}
END_TEST

START_TEST(pages_go_back_in_time_without_a_gap)
{
    /* Out of order, and two of one moment: their ids decide. */
    const struct entry log[] = {reading(ID(3), 3000, 3), reading(ID(1), 1000, 1), reading(ID(4), 3000, 4), reading(ID(2), 2000, 2)};
    const char *const expected[] = {ID(4), ID(3), ID(2), ID(1)};
    struct entries_page page = {.tank_key = tank_key, .before_ms = INT64_MAX, .limit = 1};
    struct fault fault = {0};
    struct list found;
    struct db *db;

    for (size_t i = 0; i < COUNT(log); i++) {
        struct entry entry = log[i];

        ck_assert_int_eq(store_write(store, add, &entry, &fault), 0);
    }
    db = store_read(store, &fault);
    for (size_t i = 0; i < COUNT(expected); i++) {
        const struct entry *entry;

        ck_assert_int_eq(entries_page(db, &page, &found, &arena, &fault), 0);
        ck_assert_uint_eq(found.count, 1);
        entry = found.item;
        ck_assert_str_eq(entry->id, expected[i]);
        page.before_ms = entry->at_ms;
        page.before_id = entry->id;
    }
    ck_assert_int_eq(entries_page(db, &page, &found, &arena, &fault), 0);
    ck_assert_uint_eq(found.count, 0);
    store_done(store, db);
}
END_TEST

START_TEST(corrections_are_seen_from_the_old_entry)
{
    struct fault fault = {0};
    struct entry first = reading(ID(1), 1000, 212), mended = reading(ID(2), 1000, 221), gone = reading(ID(3), 1500, NAN);

    mended.amends = ID(1);
    gone.kind = ENTRY_NOTE;
    gone.withdraws = ID(2);
    ck_assert_int_eq(store_write(store, add, &first, &fault), 0);
    ck_assert_int_eq(store_write(store, add, &mended, &fault), 0);
    ck_assert_int_eq(store_write(store, add, &gone, &fault), 0);
    ck_assert_str_eq(one(ID(1)).amended_by, ID(2));
    ck_assert_str_eq(one(ID(2)).withdrawn_by, ID(3));
    ck_assert_ptr_null(one(ID(3)).withdrawn_by);
}
END_TEST

/* A sensor's readings stay out, but for the last levels before each harvest; nothing comes twice. */
START_TEST(deeds_come_with_the_levels_before_harvests)
{
    struct fault fault = {0};
    struct list deeds;
    const struct entry *deed;
    struct entry fill = reading(ID(1), 1000, 200), first = reading(ID(2), 60000, NAN), second = reading(ID(3), 60500, NAN);
    struct db *db;

    fill.kind = ENTRY_FILL;
    first.kind = second.kind = ENTRY_HARVEST;
    first.how = second.how = HOW_CUT;
    ck_assert_int_eq(store_write(store, add, &fill, &fault), 0);
    ck_assert_int_eq(store_write(store, add, &first, &fault), 0);
    ck_assert_int_eq(store_write(store, add, &second, &fault), 0);
    for (int i = 0; i < 99; i++) {
        char id[37];
        struct entry level;

        snprintf(id, sizeof id, "01900000-0000-7000-8000-0000000001%02d", i);
        level = reading(id, 2000 + 1000 * i, i % 3 ? 200 - i : (double)NAN); /* every third tells no level */
        ck_assert_int_eq(store_write(store, add, &level, &fault), 0);
    }
    db = store_read(store, &fault);
    ck_assert_int_eq(entries_deeds(db, tank_key, 5000, &deeds, &arena, &fault), 0);
    store_done(store, db);
    deed = deeds.item;
    ck_assert_uint_eq(deeds.count, 7); /* the fill, the harvests, and of 55 to 60 s the levels at 55, 57, 58 and 60 */
    for (size_t i = 1; i < deeds.count; i++)
        ck_assert(deed[i].at_ms > deed[i - 1].at_ms || (deed[i].at_ms == deed[i - 1].at_ms && strcmp(deed[i].id, deed[i - 1].id) > 0));
    ck_assert_int_eq(deed[0].kind, ENTRY_FILL);
    ck_assert_int_eq(deed[1].at_ms, 55000);
    ck_assert_int_eq(deed[6].kind, ENTRY_HARVEST);
}
END_TEST

START_TEST(tank_is_found_by_its_code_in_any_case)
{
    struct fault fault = {0};
    struct tank_row tank;
    struct vessel_row vessel;
    struct db *db = store_read(store, &fault);

    ck_assert_int_eq(tanks_one(db, "ab12cd", &tank, &arena, &fault), 1);
    ck_assert_str_eq(tank.id, "00000000-0000-7000-8000-0000000000t1");
    ck_assert_int_eq(tanks_one(db, "nothing", &tank, &arena, &fault), 0);
    ck_assert_int_eq(vessels_one(db, "v1", &vessel, &arena, &fault), 1);
    ck_assert_uint_eq(vessel.cups.count, 2);
    ck_assert_double_eq(((struct vessel_point *)vessel.points.item)[1].volume_l, 40);
    store_done(store, db);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("log");
    TCase *tcase = tcase_create("log");

    tcase_add_checked_fixture(tcase, open_new, close_it);
    tcase_add_test(tcase, entry_comes_back_as_it_went_in);
    tcase_add_test(tcase, same_id_twice_is_a_conflict);
    tcase_add_test(tcase, pages_go_back_in_time_without_a_gap);
    tcase_add_test(tcase, corrections_are_seen_from_the_old_entry);
    tcase_add_test(tcase, deeds_come_with_the_levels_before_harvests);
    tcase_add_test(tcase, tank_is_found_by_its_code_in_any_case);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
