/* vessel.c - volumes of vessels.
 *
 * Inside, lengths are mm and volumes mm3 as far as the shapes go; litres at the edge.
 */
#include "calc/vessel.h"

#include <math.h>

#define MM3_PER_L 1e6
#define PI 3.14159265358979323846

/* Our bounds: they catch slips of the finger and wrong units. */
#define LENGTH_LEAST_MM 5.0
#define LENGTH_MOST_MM 20000.0
#define VOLUME_MOST_L 1e6
#define POUR_LEAST_MM 0.1 /* between two points: what no dipstick can tell apart */
#define POUR_LEAST_L 0.001

static bool is_length(double mm)
{
    /* Asked this way round, so that NaN is refused too. */
    return mm >= LENGTH_LEAST_MM && mm <= LENGTH_MOST_MM;
}

static void check_length(double mm, const char *at, struct fault *fault)
{
    if (!is_length(mm))
        fault_add(fault, FAULT_INPUT, at, "must be from %g to %g mm, was %g", LENGTH_LEAST_MM, LENGTH_MOST_MM, mm);
}

static double corner_of(const struct vessel *vessel)
{
    return isnan(vessel->corner_mm) ? 0.0 : vessel->corner_mm;
}

static void check_box(const struct vessel *vessel, struct fault *fault)
{
    double least = fmin(fmin(vessel->floor_mm[0], vessel->floor_mm[1]), fmin(vessel->rim_mm[0], vessel->rim_mm[1]));
    double corner_mm = corner_of(vessel);

    check_length(vessel->floor_mm[0], "/floor_mm/0", fault);
    check_length(vessel->floor_mm[1], "/floor_mm/1", fault);
    check_length(vessel->rim_mm[0], "/rim_mm/0", fault);
    check_length(vessel->rim_mm[1], "/rim_mm/1", fault);
    check_length(vessel->height_mm, "/height_mm", fault);
    if (!(corner_mm >= 0.0 && corner_mm <= LENGTH_MOST_MM))
        fault_add(fault, FAULT_INPUT, "/corner_mm", "must be 0 mm or more, was %g", corner_mm);
    else if (least > 0.0 && 2.0 * corner_mm > least)
        fault_add(fault, FAULT_INPUT, "/corner_mm", "must be at most half of the least width, %g mm, was %g", least / 2.0, corner_mm);
}

static void check_round(const struct vessel *vessel, struct fault *fault)
{
    check_length(vessel->floor_mm[0], "/floor_mm", fault);
    check_length(vessel->rim_mm[0], "/rim_mm", fault);
    check_length(vessel->height_mm, "/height_mm", fault);
}

static void check_point(const struct vessel *vessel, size_t i, struct fault *fault)
{
    const struct vessel_point *now = &vessel->points[i], *before = i ? now - 1 : 0;
    char at[32] = "/points/";
    size_t end = 8;

    if (i >= 10)
        at[end++] = (char)('0' + i / 10);
    at[end++] = (char)('0' + i % 10);
    at[end] = '\0';
    if (!(now->waterline_mm >= 0.0 && now->waterline_mm <= LENGTH_MOST_MM))
        fault_add(fault, FAULT_INPUT, at, "the waterline must be from 0 to %g mm, was %g", LENGTH_MOST_MM, now->waterline_mm);
    else if (!(now->volume_l >= 0.0 && now->volume_l <= VOLUME_MOST_L))
        fault_add(fault, FAULT_INPUT, at, "the volume must be from 0 to %g L, was %g", VOLUME_MOST_L, now->volume_l);
    else if (!before && now->waterline_mm > 0.0 && !(now->waterline_mm >= POUR_LEAST_MM && now->volume_l >= POUR_LEAST_L))
        fault_add(fault, FAULT_INPUT, at, "must be a waterline of 0, or at least %g mm with %g L", POUR_LEAST_MM, POUR_LEAST_L);
    else if (before && !(now->waterline_mm - before->waterline_mm >= POUR_LEAST_MM && now->volume_l - before->volume_l >= POUR_LEAST_L))
        fault_add(fault, FAULT_INPUT, at, "must be above the point before in both: %g mm, %g L came after %g mm, %g L",
                  now->waterline_mm, now->volume_l, before->waterline_mm, before->volume_l);
}

