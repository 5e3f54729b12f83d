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

/* A lettuce is cut by the table's days in a mild season; the table is common practice, so the middle of the answer lies in it. */
START_TEST(harvest_comes_in_the_usual_days)
{
    struct outlook_given given;
    struct outlook_planting planting;
    struct outlook outlook;
    double days;

    ask_plain(&given, &planting, crops[_i].id, 2);
    given.horizon_days = OUTLOOK_HORIZON;
    ck_assert_int_eq(outlook_make(&given, &outlook, NULL), 0);
    ck_assert_int_ne(outlook.harvest_on.p50, DAYS_NONE);
    days = (double)outlook.harvest_on.p50 - TODAY;
    /* Basil, parsley and their like want more warmth than a mild May has. */
    ck_assert_msg(days >= planting.crop->days.low - 5.0 && days <= planting.crop->days.high * 1.75, "%s: %g days", planting.crop->id, days);
    ck_assert_int_le(outlook.harvest_on.p10, outlook.harvest_on.p50);
}
END_TEST

/* ------------------------------------------------------- poor climates */

/* Of a place at 52 degrees whose January somebody's lettuce does not mind: by the guess nothing grows. Ours. */
static void guess_winter(struct outlook_given *given, struct outlook_planting *planting)
{
    ask_plain(given, planting, "lettuce-leaf", 6);
    outlook_guess_climate(52.0, 20.0, &given->climate);
    given->today = TODAY - 120; /* 1 January */
    planting->on = given->today;
}

START_TEST(a_guessed_winter_may_be_mild)
{
    static struct outlook outlook, told;
    struct outlook_given given;
    struct outlook_planting planting;

    guess_winter(&given, &planting);
    given.horizon_days = 90;
    ck_assert_double_lt(given.climate.monthly[0].tmax_c, 4.0);
    ck_assert_double_gt(given.climate.normals_off_c, 0.0);
    ck_assert_int_eq(outlook_make(&given, &outlook, NULL), 0);
    given.climate.normals_off_c = 0.0;
    ck_assert_int_eq(outlook_make(&given, &told, NULL), 0);
    /* Who knows that it is so cold knows that little is drunk. */
    ck_assert_double_gt(outlook.waterline[89].p90_mm - outlook.waterline[89].p10_mm,
                        2.0 * (told.waterline[89].p90_mm - told.waterline[89].p10_mm));
    ck_assert_double_lt(outlook.waterline[89].p10_mm, told.waterline[89].p10_mm - 5.0);
}
END_TEST

/* A month of records tells that the guess is too cold, and of the month to come as well. */
START_TEST(records_correct_a_guess)
{
    static struct outlook blind, seeing;
    struct outlook_given given;
    struct outlook_planting planting;
    struct outlook_weather weather[30];

    guess_winter(&given, &planting);
    planting.on -= 30;
    given.horizon_days = 30;
    ck_assert_int_eq(outlook_make(&given, &blind, NULL), 0);
    for (int i = 0; i < 30; i++)
        weather[i] = (struct outlook_weather){planting.on + i, 8, 16, NAN, NAN, NAN, NAN};
    given.weather = weather;
    given.weather_count = COUNT(weather);
    ck_assert_int_eq(outlook_make(&given, &seeing, NULL), 0);
    ck_assert_double_gt(seeing.use_l_day.p50, 2.0 * blind.use_l_day.p50);
    ck_assert_double_lt(seeing.waterline[29].p50_mm, blind.waterline[29].p50_mm - 5.0);
}
END_TEST

/* ------------------------------------------------------------ readings */

#define MORNING (DAYS_MS / 3)

/* Waterlines that fall ever faster, every second day, 40 days long. */
static size_t steady_readings(struct outlook_reading *reading, double start_mm)
{
    size_t count = 0;

    for (int day = 0; day < 40; day += 2)
        reading[count++] = (struct outlook_reading){(int64_t)(TODAY - 40 + day) * DAYS_MS + MORNING, floor(start_mm - 0.09 * day * day),
                                                    OUTLOOK_DIPSTICK};
    return count;
}

static void ask_read(struct outlook_given *given, struct outlook_planting *planting, struct outlook_reading *reading)
{
    ask_plain(given, planting, "lettuce-leaf", 6);
    planting->on = TODAY - 40;
    given->reading = reading;
    given->reading_count = steady_readings(reading, given->start_mm);
}

