/* Plans of succession: by hand, and held against the plain count of who hangs where on each day. */
#include "garden/succession.h"

#include <stdlib.h>
#include <string.h>

#include "calc/days.h"
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
    ck_assert_int_eq(plan.fits_from, FROM + 94); /* nine harvests are all that is left to the end */
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
    ck_assert_int_eq(plan.fits_from, FROM + 10);
    for (int i = 0; i < 40; i++)
        latest[i] = DAYS_NONE; /* nothing ripens in the first forty days */
    plan = plan_of(&asked);
    ck_assert_int_eq(plan.why, SUCCESSION_TOO_COLD);
    ck_assert_int_eq(plan.fits_from, FROM + 40);
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
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
