/* weather.c - the weather as it was, over HTTP. */
#include "api/weather.h"

#include <math.h>
#include <stdio.h>

#include "api/lists.h"
#include "garden/weather.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

/* The bounds are records of the Earth's surface, rounded outwards: -89.2 and 56.7 C (World Meteorological Organization,
 * archive of extremes, from memory); the others are ours. */
#define AT(member) offsetof(struct weather_row, member)
#define NUMBER(name, member, flags, least, most, about_) {name, FIELD_NUMBER, flags, AT(member), least, most, .standard = NAN, .about = about_}
static const struct field day_fields[] = {
    {"date", FIELD_DATE, FIELD_REQUIRED, AT(day), .about = "The garden's calendar day."},
    NUMBER("tmin_c", tmin_c, FIELD_REQUIRED, -90, 60, "Lowest air temperature, degrees C."),
    NUMBER("tmax_c", tmax_c, FIELD_REQUIRED, -90, 60, "Highest air temperature, degrees C."),
    NUMBER("rh_percent", rh_percent, FIELD_NULLABLE, 0, 100, "Mean relative humidity, percent."),
    NUMBER("wind_m_s", wind_m_s, FIELD_NULLABLE, 0, 60, "Mean wind at 2 m, m/s."),
    NUMBER("sunshine_h", sunshine_h, FIELD_NULLABLE, 0, 24, "Bright sunshine, hours."),
    NUMBER("solar_mj_m2", solar_mj_m2, FIELD_NULLABLE, 0, 45, "Global radiation, MJ/m2."),
    NUMBER("rain_mm", rain_mm, FIELD_NULLABLE, 0, 2000, "Rain, mm."),
};
#undef AT
static const struct shape day_shape = {.name = "WeatherDay", .size = sizeof(struct weather_row), .field = day_fields,
                                       .count = COUNT(day_fields), .about = "One day's weather."};

static const struct field answer_fields[] = LIST_ANSWER_FIELDS(day_shape, "Oldest first.");
const struct shape weather_answer_shape = {.name = "Weather", .size = sizeof(struct list_answer), .field = answer_fields, .count = 2};

struct weather_sent {
    struct list days;
};
static const struct field sent_fields[] = {
    {"days", FIELD_LIST, FIELD_REQUIRED, 0, 1, 500, .shape = &day_shape, .about = "All are kept, or none."}};
const struct shape weather_sent_shape = {.name = "WeatherSent", .size = sizeof(struct weather_sent), .field = sent_fields, .count = 1};

struct weather_ask {
    int32_t from, to;
    const char *after;
    int64_t limit;
};
#define AT(member) offsetof(struct weather_ask, member)
static const struct field ask_fields[] = {
    {"from", FIELD_DATE, 0, AT(from), .about = "First day."},
    {"to", FIELD_DATE, 0, AT(to), .about = "Last day."},
    {"after", FIELD_TEXT, 0, AT(after), 1, 16, .about = "Cursor from the page before: its last day."},
    {"limit", FIELD_INTEGER, 0, AT(limit), 1, 500, .standard = 500, .about = "Most items to answer."},
};
#undef AT
const struct shape weather_ask_shape = {.size = sizeof(struct weather_ask), .field = ask_fields, .count = COUNT(ask_fields)};

/* GET /api/v1/weather */
int weather_get(struct request *request, struct reply *reply, struct fault *fault)
{
    const struct weather_ask *ask = request->asked;
    int32_t first = ask->from, last = ask->to == FIELD_NO_DATE ? INT32_MAX : ask->to, after;
    struct list_answer answer = {{NULL, 0}, NULL};
    char text[16];

    if (ask->after) {
        if (shape_read_date(ask->after, &after))
            return fault_add(fault, FAULT_INPUT, "/after", "is no cursor of this list");
        first = after + 1;
    }
    if (garden_weather(request->service->garden, first, last, ask->limit + 1, &answer.items, request->arena, fault))
        return -1;
    if (answer.items.count > (size_t)ask->limit) {
        answer.items.count = (size_t)ask->limit;
        answer.next = arena_text(request->arena, shape_date(text, ((struct weather_row *)answer.items.item)[ask->limit - 1].day));
    }
    return reply_json(reply, 200, shape_write(&weather_answer_shape, &answer), fault);
}

/* What a stolen key can spoil ends two weeks ago; ours. */
#define SENSOR_DAYS 14

/* A station sends its day when it is over, or once more when the line was down; what is older is for people to change. */
static int check_sensor(struct request *request, const struct list *days, struct fault *fault)
{
    const struct weather_row *day = days->item;
    int32_t today;

    if (request->who.role != ROLE_SENSOR)
        return 0;
    if (garden_today(request->service->garden, request->now_ms, &today, fault))
        return -1;
    for (size_t i = 0; i < days->count; i++) {
        char at[32];

        snprintf(at, sizeof at, "/days/%zu/date", i);
        if (day[i].day < today - SENSOR_DAYS || day[i].day > today)
            return fault_add(fault, FAULT_DENIED, at, "a sensor may only tell the weather of the last two weeks");
    }
    return 0;
}

/* POST /api/v1/weather: answers the days as they are kept. */
int weather_post(struct request *request, struct reply *reply, struct fault *fault)
{
    const struct weather_sent *sent = request->given;
    struct list_answer answer = {sent->days, NULL};

    if (check_sensor(request, &sent->days, fault))
        return -1;
    if (garden_weather_put(request->service->garden, &sent->days, request->now_ms, request->arena, fault))
        return -1;
    return reply_json(reply, 200, shape_write(&weather_answer_shape, &answer), fault);
}
