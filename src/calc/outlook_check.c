/* outlook_check.c - what an outlook may be asked. Every fault is gathered, each with its pointer. */
#include "calc/outlook_inside.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define AFTER_TODAY_DAYS 2 /* instants are UTC, dates local: more than that after today is a slip */

void outlook_given_init(struct outlook_given *given)
{
    memset(given, 0, sizeof *given);
    given->filled_on = DAYS_NONE;
    given->prior = (struct outlook_prior){NAN, NAN, NAN, NAN};
    for (int m = 0; m < 12; m++)
        given->climate.monthly[m] = (struct outlook_month){NAN, NAN, NAN, NAN, NAN};
}

struct checker {
    struct fault found;
    const char *list;
    size_t index;
};

static void check_at(struct checker *checker, const char *field, char at[64])
{
    if (checker->list)
        snprintf(at, 64, "/%s/%zu/%s", checker->list, checker->index, field);
    else
        snprintf(at, 64, "/%s", field);
}

static void check_number(struct checker *checker, const char *field, double value, double least, double most)
{
    char at[64];

    if (value >= least && value <= most)
        return;
    check_at(checker, field, at);
    fault_add(&checker->found, FAULT_INPUT, at, "must be from %g to %g, was %g", least, most, value);
}

static void check_optional(struct checker *checker, const char *field, double value, double least, double most)
{
    if (!isnan(value))
        check_number(checker, field, value, least, most);
}

static void check_count(struct checker *checker, const char *list, size_t count, size_t most)
{
    char at[64];

    if (count <= most)
        return;
    snprintf(at, sizeof at, "/%s", list);
    fault_add(&checker->found, FAULT_INPUT, at, "at most %zu are taken, there were %zu", most, count);
}

static void check_not_ahead(struct checker *checker, int64_t at_ms, int32_t today)
{
    char at[64];

    if (at_ms != INSTANT_NONE && days_of_instant(at_ms) <= (int64_t)today + AFTER_TODAY_DAYS)
        return;
    check_at(checker, "at", at);
    fault_add(&checker->found, FAULT_INPUT, at, "must be a time up to today");
}

static void check_climate(struct checker *checker, const struct outlook_climate *climate)
{
    double ignored;

    if (climate->kind == OUTLOOK_INDOORS) {
        struct fault inner = {0};

        if (climate_indoor_et_mm_day(&climate->indoor, &ignored, &inner))
            fault_under(&checker->found, "/climate/indoor", &inner);
        return;
    }
    checker->list = NULL;
    check_number(checker, "climate/latitude_deg", climate->latitude_deg, -90.0, 90.0);
    check_number(checker, "climate/elevation_m", climate->elevation_m, -430.0, 6000.0);
    check_number(checker, "climate/normals_off_c", climate->normals_off_c, 0.0, 15.0);
    checker->list = "climate/monthly";
    for (checker->index = 0; checker->index < 12; checker->index++) {
        const struct outlook_month *month = &climate->monthly[checker->index];

        check_number(checker, "tmin_c", month->tmin_c, -60.0, 60.0);
        check_number(checker, "tmax_c", month->tmax_c, month->tmin_c, 60.0);
        check_optional(checker, "rh_percent", month->rh_percent, 0.0, 100.0);
        check_optional(checker, "wind_m_s", month->wind_m_s, 0.0, 60.0);
        check_optional(checker, "sunshine_h", month->sunshine_h, 0.0, 24.0);
    }
}

/* A crop of the garden's own may lack what growth needs. */
static bool usable(const struct crop *crop)
{
    const struct crop_range *above_0[] = {&crop->days, &crop->yield_g, &crop->solution_l}, *known[] = {&crop->best_c, &crop->base_c};

    for (size_t i = 0; i < 3; i++)
        if (!(above_0[i]->low > 0.0 && above_0[i]->high < 1e6 && above_0[i]->low <= above_0[i]->high))
            return false;
    for (size_t i = 0; i < 2; i++)
        if (!(known[i]->low >= -50.0 && known[i]->high <= 100.0))
            return false;
    return true;
}

