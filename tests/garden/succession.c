/* Plans of succession: by hand, and held against the plain count of who hangs where on each day. */
#include "garden/succession.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "calc/days.h"
#include "garden/succession_place.h"
#include "runner.h"

#define FROM 1000
#define DAYS 400

static int32_t latest[DAYS];
static struct arena arena;

/* Everything takes `days` from planting to harvest. */
static void grow_in(int days)
{
    for (int i = 0; i < DAYS; i++)
        latest[i] = FROM + i - days;
}

static struct succession_wish wish(const struct succession_tank *tank, size_t tanks, int every_days, int64_t count)
{
    return (struct succession_wish){.today = FROM - 100, .first = FROM, .last = FROM + 120, .every_days = every_days, .count = count, .latest = latest,
                                    .latest_from = FROM, .latest_count = DAYS, .tank = tank, .tanks = tanks};
}

static struct succession plan_of(const struct succession_wish *asked)
{
    struct succession plan;
    struct fault fault = {0};

    ck_assert_msg(succession_plan(asked, &plan, &arena, &fault) == 0, "%s %s", fault.item[0].at, fault.item[0].detail);
    return plan;
}

/* By hand: one head every 3 days, each 30 days in its cup: on any day 30 / 3 = 10 cups are in use. */
START_TEST(ten_cups_carry_a_head_every_three_days)
{
    struct succession_tank ten = {.cups = 10}, nine = {.cups = 9};
    struct succession_wish asked;
    struct succession plan;

    grow_in(30);
    asked = wish(&ten, 1, 3, 1);
    plan = plan_of(&asked);
    ck_assert_int_eq(plan.why, SUCCESSION_FITS);
    ck_assert_int_eq(plan.most_used, 10);
    ck_assert_uint_eq(plan.plantings.count, 41); /* days 0, 3, ... 120 */
    asked = wish(&nine, 1, 3, 1);
    plan = plan_of(&asked);
    ck_assert_int_eq(plan.why, SUCCESSION_CUPS);
    ck_assert_int_eq(plan.day, FROM + 27 - 30); /* the tenth is to be planted while nine hang */
    ck_assert_int_eq(plan.fits_count, 0);
    ck_assert_int_eq(plan.fits_every_days, 4); /* 30 / 4: eight at once */
    ck_assert_int_eq(plan.fits_from, FROM + 96); /* the last nine harvests */
}
END_TEST

START_TEST(fewer_plants_fit_what_more_do_not)
{
    struct succession_tank tanks[] = {{.cups = 12}, {.cups = 8}, {.cups = 8}};
    struct succession_wish asked;
    struct succession plan;

    grow_in(35);
    asked = wish(tanks, 3, 7, 6);
    plan = plan_of(&asked); /* five harvests of six hang at once: 30 cups of 28 */
    ck_assert_int_eq(plan.why, SUCCESSION_CUPS);
    ck_assert_int_eq(plan.fits_count, 5);
    asked.count = 5;
    plan = plan_of(&asked);
    ck_assert_int_eq(plan.why, SUCCESSION_FITS);
    ck_assert_int_eq(plan.most_used, 25);
}
END_TEST

START_TEST(present_plants_are_in_the_way_until_they_are_taken)
{
    struct succession_tank tank = {.cups = 10, .busy = 4, .busy_until = FROM - 20};
    struct succession_wish asked;
    struct succession plan;

    grow_in(30);
    asked = wish(&tank, 1, 3, 1);
    plan = plan_of(&asked);
    ck_assert_int_eq(plan.why, SUCCESSION_FITS); /* in the ten days before, four are planted: six are free */
    tank.busy_until = FROM;
    plan = plan_of(&asked);
    ck_assert_int_eq(plan.why, SUCCESSION_CUPS);
}
END_TEST

