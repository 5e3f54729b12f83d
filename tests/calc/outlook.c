/* The outlook: published litres, limits of its mixture, surprises, and no input that breaks it. */
#include "calc/outlook.h"
#include "calc/planning.h"
#include "calc/vessel.h"
#include "runner.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define TODAY 20574 /* 2026-05-01 */

/* A lidded tote, invented measures; a mild season, invented normals: about 3.8 mm/day in May. */
static const struct vessel tote = {
    .shape = VESSEL_BOX, .floor_mm = {640, 390}, .rim_mm = {720, 460}, .height_mm = 360, .corner_mm = 40};

static void mild_place(struct outlook_climate *climate)
{
    static const double warm[12] = {6, 7, 9, 12, 16, 19, 21, 21, 18, 14, 9, 6};

    climate->kind = OUTLOOK_OUTDOORS;
    climate->latitude_deg = 45.0;
    climate->elevation_m = 100.0;
    for (int m = 0; m < 12; m++)
        climate->monthly[m] = (struct outlook_month){warm[m] - 5.0, warm[m] + 5.0, 68.0, 2.0, 4.0 + 4.0 * sin((m - 2.5) * 0.5236)};
}

static void ask_plain(struct outlook_given *given, struct outlook_planting *planting, const char *crop, double count)
{
    outlook_given_init(given);
    mild_place(&given->climate);
    given->today = TODAY;
    given->vessel = &tote;
    given->start_mm = 320;
    given->low_mm = 60;
    *planting = (struct outlook_planting){crops_find(crop), count, TODAY, DAYS_NONE, DAYS_NONE};
    given->planting = planting;
    given->planting_count = 1;
}

/* 3 to 6 L per lettuce to first harvest, 11 to 20 L per kg (A suspended net-pot, non-circulating hydroponic method, CTAHR VC-1,
 * 2010, secondary; passive-tank.csv), at the yields of crops.csv.
 */
START_TEST(lettuce_drinks_what_is_published)
{
    static const char *const lettuces[] = {"lettuce-leaf", "lettuce-butterhead", "lettuce-romaine"};
    struct outlook_given given;
    struct outlook_planting planting;
    struct outlook outlook;
    double litres, kilograms;

    ask_plain(&given, &planting, lettuces[_i], 6);
    given.horizon_days = 120;
    ck_assert_int_eq(outlook_make(&given, &outlook, NULL), 0);
    litres = outlook.to_harvest_l.p50 / 6.0;
    kilograms = (planting.crop->yield_g.low + planting.crop->yield_g.high) / 2000.0;
    ck_assert_msg(litres >= 3.0 && litres <= 6.0, "%s: %g L a plant", planting.crop->id, litres);
    ck_assert_msg(litres / kilograms >= 11.0 && litres / kilograms <= 20.0, "%s: %g L/kg", planting.crop->id, litres / kilograms);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("outlook");
    TCase *tcase = tcase_create("outlook");

    tcase_set_timeout(tcase, 120);
    tcase_add_loop_test(tcase, lettuce_drinks_what_is_published, 0, 3);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
