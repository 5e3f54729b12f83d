/* outlook_inside.h - what the parts of the outlook share; no one else includes it.
 *
 *   outlook_world.c  the days, past and coming: evaporation, growth units, who hangs when; water use of one candidate
 *   outlook_learn.c  surprises among the readings; what each candidate makes of the readings
 *   outlook_mixture.c  the candidates weighed, and what they say together
 *   outlook_harvest.c  the next harvest, and whether the water lasts
 *   outlook_check.c  what may be asked
 *   outlook.c        from facts to answer
 *
 * A candidate is one point of the grid over pace and seedling size. Time is days and a fraction since 1970.
 */
#ifndef TIDEMARK_OUTLOOK_INSIDE_H
#define TIDEMARK_OUTLOOK_INSIDE_H

#include "calc/canopy.h"
#include "calc/outlook.h"
#include "calc/vessel.h"

#include <stdbool.h>

#define WORLD_DAYS (OUTLOOK_PAST + OUTLOOK_HORIZON + 2)
#define WORLD_CROPS 17
#define LEVEL_POINTS 193

/* ------------------------------------------------------- volume and waterline */

/* The vessel as a table: equal steps of waterline, straight between. With 192 steps the error is below 0.01 mm. */
struct levels {
    double step_mm, height_mm, brim_l;
    double volume_l[LEVEL_POINTS];
};

int levels_make(const struct vessel *vessel, struct levels *levels, struct fault *fault);
double levels_volume_l(const struct levels *levels, double waterline_mm);
double levels_waterline_mm(const struct levels *levels, double volume_l);
double levels_surface_l_mm(const struct levels *levels, double volume_l); /* litres in a millimetre there */

/* ---------------------------------------------------------------- the days */

struct world {
    int32_t first;  /* day number of index 0 */
    int count;      /* days */
    int today;      /* index of today */
    double reach_m2; /* ground within reach of the leaves */
    double start_t; /* when the tank stood at start_mm */
    double et0[WORLD_DAYS];     /* mm/day: as it was, or as is normal */
    double spread[WORLD_DAYS];  /* variance of a day's use over its square, runs of like days included */
    double wander[WORLD_DAYS + 1]; /* days before each, those counted several times in which the law lets nothing grow */
    double bare_l[WORLD_DAYS];  /* litres a day that leave without any plant */
    double crowd[WORLD_DAYS];   /* share of the ground that the plants get, of what they would like */
    size_t crop_count;
    const struct crop *crop[WORLD_CROPS];
    struct canopy canopy[WORLD_CROPS];
    double units[WORLD_CROPS][WORLD_DAYS]; /* of growth, if the climate is right: see world_units */
    double off_c;                /* how far its warmth may lie off on days without a record, standard deviation */
    double mean_c[WORLD_DAYS], dli_mol[WORLD_DAYS];
    bool known[WORLD_DAYS];      /* there is a record of the day */
    size_t planting_count;
    struct world_planting {
        int from, until; /* indices of days: hangs from <= i < until */
        size_t crop;
        double ground_m2; /* of all its plants, left to themselves */
        double z_shift;   /* for seedlings of known age */
        int32_t harvest_on;
    } planting[OUTLOOK_PLANTINGS];
    size_t cut_count;
    struct world_cut {
        int day;      /* takes effect at the start of this index */
        int planting; /* -1: all */
        double kept;
    } cut[OUTLOOK_CUTS]; /* by day */
};

int world_make(const struct outlook_given *given, struct world *world, struct fault *fault);

struct candidate {
    double pace, size; /* size: added to z at planting */
    double warmer;     /* than the climate says, in off_c of the world: a quick pace and a warm place look alike */
    double log_weight; /* while learning; then weight */
    double weight;
};

/* Growth units of one day for one crop, by a candidate's warmth; its pace is not in them. */
double world_units(const struct world *world, const struct candidate *candidate, size_t crop, int i);

/* Litres a day at vigour 1, for indices from <= i < until; z[planting] is carried along from planting day on, so
 * a run must start at 0. z_today, when not NULL, gets each planting's z at the start of today.
 */
void world_use(const struct world *world, const struct candidate *candidate, double use_l[WORLD_DAYS],
               double z_today[OUTLOOK_PLANTINGS]);

/* Days over which vigour wandered between two times. */
double world_wander(const struct world *world, double from, double to);

/* Sums from the start of index 0 to time t of a daily series, straight within the day. prefix[i] = sum of days before i. */
void prefix_make(const double *daily, int count, double *prefix);
double prefix_at(const struct world *world, const double *prefix, double t);

/* --------------------------------------------------------------- learning */

enum event_kind { EVENT_READING, EVENT_ADDED };

struct event {
    double t;
    int64_t at_ms;
    enum event_kind kind;
    double volume_l;   /* reading: in the tank; added: put in, NAN where unknown */
    double after_l;    /* added: in the tank after it, NAN where unknown */
    double noise_l;    /* standard deviation of volume_l or after_l */
    enum { EVENT_USE, EVENT_SKIP, EVENT_RESET } what;
};