static void check_crop(struct checker *checker, const struct crop *crop)
{
    char at[64];

    if (crop && usable(crop))
        return;
    check_at(checker, "crop", at);
    fault_add(&checker->found, FAULT_INPUT, at, "must be a crop whose days, yield, solution and temperatures are known");
}

static void check_lists(struct checker *checker, const struct outlook_given *given)
{
    check_count(checker, "plantings", given->planting_count, OUTLOOK_PLANTINGS);
    check_count(checker, "weather", given->weather_count, OUTLOOK_WEATHER);
    check_count(checker, "readings", given->reading_count, OUTLOOK_READINGS);
    check_count(checker, "added", given->added_count, OUTLOOK_ADDED);
    check_count(checker, "cuts", given->cut_count, OUTLOOK_CUTS);
    if (checker->found.count)
        return;
    checker->list = "plantings";
    for (checker->index = 0; checker->index < given->planting_count; checker->index++) {
        check_number(checker, "count", given->planting[checker->index].count, 1e-9, 1000.0);
        check_crop(checker, given->planting[checker->index].crop);
        check_number(checker, "on", given->planting[checker->index].on, -719162.0, 2932896.0);
    }
    checker->list = "weather";
    for (checker->index = 0; checker->index < given->weather_count; checker->index++) {
        const struct outlook_weather *day = &given->weather[checker->index];

        check_number(checker, "tmin_c", day->tmin_c, -60.0, 60.0);
        check_number(checker, "tmax_c", day->tmax_c, day->tmin_c, 60.0);
        check_optional(checker, "rh_percent", day->rh_percent, 0.0, 100.0);
        check_optional(checker, "wind_m_s", day->wind_m_s, 0.0, 60.0);
        check_optional(checker, "sunshine_h", day->sunshine_h, 0.0, 24.0);
        check_optional(checker, "solar_mj_m2", day->solar_mj_m2, 0.0, 50.0);
    }
    checker->list = "readings";
    for (checker->index = 0; checker->index < given->reading_count; checker->index++) {
        check_not_ahead(checker, given->reading[checker->index].at_ms, given->today);
        check_number(checker, "waterline_mm", given->reading[checker->index].waterline_mm, 0.0, 3000.0);
    }
    checker->list = "added";
    for (checker->index = 0; checker->index < given->added_count; checker->index++) {
        const struct outlook_added *added = &given->added[checker->index];

        check_not_ahead(checker, added->at_ms, given->today);
        if (isnan(added->waterline_mm))
            check_number(checker, "volume_l", added->volume_l, 0.0, 5000.0);
        else
            check_optional(checker, "volume_l", added->volume_l, 0.0, 5000.0);
        check_optional(checker, "waterline_mm", added->waterline_mm, 0.0, 3000.0);
    }
    checker->list = "cuts";
    for (checker->index = 0; checker->index < given->cut_count; checker->index++) {
        const struct outlook_cut *cut = &given->cut[checker->index];

        check_not_ahead(checker, cut->at_ms, given->today);
        check_number(checker, "kept_fraction", cut->kept_fraction, 0.0, 1.0);
        check_number(checker, "planting", cut->planting, -1.0, (double)given->planting_count - 1.0);
    }
    checker->list = NULL;
}

int outlook_check(const struct outlook_given *given, const struct levels *levels, struct fault *fault)
{
    struct checker checker = {.list = NULL};

    check_number(&checker, "today", given->today, -719162.0, 2932896.0);
    check_number(&checker, "horizon_days", given->horizon_days, 0.0, OUTLOOK_HORIZON);
    check_number(&checker, "start_mm", given->start_mm, 1e-9, levels->height_mm);
    check_number(&checker, "low_mm", given->low_mm, 0.0, given->start_mm);
    check_optional(&checker, "prior/vigour", given->prior.vigour, 0.01, 100.0);
    check_optional(&checker, "prior/vigour_spread", given->prior.vigour_spread, 1e-6, 100.0);
    check_optional(&checker, "prior/pace", given->prior.pace, 0.05, 20.0);
    check_optional(&checker, "prior/pace_spread", given->prior.pace_spread, 1e-6, 100.0);
    check_climate(&checker, &given->climate);
    check_lists(&checker, given);
    return checker.found.count ? fault_under(fault, "", &checker.found) : 0;
}
