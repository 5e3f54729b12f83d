/* calc_meter.c - what a conductivity meter's number means, and whether the meter can be believed. */
#include "api/calc.h"

#include <math.h>

#include "calc/ec_meter.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))
#define NUMBER(name, at, flags, least, most, text) {name, FIELD_NUMBER, flags, at, least, most, .standard = NAN, .about = text}

static const char *const scale_words[] = {"ms_cm", "us_cm", "ppm_500", "ppm_700", NULL};
_Static_assert(COUNT(scale_words) == EC_SCALES + 1, "every scale has its word");
static const char *const compensation_words[] = {"none", "iso_7888", "linear_2_percent", NULL};
static const char *const standard_words[] = {"kcl_0_01_mol_l", "kcl_0_1_mol_l", NULL};

struct given {
    double reading, temperature_c;
    int scale, compensation, standard;
    bool compensated;
};

#define AT(member) offsetof(struct given, member)
static const struct field given_fields[] = {
    NUMBER("reading", AT(reading), FIELD_REQUIRED, 0, 200000, "As the meter shows it."),
    {"scale", FIELD_CHOICE, FIELD_REQUIRED, AT(scale), .words = scale_words, .about = "Its scale; the two ppm scales are 0.5 and 0.7 of uS/cm (common practice, no source)."},
    NUMBER("temperature_c", AT(temperature_c), 0, 0, 40, "Of the liquid, C; needed where the meter does not compensate, and for a check."),
    {"compensated", FIELD_BOOL, 0, AT(compensated), .standard = 1, .about = "Whether the meter shows EC at 25 C already, as most do."},
    {"compensation", FIELD_CHOICE, 0, AT(compensation), .words = compensation_words, .standard = EC_LINEAR_2, .about = "How a raw reading is brought to 25 C."},
    {"standard", FIELD_CHOICE, 0, AT(standard), .words = standard_words, .standard = -1, .about = "The potassium chloride standard that was read: checks the meter."},
};
#undef AT
static int temperature_where_needed(const void *read, struct fault *fault)
{
    const struct given *given = read;

    if (isnan(given->temperature_c) && (!given->compensated || given->standard >= 0))
        return fault_add(fault, FAULT_INPUT, "/temperature_c", "is needed");
    return 0;
}
const struct shape calc_meter_shape = {.name = "MeterQuestion", .size = sizeof(struct given), .field = given_fields, .count = COUNT(given_fields),
                                       .rule = temperature_where_needed, .about = "A number that a meter shows."};

struct answer {
    double ec_ms_cm, us_cm, ppm_500, ppm_700;
    struct check_document {
        double expected_ms_cm, off_percent, correction;
        bool good;
        const char *said;
    } check;
    bool check_given;
};

#define AT(member) offsetof(struct check_document, member)
static const struct field check_fields[] = {
    NUMBER("expected_ms_cm", AT(expected_ms_cm), FIELD_REQUIRED, 0, 0, "What the standard has there, mS/cm."),
    NUMBER("off_percent", AT(off_percent), FIELD_REQUIRED, 0, 0, "How far the meter is off, %."),
    NUMBER("correction", AT(correction), FIELD_REQUIRED, 0, 0, "Multiply readings by this."),
    {"good", FIELD_BOOL, FIELD_REQUIRED, AT(good), .about = "Within 2 %."},
    {"said", FIELD_TEXT, FIELD_REQUIRED | FIELD_SAID, AT(said), .about = "In a sentence."},
};
#undef AT
static const struct shape check_shape = {.name = "MeterCheck", .size = sizeof(struct check_document), .field = check_fields, .count = COUNT(check_fields)};

#define AT(member) offsetof(struct answer, member)
static const struct field answer_fields[] = {
    NUMBER("ec_ms_cm", AT(ec_ms_cm), FIELD_REQUIRED, 0, 0, "EC at 25 C, mS/cm."),
    NUMBER("us_cm", AT(us_cm), FIELD_REQUIRED, 0, 0, "The same, uS/cm."),
    NUMBER("ppm_500", AT(ppm_500), FIELD_REQUIRED, 0, 0, "The same on the scale of 0.5."),
    NUMBER("ppm_700", AT(ppm_700), FIELD_REQUIRED, 0, 0, "The same on the scale of 0.7."),
    {"check", FIELD_OBJECT, FIELD_REQUIRED | FIELD_NULLABLE, AT(check), .shape = &check_shape, .given = AT(check_given), .about = "Against a standard; null where none was read."},
};
#undef AT
const struct shape calc_meter_answer_shape = {.name = "Meter", .size = sizeof(struct answer), .field = answer_fields, .count = COUNT(answer_fields)};

/* POST /api/v1/calc/meter */
int calc_meter_post(struct request *request, struct reply *reply, struct fault *fault)
{
    const struct given *given = request->given;
    double shown = ec_to_ms_cm(given->reading, (enum ec_scale)given->scale), factor = 1;
    struct answer answer = {.check_given = given->standard >= 0};
    struct ec_check check;

    if (!given->compensated && ec_factor_to_25((enum ec_compensation)given->compensation, given->temperature_c, &factor, fault))
        return -1;
    answer.ec_ms_cm = shown * factor;
    answer.us_cm = ec_from_ms_cm(answer.ec_ms_cm, EC_US_CM);
    answer.ppm_500 = ec_from_ms_cm(answer.ec_ms_cm, EC_PPM_500);
    answer.ppm_700 = ec_from_ms_cm(answer.ec_ms_cm, EC_PPM_700);
    if (answer.check_given) {
        if (ec_check_meter((enum ec_standard)given->standard, shown, given->temperature_c, given->compensated, &check, fault))
            return -1;
        answer.check = (struct check_document){check.expected_ms_cm, check.off_percent, check.correction, check.good, check.said};
    }
    return reply_json(reply, 200, shape_write(&calc_meter_answer_shape, &answer), fault);
}