START_TEST(past_and_cold_say_so)
{
    struct succession_tank tank = {.cups = 100};
    struct succession_wish asked;
    struct succession plan;

    grow_in(30);
    asked = wish(&tank, 1, 3, 1);
    asked.today = FROM - 20;
    plan = plan_of(&asked);
    ck_assert_int_eq(plan.why, SUCCESSION_TOO_SOON);
    ck_assert_int_eq(plan.day, FROM);
    ck_assert_int_eq(plan.fits_from, FROM + 12);
    for (int i = 0; i < 40; i++)
        latest[i] = DAYS_NONE; /* nothing ripens in the first forty days */
    plan = plan_of(&asked);
    ck_assert_int_eq(plan.why, SUCCESSION_TOO_COLD);
    ck_assert_int_eq(plan.fits_from, FROM + 42);
    ck_assert_int_eq(plan.fits_every_days, 0);
}
END_TEST

/* ---- at random, against the plain count ---- */

static uint64_t state = 7;

static int below(int most)
{
    state ^= state << 13;
    state ^= state >> 7;
    state ^= state << 17;
    return (int)((state >> 11) % (uint64_t)most);
}

/* How many plants hang on a day by the wish alone: those planted by then and harvested later. */
static int64_t hanging(const struct succession_wish *asked, int32_t day)
{
    int64_t count = 0;

    for (int32_t harvest = asked->first; harvest <= asked->last; harvest += asked->every_days)
        count += latest[harvest - FROM] <= day && harvest > day ? asked->count : 0;
    for (size_t i = 0; i < asked->tanks; i++)
        count += asked->tank[i].busy_until > day ? asked->tank[i].busy : 0;
    return count;
}

static void check_tanks(const struct succession_wish *asked, const struct succession *plan)
{
    const struct succession_planting *planting = plan->plantings.item;

    for (size_t t = 0; t < asked->tanks; t++)
        for (int32_t day = FROM - 100; day <= asked->last; day++) {
            int64_t here = asked->tank[t].busy_until > day ? asked->tank[t].busy : 0;

            for (size_t i = 0; i < plan->plantings.count; i++) {
                const struct succession_part *part = planting[i].parts.item;

                for (size_t p = 0; p < planting[i].parts.count && planting[i].plant_on <= day && planting[i].harvest_on > day; p++)
                    here += part[p].tank == t ? part[p].cups : 0;
            }
            ck_assert_msg(here <= asked->tank[t].cups, "day %d: %d in a tank of %d", day, (int)here, (int)asked->tank[t].cups);
        }
}

START_TEST(plan_fits_exactly_when_the_count_does)
{
    int fitted = 0;

    for (int round = 0; round < 300; round++) {
        struct succession_tank tanks[3];
        struct succession_wish asked = wish(tanks, 3, 1 + below(9), 1 + below(6));
        struct succession plan;
        int64_t cups = 0, most = 0;

        latest[0] = FROM - 20 - below(30);
        for (int i = 1; i < DAYS; i++) { /* growth that slows and hastens, but never passes itself */
            latest[i] = latest[i - 1] + below(3);
            latest[i] = latest[i] < FROM + i - 10 ? latest[i] : FROM + i - 10;
        }
        for (int t = 0; t < 3; t++) {
            tanks[t] = (struct succession_tank){.cups = 2 + below(16), .busy_until = FROM - 60 + below(60)};
            tanks[t].busy = below((int)tanks[t].cups + 1);
            cups += tanks[t].cups;
        }
        for (int32_t harvest = asked.first; harvest <= asked.last; harvest += asked.every_days)
            most = hanging(&asked, latest[harvest - FROM]) > most ? hanging(&asked, latest[harvest - FROM]) : most;
        plan = plan_of(&asked);
        ck_assert_msg((plan.why == SUCCESSION_FITS) == (most <= cups), "round %d: %d of %d cups, said %d", round, (int)most, (int)cups, plan.why);
        check_tanks(&asked, &plan);
        if (plan.why == SUCCESSION_FITS)
            ck_assert_int_eq(plan.most_used, most);
        fitted += plan.why == SUCCESSION_FITS;
        arena_end(&arena);
    }
    ck_assert(fitted > 50 && fitted < 250);
}
END_TEST

