/* accuracy.c - simulated tanks, asked about as a grower would. */
#include "simulator/accuracy.h"

#include "calc/outlook.h"
#include "calc/vessel.h"

#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define NO_DATE_DAYS 99.0
#define ALL_TANKS 4000
#define DRAWN_MOST 60 /* for each tank that is wanted */
#define COLD_C 4.0 /* lettuce hardly grows below */

const int accuracy_lead_days[ACCURACY_LEADS] = {3, 7, 14, 21, 28};

struct question { /* what outlook_given borrows */
    struct vessel vessel;
    struct vessel_point point[12];
    struct outlook_planting planting;
    struct outlook_weather weather[SIM_TANK_DAYS];
    struct outlook_reading reading[SIM_READINGS];
    struct outlook_added added[8];
    struct outlook_cut cut[4];
    struct outlook_given given;
};

static int64_t instant(int32_t day, double t)
{
    return (int64_t)day * DAYS_MS + (int64_t)floor(t * 86400.0) * 1000;
}

static void describe_vessel(const struct sim_tank *tank, struct question *question)
{
    struct vessel *vessel = &question->vessel;

    *vessel = (struct vessel){.shape = tank->shape == SIM_BOX ? VESSEL_BOX : tank->shape == SIM_ROUND ? VESSEL_ROUND : VESSEL_POURED};
    memcpy(vessel->floor_mm, tank->floor_mm, sizeof tank->floor_mm);
    memcpy(vessel->rim_mm, tank->rim_mm, sizeof tank->rim_mm);
    vessel->height_mm = tank->height_mm;
    if (tank->shape == SIM_POURED) {
        for (int i = 0; i < 12; i++)
            question->point[i] = (struct vessel_point){tank->point_mm[i], tank->point_l[i]};
        vessel->points = question->point;
        vessel->point_count = 12;
        vessel->height_mm = 0.0; /* the last point is the rim */
    }
}

static void tell_weather(const struct sim_tank *tank, int32_t planted, int today, struct question *question)
{
    struct outlook_given *given = &question->given;

    for (int i = 0; tank->tells_weather && i < today; i++) {
        const struct sim_day *day = &tank->place->day[tank->first + i];
        struct outlook_weather *told = &question->weather[given->weather_count++];

        *told = (struct outlook_weather){planted + i, day->tmin_c, day->tmax_c, NAN, NAN, NAN, NAN};
        if (tank->tells_humidity)
            told->wind_m_s = day->wind_m_s;
    }
    given->weather = question->weather;
}

static void describe_place(const struct sim_tank *tank, int32_t planted, int today, enum accuracy_climate climate,
                           struct question *question)
{
    struct outlook_given *given = &question->given;

    if (!tank->place) {
        given->climate.kind = OUTLOOK_INDOORS;
        given->climate.indoor =
            (struct climate_indoor){tank->indoor_c, tank->indoor_rh, tank->indoor_ppfd, tank->indoor_hours};
        return;
    }
    if (climate != ACCURACY_NORMALS) {
        outlook_guess_climate(tank->place->latitude_deg, tank->place->elevation_m, &given->climate);
        tell_weather(tank, planted, today, question);
        return;
    }
    given->climate.latitude_deg = tank->place->latitude_deg;
    given->climate.elevation_m = tank->place->elevation_m;
    for (int m = 0; m < 12; m++) {
        const struct sim_month *month = &tank->place->month[m];

        given->climate.monthly[m] =
            (struct outlook_month){month->tmin_c, month->tmax_c, month->rh_percent, month->wind_m_s, month->sunshine_h};
    }
    tell_weather(tank, planted, today, question);
}

/* The calendar of the invented year: 2023 and on, leap days left out as in the weather. */
static int32_t planted_on(const struct sim_tank *tank)
{
    int32_t new_year = 0;

    if (!days_from_civil((struct civil){2021 + tank->first / SIM_YEAR_DAYS, 1, 1}, &new_year))
        abort();
    return new_year + tank->first % SIM_YEAR_DAYS;
}

