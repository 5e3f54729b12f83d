/* gardens.c - the garden's settings over HTTP. */
#include "api/gardens.h"

#include <math.h>
#include <string.h>

#include "garden/clock.h"
#include "garden/place.h"
#include "store/gardens.h"

static const char *const places[] = {"open_air", "under_cover", "lamps", NULL};
static const char *const lengths[] = {"mm", "cm", "in", NULL};
static const char *const volumes[] = {"l", "us_gal", "imp_gal", NULL};
static const char *const temperatures[] = {"c", "f", NULL};
static const char *const masses[] = {"g", "oz", NULL};
static const char *const languages[] = {"en", "de", NULL};
static const char *const shows[] = {"nothing", "crop", NULL};
static const char *const froms[] = {"told", "latitude", "none", NULL};
static const char *const roles[] = {"none", "sensor", "visitor", "grower", "keeper", NULL};

/* The document: the stored row, with the climate put together and what only an answer has. */
struct garden_document {
    struct garden_row row;
    struct climate_document {
        struct list monthly;
        struct indoor_document {
            double temperature_c, rh_percent, ppfd_umol, hours;
        } indoor;
        bool indoor_given;
    } climate, used;
    bool climate_given, used_given;
    int climate_from;
    int32_t today;
    struct me_document {
        const char *member, *name, *device;
        int role;
    } me;
    const char *version;
};

#define AT(member) offsetof(struct month_row, member)
static const struct field month_fields[] = {
    {"tmin_c", FIELD_NUMBER, FIELD_REQUIRED, AT(tmin_c), -60, 50, .standard = NAN, .about = "Mean daily minimum, C."},
    {"tmax_c", FIELD_NUMBER, FIELD_REQUIRED, AT(tmax_c), -60, 60, .standard = NAN, .about = "Mean daily maximum, C."},
    {"rh_percent", FIELD_NUMBER, FIELD_NULLABLE, AT(rh_percent), 1, 100, .standard = NAN, .about = "Mean relative humidity, %."},
    {"wind_m_s", FIELD_NUMBER, FIELD_NULLABLE, AT(wind_m_s), 0, 40, .standard = NAN, .about = "Mean wind at 2 m, m/s."},
    {"sunshine_h", FIELD_NUMBER, FIELD_NULLABLE, AT(sunshine_h), 0, 24, .standard = NAN, .about = "Sunshine a day, h."},
};
#undef AT
static const struct shape month_shape = {.name = "Month", .size = sizeof(struct month_row), .field = month_fields,
                                         .count = sizeof month_fields / sizeof *month_fields};

#define AT(member) offsetof(struct indoor_document, member)
static const struct field indoor_fields[] = {
    {"temperature_c", FIELD_NUMBER, FIELD_REQUIRED, AT(temperature_c), 0, 45, .standard = NAN, .about = "Air, C."},
    {"rh_percent", FIELD_NUMBER, FIELD_REQUIRED, AT(rh_percent), 5, 100, .standard = NAN, .about = "Relative humidity, %."},
    {"ppfd_umol", FIELD_NUMBER, FIELD_REQUIRED, AT(ppfd_umol), 0, 2000, .standard = NAN, .about = "Light at the leaves, umol/m2/s."},
    {"hours", FIELD_NUMBER, FIELD_REQUIRED, AT(hours), 0, 24, .standard = NAN, .about = "Light a day, h."},
};
#undef AT
static const struct shape indoor_shape = {.name = "Indoor", .size = sizeof(struct indoor_document), .field = indoor_fields, .count = 4};

#define AT(member) offsetof(struct climate_document, member)
static const struct field climate_fields[] = {
    {"monthly", FIELD_LIST, 0, AT(monthly), 12, 12, .shape = &month_shape, .about = "Normals, January first."},
    {"indoor", FIELD_OBJECT, 0, AT(indoor), .shape = &indoor_shape, .about = "Under lamps.", .given = AT(indoor_given)},
};
#undef AT
static const struct shape climate_shape = {.name = "Climate", .size = sizeof(struct climate_document), .field = climate_fields, .count = 2};

