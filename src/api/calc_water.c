/* calc_water.c - a source water from what is known of it, with how sure that is; and blends. */
#include "api/calc.h"

#include <math.h>
#include <string.h>

#include "api/chemistry.h"
#include "calc/water.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))
#define NUMBER(name, at, flags, least, most, text) {name, FIELD_NUMBER, flags, at, least, most, .standard = NAN, .about = text}

static const char *const basis_words[] = {"analysis", "hardness", "strip", "ec", NULL};

/* ---- what is known ---- */

struct band {
    double value, low, high;
};
#define AT(member) offsetof(struct band, member)
static const struct field band_fields[] = {
    NUMBER("value", AT(value), FIELD_REQUIRED, 0, 5000, "Where the colour is."),
    NUMBER("low", AT(low), FIELD_REQUIRED, 0, 5000, "The class below."),
    NUMBER("high", AT(high), FIELD_REQUIRED, 0, 5000, "The class above."),
};
#undef AT
static const struct shape band_shape = {.name = "StripBand", .size = sizeof(struct band), .field = band_fields, .count = COUNT(band_fields)};

struct strip {
    struct band hardness, alkalinity, ph, no3;
};
#define AT(member) offsetof(struct strip, member)
#define BAND(name, at, text) {name, FIELD_OBJECT, FIELD_NULLABLE, at, .shape = &band_shape, .about = text}
static const struct field strip_fields[] = {
    BAND("hardness_mg_caco3_l", AT(hardness), "Total hardness, mg/L CaCO3."),
    BAND("alkalinity_mg_caco3_l", AT(alkalinity), "mg/L CaCO3."),
    BAND("ph", AT(ph), "pH."),
    BAND("no3_mg_l", AT(no3), "Nitrate, mg/L."),
};
#undef AT
static const struct shape strip_shape = {.name = "Strip", .size = sizeof(struct strip), .field = strip_fields, .count = COUNT(strip_fields)};

struct given {
    int basis;
    struct source_water water, soft;
    bool water_given, strip_given, soft_given;
    struct strip strip;
    double hardness_mg_caco3_l, alkalinity_mg_caco3_l, ec_ms_cm, ph, wished_alkalinity_mg_caco3_l;
};

#define AT(member) offsetof(struct given, member)
static const struct field given_fields[] = {
    {"basis", FIELD_CHOICE, FIELD_REQUIRED, AT(basis), .words = basis_words, .about = "What is known: an analysis, hardness with alkalinity and EC, a strip, EC alone."},
    {"water", FIELD_OBJECT, FIELD_NULLABLE, AT(water), .shape = &water_given_shape, .given = AT(water_given), .about = "The analysis."},
    NUMBER("hardness_mg_caco3_l", AT(hardness_mg_caco3_l), FIELD_NULLABLE, 0, 2000, "Total hardness, mg/L CaCO3."),
    NUMBER("alkalinity_mg_caco3_l", AT(alkalinity_mg_caco3_l), FIELD_NULLABLE, 0, 2000, "mg/L CaCO3."),
    NUMBER("ec_ms_cm", AT(ec_ms_cm), FIELD_NULLABLE, 0, 20, "EC at 25 C, mS/cm."),
    NUMBER("ph", AT(ph), FIELD_NULLABLE, 3, 11, "pH."),
    {"strip", FIELD_OBJECT, FIELD_NULLABLE, AT(strip), .shape = &strip_shape, .given = AT(strip_given), .about = "Colours of a strip with the classes beside them."},
    {"blend_with", FIELD_OBJECT, FIELD_NULLABLE, AT(soft), .shape = &water_given_shape, .given = AT(soft_given), .about = "Rain or demineralised water to blend with; demineralised where left out."},
    NUMBER("wished_alkalinity_mg_caco3_l", AT(wished_alkalinity_mg_caco3_l), FIELD_NULLABLE, 0, 2000, "Alkalinity that the blend should have, mg/L CaCO3."),
};
#undef AT
static int basis_has_its_numbers(const void *read, struct fault *fault)
{
    const struct given *given = read;
    int failed = 0;

    if (given->basis == WATER_BY_ANALYSIS && !given->water_given)
        failed = fault_add(fault, FAULT_INPUT, "/water", "is needed for an analysis");
    if (given->basis == WATER_BY_STRIP && !given->strip_given)
        failed = fault_add(fault, FAULT_INPUT, "/strip", "is needed for a strip");
    if (given->basis == WATER_BY_HARDNESS && isnan(given->hardness_mg_caco3_l))
        failed = fault_add(fault, FAULT_INPUT, "/hardness_mg_caco3_l", "is needed");
    if (given->basis == WATER_BY_HARDNESS && isnan(given->alkalinity_mg_caco3_l))
        failed = fault_add(fault, FAULT_INPUT, "/alkalinity_mg_caco3_l", "is needed");
    if ((given->basis == WATER_BY_HARDNESS || given->basis == WATER_BY_EC) && isnan(given->ec_ms_cm))
        failed = fault_add(fault, FAULT_INPUT, "/ec_ms_cm", "is needed");
    return failed;
}
const struct shape calc_water_shape = {.name = "WaterQuestion", .size = sizeof(struct given), .field = given_fields, .count = COUNT(given_fields),
                                       .rule = basis_has_its_numbers, .about = "What is known of a source water."};

