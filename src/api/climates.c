/* climates.c - climates as documents. */
#include "api/climates.h"

#include <math.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))
#define NUMBER(name, at, flags, least, most, text) {name, FIELD_NUMBER, flags, at, least, most, .standard = NAN, .about = text}

static const char *const cover_words[] = {"open_air", "under_cover", NULL};

#define AT(member) offsetof(struct outlook_month, member)
static const struct field month_fields[] = {
    NUMBER("tmin_c", AT(tmin_c), FIELD_REQUIRED, -60, 60, "Mean daily minimum, C."),
    NUMBER("tmax_c", AT(tmax_c), FIELD_REQUIRED, -60, 60, "Mean daily maximum, C."),
    NUMBER("rh_percent", AT(rh_percent), FIELD_NULLABLE, 1, 100, "Mean relative humidity, %."),
    NUMBER("wind_m_s", AT(wind_m_s), FIELD_NULLABLE, 0, 60, "Mean wind at 2 m, m/s."),
    NUMBER("sunshine_h", AT(sunshine_h), FIELD_NULLABLE, 0, 24, "Hours of sunshine a day."),
};
static const struct shape month_shape = {.name = "MonthlyNormal", .size = sizeof(struct outlook_month), .field = month_fields, .count = COUNT(month_fields)};
#undef AT

#define AT(member) offsetof(struct climate_indoor, member)
static const struct field lamp_fields[] = {
    NUMBER("temperature_c", AT(temperature_c), FIELD_REQUIRED, 0, 45, "Air, C."),
    NUMBER("rh_percent", AT(rh_percent), FIELD_REQUIRED, 5, 100, "Relative humidity, %."),
    NUMBER("ppfd_umol", AT(ppfd_umol), FIELD_REQUIRED, 0, 2000, "Light at the leaves, umol per m2 and s."),
    NUMBER("hours", AT(hours), FIELD_REQUIRED, 0, 24, "Of light a day, h."),
};
static const struct shape lamp_shape = {.name = "Lamps", .size = sizeof(struct climate_indoor), .field = lamp_fields, .count = COUNT(lamp_fields)};
#undef AT

#define AT(member) offsetof(struct climate_given_document, member)
static const struct field outdoors_fields[] = {
    NUMBER("latitude_deg", AT(outdoors.latitude_deg), FIELD_REQUIRED, -90, 90, "North positive."),
    NUMBER("elevation_m", AT(outdoors.elevation_m), FIELD_REQUIRED, -430, 6000, "Above sea level, m."),
    {"monthly", FIELD_LIST, FIELD_REQUIRED, AT(outdoors.monthly), 12, 12, .shape = &month_shape, .about = "Normals, January first."},
    {"normals_off_c", FIELD_NUMBER, 0, AT(outdoors.normals_off_c), 0, 15, .standard = 0, .about = "How far the normals' warmth may lie off, standard deviation, C: 0 of a weather station near by, 6 of a guess."},
    {"cover", FIELD_CHOICE, 0, AT(outdoors.cover), .words = cover_words, .standard = OUTLOOK_OPEN_AIR, .about = "Under a roof of glass or film: less light, little wind."},
};
static const struct field indoors_fields[] = {
    {"indoor", FIELD_OBJECT, FIELD_REQUIRED, AT(indoor), .shape = &lamp_shape, .about = "Under lamps."},
};
#undef AT
static const struct shape outdoors_shape = {.name = "ClimateOutdoors", .size = sizeof(struct climate_given_document), .field = outdoors_fields, .count = COUNT(outdoors_fields)};
static const struct shape indoors_shape = {.name = "ClimateIndoors", .size = sizeof(struct climate_given_document), .field = indoors_fields, .count = COUNT(indoors_fields)};
static const struct shape *const climate_variants[] = {&outdoors_shape, &indoors_shape, NULL};
const struct shape climate_given_shape = {.name = "ClimateOf", .size = sizeof(struct climate_given_document), .variants = climate_variants};

void climate_from_given(const struct climate_given_document *given, struct outlook_climate *climate)
{
    const struct outlook_month *month = given->outdoors.monthly.item;

    if (given->which) {
        climate->kind = OUTLOOK_INDOORS;
        climate->indoor = given->indoor;
        return;
    }
    climate->kind = OUTLOOK_OUTDOORS;
    climate->latitude_deg = given->outdoors.latitude_deg;
    climate->elevation_m = given->outdoors.elevation_m;
    climate->cover = (enum outlook_cover)given->outdoors.cover;
    climate->normals_off_c = given->outdoors.normals_off_c;
    for (size_t i = 0; i < 12; i++)
        climate->monthly[i] = month[i];
}