START_TEST(readings_narrow_the_date)
{
    struct outlook_given given;
    struct outlook_planting planting;
    struct outlook_reading reading[40];
    struct outlook blind, seeing;

    ask_read(&given, &planting, reading);
    ck_assert_int_eq(outlook_make(&given, &seeing, NULL), 0);
    given.reading_count = 0;
    ck_assert_int_eq(outlook_make(&given, &blind, NULL), 0);
    ck_assert_uint_eq(seeing.surprise_count, 0);
    ck_assert_int_lt(seeing.low_on.p90 - seeing.low_on.p10, 12);
    ck_assert(blind.low_on.p90 == DAYS_NONE || blind.low_on.p90 - blind.low_on.p10 > 24);
    /* 190 mm stand two days after the last 190 mm; it falls by 7 mm a day and more: 130 mm in about 15 days. */
    ck_assert_int_ge(seeing.low_on.p50, TODAY + 10);
    ck_assert_int_le(seeing.low_on.p50, TODAY + 20);
}
END_TEST

static const struct {
    const char *what;
    int from;         /* index of the first reading that is changed */
    int count;        /* how many readings are */
    double by_mm, times;
    enum outlook_surprise_why why;
    int days;         /* most that the date may move against the untouched readings */
} meddled[] = {
    {"a digit too many", 14, 1, 0, 10, OUTLOOK_OUTSIDE, 1},
    {"two digits swapped: 250 for 205", 16, 1, 45, 1, OUTLOOK_SLIP, 2},
    {"a slip far down", 12, 1, -120, 1, OUTLOOK_SLIP, 2},
    {"the last one slipped", 19, 1, 110, 1, OUTLOOK_SLIP, 3},
    {"rain of 18 mm", 13, 7, 18, 1, OUTLOOK_RISE, 9},
    {"rain of 30 mm before the last reading", 19, 1, 30, 1, OUTLOOK_RISE, 9},
};

START_TEST(what_no_plant_can_do_is_a_surprise)
{
    struct outlook_given given;
    struct outlook_planting planting;
    struct outlook_reading reading[40];
    struct outlook plain, outlook;

    ask_read(&given, &planting, reading);
    ck_assert_int_eq(outlook_make(&given, &plain, NULL), 0);
    for (int i = meddled[_i].from; i < meddled[_i].from + meddled[_i].count; i++)
        reading[i].waterline_mm = fmin(reading[i].waterline_mm * meddled[_i].times + meddled[_i].by_mm, 2999.0);
    ck_assert_int_eq(outlook_make(&given, &outlook, NULL), 0);
    ck_assert_msg(outlook.surprise_count == 1, "%s: %zu surprises", meddled[_i].what, outlook.surprise_count);
    ck_assert_msg(outlook.surprise[0].why == meddled[_i].why, "%s: told as %s", meddled[_i].what,
                  outlook_surprise_key[outlook.surprise[0].why]);
    ck_assert_int_eq(outlook.surprise[0].at_ms, reading[meddled[_i].from].at_ms);
    ck_assert_msg(abs(outlook.low_on.p50 - plain.low_on.p50) <= meddled[_i].days, "%s: moved by %d days", meddled[_i].what,
                  (int)(outlook.low_on.p50 - plain.low_on.p50));
}
END_TEST

/* Every ten minutes for a week, with a spike now and then: as one reading a morning. */
START_TEST(a_sensor_is_no_louder_than_a_dipstick)
{
    static struct outlook_reading dense[1008];
    struct outlook_given given;
    struct outlook_planting planting;
    struct outlook_reading reading[40];
    struct outlook sparse, outlook;

    ask_read(&given, &planting, reading);
    given.reading_count = 17; /* the last is of the day before the sensor's first */
    ck_assert_int_eq(outlook_make(&given, &sparse, NULL), 0);
    for (int i = 0; i < 1008; i++) {
        double day = 33.0 + i / 144.0;

        dense[i] = (struct outlook_reading){(int64_t)((TODAY - 40 + day) * (double)DAYS_MS), 320.0 - 0.09 * day * day + i * 7 % 3 - 1,
                                            OUTLOOK_SENSOR};
        if (i % 97 == 5)
            dense[i].waterline_mm += 60.0;
    }
    given.reading = dense;
    given.reading_count = COUNT(dense);
    given.filled_on = TODAY - 40;
    ck_assert_int_eq(outlook_make(&given, &outlook, NULL), 0);
    ck_assert_uint_eq(outlook.surprise_count, 0);
    ck_assert_double_eq_tol(outlook.waterline_now_mm, 320.0 - 0.09 * 40 * 40, 3.0);
    ck_assert_int_le(abs(outlook.low_on.p50 - sparse.low_on.p50), 4);
}
END_TEST