#define AT(member) offsetof(struct me_document, member)
static const struct field me_fields[] = {
    {"member", FIELD_TEXT, FIELD_NULLABLE, AT(member), .about = "Who asks; null: the machine itself."},
    {"name", FIELD_TEXT, FIELD_NULLABLE, AT(name), .about = "Their name."},
    {"role", FIELD_CHOICE, FIELD_REQUIRED, AT(role), .words = roles, .about = "What they may do."},
    {"device", FIELD_TEXT, FIELD_NULLABLE, AT(device), .about = "The device they ask from."},
};
#undef AT
static const struct shape me_shape = {.name = "Me", .size = sizeof(struct me_document), .field = me_fields, .count = 4};

#define AT(member) offsetof(struct garden_document, member)
static const struct field garden_fields[] = {
    {"id", FIELD_TEXT, FIELD_ANSWER_ONLY, AT(row.id), .about = "The garden's id."},
    {"name", FIELD_TEXT, FIELD_REQUIRED, AT(row.name), 1, 100, .about = "Its name."},
    {"time_zone", FIELD_TEXT, FIELD_REQUIRED, AT(row.time_zone), 1, 64, .about = "IANA time zone; days begin and end by it."},
    {"today", FIELD_DATE, FIELD_ANSWER_ONLY, AT(today), .about = "The day it is there."},
    {"latitude_deg", FIELD_NUMBER, FIELD_NULLABLE, AT(row.latitude_deg), -90, 90, .standard = NAN, .about = "North positive."},
    {"elevation_m", FIELD_NUMBER, FIELD_NULLABLE, AT(row.elevation_m), -430, 6000, .standard = NAN, .about = "Above sea level, m."},
    {"place", FIELD_CHOICE, FIELD_REQUIRED, AT(row.place), .words = places, .about = "Where most tanks stand."},
    {"climate", FIELD_OBJECT, FIELD_NULLABLE, AT(climate), .shape = &climate_shape, .about = "As it was told.", .given = AT(climate_given)},
    {"climate_used", FIELD_OBJECT, FIELD_ANSWER_ONLY | FIELD_NULLABLE, AT(used), .shape = &climate_shape,
     .about = "What outlooks reckon with: as told, or estimated.", .given = AT(used_given)},
    {"climate_from", FIELD_CHOICE, FIELD_ANSWER_ONLY, AT(climate_from), .words = froms, .about = "Told by people, estimated from the latitude, or not known."},
    {"length_unit", FIELD_CHOICE, FIELD_REQUIRED, AT(row.length_unit), .words = lengths, .about = "How lengths are shown."},
    {"volume_unit", FIELD_CHOICE, FIELD_REQUIRED, AT(row.volume_unit), .words = volumes, .about = "How volumes are shown."},
    {"temperature_unit", FIELD_CHOICE, FIELD_REQUIRED, AT(row.temperature_unit), .words = temperatures, .about = "How temperatures are shown."},
    {"mass_unit", FIELD_CHOICE, FIELD_REQUIRED, AT(row.mass_unit), .words = masses, .about = "How masses are shown."},
    {"language", FIELD_CHOICE, FIELD_REQUIRED, AT(row.language), .words = languages, .about = "Of the pages."},
    {"public_url", FIELD_TEXT, FIELD_NULLABLE, AT(row.public_url), 8, 200, .about = "The address that links and labels carry."},
    {"label_shows", FIELD_CHOICE, FIELD_REQUIRED, AT(row.label_shows), .words = shows, .about = "What a stranger who scans a label sees."},
    {"lamp_w", FIELD_NUMBER, FIELD_NULLABLE, AT(row.lamp_w), 0.1, 20000, .standard = NAN,
     .about = "Power of the lamps over each tank that tells none of its own, W; null: not known."},
    {"records_members", FIELD_BOOL, 0, AT(row.records_members), .about = "Whether harvest records may be read member by member."},
    {"me", FIELD_OBJECT, FIELD_ANSWER_ONLY, AT(me), .shape = &me_shape, .about = "Who asks."},
    {"version", FIELD_TEXT, FIELD_ANSWER_ONLY, AT(version), .about = "Of the daemon."},
};
#undef AT
static int garden_rule(const void *read, struct fault *fault)
{
    const struct garden_document *document = read;
    const char *url = document->row.public_url;

    if (url && strncmp(url, "http://", 7) != 0 && strncmp(url, "https://", 8) != 0)
        return fault_add(fault, FAULT_INPUT, "/public_url", "must begin with http:// or https://");
    return 0;
}
const struct shape garden_shape = {.name = "Garden", .size = sizeof(struct garden_document), .field = garden_fields,
                                   .count = sizeof garden_fields / sizeof *garden_fields, .rule = garden_rule,
                                   .about = "The settings of the one garden in this file."};

