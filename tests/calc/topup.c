/* Top-up: the published ceiling, the balance of elements, and 'nothing to add' as an answer. */
#include "calc/topup.h"
#include "calc/vessel.h"
#include "runner.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* 0.30 m2 of straight walls: 0.3 L a millimetre. Invented. */
static const struct vessel tub = {.shape = VESSEL_BOX, .floor_mm = {600, 500}, .rim_mm = {600, 500}, .height_mm = 300};

/* A common target, mg/L (in the manner of fixtures/horticulture/solutions.csv; round figures, ours). */
static void ask(struct topup_given *given)
{
    topup_given_init(given);
    given->vessel = &tub;
    given->waterline_mm = 150;
    given->target_mg_l[ELEMENT_N] = 150;
    given->target_mg_l[ELEMENT_P] = 40;
    given->target_mg_l[ELEMENT_K] = 200;
    given->target_mg_l[ELEMENT_CA] = 150;
    given->target_mg_l[ELEMENT_MG] = 40;
    given->target_ec_ms_cm = 1.8;
    given->ec_ms_cm = 1.2;
}

static const struct topup_why *because(const struct topup *topup, enum topup_why_kind kind)
{
    for (size_t i = 0; i < topup->why_count; i++)
        if (topup->why[i].kind == kind)
            return &topup->why[i];
    return NULL;
}

/* A rise of more than 20 mm may injure plants whose air roots hang (A suspended pot, non-circulating hydroponic method, Acta
 * Horticulturae 648, 2004, abstract): never more, whatever is missing.
 */
START_TEST(never_above_the_published_rise)
{
    struct topup_given given;
    struct topup topup;

    ask(&given);
    given.days_left = 30;
    given.use_l = 90;
    ck_assert_int_eq(topup_make(&given, &topup, NULL), 0);
    ck_assert_double_le(topup.rise_mm, TOPUP_RISE_MM + 1e-9);
    ck_assert_double_eq_tol(topup.add_l, 6.0, 1e-9); /* 20 mm x 0.3 L */
    ck_assert_ptr_nonnull(because(&topup, TOPUP_RISE));
    ck_assert_double_eq_tol(topup.again_days, (45.0 + 6.0) / 3.0, 1e-9); /* at 3 L a day */
    /* A ceiling of the tank's own that lies lower holds, too. */
    given.ceiling_mm = 158;
    ck_assert_int_eq(topup_make(&given, &topup, NULL), 0);
    ck_assert_double_le(topup.to_mm, 158.0 + 1e-9);
    ck_assert_ptr_nonnull(because(&topup, TOPUP_CEILING));
    /* Before air roots hang, the ceiling alone decides. */
    given.ceiling_mm = 260;
    given.roots_hang = false;
    ck_assert_int_eq(topup_make(&given, &topup, NULL), 0);
    ck_assert_double_eq_tol(topup.add_l, 33.0, 1e-9);
    /* At the ceiling there is nothing to do. */
    given.ceiling_mm = 150;
    ck_assert_int_eq(topup_make(&given, &topup, NULL), 0);
    ck_assert_int_eq(topup.strength, TOPUP_NOTHING);
    ck_assert_double_eq(topup.add_l, 0.0);
    ck_assert_ptr_nonnull(because(&topup, TOPUP_AT_CEILING));
    ck_assert_uint_eq(topup.cautions, 0);
}
END_TEST

/* One initial fill must carry the crop (Acta Horticulturae 648, 2004, abstract): mostly the answer is nothing. */
START_TEST(nothing_when_the_water_lasts)
{
    struct topup_given given;
    struct topup topup;
    char text[160];

    ask(&given);
    given.days_left = 6;
    given.use_l = 27;
    given.reserve_l = 4.5;
    ck_assert_int_eq(topup_make(&given, &topup, NULL), 0);
    ck_assert_int_eq(topup.strength, TOPUP_NOTHING);
    ck_assert_double_eq(topup.to_mm, 150.0);
    ck_assert_uint_eq(topup.why_count, 1);
    ck_assert_int_eq(topup.why[0].kind, TOPUP_ENOUGH);
    ck_assert_double_eq_tol(topup.why[0].water_days, 9.0, 1e-9);
    ck_assert_uint_eq(topup_why_text(&topup.why[0], text, sizeof text), strlen(text));
    ck_assert_str_eq(text, "Nothing to add: harvest in 6 days, 9 days of water left.");
    topup.why[0].water_days = 19306; /* a tank that hardly drinks in the cold */
    topup_why_text(&topup.why[0], text, sizeof text);
    ck_assert_str_eq(text, "Nothing to add: harvest in 6 days, water left for more than a year at this rate.");
    /* A little is missing: only that little. */
    given.use_l = 42;
    ck_assert_int_eq(topup_make(&given, &topup, NULL), 0);
    ck_assert_double_eq_tol(topup.add_l, 1.5, 1e-9);
    ck_assert_ptr_nonnull(because(&topup, TOPUP_TO_HARVEST));
    ck_assert(isnan(topup.again_days));
}
END_TEST