/* A warm house in a garden that was told to be cold: the climate explains no drinking, yet the water stands where it was read. */
START_TEST(water_stands_where_it_was_read)
{
    static const double read_mm[] = {300, 250, 243};
    static const int days_ago[] = {15, 5, 2};
    struct outlook_given given;
    struct outlook_planting planting;
    struct outlook_reading reading[3];
    struct outlook outlook;

    ask_plain(&given, &planting, "lettuce-leaf", 6);
    for (int m = 0; m < 12; m++)
        given.climate.monthly[m] = (struct outlook_month){-9.0, 1.0, 70.0, 2.0, NAN};
    planting.on = given.filled_on = TODAY - 24;
    for (int i = 0; i < 3; i++)
        reading[i] = (struct outlook_reading){.at_ms = (TODAY - days_ago[i]) * (int64_t)86400000, .waterline_mm = read_mm[i]};
    given.reading = reading;
    given.reading_count = 3;
    ck_assert_int_eq(outlook_make(&given, &outlook, NULL), 0);
    ck_assert_msg(fabs(outlook.waterline_now_mm - 243) < 6, "%g mm", outlook.waterline_now_mm);
}
END_TEST

START_TEST(a_known_top_up_is_no_surprise)
{
    struct outlook_given given;
    struct outlook_planting planting;
    struct outlook_reading reading[40];
    struct outlook_added added = {(int64_t)(TODAY - 15) * DAYS_MS, 6.0, NAN};
    struct vessel_level before, after;
    struct outlook plain, outlook;

    ask_read(&given, &planting, reading);
    ck_assert_int_eq(outlook_make(&given, &plain, NULL), 0);
    for (size_t i = 13; i < given.reading_count; i++) { /* 6 L stand higher from then on */
        ck_assert_int_eq(vessel_at_waterline(&tote, reading[i].waterline_mm, &before, NULL), 0);
        ck_assert_int_eq(vessel_at_volume(&tote, before.volume_l + 6.0, &after, NULL), 0);
        reading[i].waterline_mm = after.waterline_mm;
    }
    given.added = &added;
    given.added_count = 1;
    ck_assert_int_eq(outlook_make(&given, &outlook, NULL), 0);
    ck_assert_uint_eq(outlook.surprise_count, 0);
    ck_assert_int_gt(outlook.low_on.p50, plain.low_on.p50);
    ck_assert_double_eq_tol(outlook.vigour, plain.vigour, 0.15 * plain.vigour);
    /* The waterline after it says that it was 9 L, not 6: the waterline was looked at. */
    added.waterline_mm = reading[12].waterline_mm + 45.0;
    ck_assert_int_eq(outlook_make(&given, &outlook, NULL), 0);
    ck_assert_uint_ge(outlook.surprise_count, 1);
    ck_assert_int_eq(outlook.surprise[0].why, OUTLOOK_ADDED_OTHER);
}
END_TEST

START_TEST(a_cut_sets_the_canopy_back)
{
    struct outlook_given given;
    struct outlook_planting planting;
    struct outlook_reading reading[40];
    struct outlook_cut cut = {(int64_t)TODAY * DAYS_MS, 0.3, -1};
    struct outlook plain, outlook;

    ask_read(&given, &planting, reading);
    ck_assert_int_eq(outlook_make(&given, &plain, NULL), 0);
    given.cut = &cut;
    given.cut_count = 1;
    ck_assert_int_eq(outlook_make(&given, &outlook, NULL), 0);
    ck_assert_double_lt(outlook.use_l_day.p50, 0.75 * plain.use_l_day.p50);
    ck_assert_int_gt(outlook.low_on.p50, plain.low_on.p50 + 1);
    /* What is left grows again, and is ready sooner than from a seedling. */
    ck_assert_int_ge(outlook.harvest_on.p50, TODAY + 3);
    ck_assert_int_le(outlook.harvest_on.p50, TODAY + 30);
}
END_TEST