static void check_poured(const struct vessel *vessel, struct fault *fault)
{
    double last_mm;

    if (!vessel->points || vessel->point_count < 2 || vessel->point_count > VESSEL_POINTS) {
        fault_add(fault, FAULT_INPUT, "/points", "must be 2 to %d points", VESSEL_POINTS);
        return;
    }
    for (size_t i = 0; i < vessel->point_count; i++)
        check_point(vessel, i, fault);
    last_mm = vessel->points[vessel->point_count - 1].waterline_mm;
    if (!isnan(vessel->height_mm) && vessel->height_mm != 0.0 &&
        !(vessel->height_mm >= last_mm && vessel->height_mm <= LENGTH_MOST_MM))
        fault_add(fault, FAULT_INPUT, "/height_mm", "must not be below the last point's waterline, %g mm, was %g", last_mm, vessel->height_mm);
}

int vessel_check(const struct vessel *vessel, struct fault *fault)
{
    struct fault found = {0};

    switch (vessel->shape) {
    case VESSEL_BOX: check_box(vessel, &found); break;
    case VESSEL_ROUND: check_round(vessel, &found); break;
    case VESSEL_POURED: check_poured(vessel, &found); break;
    default: fault_add(&found, FAULT_INPUT, "/shape", "must be box, round or poured");
    }
    return found.code == FAULT_NONE ? 0 : fault_under(fault, "", &found);
}

double vessel_height_mm(const struct vessel *vessel)
{
    if (vessel->shape == VESSEL_POURED && !(vessel->height_mm > 0.0))
        return vessel->points[vessel->point_count - 1].waterline_mm;
    return vessel->height_mm;
}

/* How far up it is known: the rim, or the last volume poured. */
static double known_mm(const struct vessel *vessel)
{
    return vessel->shape == VESSEL_POURED ? vessel->points[vessel->point_count - 1].waterline_mm : vessel->height_mm;
}

/* -------------------------------------------------- volume and area below a height */

struct slice {
    double volume, area; /* mm3 below the height, mm2 at it */
};

/* Area at z: (l0 + dl z)(w0 + dw z) less what four rounded corners leave out of their squares. */
static struct slice box_below(const struct vessel *vessel, double z_mm)
{
    double corner_mm = corner_of(vessel), cut = (4.0 - PI) * corner_mm * corner_mm;
    double l0 = vessel->floor_mm[0], dl = (vessel->rim_mm[0] - l0) / vessel->height_mm;
    double w0 = vessel->floor_mm[1], dw = (vessel->rim_mm[1] - w0) / vessel->height_mm;

    return (struct slice){
        .volume = z_mm * (l0 * w0 - cut + z_mm * ((l0 * dw + w0 * dl) / 2.0 + z_mm * dl * dw / 3.0)),
        .area = (l0 + dl * z_mm) * (w0 + dw * z_mm) - cut,
    };
}

/* Frustum of a cone with diameters bottom and top, height h, filled to z. */
static struct slice frustum_below(double bottom_mm, double top_mm, double h_mm, double z_mm)
{
    double d = bottom_mm + (top_mm - bottom_mm) * z_mm / h_mm;

    return (struct slice){
        .volume = PI / 12.0 * z_mm * (bottom_mm * bottom_mm + bottom_mm * d + d * d),
        .area = PI / 4.0 * d * d,
    };
}

/* Point i of a poured table, counted with the (0, 0) that is understood. */
static struct vessel_point poured_point(const struct vessel *vessel, size_t i)
{
    if (vessel->points[0].waterline_mm <= 0.0)
        return vessel->points[i];
    return i ? vessel->points[i - 1] : (struct vessel_point){0.0, 0.0};
}

static size_t poured_count(const struct vessel *vessel)
{
    return vessel->point_count + (vessel->points[0].waterline_mm <= 0.0 ? 0 : 1);
}

/* Slope at an inner point, between the steps before and after: the weighted harmonic mean of Fritsch and Butland (1984),
 * which keeps the cubic rising on both sides.
 */
static double slope_between(double h0, double s0, double h1, double s1)
{
    double w0 = h0 + 2.0 * h1, w1 = 2.0 * h0 + h1; /* the longer step counts less: it is further away */

    return (w0 + w1) / (w0 / s0 + w1 / s1);
}

/* Slope at an end: the parabola through three points, held within what keeps the cubic rising. */
static double slope_end(double h0, double s0, double h1, double s1)
{
    double slope = ((2.0 * h0 + h1) * s0 - h0 * s1) / (h0 + h1);

    return slope <= 0.0 ? 0.0 : fmin(slope, 3.0 * s0);
}