static const struct {
    const char *what;
    double ec_ms_cm, use_l;
    enum topup_strength strength;
    enum topup_why_kind why;
} strengths[] = {
    {"stronger than its target: plants drank more water than salts", 2.4, 90, TOPUP_PLAIN, TOPUP_STRONG},
    {"at its target: what is added keeps it there", 1.8, 90, TOPUP_FULL, TOPUP_BALANCED},
    {"weak: full", 0.9, 90, TOPUP_FULL, TOPUP_WEAK},
    {"enough in it for the little that will still be drunk: plain", 1.5, 50, TOPUP_PLAIN, TOPUP_BALANCED},
    {"not quite enough in it: dilute", 1.3, 49, TOPUP_DILUTE, TOPUP_BALANCED},
    {"nobody looked: half", NAN, 90, TOPUP_DILUTE, TOPUP_EC_UNREAD},
};

START_TEST(strength_by_what_is_left)
{
    struct topup_given given;
    struct topup topup;

    ask(&given);
    given.days_left = 20;
    given.ec_ms_cm = strengths[_i].ec_ms_cm;
    given.use_l = strengths[_i].use_l;
    ck_assert_int_eq(topup_make(&given, &topup, NULL), 0);
    ck_assert_msg(topup.strength == strengths[_i].strength, "%s: %s (share %g)", strengths[_i].what,
                  topup_strength_key[topup.strength], topup.share);
    ck_assert_msg(because(&topup, strengths[_i].why) != NULL, "%s: not told", strengths[_i].what);
    ck_assert(topup.share >= 0.0 && topup.share <= 1.0);
    ck_assert_double_eq_tol(topup.target_mg_l[ELEMENT_K], 200.0 * topup.share, 1e-9);
    ck_assert_uint_ne(topup.cautions & 1u << TOPUP_CAUTION_HOSE, 0);
    ck_assert_int_eq((topup.cautions & 1u << TOPUP_CAUTION_JUG) != 0, topup.strength != TOPUP_PLAIN);
}
END_TEST

/* Mass is kept: what was put in less what was drunk is what is said to be left; EC corrects it. */
START_TEST(the_tank_s_own_balance_counts)
{
    struct topup_given given;
    struct topup topup;

    ask(&given);
    given.ec_ms_cm = NAN;
    given.days_left = 20;
    given.use_l = 90;
    given.drunk_l = 30;
    given.put_in_mg[ELEMENT_N] = 75 * 150.0;
    given.put_in_mg[ELEMENT_K] = 75 * 60.0; /* someone left most of the potassium out */
    ck_assert_int_eq(topup_make(&given, &topup, NULL), 0);
    /* 0.7 of the target a litre: 100 mg of nitrogen a litre drunk (water-use.csv, derived). */
    ck_assert_double_eq_tol(topup.left_mg_l[ELEMENT_N], (75 * 150.0 - 30 * 0.7 * 150.0) / 45.0, 1e-9);
    ck_assert_double_eq_tol(topup.left_low_mg_l[ELEMENT_N], (75 * 150.0 - 30 * 1.3 * 150.0) / 45.0, 1e-9);
    ck_assert_double_eq_tol(topup.left_high_mg_l[ELEMENT_N], (75 * 150.0 - 30 * 0.3 * 150.0) / 45.0, 1e-9);
    ck_assert(isnan(topup.left_mg_l[ELEMENT_P]));
    ck_assert(isnan(topup.left_low_mg_l[ELEMENT_P]) && isnan(topup.left_high_mg_l[ELEMENT_P]));
    ck_assert_ptr_nonnull(because(&topup, TOPUP_SHORT_OF));
    ck_assert_int_eq(because(&topup, TOPUP_SHORT_OF)->element, ELEMENT_K);

    given.ec_ms_cm = 0.6; /* nothing was put in that the log knows of: by EC alone, and less surely */
    given.put_in_mg[ELEMENT_N] = given.put_in_mg[ELEMENT_K] = NAN;
    ck_assert_int_eq(topup_make(&given, &topup, NULL), 0);
    ck_assert_double_gt(topup.left_mg_l[ELEMENT_N], 0.0);
    ck_assert_double_eq_tol(topup.left_low_mg_l[ELEMENT_N], 0.5 * topup.left_mg_l[ELEMENT_N], 1e-9);
    ck_assert_double_eq_tol(topup.left_high_mg_l[ELEMENT_N], 1.3 * topup.left_mg_l[ELEMENT_N], 1e-9);
}
END_TEST

