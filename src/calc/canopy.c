/* canopy.c - growth in thermal time, cover, cuts, crowding. */
#include "calc/canopy.h"

#include <math.h>

#define PI 3.14159265358979323846
#define HEAT_FROM_C 30.0 /* ours */
#define HEAT_END_C 42.0  /* ours */
#define TOP_ABOVE_BEST_C 4.0 /* ours: lettuce at best 18.3 C still gains to 22 C (Annals of Applied Biology 74, 1973) */
#define BEST_LEAST_ABOVE_C 5.0 /* ours */
#define LIGHT_HALF_MOL 5.0
#define LIGHT_FULL_MOL 20.0
#define Z_STRAIGHT 30.0 /* beyond it ln(1 + exp(z)) is z */
#define HEART_SHARE 0.02
#define OVERHANG_SHARE 0.33 /* of a plant's breadth: the outer cups sit near the edge, ours */

static double middle(const struct crop_range *range)
{
    return (range->low + range->high) / 2.0;
}

void canopy_of_crop(const struct crop *crop, struct canopy *canopy)
{
    double best_c = fmin(middle(&crop->best_c), 24.0), days = middle(&crop->days);
    double mean_cover = (canopy_weight_g(&(struct canopy){.gram_per_unit = 1.0}, CANOPY_Z_START + CANOPY_Z_TO_HARVEST) -
                         canopy_weight_g(&(struct canopy){.gram_per_unit = 1.0}, CANOPY_Z_START)) /
                        CANOPY_Z_TO_HARVEST;

    canopy->base_c = middle(&crop->base_c);
    canopy->top_c = fmax(best_c, canopy->base_c + BEST_LEAST_ABOVE_C) + TOP_ABOVE_BEST_C;
    canopy->z_start = CANOPY_Z_START;
    canopy->z_harvest = CANOPY_Z_START + CANOPY_Z_TO_HARVEST;
    /* A garden's own crop may name a best warmth that is hardly above its base. */
    canopy->rate = CANOPY_Z_TO_HARVEST / (days * fmax(best_c - canopy->base_c, BEST_LEAST_ABOVE_C));
    /* The ground over which the table's litres evaporate in its days. */
    canopy->ground_m2 = middle(&crop->solution_l) / (mean_cover * days * CANOPY_MILD_ET0_MM_DAY);
    canopy->overhang_m = OVERHANG_SHARE * sqrt(canopy->ground_m2);
    canopy->gram_per_unit = middle(&crop->yield_g) / log1p(exp(canopy->z_harvest));
}

double canopy_growth_units(const struct canopy *canopy, double mean_c, double dli_mol_m2)
{
    double warm = fmin(mean_c, canopy->top_c) - canopy->base_c;
    double heat = mean_c <= HEAT_FROM_C ? 1.0 : fmax((HEAT_END_C - mean_c) / (HEAT_END_C - HEAT_FROM_C), 0.0);
    double light = dli_mol_m2 / (dli_mol_m2 + LIGHT_HALF_MOL) * (LIGHT_FULL_MOL + LIGHT_HALF_MOL) / LIGHT_FULL_MOL;

    return warm > 0.0 ? warm * heat * light : 0.0;
}

double canopy_cover(double z)
{
    return 1.0 / (1.0 + exp(-z));
}

double canopy_weight_g(const struct canopy *canopy, double z)
{
    return canopy->gram_per_unit * (z > Z_STRAIGHT ? z : log1p(exp(z)));
}

double canopy_grow_g(const struct canopy *canopy, double weight_g, double ground_m2, double growth)
{
    double unit_g = canopy->gram_per_unit * ground_m2 / canopy->ground_m2, units = weight_g / unit_g;
    double z = (units > Z_STRAIGHT ? units : log(expm1(units))) + canopy->rate * growth;

    return unit_g * (z > Z_STRAIGHT ? z : log1p(exp(z)));
}

double canopy_grow_by_water_g(const struct canopy_by_water *law, double dry_g, double ground_m2, double water_mm, double deficit_kpa)
{
    return dry_g + fmin(law->share_day * dry_g, law->gain_g_kpa_kg * water_mm / deficit_kpa * ground_m2);
}

double canopy_fresh_of_dry_g(const struct canopy_by_water *law, double dry_g)
{
    return law->fresh_g * pow(dry_g, law->fresh_power);
}

double canopy_cut(double z, double kept_fraction)
{
    double cover = canopy_cover(z) * fmax(fmin(kept_fraction, 1.0), HEART_SHARE);

    return log(cover / (1.0 - fmin(cover, 1.0 - 1e-12)));
}

double canopy_reach_m2(const struct vessel *vessel, double overhang_m)
{
    double length_m, width_m;

    switch (vessel->shape) {
    case VESSEL_ROUND:
        length_m = vessel->rim_mm[0] / 1000.0 + 2.0 * overhang_m;
        return PI / 4.0 * length_m * length_m;
    case VESSEL_BOX:
        length_m = vessel->rim_mm[0] / 1000.0;
        width_m = vessel->rim_mm[1] / 1000.0;
        break;
    case VESSEL_POURED:
    default: {
        /* Its mean plan, taken as a square. */
        const struct vessel_point *last = &vessel->points[vessel->point_count - 1];

        length_m = width_m = sqrt(last->volume_l / last->waterline_mm);
    }
    }
    return (length_m + 2.0 * overhang_m) * (width_m + 2.0 * overhang_m);
}

double canopy_crowded_m2(double wanted_m2, double reach_m2)
{
    return reach_m2 > 0.0 ? wanted_m2 / cbrt(1.0 + pow(wanted_m2 / reach_m2, 3.0)) : 0.0;
}