START_TEST(plantings_of_different_age_and_crop)
{
    struct outlook_given given;
    struct outlook_planting planting[3];
    struct outlook one, more, gone, fixed;

    ask_plain(&given, planting, "lettuce-leaf", 3);
    planting[0].on = TODAY - 25;
    given.filled_on = TODAY - 25;
    ck_assert_int_eq(outlook_make(&given, &one, NULL), 0);
    planting[1] = (struct outlook_planting){crops_find("basil"), 2, TODAY - 10, DAYS_NONE, DAYS_NONE};
    planting[2] = (struct outlook_planting){crops_find("rocket"), 4, TODAY + 5, DAYS_NONE, DAYS_NONE};
    given.planting_count = 3;
    ck_assert_int_eq(outlook_make(&given, &more, NULL), 0);
    ck_assert_double_gt(more.use_l_day.p50, one.use_l_day.p50);
    ck_assert_int_lt(more.low_on.p50, one.low_on.p50 == DAYS_NONE ? TODAY + 90 : one.low_on.p50);
    ck_assert_int_le(abs(more.harvest_on.p50 - one.harvest_on.p50), 2); /* the lettuce is next in both */
    planting[0].harvest_on = TODAY - 1;
    ck_assert_int_eq(outlook_make(&given, &gone, NULL), 0);
    ck_assert_double_lt(gone.use_l_day.p50, more.use_l_day.p50);
    planting[0].harvest_on = TODAY + 12;
    ck_assert_int_eq(outlook_make(&given, &fixed, NULL), 0);
    ck_assert_int_eq(fixed.harvest_on.p10, TODAY + 12);
    ck_assert_int_eq(fixed.harvest_on.p90, TODAY + 12);
}
END_TEST

START_TEST(nothing_planted_hardly_falls)
{
    struct outlook_given given;
    struct outlook_planting planting;
    struct outlook outlook;

    ask_plain(&given, &planting, "lettuce-leaf", 1);
    given.planting_count = 0;
    ck_assert_int_eq(outlook_make(&given, &outlook, NULL), 0);
    ck_assert_int_eq(outlook.low_on.p50, DAYS_NONE);
    ck_assert_int_eq(outlook.harvest_on.p50, DAYS_NONE);
    ck_assert(isnan(outlook.carries_to_harvest) && isnan(outlook.to_harvest_l.p50));
    ck_assert_double_lt(outlook.use_l_day.p90, 0.2);
    ck_assert_double_gt(outlook.waterline[89].p50_mm, 250.0);
}
END_TEST

/* What other plantings taught moves the prior. */
START_TEST(a_garden_s_experience_counts)
{
    struct outlook_given given;
    struct outlook_planting planting;
    struct outlook plain, thirsty;

    ask_plain(&given, &planting, "lettuce-leaf", 6);
    given.horizon_days = 150;
    ck_assert_int_eq(outlook_make(&given, &plain, NULL), 0);
    given.prior = (struct outlook_prior){1.6, 0.15, 1.2, 0.1};
    ck_assert_int_eq(outlook_make(&given, &thirsty, NULL), 0);
    ck_assert_int_lt(thirsty.low_on.p50, plain.low_on.p50);
    ck_assert_int_lt(thirsty.low_on.p90 - thirsty.low_on.p10, plain.low_on.p90 == DAYS_NONE ? 200 : plain.low_on.p90 - plain.low_on.p10);
}
END_TEST

/* A garden's own crop with figures from the edge: no warmth between base and best, five days to harvest, a year, a drop, a bath. */
static const struct {
    double days, solution_l, warm_c, yield_g;
} odd_crops[] = {{5, 400, 25, 0.1}, {400, 1, 25, 20000}, {35, 0.05, 0, 45}, {35, 3, -5, 100}};

