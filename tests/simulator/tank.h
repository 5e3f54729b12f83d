/* tank.h - a simulated tank: the truth, and what a grower would have written down of it.
 *
 * Growth by one of three published laws, transpiration by one of two others; none of them, and no line of them, is in src/calc:
 *   - two-step dry mass growth of lettuce driven by light and warmth, in the form and with the parameters listed in
 *     fixtures/horticulture/water-use.csv (J. Agric. Eng. Res. 59:19-31, 1994, secondary), or
 *     expolinear growth (A mathematical function for crop growth based on light interception and leaf area expansion,
 *     Annals of Botany 66, 1990, from memory), or
 *     cover that rises in a straight line between stages (the stage lengths of FAO Irrigation and Drainage Paper 56, Table 11);
 *   - canopy transpiration by Priestley-Taylor (Monthly Weather Review 100, 1972, from memory), or by the combination
 *     equation with a surface resistance (Agricultural Systems 153, 2017, as in water-use.csv).
 */
#ifndef TIDEMARK_TESTS_SIMULATOR_TANK_H
#define TIDEMARK_TESTS_SIMULATOR_TANK_H

#include "simulator/weather.h"

#define SIM_TANK_DAYS 150
#define SIM_READINGS 160

enum sim_shape { SIM_BOX, SIM_ROUND, SIM_POURED };

struct sim_tank {
    /* What it is. */
    enum sim_shape shape;
    double floor_mm[2], rim_mm[2], height_mm, start_mm, low_mm;
    double point_mm[12], point_l[12]; /* poured: as calibrated */
    const char *crop;
    int plants;
    const struct sim_place *place; /* NULL: indoors */
    double indoor_c, indoor_rh, indoor_ppfd, indoor_hours;
    int first; /* day of the place's weather on which it was planted and filled */
    /* The truth. */
    double level_mm[SIM_TANK_DAYS + 1]; /* at the start of day i since planting */
    int low_day;                        /* first day on which it reaches low_mm; -1: never */
    int last_meddling;                  /* last day on which someone added water or cut, -1: none */
    /* What was written down; times in days since planting. */
    int reading_count;
    double reading_t[SIM_READINGS], reading_mm[SIM_READINGS];
    double slip_mm[SIM_READINGS]; /* how far the thumb slipped; mostly 0 */
    int unlogged_day; /* someone watered and wrote nothing down; -1: no one did */
    int added_count;
    double added_t[8], added_l[8];
    int cut_count;
    double cut_t[4], cut_kept[4];
    bool tells_weather, tells_humidity;
    const char *growth, *transpiration;
};

/* Draws a tank; the same seed gives the same one. place: where; NULL: indoors. */
void sim_tank_draw(struct sim_tank *tank, const struct sim_place *place, uint64_t seed);

/* The grower's own way: days since planting at which a straight line through the last three readings before t comes to the
 * low mark; a negative number where there is no such line.
 */
double sim_by_hand(const struct sim_tank *tank, double t);

#endif