START_TEST(the_water_counts)
{
    struct topup_given given;
    struct topup topup;

    ask(&given);
    given.use_l = 90;
    given.water_mg_l[ELEMENT_CA] = 180; /* more than the target */
    given.water_mg_l[ELEMENT_MG] = 10;
    given.water_ec_ms_cm = 0.6;
    ck_assert_int_eq(topup_make(&given, &topup, NULL), 0);
    ck_assert_double_eq_tol(topup.target_mg_l[ELEMENT_CA], 150.0, 1e-9);
    ck_assert_double_eq_tol(topup.target_mg_l[ELEMENT_MG], 10.0 + 30.0 * topup.share, 1e-9);
    ck_assert_double_eq_tol(topup.ec_after_ms_cm, topup_ec_after(45.0, 1.2, topup.add_l, 0.6 + topup.share * 1.2), 1e-9);
    ck_assert_double_eq_tol(topup_ec_after(30.0, 1.0, 10.0, 2.0), 1.25, 1e-12);
}
END_TEST

static const struct {
    size_t offset;
    double value;
    const char *at;
} refused[] = {
    {offsetof(struct topup_given, waterline_mm), NAN, "/waterline_mm"},
    {offsetof(struct topup_given, waterline_mm), 301, "/waterline_mm"},
    {offsetof(struct topup_given, ceiling_mm), -1, "/ceiling_mm"},
    {offsetof(struct topup_given, ec_ms_cm), 21, "/ec_ms_cm"},
    {offsetof(struct topup_given, days_left), -1, "/days_left"},
    {offsetof(struct topup_given, use_l), INFINITY, "/use_l"},
    {offsetof(struct topup_given, target_mg_l), -5, "/target_mg_l/n"},
    {offsetof(struct topup_given, water_mg_l), NAN, "/water/n"},
};

START_TEST(out_of_range_is_refused)
{
    struct topup_given given;
    struct topup topup = {.add_l = -1.0};
    struct fault fault = {0};

    ask(&given);
    memcpy((char *)&given + refused[_i].offset, &refused[_i].value, sizeof(double));
    ck_assert_int_eq(topup_make(&given, &topup, &fault), -1);
    ck_assert_str_eq(fault.item[0].at, refused[_i].at);
    ck_assert_double_eq(topup.add_l, -1.0);
}
END_TEST

/* Every waterline, use and EC: finite, inside the vessel, under the rise. */
START_TEST(no_corner_breaks_it)
{
    for (int mm = 0; mm <= 300; mm += 10)
        for (int use = -1; use < 8; use++)
            for (int ec = -1; ec < 8; ec++) {
                struct topup_given given;
                struct topup topup;

                ask(&given);
                given.waterline_mm = mm;
                given.use_l = use < 0 ? NAN : use * 20.0;
                given.days_left = use % 2 ? use * 3.0 : 0.0;
                if (given.days_left < 0.0)
                    given.days_left = NAN;
                given.ec_ms_cm = ec < 0 ? NAN : ec * 0.5;
                ck_assert_int_eq(topup_make(&given, &topup, NULL), 0);
                ck_assert(isfinite(topup.add_l) && topup.add_l >= 0.0 && isfinite(topup.share));
                ck_assert(topup.to_mm <= 300.0 + 1e-9 && topup.rise_mm <= TOPUP_RISE_MM + 1e-9 && topup.rise_mm >= -1e-9);
                ck_assert(isnan(topup.again_days) || isfinite(topup.again_days));
                ck_assert_int_eq(topup.strength == TOPUP_NOTHING, topup.add_l == 0.0);
                ck_assert_uint_gt(topup.why_count, 0);
                for (size_t i = 0; i < topup.why_count; i++) {
                    char text[160];

                    ck_assert_uint_gt(topup_why_text(&topup.why[i], text, sizeof text), 0);
                    ck_assert_msg(strstr(text, "nan") == NULL && strstr(text, "inf") == NULL, "%s", text);
                }
            }
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("topup");
    TCase *tcase = tcase_create("topup");

    tcase_add_test(tcase, never_above_the_published_rise);
    tcase_add_test(tcase, nothing_when_the_water_lasts);
    tcase_add_loop_test(tcase, strength_by_what_is_left, 0, COUNT(strengths));
    tcase_add_test(tcase, the_tank_s_own_balance_counts);
    tcase_add_test(tcase, the_water_counts);
    tcase_add_loop_test(tcase, out_of_range_is_refused, 0, COUNT(refused));
    tcase_add_test(tcase, no_corner_breaks_it);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