START_TEST(odd_crops_break_nothing)
{
    struct outlook_given given;
    struct outlook_planting planting;
    struct outlook outlook;
    struct crop crop = crops[0];

    crop.days = (struct crop_range){odd_crops[_i].days, odd_crops[_i].days, ""};
    crop.solution_l = (struct crop_range){odd_crops[_i].solution_l, odd_crops[_i].solution_l, ""};
    crop.base_c = crop.best_c = (struct crop_range){odd_crops[_i].warm_c, odd_crops[_i].warm_c, ""};
    crop.yield_g = (struct crop_range){odd_crops[_i].yield_g, odd_crops[_i].yield_g, ""};
    ask_plain(&given, &planting, "lettuce-leaf", 6);
    planting.crop = &crop;
    ck_assert_int_eq(outlook_make(&given, &outlook, NULL), 0);
    ck_assert(isfinite(outlook.use_l_day.p90) && isfinite(outlook.vigour) && isfinite(outlook.to_harvest_l.p90));
    for (size_t i = 0; i < outlook.waterline_count; i++)
        ck_assert(isfinite(outlook.waterline[i].p10_mm) && outlook.waterline[i].p10_mm <= outlook.waterline[i].p90_mm);
}
END_TEST

START_TEST(more_plants_never_carry_further)
{
    struct planning_given given = {.vessel = &tote, .start_mm = 320, .low_mm = 60, .crop = crops_find("lettuce-leaf"), .on = TODAY,
                                   .most = 24, .prior = {NAN, NAN, NAN, NAN}};
    struct planning planning;
    struct fault fault = {0};

    mild_place(&given.climate);
    ck_assert_int_eq(planning_make(&given, &planning, NULL), 0);
    ck_assert_int_eq(planning.count, 24);
    for (int n = 1; n < planning.count; n++) {
        ck_assert_double_le(planning.row[n].carries, planning.row[n - 1].carries);
        ck_assert_double_ge(planning.row[n].litres.p50, planning.row[n - 1].litres.p50);
        ck_assert_double_lt(planning.row[n].ground_share, planning.row[n - 1].ground_share);
    }
    ck_assert_double_gt(planning.row[0].carries, 0.97);
    ck_assert_double_gt(planning.row[0].ground_share, 0.97);
    ck_assert_int_eq(planning.plants_by_spacing, 10); /* 0.72 x 0.46 m at 175 mm */
    ck_assert_int_ge(planning.plants_at_50, planning.plants_at_90);
    /* Six plants share the fill of such a tote: common practice, no source. */
    ck_assert_int_ge(planning.plants_at_90, 6);
    ck_assert_double_eq_tol(planning.solution_kg, planning.start_l, 0.01 * planning.start_l);
    /* It stands on its floor, narrower than its waterline: 640 x 390 mm less four corners of 40 mm. */
    ck_assert_double_eq_tol(planning.floor_kg_m2, planning.solution_kg / (0.64 * 0.39 - (4.0 - 3.14159265) * 0.04 * 0.04), 1e-4);
    given.most = 0;
    ck_assert_int_eq(planning_make(&given, &planning, &fault), -1);
    ck_assert_str_eq(fault.item[0].at, "/most");
}
END_TEST

/* --------------------------------------------------------- any valid input */

/* splitmix64 */
static uint64_t state;
static double even(double low, double high)
{
    uint64_t z = state += UINT64_C(0x9E3779B97F4A7C15);

    z = (z ^ (z >> 30)) * UINT64_C(0xBF58476D1CE4E5B9);
    z = (z ^ (z >> 27)) * UINT64_C(0x94D049BB133111EB);
    return low + (high - low) * ((double)((z ^ (z >> 31)) >> 11) / 9007199254740992.0);
}

static double maybe(double low, double high)
{
    return even(0, 1) < 0.3 ? NAN : even(low, high);
}

static struct outlook_planting any_planting[6];
static struct outlook_reading any_reading[80];
static struct outlook_added any_added[5];
static struct outlook_cut any_cut[5];
static struct outlook_weather any_weather[60];
static struct vessel any_vessel;

static int64_t any_past(void)
{
    return (int64_t)((TODAY - even(0, 120)) * (double)DAYS_MS);
}