static void ask(const struct sim_tank *tank, int today, enum accuracy_climate climate, struct question *question)
{
    struct outlook_given *given = &question->given;
    int32_t planted = planted_on(tank);

    memset(question, 0, sizeof *question);
    outlook_given_init(given);
    describe_vessel(tank, question);
    describe_place(tank, planted, today, climate, question);
    given->today = planted + today;
    given->vessel = &question->vessel;
    given->start_mm = tank->start_mm;
    given->low_mm = tank->low_mm;
    question->planting = (struct outlook_planting){crops_find(tank->crop), tank->plants, planted, DAYS_NONE, DAYS_NONE};
    given->planting = &question->planting;
    given->planting_count = 1;
    for (int i = 0; i < tank->reading_count && tank->reading_t[i] < today; i++)
        question->reading[given->reading_count++] =
            (struct outlook_reading){instant(planted, tank->reading_t[i]), tank->reading_mm[i], OUTLOOK_DIPSTICK};
    for (int i = 0; i < tank->added_count && tank->added_t[i] < today; i++)
        question->added[given->added_count++] =
            (struct outlook_added){instant(planted, tank->added_t[i]), tank->added_l[i], NAN};
    for (int i = 0; i < tank->cut_count && tank->cut_t[i] < today; i++)
        question->cut[given->cut_count++] = (struct outlook_cut){instant(planted, tank->cut_t[i]), tank->cut_kept[i], -1};
    given->reading = question->reading;
    given->added = question->added;
    given->cut = question->cut;
}

static int by_size(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;

    return x < y ? -1 : x > y;
}

static double median(double *value, int count)
{
    if (count == 0)
        return NAN;
    qsort(value, (size_t)count, sizeof *value, by_size);
    return count % 2 ? value[count / 2] : (value[count / 2 - 1] + value[count / 2]) / 2.0;
}

static double mean_up_to(const double *value, int count, double most)
{
    double sum = 0.0;

    for (int i = 0; i < count; i++)
        sum += fmin(value[i], most);
    return count ? sum / count : NAN;
}

static void note_worst(struct accuracy *accuracy, const struct sim_tank *tank, const struct outlook *outlook, double error,
                       uint64_t seed)
{
    struct accuracy_worst *place = accuracy->worst;
    int at = 2;

    if (fabs(error) <= place[2].error_days)
        return;
    for (; at > 0 && place[at - 1].error_days < fabs(error); at--)
        place[at] = place[at - 1];
    place[at].error_days = fabs(error);
    place[at].seed = seed;
    snprintf(place[at].text, sizeof place[at].text, "%d %s, %s, %s and %s, low on day %d: %+.0f days; vigour %.2f, pace %.2f",
             tank->plants, tank->crop, tank->place ? tank->place->name : "indoors", tank->growth, tank->transpiration, tank->low_day,
             error, outlook->vigour, outlook->pace);
}

struct tally {
    double error[ACCURACY_LEADS][ALL_TANKS], hand[ACCURACY_LEADS][ALL_TANKS], off[ACCURACY_LEADS][ALL_TANKS];
    int inside[ACCURACY_LEADS], early[ACCURACY_LEADS], late[ACCURACY_LEADS], count[ACCURACY_LEADS];
};

static void ask_at(const struct sim_tank *tank, int lead, enum accuracy_climate climate, struct tally *tally,
                   struct accuracy *accuracy, uint64_t seed)
{
    static struct question question;
    static struct outlook outlook;
    int today = tank->low_day - accuracy_lead_days[lead], at = tally->count[lead];
    double hand, off;

    /* What somebody will do tomorrow is in nobody's forecast. */
    if (today < 0 || tank->last_meddling >= today)
        return;
    ask(tank, today, climate, &question);
    tally->count[lead]++;
    hand = sim_by_hand(tank, today);
    tally->hand[lead][at] = hand < 0.0 ? NO_DATE_DAYS : fmin(fabs(floor(hand) - tank->low_day), NO_DATE_DAYS);
    if (outlook_make(&question.given, &outlook, NULL) || outlook.low_on.p50 == DAYS_NONE)
        off = NO_DATE_DAYS;
    else
        off = (double)outlook.low_on.p50 - (question.planting.on + tank->low_day);
    tally->error[lead][at] = fabs(off);
    tally->off[lead][at] = off;
    if (outlook.low_on.p10 == DAYS_NONE || outlook.low_on.p10 > question.planting.on + tank->low_day)
        tally->early[lead]++;
    else if (outlook.low_on.p90 != DAYS_NONE && outlook.low_on.p90 < question.planting.on + tank->low_day)
        tally->late[lead]++;
    else
        tally->inside[lead]++;
    if (accuracy_lead_days[lead] == 14)
        note_worst(accuracy, tank, &outlook, off, seed);
}

