/* topup.c - how much to add under the ceiling, and how strong by the balance of the elements. */
#include "calc/topup.h"

#include "calc/vessel.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define LEAST_ADD_MM 2.0   /* less is not worth the walk: ours */
#define PLAIN_BELOW 0.15   /* share of full strength: ours */
#define FULL_ABOVE 0.85
#define SHARE_STEP 0.05
#define EC_UNREAD_SHARE 0.5 /* between the two mistakes: ours */
#define STRONG_TIMES 1.1    /* EC above the target by more than meters differ: ours */
#define WEAK_TIMES 0.8
/* Of the target's strength that plants take up with each litre: 100 mg of nitrogen a litre drunk (45 g dry per kg x 4.5 %
 * in 20 L, derived, tissue values from memory) against about 150 in usual solutions.
 */
#define UPTAKE_SHARE 0.7
/* What a crop may take instead, young and hungry or old and slow: the bounds of what is left. Ours. */
#define UPTAKE_LEAST 0.3
#define UPTAKE_MOST 1.3
/* What one element may be of its share in the EC: plants take nitrogen and phosphorus sooner than calcium. Ours. */
#define BY_EC_LEAST 0.5
#define BY_EC_MOST 1.3
#define HEAVY_L 20.0 /* more than a person should carry at once: ours */
#define MEQ_PER_MS_CM 10.0 /* cations of 10 meq/L read about 1 mS/cm: common practice, no source */

const char *const topup_strength_key[] = {"nothing", "plain", "dilute", "full"};
const char *const topup_why_key[TOPUP_WHY_KINDS] = {"enough", "to_harvest", "ceiling",  "rise",     "again",    "strong",
                                                    "weak",   "balanced",   "short_of", "at_ceiling", "ec_unread"};
const char *const topup_caution_key[TOPUP_CAUTION_COUNT] = {"jug", "slow", "hose", "weight"};

/* The elements whose balance decides; the traces follow them. */
static const enum element main_elements[] = {ELEMENT_N, ELEMENT_P, ELEMENT_K, ELEMENT_CA, ELEMENT_MG};
#define MAIN_COUNT (sizeof main_elements / sizeof *main_elements)

void topup_given_init(struct topup_given *given)
{
    memset(given, 0, sizeof *given);
    given->roots_hang = true;
    given->ceiling_mm = given->ec_ms_cm = given->target_ec_ms_cm = given->days_left = given->use_l = NAN;
    given->reserve_l = given->water_ec_ms_cm = given->drunk_l = NAN;
    for (int e = 0; e < ELEMENT_NUTRIENTS; e++)
        given->target_mg_l[e] = given->put_in_mg[e] = NAN;
}

/* ----------------------------------------------------------------- checks */

static void check(double value, bool needed, double least, double most, const char *at, struct fault *found)
{
    if ((!needed && isnan(value)) || (value >= least && value <= most))
        return;
    fault_add(found, FAULT_INPUT, at, "must be from %g to %g, was %g", least, most, value);
}

static int check_given(const struct topup_given *given, struct fault *fault)
{
    struct fault found = {0}, inner = {0};
    char at[64];

    if (vessel_check(given->vessel, &inner))
        return fault_under(fault, "/vessel", &inner);
    check(given->waterline_mm, true, 0.0, vessel_height_mm(given->vessel), "/waterline_mm", &found);
    check(given->ceiling_mm, false, 0.0, vessel_height_mm(given->vessel), "/ceiling_mm", &found);
    check(given->ec_ms_cm, false, 0.0, 20.0, "/ec_ms_cm", &found);
    check(given->target_ec_ms_cm, false, 0.05, 20.0, "/target_ec_ms_cm", &found);
    check(given->days_left, false, 0.0, 1000.0, "/days_left", &found);
    check(given->use_l, false, 0.0, 10000.0, "/use_l", &found);
    check(given->reserve_l, false, 0.0, 10000.0, "/reserve_l", &found);
    check(given->water_ec_ms_cm, false, 0.0, 20.0, "/water_ec_ms_cm", &found);
    check(given->drunk_l, false, 0.0, 100000.0, "/drunk_l", &found);
    for (int e = 0; e < ELEMENT_NUTRIENTS; e++) {
        snprintf(at, sizeof at, "/target_mg_l/%s", element_key[e]);
        check(given->target_mg_l[e], false, 0.0, 5000.0, at, &found);
        snprintf(at, sizeof at, "/water/%s", element_key[e]);
        check(given->water_mg_l[e], true, 0.0, 5000.0, at, &found);
        snprintf(at, sizeof at, "/put_in_mg/%s", element_key[e]);
        check(given->put_in_mg[e], false, 0.0, 1e9, at, &found);
    }
    return found.count ? fault_under(fault, "", &found) : 0;
}