static void ask_anything(struct outlook_given *given)
{
    static const double extremes_c[] = {-45, -10, 0, 10, 25, 44};
    double cold = extremes_c[(int)even(0, 6)], height = even(20, 900);
    int hung = (int)even(0, 6.99);

    outlook_given_init(given);
    any_vessel = (struct vessel){.shape = even(0, 1) < 0.5 ? VESSEL_BOX : VESSEL_ROUND, .height_mm = height,
                                 .floor_mm = {even(60, 900), even(60, 900)}, .rim_mm = {even(60, 900), even(60, 900)}};
    given->vessel = &any_vessel;
    given->today = TODAY;
    given->horizon_days = (int)even(0, OUTLOOK_HORIZON + 0.99);
    given->start_mm = even(0.01, 1.0) * height;
    given->low_mm = even(0, 1) < 0.2 ? 0.0 : even(0, 1) < 0.2 ? given->start_mm : even(0, given->start_mm);
    given->climate.kind = even(0, 1) < 0.25 ? OUTLOOK_INDOORS : OUTLOOK_OUTDOORS;
    given->climate.cover = even(0, 1) < 0.3 ? OUTLOOK_UNDER_COVER : OUTLOOK_OPEN_AIR;
    given->climate.latitude_deg = even(0, 1) < 0.1 ? 90.0 : even(-90, 90);
    given->climate.elevation_m = even(-400, 5000);
    given->climate.normals_off_c = even(0, 1) < 0.5 ? 0.0 : even(0, 15);
    given->climate.indoor = (struct climate_indoor){even(0, 45), even(5, 100), even(0, 2000), even(0, 24)};
    for (int m = 0; m < 12; m++)
        given->climate.monthly[m] =
            (struct outlook_month){cold, cold + even(0, 15), maybe(0, 100), maybe(0, 30), maybe(0, 24)};
    for (int i = 0; i < hung; i++)
        any_planting[i] = (struct outlook_planting){&crops[(size_t)even(0, 16.99)], even(0.5, 40), TODAY - (int32_t)even(-30, 500),
                                                    even(0, 1) < 0.7 ? DAYS_NONE : TODAY + (int32_t)even(-60, 60),
                                                    even(0, 1) < 0.7 ? DAYS_NONE : TODAY - (int32_t)even(0, 600)};
    given->planting = any_planting;
    given->planting_count = (size_t)hung;
    given->reading_count = (size_t)even(0, 80);
    for (size_t i = 0; i < given->reading_count; i++)
        any_reading[i] = (struct outlook_reading){any_past(), even(0, 1) < 0.05 ? even(0, 3000) : even(0, height),
                                                  (enum outlook_reading_method)(int)even(0, 2.99)};
    given->reading = any_reading;
    given->added_count = (size_t)even(0, 5);
    for (size_t i = 0; i < given->added_count; i++)
        any_added[i] = even(0, 1) < 0.5 ? (struct outlook_added){any_past(), even(0, 50), maybe(0, height)}
                                        : (struct outlook_added){any_past(), NAN, even(0, height)};
    given->added = any_added;
    given->cut_count = (size_t)even(0, 5);
    for (size_t i = 0; i < given->cut_count; i++)
        any_cut[i] = (struct outlook_cut){any_past(), even(0, 1), (int)even(0, hung + 0.99) - 1};
    given->cut = any_cut;
    given->weather_count = (size_t)even(0, 60);
    for (size_t i = 0; i < given->weather_count; i++)
        any_weather[i] = (struct outlook_weather){TODAY - (int32_t)even(-20, 400), cold, cold + even(0, 15), maybe(0, 100), maybe(0, 30),
                                                  maybe(0, 24), maybe(0, 40)};
    given->weather = any_weather;
}

static bool in_order(const struct outlook_dates *dates)
{
    if (dates->p10 == DAYS_NONE)
        return dates->p50 == DAYS_NONE && dates->p90 == DAYS_NONE;
    if (dates->p50 == DAYS_NONE)
        return dates->p90 == DAYS_NONE;
    return dates->p10 <= dates->p50 && (dates->p90 == DAYS_NONE || dates->p50 <= dates->p90);
}