/* Slope of volume over waterline at point i, L/mm. */
static double poured_slope(const struct vessel *vessel, size_t i)
{
    size_t n = poured_count(vessel);
    size_t mid = i == 0 ? 1 : i == n - 1 ? n - 2 : i;
    struct vessel_point a, b, c;
    double h0, h1, s0, s1;

    if (n == 2) {
        a = poured_point(vessel, 0);
        b = poured_point(vessel, 1);
        return (b.volume_l - a.volume_l) / (b.waterline_mm - a.waterline_mm);
    }
    a = poured_point(vessel, mid - 1);
    b = poured_point(vessel, mid);
    c = poured_point(vessel, mid + 1);
    h0 = b.waterline_mm - a.waterline_mm;
    h1 = c.waterline_mm - b.waterline_mm;
    s0 = (b.volume_l - a.volume_l) / h0;
    s1 = (c.volume_l - b.volume_l) / h1;
    if (i == 0)
        return slope_end(h0, s0, h1, s1);
    if (i == n - 1)
        return slope_end(h1, s1, h0, s0);
    return slope_between(h0, s0, h1, s1);
}

/* One step of the table as a cubic in t, 0 to 1: volume_l = a.volume_l + t (c1 + t (c2 + t c3)). */
struct step {
    struct vessel_point a;
    double h, c1, c2, c3;
};

static struct step poured_step(const struct vessel *vessel, size_t low)
{
    struct vessel_point a = poured_point(vessel, low), b = poured_point(vessel, low + 1);
    double h = b.waterline_mm - a.waterline_mm, rise = b.volume_l - a.volume_l;
    double m0 = poured_slope(vessel, low) * h, m1 = poured_slope(vessel, low + 1) * h;

    return (struct step){a, h, m0, 3.0 * rise - 2.0 * m0 - m1, m0 + m1 - 2.0 * rise};
}

static struct slice poured_at(const struct step *step, double z_mm)
{
    double t = (z_mm - step->a.waterline_mm) / step->h;

    return (struct slice){
        .volume = MM3_PER_L * (step->a.volume_l + t * (step->c1 + t * (step->c2 + t * step->c3))),
        .area = MM3_PER_L / step->h * (step->c1 + t * (2.0 * step->c2 + t * 3.0 * step->c3)),
    };
}

static struct slice poured_below(const struct vessel *vessel, double z_mm)
{
    size_t low = 0, high = poured_count(vessel) - 1;
    struct step step;

    while (high - low > 1) {
        size_t mid = (low + high) / 2;

        if (poured_point(vessel, mid).waterline_mm <= z_mm)
            low = mid;
        else
            high = mid;
    }
    step = poured_step(vessel, low);
    return poured_at(&step, z_mm);
}

/* Least area of a poured vessel from one height to another: at an end of a step, or where its slope, a parabola, turns. */
static double poured_least_area(const struct vessel *vessel, double from_mm, double to_mm)
{
    double least = fmin(poured_below(vessel, from_mm).area, poured_below(vessel, to_mm).area);

    for (size_t i = 0; i + 1 < poured_count(vessel); i++) {
        struct step step = poured_step(vessel, i);
        double turn_mm = step.a.waterline_mm - step.h * step.c2 / (3.0 * step.c3);

        if (step.a.waterline_mm >= from_mm && step.a.waterline_mm <= to_mm)
            least = fmin(least, poured_at(&step, step.a.waterline_mm).area);
        if (turn_mm >= fmax(from_mm, step.a.waterline_mm) && turn_mm <= fmin(to_mm, step.a.waterline_mm + step.h))
            least = fmin(least, poured_at(&step, turn_mm).area);
    }
    return least;
}

static struct slice below(const struct vessel *vessel, double z_mm)
{
    switch (vessel->shape) {
    case VESSEL_BOX: return box_below(vessel, z_mm);
    case VESSEL_ROUND: return frustum_below(vessel->floor_mm[0], vessel->rim_mm[0], vessel->height_mm, z_mm);
    default: return poured_below(vessel, z_mm);
    }
}

/* What the cups' medium takes up below z: a frustum each, hanging from the lid. */
static struct slice cups_below(const struct vessel *vessel, const struct vessel_cups *cups, double z_mm)
{
    struct slice one, none = {0};
    double depth, share;