#define EVENTS (OUTLOOK_READINGS + OUTLOOK_ADDED)

struct belief { /* about one candidate at time t */
    double t;
    double volume_l, vigour;
    double vv, vg, gg; /* variances: of volume, of both, of vigour */
};

/* Marks what does not fit and reports it. use_l: of the middle candidate. */
void learn_surprises(const struct outlook_given *given, const struct world *world, const struct levels *levels,
                     const double *use_l, struct event *event, size_t count, struct outlook *outlook);

/* Runs the events through one candidate; returns the logarithm of their likelihood. */
double learn_run(const struct outlook_given *given, const struct world *world, const struct levels *levels,
                 const double *use_l, const struct event *event, size_t count, struct belief *belief);

/* Variance of the volume drunk between belief->t and t, given world_wander between them, litres of use at vigour 1 (use) and the
 * sum of spread x use^2 by day (day_spread). Without the belief's own.
 */
double learn_wander(const struct belief *belief, double wander, double use, double day_spread);

/* ---------------------------------------------------------------- mixture */

#define PACES 9
#define SIZES 7
#define CANDIDATES (PACES * SIZES)

struct mixture {
    size_t count;
    struct candidate candidate[CANDIDATES];
    struct belief belief[CANDIDATES];
    double z_today[CANDIDATES][OUTLOOK_PLANTINGS];
    /* Cumulative from the belief's moment to the end of each day from today on. */
    double use[CANDIDATES][OUTLOOK_HORIZON + 1];
    double day_spread[CANDIDATES][OUTLOOK_HORIZON + 1];
    double volume_l;                     /* mean of what is in the tank at the belief's moment */
    double drunk_mean[OUTLOOK_HORIZON + 1]; /* of the mixture, from volume_l on */
    double drunk_var[OUTLOOK_HORIZON + 1];
    double low_by[OUTLOOK_HORIZON + 1];  /* probability that it was low by the end of the day */
};

/* A spread from outside, brought into bounds; the usual one where there is none. */
double prior_spread(double given, double usual);

/* The candidates with their prior weights. */
void mixture_grid(const struct outlook_given *given, struct mixture *mixture);

/* Runs every candidate through the events and keeps what each expects of the days from today on. */
void mixture_learn(const struct outlook_given *given, const struct world *world, const struct levels *levels,
                   const struct event *event, size_t count, struct mixture *mixture);

/* Mean and variance of what leaves the tank from its belief's moment to the end of day d, by one candidate; counted from the
 * mixture's volume. wander: world_wander until then; bare: what leaves without plants.
 */
void mixture_drunk(const struct mixture *mixture, size_t c, double wander, double bare, int d, double *mean, double *variance);

/* Fills in drunk_mean, drunk_var and low_by. */
void mixture_run_low(const struct world *world, const struct levels *levels, double low_mm, struct mixture *mixture);

/* Litres that leave without plants from time `from` to the start of index end. */
double world_bare_until(const struct world *world, double from, int end);

/* The days on which a rising probability passes 0.1, 0.5 and 0.9; by[0] belongs to day `first`. */
struct outlook_dates dates_passing(const double *by, int days, int32_t first);

/* Probability that one candidate's tank is low by then, from what mixture_drunk gave. */
double mixture_low(const struct mixture *mixture, size_t c, double mean, double variance, double low_l);

/* A normal below z; a log-normal of this mean and variance at z standard deviations. Where the mean is hardly above 0, a normal
 * instead.
 */
double normal_below(double z);
double log_normal_quantile(double mean, double variance, double z);

/* Quantiles of something certain and a log-normal by its mean and mean square, never below the certain part. */
struct outlook_spread log_normal_spread(double certain, double mean, double square);
#define Z_P90 1.2815515655446004

void harvest_of_next(const struct world *world, const struct levels *levels, double low_mm, const struct mixture *mixture, int days,
                     struct outlook *outlook);

int outlook_check(const struct outlook_given *given, const struct levels *levels, struct fault *fault);

/* ---------------------------------------------------------------- figures */

#define VIGOUR_SPREAD 0.5   /* of its logarithm, by crop and grower: ours, wide */
#define PACE_SPREAD 0.45    /* ours */
#define SIZE_SPREAD 1.2     /* of z at planting: seedlings of 1 to 3 weeks, ours */
#define VIGOUR_WANDER 0.027 /* a root of day, relative: what the growth law gets wrong, ours, by the simulator's coverage */
#define SEASON_SPREAD 0.07  /* a month as a whole against its normal, ours */
#define START_NOISE_MM 4.0  /* of the fill, ours */
#define ADDED_NOISE 0.05    /* of a top-up's litres, ours */
#define PRIOR_SPREAD_LEAST 0.1 /* a garden may think it knows more than it does: ours */
#define PRIOR_SPREAD_MOST 1.0
#define VIGOUR_LEAST 0.02
#define VIGOUR_FLOOR 0.25 /* spreads that grow with vigour grow with at least this */

#endif