/* ---- the answer ---- */

struct answer {
    struct source_water water, low, high, blend;
    double ec_ms_cm, ec_low_ms_cm, ec_high_ms_cm, charge_error_percent, missing_meq_l, soft_share;
    const char *missing, *said;
    bool blend_given;
};
#define AT(member) offsetof(struct answer, member)
#define WATER(name, at, text) {name, FIELD_OBJECT, FIELD_REQUIRED, at, .shape = &water_given_shape, .about = text}
static const struct field answer_fields[] = {
    WATER("water", AT(water), "The water in the middle."),
    WATER("low", AT(low), "Field by field, how low each may well be."),
    WATER("high", AT(high), "And how high."),
    NUMBER("ec_ms_cm", AT(ec_ms_cm), FIELD_REQUIRED, 0, 0, "Computed of the water, mS/cm."),
    NUMBER("ec_low_ms_cm", AT(ec_low_ms_cm), FIELD_REQUIRED, 0, 0, "mS/cm."),
    NUMBER("ec_high_ms_cm", AT(ec_high_ms_cm), FIELD_REQUIRED, 0, 0, "mS/cm."),
    NUMBER("charge_error_percent", AT(charge_error_percent), FIELD_REQUIRED, 0, 0, "Of the analysis as given."),
    NUMBER("missing_meq_l", AT(missing_meq_l), FIELD_REQUIRED, 0, 0, "Charge without partner; positive: anions are missing."),
    {"missing", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE | FIELD_SAID, AT(missing), .about = "The ion that is probably missing: a guess."},
    {"said", FIELD_TEXT, FIELD_REQUIRED | FIELD_SAID, AT(said), .about = "What this rests on and what would make it surer."},
    {"blend", FIELD_OBJECT, FIELD_REQUIRED | FIELD_NULLABLE, AT(blend), .shape = &water_given_shape, .given = AT(blend_given), .about = "With the wished alkalinity; null where none was wished."},
    NUMBER("soft_share", AT(soft_share), FIELD_REQUIRED | FIELD_NULLABLE, 0, 0, "Share of the soft water in it."),
};
#undef AT
const struct shape calc_water_answer_shape = {.name = "WaterKnown", .size = sizeof(struct answer), .field = answer_fields, .count = COUNT(answer_fields)};

static struct water_strip strip_of(const struct strip *given)
{
    return (struct water_strip){given->hardness.value,   given->hardness.low,   given->hardness.high, given->alkalinity.value,
                                given->alkalinity.low,   given->alkalinity.high, given->ph.value,      given->ph.low,
                                given->ph.high,          given->no3.value,      given->no3.low,       given->no3.high};
}

static int estimate_of(const struct given *given, struct water_estimate *estimate, struct fault *fault)
{
    struct water_strip strip;
    struct source_water water;
    const struct source_water *taken;

    switch (given->basis) {
    case WATER_BY_HARDNESS:
        return water_from_hardness(given->hardness_mg_caco3_l, given->alkalinity_mg_caco3_l, given->ec_ms_cm, given->ph, estimate, fault);
    case WATER_BY_STRIP:
        strip = strip_of(&given->strip);
        return water_from_strip(&strip, estimate, fault);
    case WATER_BY_EC:
        return water_from_ec(given->ec_ms_cm, estimate, fault);
    default:
        return water_from_given(&given->water, true, &water, &taken, fault) || water_from_analysis(&water, given->ec_ms_cm, estimate, fault)
                   ? -1
                   : 0;
    }
}

/* POST /api/v1/calc/water */
int calc_water_post(struct request *request, struct reply *reply, struct fault *fault)
{
    const struct given *given = request->given;
    struct source_water soft = {.ph = 7};
    const struct source_water *taken;
    struct water_estimate estimate;
    struct answer answer = {.soft_share = NAN};

    if (estimate_of(given, &estimate, fault) || (given->soft_given && water_from_given(&given->soft, true, &soft, &taken, fault)))
        return -1;
    answer.blend_given = !isnan(given->wished_alkalinity_mg_caco3_l);
    if (answer.blend_given) {
        struct fault refused = {0};

        if (water_blend_for(&estimate.water, &soft, given->wished_alkalinity_mg_caco3_l, &answer.soft_share, &answer.blend, &refused))
            return fault_add(fault, refused.code, "/wished_alkalinity_mg_caco3_l", "%s", refused.item[0].detail);
    }
    answer.water = estimate.water;
    answer.low = estimate.low;
    answer.high = estimate.high;
    answer.ec_ms_cm = estimate.ec_ms_cm;
    answer.ec_low_ms_cm = estimate.ec_low_ms_cm;
    answer.ec_high_ms_cm = estimate.ec_high_ms_cm;
    answer.charge_error_percent = estimate.charge_error_percent;
    answer.missing_meq_l = estimate.missing_meq_l;
    answer.missing = *estimate.missing ? estimate.missing : NULL;
    answer.said = estimate.said;
    return reply_json(reply, 200, shape_write(&calc_water_answer_shape, &answer), fault);
}
