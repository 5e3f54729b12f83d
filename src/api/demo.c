/* demo.c - sending the invented garden's documents through the routes. */
#include "api/demo.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "api/routes.h"
#include "calc/days.h"
#include "garden/clock.h"
#include "garden/rounds.h"
#include "store/members.h"

extern const char demo_garden[]; /* fixtures/demo/garden.json */

#define MINUTE_MS ((int64_t)60000)
#define MEMBERS_MOST 16

struct demo {
    struct service *service;
    struct fault *fault;
    json_t *document;
    int64_t now_ms, day_start_ms; /* of today, in the garden's zone */
    int32_t today;
    struct who member[MEMBERS_MOST];
};

/* One document by one route, as one member sends it. Takes over body. */
static int send(struct demo *demo, const char *method, const char *path, const struct who *who, int64_t now_ms, json_t *body)
{
    ARENA_HELD arena = {0};
    struct reply reply;
    struct request request = {.service = demo->service, .method = method, .path = path, .query = "", .arena = &arena,
                              .content_type = "application/json", .who = *who, .now_ms = now_ms};
    char *text = json_dumps(body, JSON_COMPACT | JSON_REAL_PRECISION(12));
    int failed = 0;

    json_decref(body);
    request.body = text;
    request.body_length = text ? strlen(text) : 0;
    api_answer_as(&request, &reply);
    if (reply.status < 200 || reply.status > 299)
        failed = fault_add(demo->fault, FAULT_STORE, "", "the invented garden: %s: %.*s", path, 120, reply.bytes ? reply.bytes : "");
    reply_end(&reply);
    free(text);
    return failed;
}

static const struct who host = {.role = ROLE_KEEPER};

/* Members told in days from today become dates: "opened_days_ago" is "opened_on". */
static int date_members(const struct demo *demo, json_t *item)
{
    static const struct {
        const char *told, *dated;
        int sign;
    } member[] = {{"analysed_days_ago", "analysed_on", -1}, {"opened_days_ago", "opened_on", -1}, {"from_in_days", "from", 1}, {"to_in_days", "to", 1}};

    for (size_t i = 0; i < sizeof member / sizeof *member; i++) {
        const json_t *days = json_object_get(item, member[i].told);
        struct civil date;
        char text[40];

        if (!days)
            continue;
        date = days_to_civil(demo->today + member[i].sign * (int32_t)json_integer_value(days));
        snprintf(text, sizeof text, "%04d-%02d-%02d", date.year, date.month, date.day);
        if (json_object_set_new(item, member[i].dated, json_string(text)) || json_object_del(item, member[i].told))
            return fault_add(demo->fault, FAULT_MEMORY, "", "out of memory");
    }
    return 0;
}

/* Every item of a list by one route, as one member sends it. */
static int send_list(struct demo *demo, const char *list, const char *path, const struct who *who)
{
    size_t index;
    json_t *item;

    json_array_foreach(json_object_get(demo->document, list), index, item)
        if (date_members(demo, item) || send(demo, "POST", path, who, demo->now_ms, json_incref(item)))
            return -1;
    return 0;
}

/* What the garden noted of built-in salts, each so many days ago. */
static int send_noted(struct demo *demo)
{
    size_t index;
    json_t *item;

    json_array_foreach(json_object_get(demo->document, "noted"), index, item) {
        int64_t at_ms = demo->day_start_ms - json_integer_value(json_object_get(item, "days_ago")) * DAY_MS;
        char path[100];

        snprintf(path, sizeof path, "/api/v1/salts/%s", json_string_value(json_object_get(item, "salt")));
        json_object_del(item, "days_ago");
        json_object_del(item, "salt");
        if (date_members(demo, item) || send(demo, "PATCH", path, &host, at_ms, json_incref(item)))
            return -1;
    }
    return 0;
}

/* ---- people: they join by invite in a real garden; here they are simply there ---- */

static int add_members(struct db *db, void *context, struct fault *fault)
{
    struct demo *demo = context;
    size_t index;
    json_t *item;

    json_array_foreach(json_object_get(demo->document, "members"), index, item) {
        const char *role = json_string_value(json_object_get(item, "role"));
        struct member_row row = {.id = json_string_value(json_object_get(item, "id")),
                                 .name = json_string_value(json_object_get(item, "name")),
                                 .role = strcmp(role, "keeper") == 0 ? ROLE_KEEPER : strcmp(role, "grower") == 0 ? ROLE_GROWER : ROLE_VISITOR,
                                 .joined_ms = demo->now_ms - 420 * DAY_MS,
                                 .removed_ms = STORE_NO_INT};

        if (index == MEMBERS_MOST || members_add(db, &row, fault))
            return -1;
        demo->member[index] = (struct who){.role = (enum role)row.role, .member = row.key};
    }
    return 0;
}

/* ---- the log: [days ago, "07:40", member, entry] ---- */

static int64_t moment(const struct demo *demo, const json_t *line)
{
    int hour = 0, minute = 0;
    int64_t ms;

    sscanf(json_string_value(json_array_get(line, 1)), "%d:%d", &hour, &minute);
    ms = demo->day_start_ms - json_integer_value(json_array_get(line, 0)) * DAY_MS + (hour * 60 + minute) * MINUTE_MS;
    /* What would lie ahead today happened a little while ago instead, in the same order. */
    if (ms > demo->now_ms - 30 * MINUTE_MS)
        ms = demo->now_ms - 30 * MINUTE_MS + (hour * 60 + minute) * MINUTE_MS / 60;
    return ms;
}

