/* A garden learns from what is over. The garden and its logs are invented. */
#include "garden/lessons.h"

#include <math.h>
#include <stdio.h>

#include "garden/clock.h"
#include "garden/garden.h"
#include "garden/log.h"
#include "garden_file.h"
#include "runner.h"
#include "store/lessons.h"

START_TEST(nothing_learnt_leaves_the_crops_own_prior)
{
    struct outlook_prior prior = lessons_sum(&(struct list){NULL, 0});

    ck_assert(isnan(prior.vigour) && isnan(prior.vigour_spread) && isnan(prior.pace) && isnan(prior.pace_spread));
}
END_TEST

/* One lesson of 2 against what is usual with the weight of two: the cube root of 2. */
START_TEST(one_lesson_moves_the_prior_by_its_weight)
{
    struct lesson lesson[] = {{.vigour = 2, .pace = 1}};
    struct outlook_prior prior = lessons_sum(&(struct list){lesson, 1});

    ck_assert_double_eq_tol(prior.vigour, cbrt(2.0), 1e-12);
    ck_assert_double_eq_tol(prior.pace, 1, 1e-12);
}
END_TEST

START_TEST(many_like_lessons_narrow_it)
{
    struct lesson lesson[40];
    struct outlook_prior few, many;

    for (int i = 0; i < 40; i++)
        lesson[i] = (struct lesson){.vigour = i % 2 ? 1.9 : 2.1, .pace = 1.1};
    few = lessons_sum(&(struct list){lesson, 2});
    many = lessons_sum(&(struct list){lesson, 40});
    ck_assert_double_lt(many.vigour_spread, few.vigour_spread);
    ck_assert_double_lt(many.vigour_spread, 0.2);
    ck_assert_double_eq_tol(many.vigour, 2, 0.1);
}
END_TEST

static struct garden *garden;
static struct arena arena;

static void log_one(struct entry entry, const char *tank, int kind, int64_t at_ms)
{
    const struct who who = {.role = ROLE_KEEPER};
    struct fault fault = {0};
    struct entry stored;
    bool before;
    char id[37];

    clock_uuid(id);
    entry.id = id;
    entry.tank = tank;
    entry.kind = kind;
    entry.at_ms = entry.received_ms = at_ms;
    ck_assert_msg(garden_log(garden, &who, &entry, &stored, &before, &arena, &fault) == 0, "%s %s", fault.item[0].at,
                  fault.item[0].detail);
}

/* A fill of 40 days, read every four: the waterline falls the faster, the thirstier. */
static void log_fill(const char *tank, int64_t from_ms, double thirst)
{
    struct entry fill = entry_blank(), planting = entry_blank();

    fill.waterline_mm = 260;
    planting.crop = "lettuce-leaf";
    planting.count = 4;
    log_one(fill, tank, ENTRY_FILL, from_ms);
    log_one(planting, tank, ENTRY_PLANTING, from_ms + 3600000);
    for (int day = 4; day <= 36; day += 4) {
        struct entry reading = entry_blank();

        reading.waterline_mm = round(260 - thirst * 100 / (1 + exp((27 - day) / 4.5)));
        log_one(reading, tank, ENTRY_READING, from_ms + day * DAY_MS);
    }
    log_one(entry_blank(), tank, ENTRY_CLEAN_OUT, from_ms + 40 * DAY_MS);
}

static struct outlook_prior learnt(void)
{
    struct fault fault = {0};
    struct outlook_prior prior;
    struct db *db = store_read(garden->store, &fault);

    ck_assert_int_eq(lessons_prior(db, "lettuce-leaf", &prior, &arena, &fault), 0);
    store_done(garden->store, db);
    return prior;
}

START_TEST(clean_out_teaches_the_garden)
{
    const char *path = garden_file_new("lessons");
    struct fault fault = {0};
    struct lid_cup cups[] = {{80, 80}, {200, 80}, {80, 200}, {200, 200}};
    struct vessel_row vessel = {.name = "tub", .shape = VESSEL_ROUND, .floor_l_mm = 300, .floor_w_mm = NAN, .rim_l_mm = 300, .rim_w_mm = NAN,
                                .height_mm = 300, .corner_mm = NAN, .lid_l_mm = NAN, .pattern = -1, .cups = {cups, 4},
                                .cup_height_mm = NAN, .cup_top_mm = NAN, .cup_bottom_mm = NAN, .cup_medium_fraction = NAN,
                                .start_mm = 260, .low_mm = 30};
    struct tank_row tank = {.name = "one"};
    struct garden_row row;
    struct outlook_prior thirsty, sparing;
    bool made;
    int64_t from_ms = clock_now_ms() - 200 * DAY_MS;

    garden = garden_open(path, &fault);
    ck_assert_ptr_nonnull(garden);
    ck_assert_int_eq(garden_settings(garden, &row, &arena, &fault), 0);
    row.latitude_deg = 28;
    ck_assert_int_eq(garden_settings_write(garden, &row, &fault), 0);
    ck_assert_int_eq(garden_vessel_add(garden, &vessel, &made, &arena, &fault), 0);
    tank.vessel = vessel.id;
    ck_assert_int_eq(garden_tank_add(garden, &tank, &made, &arena, &fault), 0);
    ck_assert(isnan(learnt().vigour));
    log_fill(tank.id, from_ms, 0.8);
    sparing = learnt();
    ck_assert(!isnan(sparing.vigour));
    log_fill(tank.id, from_ms + 50 * DAY_MS, 2.2);
    thirsty = learnt();
    ck_assert_double_gt(thirsty.vigour * thirsty.pace, sparing.vigour * sparing.pace);
    arena_end(&arena);
    garden_close(garden);
    garden_file_remove(path);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("lessons");
    TCase *tcase = tcase_create("lessons");

    tcase_set_timeout(tcase, 60);
    tcase_add_test(tcase, nothing_learnt_leaves_the_crops_own_prior);
    tcase_add_test(tcase, one_lesson_moves_the_prior_by_its_weight);
    tcase_add_test(tcase, many_like_lessons_narrow_it);
    tcase_add_test(tcase, clean_out_teaches_the_garden);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
