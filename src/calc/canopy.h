/* canopy.h - how leaves come to cover the ground, and what a plant weighs by then.
 *
 * Pure: no clock, no locale, no allocation; safe from any thread.
 *
 * One law for cover and weight. A plant's growth follows the light its leaves catch, so early growth is exponential
 * and later growth, once the ground is covered, is linear: the expolinear law. In it the covered share of the plant's
 * ground is a logistic curve of thermal time (a logistic in thermal time fits soilless lettuce best: Nonlinear models
 * for describing lettuce growth, Ciencia Rural 50(7), 2020, abstract), and the weight is its integral:
 *
 *     cover  = 1 / (1 + exp(-z))          share of the plant's ground, 0 to 1
 *     weight = ln(1 + exp(z))             in units of canopy.gram_per_unit
 *     z      = z_start + rate x pace x thermal time
 *
 * Daily water use follows daily growth linearly (Characterizing evapotranspiration in a greenhouse lettuce crop,
 * Acta Horticulturae 456, 1998, abstract), which is the same cover once more.
 */
#ifndef TIDEMARK_CANOPY_H
#define TIDEMARK_CANOPY_H

#include "calc/crops.h"
#include "calc/fault.h"
#include "calc/vessel.h"

/* A crop's growth, from its row of the table. */
struct canopy {
    double base_c;        /* no growth at or below */
    double top_c;         /* warmth above counts no further */
    double rate;          /* of z per growth unit (degree-day in bright light) at pace 1 */
    double z_start;       /* a seedling as it is hung in: a few square centimetres of leaf */
    double z_harvest;     /* first harvest */
    double ground_m2;     /* that one plant comes to cover, left to itself */
    double overhang_m;    /* leaves reach this far beyond the lid's edge */
    double gram_per_unit; /* fresh weight = gram_per_unit x ln(1 + exp(z)) x the share of ground it has */
};

#define CANOPY_Z_START (-4.3) /* 1.3 % of the ground it will cover: ours, between 1- and 3-week seedlings */
/* With the table's days this is 0.019 per degree-day for lettuce: young plants in strong light grow by 0.02 (The early relative
 * growth rates of six lettuce cultivars as affected by temperature, Annals of Applied Biology 74, 1973, abstract, derived).
 */
#define CANOPY_Z_TO_HARVEST 8.5

/* Days to harvest in the table are meant for the crop's best warmth; litres, for a mild season of 4 mm/day (ours). */
#define CANOPY_MILD_ET0_MM_DAY 4.0

/* Of a crop whose days, yield and solution are above 0 and whose temperatures are known. */
void canopy_of_crop(const struct crop *crop, struct canopy *canopy);

/* Growth units of one day: degrees above the base, capped at the top, less in heat (falling from 30 C to nothing at
 * 42 C, ours), times a factor of light: dli / (dli + 5), 1 at 20 mol per m2 and day. From 7 to 18 mol coriander, dill
 * and parsley gain 154, 241 and 120 % in weight over a crop (Agronomy 9(7):389, 2019, abstract); a factor of 0.8 on the
 * rate does about that.
 */
double canopy_growth_units(const struct canopy *canopy, double mean_c, double dli_mol_m2);

double canopy_cover(double z);
double canopy_weight_g(const struct canopy *canopy, double z);

/* Weight of a plant after one day's growth on ground that may change from day to day (spacing out, neighbours gone):
 * the law above in steps. weight_g above 0, ground_m2 what the plant has now, growth = pace x growth units of the day.
 */
double canopy_grow_g(const struct canopy *canopy, double weight_g, double ground_m2, double growth);

/* Growth as told by the water that a stand transpires, where that is known: young plants gain the same share of themselves each
 * day; from the day on which their leaves meet, what they gain on a square metre follows the water; it is the less the drier the air
 * (dry mass for each litre is nearly constant once the air's demand is taken out: Irrigation Science 25, 2007,
 * doi 10.1007/s00271-007-0064-1, opening; 4 to 6.5 g kPa per kg for crops of the lettuce's kind: Limitations to Efficient Water Use in
 * Crop Production, American Society of Agronomy 1983, from memory).
 */
struct canopy_by_water {
    double share_day;     /* above 0 */
    double gain_g_kpa_kg; /* dry shoot */
    double fresh_g;       /* that a shoot of 1 g of dry mass weighs; */
    double fresh_power;   /* and how much steeper than that it rises: large plants are wetter */
};

/* Dry mass of a plant after a day on which a closed stand transpires water_mm (kg on a square metre) into air of this deficit, kPa,
 * above 0. dry_g, ground_m2 above 0. */
double canopy_grow_by_water_g(const struct canopy_by_water *law, double dry_g, double ground_m2, double water_mm, double deficit_kpa);
double canopy_fresh_of_dry_g(const struct canopy_by_water *law, double dry_g);

/* z after a cut that keeps this share of the leaves, 0 to 1. At least 2 % stay: the heart that grows again (ours). */
double canopy_cut(double z, double kept_fraction);

/* Ground that leaves can reach over this vessel: its lid and a strip around it, m2. */
double canopy_reach_m2(const struct vessel *vessel, double overhang_m);

/* Ground covered in the end by plants that would like wanted_m2 in all on reach_m2: all of the smaller
 * of both, rounded off where they are alike (ours). */
double canopy_crowded_m2(double wanted_m2, double reach_m2);

#endif