/* ----------------------------------------------------------------- volume */

static double volume_l(const struct vessel *vessel, double waterline_mm)
{
    struct vessel_level level = {0};

    /* Between floor and rim, of a checked vessel: it cannot fail. */
    vessel_at_waterline(vessel, fmax(fmin(waterline_mm, vessel_height_mm(vessel)), 0.0), &level, NULL);
    return level.volume_l;
}

static double waterline_mm(const struct vessel *vessel, double litres)
{
    struct vessel_level level = {0};

    vessel_at_volume(vessel, fmax(fmin(litres, volume_l(vessel, vessel_height_mm(vessel))), 0.0), &level, NULL);
    return level.waterline_mm;
}

static struct topup_why *because(struct topup *topup, enum topup_why_kind kind)
{
    struct topup_why *why = &topup->why[topup->why_count < TOPUP_WHYS ? topup->why_count++ : TOPUP_WHYS - 1];

    *why = (struct topup_why){kind, NAN, NAN, NAN, NAN, NAN, NAN, -1};
    return why;
}

/* Litres to add; says why in topup. now_l: in the tank. */
static void decide_volume(const struct topup_given *given, double now_l, struct topup *topup)
{
    double reserve = isnan(given->reserve_l) ? 0.0 : given->reserve_l;
    double by_rise = given->roots_hang || isnan(given->ceiling_mm) ? given->waterline_mm + TOPUP_RISE_MM : INFINITY;
    double ceiling = isnan(given->ceiling_mm) ? INFINITY : given->ceiling_mm;
    double most_mm = fmin(fmin(by_rise, ceiling), vessel_height_mm(given->vessel));
    double room_l = volume_l(given->vessel, most_mm) - now_l;
    double need_l = given->use_l + reserve - now_l; /* NAN where use is not known */
    double a_day = given->use_l / given->days_left; /* NAN or infinite where not known */
    struct topup_why *why;

    if (need_l <= 0.0) {
        why = because(topup, TOPUP_ENOUGH);
        why->days = given->days_left;
        why->litres = -need_l;
        why->water_days = isfinite(a_day) && a_day > 0.0 ? fmax(now_l - reserve, 0.0) / a_day : NAN;
        return;
    }
    if (most_mm - given->waterline_mm < LEAST_ADD_MM) {
        because(topup, TOPUP_AT_CEILING)->mm = most_mm;
        return;
    }
    topup->add_l = isnan(need_l) ? room_l : fmin(need_l, room_l);
    if (need_l < room_l)
        because(topup, TOPUP_TO_HARVEST)->litres = need_l;
    else if (by_rise < ceiling)
        because(topup, TOPUP_RISE)->mm = TOPUP_RISE_MM;
    else {
        why = because(topup, TOPUP_CEILING);
        why->mm = most_mm;
        why->litres = room_l;
    }
    /* To what a jug shows, and never above the ceiling. */
    topup->add_l = floor(topup->add_l * (topup->add_l < 2.0 ? 20.0 : 10.0) + 1e-9) / (topup->add_l < 2.0 ? 20.0 : 10.0);
    if (need_l > topup->add_l + 0.1 && isfinite(a_day) && a_day > 0.0) {
        topup->again_days = fmax(now_l + topup->add_l - reserve, 0.0) / a_day;
        because(topup, TOPUP_AGAIN)->days = topup->again_days;
    }
}

/* --------------------------------------------------------------- strength */

/* EC of a solution by its main cations, for want of better. */
static double ec_of_cations(const double mg_l[ELEMENT_NUTRIENTS])
{
    static const struct {
        enum element element;
        double mg_meq;
    } cations[] = {{ELEMENT_K, 39.10}, {ELEMENT_CA, 20.04}, {ELEMENT_MG, 12.15}, {ELEMENT_NA, 22.99}};
    double meq = 0.0;

    for (size_t i = 0; i < sizeof cations / sizeof *cations; i++)
        if (!isnan(mg_l[cations[i].element]))
            meq += mg_l[cations[i].element] / cations[i].mg_meq;
    return meq / MEQ_PER_MS_CM;
}

/* What the tank still holds by its log, when the plants took this share of the target's strength with each litre; scaled to
 * the EC where one was read. */