/* ---- water ---- */

/* By hand: a plant drinks 0.5 L a day for 20 days; one each 5 days means four at once, 2 L a day, 10 L a stretch of five days. */
START_TEST(water_between_top_ups_carries_no_more_than_it_holds)
{
    static double half[20];
    static const double *drinks[DAYS];
    struct succession_tank tank = {.cups = 12, .usable_l = 40, .water_l = 40, .topup_l = 10};
    struct succession_wish asked;
    struct succession plan;

    for (int i = 0; i < 20; i++)
        half[i] = 0.5;
    for (int i = 0; i < DAYS; i++)
        drinks[i] = half;
    grow_in(20);
    asked = wish(&tank, 1, 5, 1);
    asked.topup_days = 5;
    asked.drinks_l = drinks;
    plan = plan_of(&asked);
    ck_assert_int_eq(plan.why, SUCCESSION_FITS);
    ck_assert_double_eq_tol(plan.least_l, 30, 1e-6); /* 10 L of 40, then as much comes back each time */
    asked.count = 2; /* 20 L a stretch: only 10 come back */
    plan = plan_of(&asked);
    ck_assert_int_eq(plan.why, SUCCESSION_WATER);
    ck_assert_int_eq(plan.fits_count, 1);
    ck_assert_int_gt(plan.total, 25);
    ck_assert_int_lt(plan.total, plan.wished);
    ck_assert_int_eq(plan.total, plan.bound);
    ck_assert_double_ge(plan.least_l, -1e-6);
    asked.topup_days = 0; /* nobody asks for the water: the cups would do */
    plan = plan_of(&asked);
    ck_assert_int_eq(plan.why, SUCCESSION_FITS);
}
END_TEST

/* ---- against scipy ---- */

#define SCIPY_DAYS 60

struct problem {
    struct place_batch batch[12];
    double drinks[12][SCIPY_DAYS];
    struct place_tank tank[3];
    int64_t free[3][SCIPY_DAYS];
    double other_l[3][SCIPY_DAYS];
    struct place_ask ask;
};

static struct problem *random_problem(void)
{
    static struct problem p;

    p.ask = (struct place_ask){.from = FROM, .days = SCIPY_DAYS, .topup_days = below(4) ? 3 + below(12) : 0, .batch = p.batch,
                               .batches = (size_t)(3 + below(10)), .tank = p.tank, .tanks = (size_t)(1 + below(3)), .nodes = 2000};
    for (size_t b = 0; b < p.ask.batches; b++) {
        int32_t on = below(30), until = on + 10 + below(20);

        p.batch[b] = (struct place_batch){FROM + on, FROM + until, 1 + below(5), p.drinks[b]};
        for (int32_t d = 0; d < until - on; d++)
            p.drinks[b][d] = 0.01 + 0.02 * d * (1 + below(3)) / 2.0;
    }
    for (size_t t = 0; t < p.ask.tanks; t++) {
        int64_t cups = 2 + below(9), busy = below((int)cups);
        int until = below(SCIPY_DAYS);
        double usable_l = 5 + below(30);

        p.tank[t] = (struct place_tank){p.free[t], p.other_l[t], usable_l, usable_l * (6 + below(5)) / 10, 1 + below(8)};
        for (int d = 0; d < SCIPY_DAYS; d++) {
            p.free[t][d] = cups - (d < until ? busy : 0);
            p.other_l[t][d] = d < until ? 0.002 * (double)busy : 0;
        }
    }
    return &p;
}

static void write_numbers(FILE *file, const double *number, size_t count)
{
    for (size_t i = 0; i < count; i++)
        fprintf(file, " %.17g", number[i]);
}