static void check_answer(const struct outlook_given *given, const struct outlook *outlook, int run)
{
    double height = any_vessel.height_mm;

    ck_assert_msg(in_order(&outlook->low_on) && in_order(&outlook->harvest_on), "run %d: dates out of order", run);
    ck_assert_msg(isfinite(outlook->vigour) && outlook->vigour > 0.0 && isfinite(outlook->pace) && outlook->pace > 0.0,
                  "run %d: vigour %g, pace %g", run, outlook->vigour, outlook->pace);
    ck_assert_msg(isfinite(outlook->use_l_day.p10) && outlook->use_l_day.p10 >= 0.0 && outlook->use_l_day.p10 <= outlook->use_l_day.p50 &&
                      outlook->use_l_day.p50 <= outlook->use_l_day.p90 && outlook->use_l_day.p90 < 1e4,
                  "run %d: use %g %g %g", run, outlook->use_l_day.p10, outlook->use_l_day.p50, outlook->use_l_day.p90);
    if (outlook->harvest_on.p50 != DAYS_NONE)
        ck_assert_msg(outlook->carries_to_harvest >= 0.0 && outlook->carries_to_harvest <= 1.0 && isfinite(outlook->to_harvest_l.p90),
                      "run %d: carries %g", run, outlook->carries_to_harvest);
    ck_assert_uint_eq(outlook->waterline_count, given->horizon_days ? (size_t)given->horizon_days : OUTLOOK_HORIZON_USUAL);
    for (size_t i = 0; i < outlook->waterline_count; i++) {
        const struct outlook_waterline *line = &outlook->waterline[i];

        ck_assert_msg(line->p10_mm >= 0.0 && line->p10_mm <= line->p50_mm && line->p50_mm <= line->p90_mm && line->p90_mm <= height + 1e-9,
                      "run %d day %zu: %g %g %g", run, i, line->p10_mm, line->p50_mm, line->p90_mm);
    }
    for (size_t i = 0; i < outlook->surprise_count; i++)
        ck_assert_msg(isfinite(outlook->surprise[i].by_mm), "run %d: surprise", run);
}

/* 800 seeded inputs from all corners of what is allowed; each asked twice, the same to the last bit. */
START_TEST(any_valid_input_gives_finite_numbers)
{
    static struct outlook outlook, again;
    struct outlook_given given;
    struct fault fault;

    state = 20260501;
    for (int run = 0; run < 800; run++) {
        memset(&fault, 0, sizeof fault);
        memset(&outlook, 0, sizeof outlook);
        memset(&again, 0, sizeof again);
        ask_anything(&given);
        ck_assert_msg(outlook_make(&given, &outlook, &fault) == 0, "run %d: %s %s", run, fault.item[0].at, fault.item[0].detail);
        check_answer(&given, &outlook, run);
        ck_assert_int_eq(outlook_make(&given, &again, NULL), 0);
        ck_assert_msg(memcmp(&outlook, &again, sizeof outlook) == 0, "run %d: two answers", run);
    }
}
END_TEST

/* ------------------------------------------------------------------ refused */

static void far_reading(struct outlook_given *given)
{
    any_reading[0].at_ms = (int64_t)(TODAY + 9) * DAYS_MS;
    given->reading = any_reading;
    given->reading_count = 1;
}

static void nan_reading(struct outlook_given *given)
{
    any_reading[0] = (struct outlook_reading){0, NAN, OUTLOOK_DIPSTICK};
    given->reading = any_reading;
    given->reading_count = 1;
}

static void nothing_added(struct outlook_given *given)
{
    any_added[0] = (struct outlook_added){0, NAN, NAN};
    given->added = any_added;
    given->added_count = 1;
}

static void no_crop(struct outlook_given *given)
{
    any_planting[0] = (struct outlook_planting){NULL, 1, TODAY, DAYS_NONE, DAYS_NONE};
    given->planting = any_planting;
}

static void half_a_crop(struct outlook_given *given)
{
    static struct crop half;

    half = crops[0];
    half.days = (struct crop_range){NAN, NAN, ""};
    any_planting[0] = (struct outlook_planting){&half, 1, TODAY, DAYS_NONE, DAYS_NONE};
    given->planting = any_planting;
}

static void no_plants(struct outlook_given *given)
{
    any_planting[0] = (struct outlook_planting){&crops[0], 0, TODAY, DAYS_NONE, DAYS_NONE};
    given->planting = any_planting;
}

static void high_start(struct outlook_given *given)
{
    given->start_mm = 361;
}

static void low_above(struct outlook_given *given)
{
    given->low_mm = 330;
}

static void no_month(struct outlook_given *given)
{
    given->climate.monthly[4].tmax_c = NAN;
}

static void crossed_month(struct outlook_given *given)
{
    given->climate.monthly[4].tmax_c = -20;
}

static void nowhere(struct outlook_given *given)
{
    given->climate.latitude_deg = 95;
}

static void boundless_error(struct outlook_given *given)
{
    given->climate.normals_off_c = 16;
}

static void hot_room(struct outlook_given *given)
{
    given->climate.kind = OUTLOOK_INDOORS;
    given->climate.indoor = (struct climate_indoor){80, 50, 200, 16};
}

static void long_horizon(struct outlook_given *given)
{
    given->horizon_days = 365;
}