/* Which of the slips and silent waterings are told, and what is told besides. */
static void count_surprises(const struct sim_tank *tank, enum accuracy_climate climate, struct accuracy *accuracy)
{
    static struct question question;
    static struct outlook outlook;
    bool true_one[OUTLOOK_SURPRISES] = {false};

    ask(tank, tank->low_day, climate, &question);
    if (outlook_make(&question.given, &outlook, NULL))
        return;
    accuracy->readings += (int)question.given.reading_count;
    for (size_t i = 0; i < question.given.reading_count; i++) {
        bool found = false;

        if (fabs(tank->slip_mm[i]) <= 15.0)
            continue;
        for (size_t s = 0; s < outlook.surprise_count; s++)
            if (outlook.surprise[s].at_ms == question.reading[i].at_ms)
                found = true_one[s] = true;
        accuracy->slips++;
        accuracy->slips_found += found;
    }
    if (tank->unlogged_day >= 0 && tank->unlogged_day < tank->low_day - 2) {
        bool found = false;

        for (size_t s = 0; s < outlook.surprise_count && !found; s++) {
            double after = days_and_fraction(outlook.surprise[s].at_ms) - question.planting.on - tank->unlogged_day;

            if (after >= 0.0 && after < 7.0 && outlook.surprise[s].why == OUTLOOK_RISE)
                found = true_one[s] = true;
        }
        accuracy->waterings++;
        accuracy->waterings_found += found;
    }
    for (size_t s = 0; s < outlook.surprise_count; s++)
        accuracy->false_alarms += !true_one[s];
}

/* Would the guess have it that nothing grows in the month after planting? */
static bool guessed_cold(const struct sim_tank *tank)
{
    struct outlook_climate guess;
    struct civil civil;
    int warm = 0;

    if (!tank->place)
        return false;
    outlook_guess_climate(tank->place->latitude_deg, tank->place->elevation_m, &guess);
    for (int month = 0; month < 2; month++) {
        const struct outlook_month *normal;

        civil = days_to_civil(planted_on(tank) + 30 * month);
        normal = &guess.monthly[civil.month - 1];
        warm += (normal->tmin_c + normal->tmax_c) / 2.0 > COLD_C;
    }
    return warm == 0;
}

void accuracy_measure(const struct sim_place *const *place, size_t places, int tanks, uint64_t seed, enum accuracy_climate climate,
                      struct accuracy *accuracy)
{
    static struct sim_tank tank;
    static struct tally tally;

    memset(&tally, 0, sizeof tally);
    memset(accuracy, 0, sizeof *accuracy);
    for (; accuracy->tanks < tanks && accuracy->tanks < ALL_TANKS && accuracy->drawn < DRAWN_MOST * tanks; accuracy->drawn++) {
        uint64_t one = seed + (uint64_t)accuracy->drawn;

        sim_tank_draw(&tank, accuracy->drawn % 5 == 4 ? NULL : place[(size_t)accuracy->drawn % places], one);
        if (tank.low_day < 12 || (climate == ACCURACY_LATITUDE_COLD && !guessed_cold(&tank)))
            continue;
        accuracy->tanks++;
        for (int lead = 0; lead < ACCURACY_LEADS; lead++)
            ask_at(&tank, lead, climate, &tally, accuracy, one);
        count_surprises(&tank, climate, accuracy);
    }
    for (int lead = 0; lead < ACCURACY_LEADS; lead++) {
        int n = tally.count[lead];

        accuracy->lead[lead] = (struct accuracy_lead){
            .asked = n,
            .error_days = median(tally.error[lead], n),
            .mean_days = mean_up_to(tally.error[lead], n, 30.0),
            .by_hand_days = median(tally.hand[lead], n),
            .inside_percent = 100.0 * tally.inside[lead] / (n ? n : 1),
            .early_percent = 100.0 * tally.early[lead] / (n ? n : 1),
            .late_percent = 100.0 * tally.late[lead] / (n ? n : 1),
            .bias_days = median(tally.off[lead], n),
        };
    }
}

void accuracy_print(const char *title, const struct accuracy *accuracy)
{
    printf("%s: %d tanks that ran low, of %d\n", title, accuracy->tanks, accuracy->drawn);
    printf("  lead  tanks  median error  mean  by hand  median of error  in p10-p90  before  after\n");
    for (int lead = 0; lead < ACCURACY_LEADS; lead++) {
        const struct accuracy_lead *at = &accuracy->lead[lead];

        printf("  %4d  %5d  %7.1f days  %5.2f  %7.1f  %+10.1f days  %8.1f %%  %4.1f %%  %4.1f %%\n", accuracy_lead_days[lead], at->asked,
               at->error_days, at->mean_days, at->by_hand_days, at->bias_days, at->inside_percent, at->early_percent, at->late_percent);
    }
    printf("  of %d readings %d slips, %d told; %d silent waterings, %d told; %d false alarms\n", accuracy->readings, accuracy->slips,
           accuracy->slips_found, accuracy->waterings, accuracy->waterings_found, accuracy->false_alarms);
    for (int i = 0; i < 3; i++)
        if (accuracy->worst[i].error_days > 0.0)
            printf("  most wrong 14 days ahead: %s (seed %llu)\n", accuracy->worst[i].text,
                   (unsigned long long)accuracy->worst[i].seed);
}