static void write_problem(FILE *file, const struct problem *p, const struct place_found *found)
{
    fprintf(file, "%d %d %zu %zu", SCIPY_DAYS, p->ask.topup_days, p->ask.batches, p->ask.tanks);
    for (size_t b = 0; b < p->ask.batches; b++) {
        fprintf(file, " %d %d %d", p->batch[b].plant_on - FROM, p->batch[b].harvest_on - FROM, (int)p->batch[b].wanted);
        write_numbers(file, p->drinks[b], (size_t)(p->batch[b].harvest_on - p->batch[b].plant_on));
    }
    for (size_t t = 0; t < p->ask.tanks; t++) {
        fprintf(file, " %.17g %.17g %.17g", p->tank[t].usable_l, p->tank[t].water_l, p->tank[t].topup_l);
        for (int d = 0; d < SCIPY_DAYS; d++)
            fprintf(file, " %d", (int)p->free[t][d]);
        write_numbers(file, p->other_l[t], SCIPY_DAYS);
    }
    fprintf(file, " %d %d\n", (int)found->total, (int)found->bound);
}

/* The placing itself keeps to cups and water, whatever its total says. */
static void check_placing(const struct problem *p, const struct place_found *found)
{
    int64_t total = 0;

    for (size_t t = 0; t < p->ask.tanks; t++) {
        ck_assert(succession_least_l(&p->ask, found, t) >= -1e-6);
        for (int32_t day = FROM; day < FROM + SCIPY_DAYS; day++) {
            int64_t here = 0;

            for (size_t b = 0; b < p->ask.batches; b++)
                here += p->batch[b].plant_on <= day && p->batch[b].harvest_on > day ? found->plants[b * p->ask.tanks + t] : 0;
            ck_assert(here <= p->free[t][day - FROM]);
        }
    }
    for (size_t b = 0; b < p->ask.batches; b++) {
        int64_t here = 0;

        for (size_t t = 0; t < p->ask.tanks; t++)
            here += found->plants[b * p->ask.tanks + t];
        ck_assert(here <= p->batch[b].wanted);
        total += here;
    }
    ck_assert_int_eq(total, found->total);
}

START_TEST(placings_are_as_large_as_scipys)
{
    char name[64], command[512];
    FILE *file;

    snprintf(name, sizeof name, "test-succession-%ld.txt", (long)getpid());
    file = fopen(name, "w");
    ck_assert_ptr_nonnull(file);
    for (int i = 0; i < 300; i++) {
        const struct problem *p = random_problem();
        struct place_found found;
        struct fault fault = {0};

        ck_assert_int_eq(succession_place(&p->ask, &found, &arena, &fault), 0);
        check_placing(p, &found);
        write_problem(file, p, &found);
        arena_end(&arena);
    }
    fclose(file);
    snprintf(command, sizeof command, "/usr/bin/python3 %s %s", source_path("tests/garden/succession_scipy.py"), name);
    ck_assert_int_eq(system(command), 0);
    unlink(name);
}
END_TEST

static void end_arena(void)
{
    arena_end(&arena);
}

int main(void)
{
    Suite *suite = suite_create("succession");
    TCase *tcase = tcase_create("succession");

    tcase_add_checked_fixture(tcase, NULL, end_arena);
    tcase_add_test(tcase, ten_cups_carry_a_head_every_three_days);
    tcase_add_test(tcase, fewer_plants_fit_what_more_do_not);
    tcase_add_test(tcase, present_plants_are_in_the_way_until_they_are_taken);
    tcase_add_test(tcase, past_and_cold_say_so);
    tcase_add_test(tcase, plan_fits_exactly_when_the_count_does);
    tcase_add_test(tcase, water_between_top_ups_carries_no_more_than_it_holds);
    tcase_set_timeout(tcase, 300);
    if (system("/usr/bin/python3 -c 'import scipy' 2>/dev/null") == 0)
        tcase_add_test(tcase, placings_are_as_large_as_scipys);
    else
        puts("skipped: no python3-scipy here to hold the placings against");
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