static void big_cut(struct outlook_given *given)
{
    any_cut[0] = (struct outlook_cut){0, 1.5, -1};
    given->cut = any_cut;
    given->cut_count = 1;
}

static void other_cut(struct outlook_given *given)
{
    any_cut[0] = (struct outlook_cut){0, 0.5, 7};
    given->cut = any_cut;
    given->cut_count = 1;
}

static void nan_weather(struct outlook_given *given)
{
    any_weather[0] = (struct outlook_weather){TODAY, NAN, 20, NAN, NAN, NAN, NAN};
    given->weather = any_weather;
    given->weather_count = 1;
}

static void too_many(struct outlook_given *given)
{
    given->reading = any_reading;
    given->reading_count = OUTLOOK_READINGS + 1;
}

static void flat_vessel(struct outlook_given *given)
{
    any_vessel = (struct vessel){.shape = VESSEL_ROUND, .floor_mm = {0}, .rim_mm = {300}, .height_mm = 300};
    given->vessel = &any_vessel;
}


static const struct {
    void (*spoil)(struct outlook_given *given);
    const char *at;
} refused[] = {
    {far_reading, "/readings/0/at"},         {nan_reading, "/readings/0/waterline_mm"}, {nothing_added, "/added/0/volume_l"},
    {no_crop, "/plantings/0/crop"},          {half_a_crop, "/plantings/0/crop"},          {no_plants, "/plantings/0/count"},         {high_start, "/start_mm"},
    {low_above, "/low_mm"},                  {no_month, "/climate/monthly/4/tmax_c"},   {crossed_month, "/climate/monthly/4/tmax_c"},
    {nowhere, "/climate/latitude_deg"},      {hot_room, "/climate/indoor/temperature_c"}, {long_horizon, "/horizon_days"},
    {big_cut, "/cuts/0/kept_fraction"},      {other_cut, "/cuts/0/planting"},           {nan_weather, "/weather/0/tmin_c"},
    {too_many, "/readings"},                 {flat_vessel, "/vessel/floor_mm"},         {boundless_error, "/climate/normals_off_c"},
};

START_TEST(what_cannot_be_used_is_refused)
{
    static struct outlook outlook, untouched;
    struct outlook_given given;
    struct outlook_planting planting;
    struct fault fault = {0};

    ask_plain(&given, &planting, "lettuce-leaf", 6);
    refused[_i].spoil(&given);
    memset(&outlook, 7, sizeof outlook);
    untouched = outlook;
    ck_assert_int_eq(outlook_make(&given, &outlook, &fault), -1);
    ck_assert_int_eq(fault.code, FAULT_INPUT);
    ck_assert_str_eq(fault.item[0].at, refused[_i].at);
    ck_assert_int_eq(memcmp(&outlook, &untouched, sizeof outlook), 0);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("outlook");
    TCase *tcase = tcase_create("outlook");

    tcase_set_timeout(tcase, 300);
    tcase_add_loop_test(tcase, lettuce_drinks_what_is_published, 0, 3);
    tcase_add_loop_test(tcase, harvest_comes_in_the_usual_days, 0, (int)crops_count);
    tcase_add_test(tcase, a_guessed_winter_may_be_mild);
    tcase_add_test(tcase, records_correct_a_guess);
    tcase_add_test(tcase, readings_narrow_the_date);
    tcase_add_loop_test(tcase, what_no_plant_can_do_is_a_surprise, 0, COUNT(meddled));
    tcase_add_test(tcase, a_sensor_is_no_louder_than_a_dipstick);
    tcase_add_test(tcase, a_known_top_up_is_no_surprise);
    tcase_add_test(tcase, a_cut_sets_the_canopy_back);
    tcase_add_test(tcase, plantings_of_different_age_and_crop);
    tcase_add_test(tcase, nothing_planted_hardly_falls);
    tcase_add_test(tcase, a_garden_s_experience_counts);
    tcase_add_loop_test(tcase, odd_crops_break_nothing, 0, COUNT(odd_crops));
    tcase_add_test(tcase, more_plants_never_carry_further);
    tcase_add_test(tcase, water_stands_where_it_was_read);
    tcase_add_test(tcase, any_valid_input_gives_finite_numbers);
    tcase_add_loop_test(tcase, what_cannot_be_used_is_refused, 0, COUNT(refused));
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
