/* outlook.h - what a tank will do: its coming waterlines, the day it runs low, the harvest.
 *
 * Pure: no clock, no locale, no random numbers, no allocation (about 700 kB of stack); safe from any thread.
 * The same facts always give the same answer.
 *
 * Water use a day = reference evaporation x the ground the leaves cover x vigour. Leaves grow logistically
 * in warmth and light x pace. Pace and the size of the seedlings are learnt on a grid, vigour on each grid
 * point in closed form, from the tank's own waterlines; whatever the growth law gets wrong is let in as a
 * slow wander of vigour. The future carries that wander and the weather's day-to-day spread; every quantile
 * comes from the mixture by formula.
 *
 * How the fields of POST /api/v1/calc/outlook map:
 *   vessel, start_mm, low_mm, today   by name (dates and instants as in days.h)
 *   plantings[]   crop: crops_find; count; on; harvest_on (null: DAYS_NONE)
 *   climate       {"latitude_deg","elevation_m","monthly"}: .kind OUTLOOK_OUTDOORS; {"indoor"}: OUTLOOK_INDOORS
 *   weather[]     one struct outlook_weather each, NAN for what is absent
 *   readings[], added[], cuts[]       by name
 * and of the answer:
 *   low_on {"p10","p50","p90"}        .low_on.p10 ...: dates; null where DAYS_NONE (not within 183 days)
 *   use_l_day                         .use_l_day: the mean of the coming 7 days
 *   carries_to_harvest                null where NAN (nothing planted)
 *   harvest_on                        null where .harvest_on.p50 is DAYS_NONE
 *   waterline[]                       .waterline[0 .. waterline_count), one a day from today on, at the end of the day
 *   learned {"vigour","pace"}         .vigour, .pace
 *   surprises[] {"at","why"}          .surprise[0 .. surprise_count), why: outlook_surprise_key[]
 */
#ifndef TIDEMARK_OUTLOOK_H
#define TIDEMARK_OUTLOOK_H

#include <stddef.h>
#include <stdint.h>

#include "calc/climate.h"
#include "calc/crops.h"
#include "calc/days.h"
#include "calc/fault.h"

struct vessel;

/* Sizes that the calculation takes; more is FAULT_INPUT. */
#define OUTLOOK_PLANTINGS 64
#define OUTLOOK_READINGS 2000
#define OUTLOOK_ADDED 500
#define OUTLOOK_CUTS 200
#define OUTLOOK_WEATHER 1000
#define OUTLOOK_HORIZON 183      /* days ahead that dates are looked for; of waterlines, most */
#define OUTLOOK_HORIZON_USUAL 90 /* days of waterlines when horizon_days is 0 */
#define OUTLOOK_PAST 400         /* days back, most; older facts are left aside */
#define OUTLOOK_SURPRISES 32

struct outlook_planting {
    const struct crop *crop;
    double count;       /* plants, above 0 to 1000 */
    int32_t on;         /* hung into the tank; may lie ahead */
    int32_t harvest_on; /* DAYS_NONE: not fixed. Up to today: they are gone from then on. Ahead: the day
                           that the fill must reach; what hangs drinks on until it is taken out. */
    int32_t sown_on;    /* DAYS_NONE: not known */
};

enum outlook_reading_method { OUTLOOK_DIPSTICK, OUTLOOK_BY_EYE, OUTLOOK_SENSOR };

struct outlook_reading {
    int64_t at_ms;
    double waterline_mm; /* 0 to 3000 */
    enum outlook_reading_method method; /* noise 2, 5, 1 mm (common practice, no source) */
};

struct outlook_added {
    int64_t at_ms;
    double volume_l;     /* 0 to 5000; NAN: only the waterline after it is known */
    double waterline_mm; /* after it; NAN: not measured. One of the two must be known. */
};

struct outlook_cut {
    int64_t at_ms;
    double kept_fraction; /* of the leaves, 0 to 1 */
    int planting;         /* index into plantings, -1: all that hang */
};

struct outlook_weather {
    int32_t day;
    double tmin_c, tmax_c;   /* both must be known */
    double rh_percent, wind_m_s, sunshine_h, solar_mj_m2; /* NAN: not known */
};

struct outlook_month {
    double tmin_c, tmax_c;   /* both must be known */
    double rh_percent, wind_m_s, sunshine_h; /* NAN: not known; sunshine in hours a day */
};

enum outlook_climate_kind { OUTLOOK_OUTDOORS, OUTLOOK_INDOORS };
enum outlook_cover { OUTLOOK_OPEN_AIR, OUTLOOK_UNDER_COVER };