static void find_left_by_log(const struct topup_given *given, double now_l, double share, double mg_l[ELEMENT_NUTRIENTS])
{
    double ec_of_log, times;

    for (int e = 0; e < ELEMENT_NUTRIENTS; e++) {
        mg_l[e] = (given->put_in_mg[e] - given->drunk_l * share * given->target_mg_l[e]) / now_l;
        mg_l[e] = isnan(mg_l[e]) ? NAN : fmax(mg_l[e], 0.0);
    }
    ec_of_log = ec_of_cations(mg_l);
    times = isnan(given->ec_ms_cm) || !(ec_of_log > 0.0) ? 1.0 : fmax(fmin(given->ec_ms_cm / ec_of_log, 2.0), 0.5);
    for (int e = 0; e < ELEMENT_NUTRIENTS; e++)
        mg_l[e] *= times;
}

/* By the log, else by EC alone; between the least and the most that any of the ways tells. */
static void find_left(const struct topup_given *given, double now_l, double target_ec, struct topup *topup)
{
    double few[ELEMENT_NUTRIENTS], many[ELEMENT_NUTRIENTS];

    find_left_by_log(given, now_l, UPTAKE_SHARE, topup->left_mg_l);
    find_left_by_log(given, now_l, UPTAKE_MOST, few);
    find_left_by_log(given, now_l, UPTAKE_LEAST, many);
    for (int e = 0; e < ELEMENT_NUTRIENTS; e++) {
        double by_ec = given->target_mg_l[e] * given->ec_ms_cm / target_ec;

        if (isnan(topup->left_mg_l[e]))
            topup->left_mg_l[e] = by_ec;
        topup->left_low_mg_l[e] = fmin(fmin(few[e], many[e]), fmin(topup->left_mg_l[e], BY_EC_LEAST * by_ec)); /* fmin passes NAN over */
        topup->left_high_mg_l[e] = fmax(fmax(few[e], many[e]), fmax(topup->left_mg_l[e], BY_EC_MOST * by_ec));
    }
}

/* Share of full strength that brings one element back to its target; what the crop will drink may ask for less. */
static double share_for(const struct topup_given *given, const struct topup *topup, double now_l, enum element e)
{
    double target = given->target_mg_l[e], water = given->water_mg_l[e], left = topup->left_mg_l[e] * now_l;
    double full = (target - water) * topup->add_l, mended, needed;

    if (isnan(left) || isnan(target) || !(full > 0.0))
        return NAN;
    mended = (target * (now_l + topup->add_l) - left - water * topup->add_l) / full;
    needed = (given->use_l * UPTAKE_SHARE * target - left - water * topup->add_l) / full;
    return isnan(needed) ? mended : fmin(mended, needed);
}

static void decide_strength(const struct topup_given *given, double now_l, double target_ec, struct topup *topup)
{
    double worst = -INFINITY, sum = 0.0;
    int counted = 0, short_of = -1;

    for (size_t i = 0; i < MAIN_COUNT; i++) {
        double share = share_for(given, topup, now_l, main_elements[i]);

        if (isnan(share))
            continue;
        sum += fmax(fmin(share, 1.0), 0.0);
        counted++;
        if (share > worst) {
            worst = share;
            short_of = (int)main_elements[i];
        }
    }
    if (counted == 0) {
        topup->share = EC_UNREAD_SHARE;
        because(topup, TOPUP_EC_UNREAD);
    } else if (given->ec_ms_cm > STRONG_TIMES * target_ec) {
        topup->share = 0.0;
        because(topup, TOPUP_STRONG)->ec_ms_cm = given->ec_ms_cm;
    } else {
        topup->share = floor(sum / counted / SHARE_STEP + 0.5) * SHARE_STEP;
        if (given->ec_ms_cm < WEAK_TIMES * target_ec)
            because(topup, TOPUP_WEAK)->ec_ms_cm = given->ec_ms_cm;
        if (worst > sum / counted + 0.2) {
            struct topup_why *why = because(topup, TOPUP_SHORT_OF);

            why->element = short_of;
            why->share = fmax(1.0 - worst, 0.0);
        }
    }
    if (topup->share < PLAIN_BELOW)
        topup->share = 0.0;
    if (topup->share > FULL_ABOVE)
        topup->share = 1.0;
    topup->strength = topup->share == 0.0 ? TOPUP_PLAIN : topup->share == 1.0 ? TOPUP_FULL : TOPUP_DILUTE;
    if (counted)
        because(topup, TOPUP_BALANCED)->share = topup->share;
    for (int e = 0; e < ELEMENT_NUTRIENTS; e++)
        topup->target_mg_l[e] = given->target_mg_l[e] > given->water_mg_l[e]
                                    ? given->water_mg_l[e] + topup->share * (given->target_mg_l[e] - given->water_mg_l[e])
                                    : given->target_mg_l[e];
}

