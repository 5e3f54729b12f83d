/* calc_reference_et.c - reference evaporation of one day. */
#include "api/calc.h"

#include <math.h>

#include "calc/climate.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

static const char *const situation_words[] = {"inland", "coast", NULL};
static const char *const method_words[] = {"penman-monteith", "hargreaves", NULL};

struct given {
    struct climate_given climate;
    int situation;
};

#define AT(member) offsetof(struct given, climate.member)
#define NUMBER(name, flags, least, most, text) {#name, FIELD_NUMBER, flags, AT(name), least, most, .standard = NAN, .about = text}
static const struct field given_fields[] = {
    NUMBER(latitude_deg, FIELD_REQUIRED, -90, 90, "North positive."),
    NUMBER(elevation_m, FIELD_REQUIRED, -430, 6000, "Above sea level, m."),
    {"date", FIELD_DATE, FIELD_REQUIRED, AT(day), .about = "The day."},
    NUMBER(tmin_c, FIELD_REQUIRED, -60, 60, "Lowest air temperature of the day, C."),
    NUMBER(tmax_c, FIELD_REQUIRED, -60, 60, "Highest air temperature of the day, C."),
    NUMBER(rh_mean_percent, FIELD_NULLABLE, 0, 100, "Mean relative humidity, %; the first known of ea_kpa, tdew_c, rh_min_percent and rh_max_percent, this is taken."),
    NUMBER(rh_min_percent, FIELD_NULLABLE, 0, 100, "Lowest relative humidity, %."),
    NUMBER(rh_max_percent, FIELD_NULLABLE, 0, 100, "Highest relative humidity, %."),
    NUMBER(tdew_c, FIELD_NULLABLE, -60, 60, "Dew point, C."),
    NUMBER(ea_kpa, FIELD_NULLABLE, 0, 12, "Vapour pressure, kPa."),
    NUMBER(wind_m_s, FIELD_NULLABLE, 0, 60, "Mean wind, m/s; 2 where not known."),
    NUMBER(wind_height_m, FIELD_NULLABLE, 0.5, 200, "Height at which the wind was measured, m; 2 where left out."),
    NUMBER(sunshine_h, FIELD_NULLABLE, 0, 24, "Hours of bright sunshine."),
    NUMBER(solar_mj_m2, FIELD_NULLABLE, 0, 50, "Measured solar radiation, MJ/m2 a day; taken before sunshine_h."),
    {"situation", FIELD_CHOICE, 0, offsetof(struct given, situation), .words = situation_words, .standard = CLIMATE_INLAND,
     .about = "For radiation estimated from temperature."},
    {"arid", FIELD_BOOL, 0, AT(arid), .about = "For humidity estimated from temperature."},
};
#undef AT

static int no_lone_minimum(const void *read, struct fault *fault)
{
    const struct climate_given *climate = &((const struct given *)read)->climate;

    if (!isnan(climate->rh_min_percent) && isnan(climate->rh_max_percent))
        return fault_add(fault, FAULT_INPUT, "/rh_max_percent", "is required beside rh_min_percent");
    return 0;
}

const struct shape calc_reference_et_shape = {.name = "ReferenceEtQuestion", .size = sizeof(struct given), .field = given_fields,
                                              .count = COUNT(given_fields), .rule = no_lone_minimum,
                                              .about = "One day's weather at a place; what is not known is left out."};

struct answer {
    struct climate_day day;
    int method;
    struct list filled_in; /* const char * */
};

static const struct field word_field[] = {{NULL, FIELD_TEXT, FIELD_REQUIRED, 0, 0, 0, .about = NULL}};
static const struct shape word_shape = {.size = sizeof(const char *), .field = word_field, .count = 1};

#define AT(member) offsetof(struct answer, day.member)
#define TOLD(name, text) {#name, FIELD_NUMBER, FIELD_REQUIRED, AT(name), .standard = NAN, .about = text}
static const struct field answer_fields[] = {
    TOLD(et0_mm_day, "Reference evaporation, mm a day."),
    {"method", FIELD_CHOICE, FIELD_REQUIRED, offsetof(struct answer, method), .words = method_words, .about = "Hargreaves where only temperatures are known."},
    TOLD(ra_mj_m2, "Radiation at the top of the air, MJ/m2 a day."),
    TOLD(rs_mj_m2, "Solar radiation at the ground, MJ/m2 a day."),
    TOLD(rn_mj_m2, "Net radiation, MJ/m2 a day."),
    TOLD(daylight_h, "From sunrise to sunset, h."),
    {"filled_in", FIELD_LIST, FIELD_REQUIRED, offsetof(struct answer, filled_in), .shape = &word_shape, .about = "What had to be estimated: humidity, wind, solar, wind_height."},
    TOLD(u2_m_s, "Wind at 2 m, m/s."),
    TOLD(ea_kpa, "Vapour pressure, kPa."),
    TOLD(es_kpa, "Saturation vapour pressure, kPa."),
};
#undef AT
const struct shape calc_reference_et_answer_shape = {.name = "ReferenceEt", .size = sizeof(struct answer), .field = answer_fields,
                                                     .count = COUNT(answer_fields), .about = "FAO Irrigation and Drainage Paper 56 (1998)."};

/* POST /api/v1/calc/reference-et */
int calc_reference_et_post(struct request *request, struct reply *reply, struct fault *fault)
{
    const struct given *given = request->given;
    struct climate_given climate = given->climate;
    struct answer answer = {.method = 0};
    const char *filled[CLIMATE_FILLED_COUNT];

    climate.situation = (enum climate_situation)given->situation;
    climate.twet_c = climate.tdry_c = climate.psychrometer_a = NAN;
    if (climate_reference_et(&climate, &answer.day, fault))
        return -1;
    answer.method = (int)answer.day.method;
    answer.filled_in.item = filled;
    for (size_t i = 0; i < CLIMATE_FILLED_COUNT; i++)
        if (answer.day.filled_in & 1u << i)
            filled[answer.filled_in.count++] = climate_filled_key[i];
    return reply_json(reply, 200, shape_write(&calc_reference_et_answer_shape, &answer), fault);
}