    if (!cups || cups->count == 0)
        return none;
    depth = z_mm - (vessel_height_mm(vessel) - cups->height_mm);
    if (depth <= 0.0)
        return none;
    share = (double)cups->count * cups->medium_fraction;
    one = frustum_below(cups->bottom_mm, cups->top_mm, cups->height_mm, fmin(depth, cups->height_mm));
    return (struct slice){share * one.volume, share * one.area};
}

static struct slice solution_below(const struct vessel *vessel, const struct vessel_cups *cups, double z_mm)
{
    struct slice all = below(vessel, z_mm), out = cups_below(vessel, cups, z_mm);

    return (struct slice){all.volume - out.volume, all.area - out.area};
}

/* The height below which there is this much, between 0 and the known height. Newton; halving where that leaves the bracket, or does
 * not come nearer by half each time, as it may about a kink of a poured table.
 */
static double height_of(const struct vessel *vessel, const struct vessel_cups *cups, double volume)
{
    double low = 0.0, high = known_mm(vessel), within = 1e-12 * high, step = high;
    double z = high * fmin(volume / solution_below(vessel, cups, high).volume, 1.0);

    for (int round = 0; round < 200 && high - low > within; round++) {
        struct slice here = solution_below(vessel, cups, z);
        double off = here.volume - volume, next;

        if (off == 0.0)
            return z;
        if (off > 0.0)
            high = z;
        else
            low = z;
        next = here.area > 0.0 ? z - off / here.area : low;
        if (!(next > low && next < high) || 2.0 * fabs(next - z) > step)
            next = (low + high) / 2.0;
        step = fabs(next - z);
        if (step <= within)
            return next;
        z = next;
    }
    return z;
}

/* ------------------------------------------------------------------------- public */

static int check_waterline(const struct vessel *vessel, double waterline_mm, struct fault *fault)
{
    double most_mm = known_mm(vessel);

    if (waterline_mm >= 0.0 && waterline_mm <= most_mm)
        return 0;
    return fault_add(fault, FAULT_INPUT, "/waterline_mm", "must be from 0 to %g mm, %s, was %g", most_mm,
                     vessel->shape == VESSEL_POURED ? "the last volume poured" : "the rim", waterline_mm);
}

/* The least that can be told of: a poured table may start with water that never leaves. */
static int check_volume(const struct vessel *vessel, const struct vessel_cups *cups, double volume_l, struct fault *fault)
{
    double least_l = solution_below(vessel, cups, 0.0).volume / MM3_PER_L;
    double most_l = solution_below(vessel, cups, known_mm(vessel)).volume / MM3_PER_L;

    /* A brim that was printed and typed in again may have lost its last digits. */
    if (volume_l >= least_l && volume_l <= most_l * (1.0 + 1e-12))
        return 0;
    return fault_add(fault, FAULT_INPUT, "/volume_l", "must be from %g to %.6g L, %s, was %g", least_l, most_l,
                     vessel->shape == VESSEL_POURED ? "the last volume poured" : "the brim", volume_l);
}

static struct vessel_level level_at(const struct vessel *vessel, double waterline_mm)
{
    struct slice here = below(vessel, waterline_mm);

    return (struct vessel_level){
        .waterline_mm = waterline_mm,
        .volume_l = here.volume / MM3_PER_L,
        .surface_cm2 = here.area / 100.0,
        .brim_l = below(vessel, known_mm(vessel)).volume / MM3_PER_L,
        .solution_kg = here.volume / MM3_PER_L * VESSEL_KG_PER_L,
    };
}

int vessel_at_waterline(const struct vessel *vessel, double waterline_mm, struct vessel_level *level, struct fault *fault)
{
    if (vessel_check(vessel, fault) || check_waterline(vessel, waterline_mm, fault))
        return -1;
    *level = level_at(vessel, waterline_mm);
    return 0;
}

int vessel_at_volume(const struct vessel *vessel, double volume_l, struct vessel_level *level, struct fault *fault)
{
    if (vessel_check(vessel, fault) || check_volume(vessel, 0, volume_l, fault))
        return -1;
    *level = level_at(vessel, height_of(vessel, 0, volume_l * MM3_PER_L));
    level->volume_l = volume_l;
    level->solution_kg = volume_l * VESSEL_KG_PER_L;
    return 0;
}

