/* lessons.c - learning from what is over. */
#include "garden/lessons.h"

#include <math.h>

#include "garden/standing.h"
#include "garden/tank_log.h"
#include "store/lessons.h"

#define READINGS_LEAST 5 /* fewer do not tell thirst from noise; ours */
#define LESSONS_MOST 40  /* about two years of a few tanks: older ones are of other places and people */

/* What is known of the crop anywhere weighs as much as two lessons; its spreads are those of calc/outlook.h. Ours. */
#define USUAL_WEIGHT 2.0
#define USUAL_VIGOUR_SPREAD 0.5
#define USUAL_PACE_SPREAD 0.45

/* The crop of which most plants hung in this fill. */
static const char *main_crop(const struct tank_state *state)
{
    const struct planted *planted = state->planted.item;
    const char *crop = NULL;
    int64_t most = 0;

    for (size_t i = 0; i < state->planted.count; i++)
        if (planted[i].count > most) {
            most = planted[i].count;
            crop = planted[i].crop;
        }
    return crop;
}

int lessons_learn(struct db *db, const struct entry *clean_out, struct arena *arena, struct fault *fault)
{
    struct standing_place place;
    struct standing *standing = arena_take(arena, sizeof *standing);
    const struct outlook_prior none = {NAN, NAN, NAN, NAN};
    const struct tank_log_ask until = {.tank_key = clean_out->tank_key, .since_ms = INT64_MAX, .to_ms = clean_out->at_ms};
    struct list past;
    struct lesson lesson;

    if (!standing)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    *standing = (struct standing){0};
    if (tanks_by_key(db, clean_out->tank_key, &standing->tank, arena, fault) != 1 ||
        vessels_by_key(db, standing->tank.vessel_key, &standing->vessel, arena, fault) != 1 ||
        standing_place(db, clean_out->at_ms, &place, arena, fault) ||
        tank_log_read(db, &until, &past, arena, fault) ||
        tank_state_fold(&standing->vessel, &past, place.garden.time_zone, &standing->state, arena, fault))
        return -1;
    lesson = (struct lesson){.fill = standing->state.fill,
                             .crop = main_crop(&standing->state),
                             .ended_ms = clean_out->at_ms,
                             .readings = (int64_t)standing->state.readings.count};
    if (!lesson.fill || !lesson.crop || lesson.readings < READINGS_LEAST)
        return 0;
    if (standing_outlook(&place, standing, &none, arena, fault))
        return -1;
    if (!standing->outlook)
        return 0;
    lesson.vigour = standing->outlook->vigour;
    lesson.pace = standing->outlook->pace;
    return lessons_put(db, &lesson, fault);
}

/* Mean and spread of logarithms, each drawn towards the usual by its weight. */
static void sum_logs(const double *value, size_t count, double usual_spread, double *median, double *spread)
{
    double sum = 0, squares = 0, mean, n = (double)count;

    for (size_t i = 0; i < count; i++)
        sum += log(value[i]);
    mean = sum / (n + USUAL_WEIGHT);
    for (size_t i = 0; i < count; i++)
        squares += (log(value[i]) - mean) * (log(value[i]) - mean);
    *median = exp(mean);
    *spread = sqrt((squares + USUAL_WEIGHT * usual_spread * usual_spread) / (n + USUAL_WEIGHT - 1));
}

struct outlook_prior lessons_sum(const struct list *lessons)
{
    struct outlook_prior prior = {NAN, NAN, NAN, NAN};
    const struct lesson *lesson = lessons->item;
    double vigour[LESSONS_MOST], pace[LESSONS_MOST];
    size_t count = lessons->count < LESSONS_MOST ? lessons->count : LESSONS_MOST;

    if (!count)
        return prior;
    for (size_t i = 0; i < count; i++) {
        vigour[i] = lesson[i].vigour;
        pace[i] = lesson[i].pace;
    }
    sum_logs(vigour, count, USUAL_VIGOUR_SPREAD, &prior.vigour, &prior.vigour_spread);
    sum_logs(pace, count, USUAL_PACE_SPREAD, &prior.pace, &prior.pace_spread);
    return prior;
}

int lessons_prior(struct db *db, const char *crop, struct outlook_prior *prior, struct arena *arena, struct fault *fault)
{
    struct list lessons = {NULL, 0};

    if (crop && lessons_of_crop(db, crop, LESSONS_MOST, &lessons, arena, fault))
        return -1;
    *prior = lessons_sum(&lessons);
    return 0;
}