/* ---- the row and its document ---- */

/* What place_climate found, as a document; left out where memory is short. */
static void use_climate(struct request *request, const struct outlook_climate *climate, struct garden_document *document)
{
    struct month_row *month = arena_take(request->arena, 12 * sizeof *month);

    if (climate->kind == OUTLOOK_INDOORS) {
        document->used.indoor = document->climate.indoor;
        document->used_given = document->used.indoor_given = true;
        return;
    }
    if (!month)
        return;
    for (int i = 0; i < 12; i++)
        month[i] = (struct month_row){climate->monthly[i].tmin_c, climate->monthly[i].tmax_c, climate->monthly[i].rh_percent,
                                      climate->monthly[i].wind_m_s, climate->monthly[i].sunshine_h};
    document->used.monthly = (struct list){month, 12};
    document->used_given = true;
}

static void document_of(struct request *request, const struct garden_row *row, struct garden_document *document)
{
    struct outlook_climate climate;
    bool told;

    *document = (struct garden_document){.row = *row, .today = clock_day(row->time_zone, clock_now_ms()), .version = VERSION};
    document->climate.monthly = row->months;
    document->climate.indoor = (struct indoor_document){row->indoor_temperature_c, row->indoor_rh_percent, row->indoor_ppfd_umol,
                                                        row->indoor_hours};
    document->climate.indoor_given = !isnan(row->indoor_temperature_c);
    document->climate_given = document->climate.indoor_given || row->months.count;
    document->climate_from = place_climate(row, &climate, &told) ? (told ? 0 : 1) : 2;
    if (document->climate_from != 2)
        use_climate(request, &climate, document);
    document->me = (struct me_document){.member = request->who.member_id, .name = request->who.name,
                                        .device = request->who.device_id, .role = (int)request->who.role};
}

static void row_of(const struct garden_document *document, struct garden_row *row)
{
    const char *id = row->id;
    int64_t made_ms = row->made_ms;

    *row = document->row;
    row->id = id;
    row->made_ms = made_ms;
    row->months = document->climate.monthly;
    row->indoor_temperature_c = document->climate.indoor.temperature_c;
    row->indoor_rh_percent = document->climate.indoor.rh_percent;
    row->indoor_ppfd_umol = document->climate.indoor.ppfd_umol;
    row->indoor_hours = document->climate.indoor.hours;
}

/* GET /api/v1/garden */
int garden_get(struct request *request, struct reply *reply, struct fault *fault)
{
    struct garden_row row;
    struct garden_document document;

    if (garden_settings(request->service->garden, &row, request->arena, fault))
        return -1;
    document_of(request, &row, &document);
    return reply_json(reply, 200, shape_write(&garden_shape, &document), fault);
}

/* PATCH /api/v1/garden: the named settings in the place of the present ones. */
int garden_patch(struct request *request, struct reply *reply, struct fault *fault)
{
    struct garden_row row;
    struct garden_document document;

    if (garden_settings(request->service->garden, &row, request->arena, fault))
        return -1;
    document_of(request, &row, &document);
    if (shape_patch(&garden_shape, &document, request->document, request->arena, fault))
        return -1;
    row_of(&document, &row);
    if (garden_settings_write(request->service->garden, &row, fault))
        return -1;
    return garden_get(request, reply, fault);
}