/* Least area that the cups hang in. Between their bottom and the rim no box or bucket is narrower than at both ends. */
static double area_for_cups(const struct vessel *vessel, const struct vessel_cups *cups)
{
    double top_mm = known_mm(vessel), bottom_mm = fmin(vessel_height_mm(vessel) - cups->height_mm, top_mm);

    if (vessel->shape == VESSEL_POURED)
        return poured_least_area(vessel, bottom_mm, top_mm);
    return fmin(below(vessel, top_mm).area, below(vessel, bottom_mm).area);
}

int vessel_cups_check(const struct vessel *vessel, const struct vessel_cups *cups, struct fault *fault)
{
    struct fault found = {0};
    double height_mm;

    if (vessel_check(vessel, fault))
        return -1;
    height_mm = vessel_height_mm(vessel);
    if (!(cups->height_mm >= LENGTH_LEAST_MM && cups->height_mm <= height_mm))
        fault_add(&found, FAULT_INPUT, "/height_mm", "must be from %g mm to the vessel's height of %g mm, was %g", LENGTH_LEAST_MM,
                  height_mm, cups->height_mm);
    check_length(cups->top_mm, "/top_mm", &found);
    check_length(cups->bottom_mm, "/bottom_mm", &found);
    if (!(cups->medium_fraction >= 0.0 && cups->medium_fraction <= 1.0))
        fault_add(&found, FAULT_INPUT, "/medium_fraction", "must be from 0 to 1, was %g", cups->medium_fraction);
    if (found.code == FAULT_NONE &&
        (double)cups->count * PI / 4.0 * pow(fmax(cups->top_mm, cups->bottom_mm), 2.0) > area_for_cups(vessel, cups))
        fault_add(&found, FAULT_INPUT, "/top_mm", "%zu cups of %g mm have no room in this vessel", cups->count,
                  fmax(cups->top_mm, cups->bottom_mm));
    return found.code == FAULT_NONE ? 0 : fault_under(fault, "", &found);
}

int vessel_displaced_l(const struct vessel *vessel, const struct vessel_cups *cups, double waterline_mm, double *displaced_l,
                       struct fault *fault)
{
    if (vessel_cups_check(vessel, cups, fault) || check_waterline(vessel, waterline_mm, fault))
        return -1;
    *displaced_l = cups_below(vessel, cups, waterline_mm).volume / MM3_PER_L;
    return 0;
}

static int check_both(const struct vessel *vessel, const struct vessel_cups *cups, struct fault *fault)
{
    return cups ? vessel_cups_check(vessel, cups, fault) : vessel_check(vessel, fault);
}

int vessel_solution_l(const struct vessel *vessel, const struct vessel_cups *cups, double waterline_mm, double *solution_l,
                      struct fault *fault)
{
    if (check_both(vessel, cups, fault) || check_waterline(vessel, waterline_mm, fault))
        return -1;
    *solution_l = solution_below(vessel, cups, waterline_mm).volume / MM3_PER_L;
    return 0;
}

int vessel_solution_waterline_mm(const struct vessel *vessel, const struct vessel_cups *cups, double solution_l,
                                 double *waterline_mm, struct fault *fault)
{
    if (check_both(vessel, cups, fault) || check_volume(vessel, cups, solution_l, fault))
        return -1;
    *waterline_mm = height_of(vessel, cups, solution_l * MM3_PER_L);
    return 0;
}

int vessel_start(const struct vessel *vessel, const struct vessel_cups *cups, struct vessel_start *start, struct fault *fault)
{
    struct fault found = {0};
    double at_mm, volume_l, displaced_l;

    if (vessel_check(vessel, fault))
        return -1;
    if (vessel_cups_check(vessel, cups, &found))
        return fault_under(fault, "/cup", &found);
    at_mm = vessel_height_mm(vessel) - cups->height_mm / 2.0;
    if (at_mm > known_mm(vessel))
        return fault_add(fault, FAULT_INPUT, "/points", "must reach the start waterline, %g mm: pour on to there", at_mm);
    volume_l = below(vessel, at_mm).volume / MM3_PER_L;
    displaced_l = cups_below(vessel, cups, at_mm).volume / MM3_PER_L;
    *start = (struct vessel_start){
        .waterline_mm = at_mm,
        .volume_l = volume_l,
        .displaced_l = displaced_l,
        .solution_l = volume_l - displaced_l,
        .brim_l = below(vessel, known_mm(vessel)).volume / MM3_PER_L,
        .solution_kg = (volume_l - displaced_l) * VESSEL_KG_PER_L,
    };
    return 0;
}