struct outlook_climate {
    enum outlook_climate_kind kind;
    double latitude_deg, elevation_m;
    enum outlook_cover cover; /* a polytunnel, a glazed balcony: less light, little wind */
    struct outlook_month monthly[12]; /* January first */
    double normals_off_c; /* how far the normals' warmth may lie from that around the leaves, standard deviation, 0 to 15; 0: as of a
                     weather station near by */
    struct climate_indoor indoor;
};

/* Normals of a place of which only the latitude (and perhaps the height; NAN: not known) is told, with their normals_off_c: zonal
 * means by eye, over land. A first guess that the tank's own readings correct. The rest of *climate is set to open air.
 */
void outlook_guess_climate(double latitude_deg, double elevation_m, struct outlook_climate *climate);

/* What the garden's finished plantings taught; NAN: nothing yet, the crop's own prior holds. */
struct outlook_prior {
    double vigour, vigour_spread; /* median 0.01 to 100, and the standard deviation of its logarithm */
    double pace, pace_spread;     /* median 0.05 to 20; no spread counts as less than 0.1 or more than 1 */
};

struct outlook_given {
    int32_t today;
    int horizon_days; /* of waterlines; 0: OUTLOOK_HORIZON_USUAL */
    const struct vessel *vessel;
    double start_mm, low_mm; /* 0 <= low < start <= the vessel's height */
    int32_t filled_on;       /* to start_mm; DAYS_NONE: the day of the first planting or reading, whichever is earlier */
    struct outlook_climate climate;
    struct outlook_prior prior; /* all NAN: none (outlook_given_init) */
    /* Borrowed for the call; in any order, sorted inside. May be NULL with a count of 0. */
    const struct outlook_planting *planting;
    size_t planting_count;
    const struct outlook_weather *weather;
    size_t weather_count;
    const struct outlook_reading *reading;
    size_t reading_count;
    const struct outlook_added *added;
    size_t added_count;
    const struct outlook_cut *cut;
    size_t cut_count;
};

/* Nothing known, no lists. */
void outlook_given_init(struct outlook_given *given);

struct outlook_dates {
    int32_t p10, p50, p90; /* p10 <= p50 <= p90; DAYS_NONE: not within OUTLOOK_HORIZON days */
};

struct outlook_spread {
    double p10, p50, p90;
};

enum outlook_surprise_why {
    OUTLOOK_RISE,       /* water came in that nobody logged: rain, or a watering */
    OUTLOOK_FALL,       /* far more is gone than leaves can drink: a leak, or water taken */
    OUTLOOK_SLIP,       /* one reading that neither side agrees with: a typing slip */
    OUTLOOK_OUTSIDE,    /* a reading above the vessel's rim */
    OUTLOOK_ADDED_OTHER /* the waterline after a top-up does not fit the volume */
};
#define OUTLOOK_SURPRISE_WHYS 5
extern const char *const outlook_surprise_key[OUTLOOK_SURPRISE_WHYS];
/* "unexplained_rise", "unexplained_fall", "typing_slip", "above_rim", "addition_differs" */

struct outlook_surprise {
    int64_t at_ms;
    enum outlook_surprise_why why;
    double by_mm; /* how far from what was expected, signed */
};

struct outlook {
    struct outlook_dates low_on;    /* the day the waterline first reaches low_mm */
    struct outlook_spread use_l_day;
    struct outlook_spread to_harvest_l; /* litres still drunk until then; NAN: nothing planted */
    double carries_to_harvest;      /* probability, 0 to 1; NAN: nothing planted */
    struct outlook_dates harvest_on; /* of the planting that is harvested next, counted from today when it is ready now */
    int32_t ready_on[OUTLOOK_PLANTINGS]; /* each planting, as given: ready about then, today when it is now; DAYS_NONE: gone, or later */
    double vigour, pace;            /* 1: as the crop's prior has it */
    double waterline_now_mm;        /* what is thought to stand in the tank at the start of today */
    size_t waterline_count;         /* horizon_days */
    struct outlook_waterline {
        int32_t day;
        double p10_mm, p50_mm, p90_mm; /* p10 is the lower waterline */
    } waterline[OUTLOOK_HORIZON];
    size_t surprise_count;
    struct outlook_surprise surprise[OUTLOOK_SURPRISES];
};

/* Returns 0, or -1 with FAULT_INPUT and pointers as in the JSON ("/readings/3/waterline_mm"); *outlook
 * untouched then. For valid input every number of the answer is finite, but for the NAN named above.
 */
int outlook_make(const struct outlook_given *given, struct outlook *outlook, struct fault *fault);

#endif