static int send_entry(struct demo *demo, const json_t *line)
{
    json_t *entry = json_deep_copy(json_array_get(line, 3));
    size_t member = (size_t)json_integer_value(json_array_get(line, 2)) % MEMBERS_MOST;
    int64_t at_ms = moment(demo, line);
    char id[37], at[32];

    clock_uuid(id);
    json_object_set_new(entry, "id", json_string(id));
    json_object_set_new(entry, "at", json_string(shape_instant(at, at_ms)));
    return send(demo, "POST", "/api/v1/entries", &demo->member[member], at_ms + 2 * MINUTE_MS, entry);
}

static int send_log(struct demo *demo)
{
    size_t index;
    json_t *line;

    json_array_foreach(json_object_get(demo->document, "log"), index, line)
        if (send_entry(demo, line))
            return -1;
    return 0;
}

/* ---- a round of the day before: two people take turns, one tank is skipped and comes back ---- */

/* What the log of that day settled already is done. */
static int act(struct demo *demo, const char *round_id, size_t member, int what, int64_t stop, int64_t at_ms)
{
    ARENA_HELD arena = {0};
    struct round round;
    struct fault refused = {0};
    char id[37];

    clock_uuid(id);
    if (garden_round_act(demo->service->garden, &demo->member[member], round_id, &(struct round_deed){.id = id, .what = what, .stop = stop}, at_ms,
                         &round, &arena, &refused) == 0 || refused.code == FAULT_CONFLICT)
        return 0;
    return fault_add(demo->fault, FAULT_STORE, "", "the invented garden: %s: %.*s", "/api/v1/rounds", 100, refused.item[0].detail);
}

static int walk_round(struct demo *demo, const json_t *item)
{
    ARENA_HELD arena = {0};
    json_t *when = json_pack("[OO]", json_object_get(item, "days_ago"), json_object_get(item, "at"));
    int64_t at_ms = when ? moment(demo, when) : demo->now_ms;
    const char *id = json_string_value(json_object_get(item, "id"));
    size_t first = (size_t)json_integer_value(json_array_get(json_object_get(item, "members"), 0)) % MEMBERS_MOST;
    size_t second = (size_t)json_integer_value(json_array_get(json_object_get(item, "members"), 1)) % MEMBERS_MOST;
    struct round round;
    struct fault nothing = {0};
    bool before;

    json_decref(when);
    if (garden_round_make(demo->service->garden, &demo->member[first], &(struct round_asked){.id = id}, at_ms, &round, &before, &arena, &nothing))
        return nothing.code == FAULT_CONFLICT ? 0 : fault_add(demo->fault, FAULT_STORE, "", "the invented garden: %s: %.*s", "/api/v1/rounds", 100,
                                                                     nothing.item[0].detail); /* a calm day */
    for (int64_t stop = round.stops.count > 2 ? 2 : 1, turn = 1; turn <= (int64_t)round.stops.count; turn++) {
        at_ms += 4 * MINUTE_MS;
        if (turn == 1 && stop == 2 && act(demo, id, first, ROUND_SKIP, 1, at_ms))
            return -1;
        if (act(demo, id, turn % 2 ? first : second, ROUND_DONE, stop, at_ms))
            return -1;
        stop = stop % (int64_t)round.stops.count + 1;
    }
    return 0;
}

static int walk_rounds(struct demo *demo)
{
    size_t index;
    json_t *item;

    json_array_foreach(json_object_get(demo->document, "rounds"), index, item)
        if (walk_round(demo, item))
            return -1;
    return 0;
}

int demo_load(struct service *service, struct fault *fault)
{
    struct demo demo = {.service = service, .fault = fault, .now_ms = clock_now_ms()};
    const char *zone;
    int failed;

    demo.document = json_loads(demo_garden, JSON_REJECT_DUPLICATES, NULL);
    if (!demo.document)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    zone = json_string_value(json_object_get(json_object_get(demo.document, "garden"), "time_zone"));
    demo.today = clock_day(zone, demo.now_ms);
    demo.day_start_ms = clock_day_start_ms(zone, demo.today);
    failed = send(&demo, "PATCH", "/api/v1/garden", &host, demo.now_ms, json_incref(json_object_get(demo.document, "garden"))) ||
             store_write(service->garden->store, add_members, &demo, fault) || send_list(&demo, "areas", "/api/v1/areas", &host) ||
             send_list(&demo, "waters", "/api/v1/waters", &host) || send_list(&demo, "salts", "/api/v1/salts", &host) ||
             send_list(&demo, "targets", "/api/v1/targets", &host) || send_list(&demo, "crops", "/api/v1/crops", &host) || send_noted(&demo) ||
             send_list(&demo, "vessels", "/api/v1/vessels", &host) || send_list(&demo, "tanks", "/api/v1/tanks", &host) || send_log(&demo) ||
             send_list(&demo, "duties", "/api/v1/duties", &host) ||
             send_list(&demo, "successions", "/api/v1/successions", &demo.member[0]) || walk_rounds(&demo);
    json_decref(demo.document);
    return failed ? -1 : 0;
}