double topup_ec_after(double now_l, double ec_ms_cm, double add_l, double add_ec_ms_cm)
{
    return now_l + add_l > 0.0 ? (now_l * ec_ms_cm + add_l * add_ec_ms_cm) / (now_l + add_l) : ec_ms_cm;
}

int topup_make(const struct topup_given *given, struct topup *topup, struct fault *fault)
{
    struct topup made = {.again_days = NAN, .ec_after_ms_cm = NAN};
    double now_l, target_ec, water_ec;

    if (check_given(given, fault))
        return -1;
    now_l = volume_l(given->vessel, given->waterline_mm);
    target_ec = isnan(given->target_ec_ms_cm) ? ec_of_cations(given->target_mg_l) : given->target_ec_ms_cm;
    target_ec = target_ec > 0.0 ? target_ec : NAN;
    water_ec = isnan(given->water_ec_ms_cm) ? ec_of_cations(given->water_mg_l) : given->water_ec_ms_cm;
    for (int e = 0; e < ELEMENT_NUTRIENTS; e++)
        made.target_mg_l[e] = NAN;
    find_left(given, fmax(now_l, 1e-6), target_ec, &made);
    decide_volume(given, now_l, &made);
    if (made.add_l > 0.0) {
        decide_strength(given, now_l, target_ec, &made);
        made.cautions = 1u << TOPUP_CAUTION_SLOW | 1u << TOPUP_CAUTION_HOSE;
        if (made.strength != TOPUP_PLAIN)
            made.cautions |= 1u << TOPUP_CAUTION_JUG;
        if (made.add_l >= HEAVY_L)
            made.cautions |= 1u << TOPUP_CAUTION_WEIGHT;
        made.ec_after_ms_cm = topup_ec_after(now_l, given->ec_ms_cm, made.add_l, water_ec + made.share * fmax(target_ec - water_ec, 0.0));
    } else
        made.ec_after_ms_cm = given->ec_ms_cm;
    made.to_mm = made.add_l > 0.0 ? waterline_mm(given->vessel, now_l + made.add_l) : given->waterline_mm;
    made.rise_mm = made.to_mm - given->waterline_mm;
    *topup = made;
    return 0;
}

size_t topup_why_text(const struct topup_why *why, char *text, size_t size)
{
    int length = 0;

    switch (why->kind) {
    case TOPUP_ENOUGH:
        if (!isnan(why->days) && why->water_days > 365) /* the days of a tank that hardly drinks say nothing */
            length = snprintf(text, size, "Nothing to add: harvest in %.0f days, water left for more than a year at this rate.", why->days);
        else if (!isnan(why->days) && !isnan(why->water_days))
            length = snprintf(text, size, "Nothing to add: harvest in %.0f days, %.0f days of water left.", why->days, why->water_days);
        else
            length = snprintf(text, size, "Nothing to add: the water lasts to harvest, with %.1f L to spare.", why->litres);
        break;
    case TOPUP_TO_HARVEST:
        length = snprintf(text, size, "%.1f L are missing to carry the plants to harvest.", why->litres);
        break;
    case TOPUP_CEILING:
        length = snprintf(text, size, "Up to the ceiling at %.0f mm there is room for %.1f L.", why->mm, why->litres);
        break;
    case TOPUP_RISE:
        length = snprintf(text, size, "Once air roots hang, the level should rise by no more than %.0f mm.", why->mm);
        break;
    case TOPUP_AGAIN:
        length = snprintf(text, size, "The tank will ask for more in about %.0f days.", why->days);
        break;
    case TOPUP_STRONG:
        length = snprintf(text, size, "At %.2f mS/cm the solution is stronger than its target: plain water.", why->ec_ms_cm);
        break;
    case TOPUP_WEAK:
        length = snprintf(text, size, "At %.2f mS/cm the solution is weaker than its target.", why->ec_ms_cm);
        break;
    case TOPUP_BALANCED:
        length = snprintf(text, size, "By what the tank still holds, %.0f %% of full strength.", why->share * 100.0);
        break;
    case TOPUP_SHORT_OF:
        length = snprintf(text, size, "It is %s that runs short first.", why->element >= 0 && why->element < ELEMENT_NUTRIENTS ? element_name[why->element] : "an element");
        break;
    case TOPUP_AT_CEILING:
        length = snprintf(text, size, "The water stands at its ceiling of %.0f mm: nothing can be added.", why->mm);
        break;
    case TOPUP_EC_UNREAD:
        length = snprintf(text, size, "No EC was read: half strength until one is.");
        break;
    }
    return length > 0 ? (size_t)length : 0;
}
