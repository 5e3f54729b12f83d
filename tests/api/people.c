/* Who may ask what: every route with every kind of asker; cookies, keys, origins, limits. */
#include <sodium.h>
#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "api/routes.h"
#include "garden/people.h"
#include "garden_file.h"
#include "runner.h"

static struct service service;
static char path[4096];
static struct arena kept; /* what tests hold on to */

static void start(void)
{
    struct fault fault = {0};

    ck_assert_int_ge(sodium_init(), 0);
    snprintf(path, sizeof path, "%s", garden_file_new("api-people"));
    service = (struct service){.garden = garden_open(path, &fault)};
    ck_assert_msg(service.garden != NULL, "%s", fault.item[0].detail);
}

static void stop(void)
{
    garden_close(service.garden);
    arena_end(&kept);
    garden_file_remove(path);
}

/* ---- asking ---- */

#define ELSEWHERE "192.168.1.9"

struct asking {
    const char *method, *path, *body, *cookie, *bearer, *origin, *site, *type, *peer;
    bool secure;
};

struct said {
    unsigned status;
    json_t *json;
    char cookie[300], wait[20]; /* Set-Cookie, Retry-After */
};

static struct said ask(struct asking asking)
{
    ARENA_HELD arena = {0};
    const char *peer = asking.peer ? asking.peer : ELSEWHERE;
    struct request request = {.service = &service,
                              .method = asking.method ? asking.method : "GET",
                              .path = asking.path,
                              .query = "",
                              .host = "garden.local:8080",
                              .origin = asking.origin,
                              .sec_fetch_site = asking.site,
                              .content_type = asking.body ? asking.type ? asking.type : "application/json" : NULL,
                              .cookie = asking.cookie,
                              .authorization = asking.bearer ? arena_format(&arena, "Bearer %s", asking.bearer) : NULL,
                              .peer = peer,
                              .from_loopback = strncmp(peer, "127.", 4) == 0,
                              .secure = asking.secure,
                              .body = asking.body ? asking.body : "",
                              .body_length = asking.body ? strlen(asking.body) : 0,
                              .arena = &arena};
    struct reply reply;
    struct said said = {.status = 0};

    api_answer(&request, &reply);
    said.status = reply.status ? reply.status : 200;
    said.json = reply.length ? json_loadb(reply.bytes, reply.length, 0, NULL) : NULL;
    for (size_t i = 0; i < reply.headers; i++) {
        if (strcmp(reply.header[i].name, "Set-Cookie") == 0)
            snprintf(said.cookie, sizeof said.cookie, "%s", reply.header[i].value);
        if (strcmp(reply.header[i].name, "Retry-After") == 0)
            snprintf(said.wait, sizeof said.wait, "%s", reply.header[i].value);
    }
    reply_end(&reply);
    return said;
}

#define OWN_ORIGIN "http://garden.local:8080"
#define ASK(...) ask((struct asking){__VA_ARGS__})

/* The status alone. */
static unsigned status_of(struct said said)
{
    json_decref(said.json);
    return said.status;
}

static const char *text_in(const json_t *json, const char *member)
{
    const char *text = json_string_value(json_object_get(json, member));

    ck_assert_msg(text != NULL, "no %s", member);
    return arena_text(&kept, text);
}

/* ---- people ---- */

struct person {
    const char *cookie, *member, *device;
};

static struct person pair_by(const char *token)
{
    struct fault fault = {0};
    struct paired paired;
    const struct pairing pairing = {.token = token, .device_name = "phone"};

    ck_assert_msg(people_pair(service.garden, &pairing, &paired, &kept, &fault) == 0, "%s", fault.item[0].detail);
    return (struct person){arena_format(&kept, "other=1; tidemark=%s", paired.token), paired.who.member_id, paired.who.device_id};
}

static struct person keeper(void)
{
    struct fault fault = {0};
    struct invite_made made;

    ck_assert_int_eq(people_host_invite(service.garden, "Ana", &made, &kept, &fault), 0);
    return pair_by(made.token);
}

static struct person invited(struct person by, const char *body)
{
    struct said said = ASK(.method = "POST", .path = "/api/v1/invites", .body = body, .cookie = by.cookie, .origin = OWN_ORIGIN);
    const char *link;

    ck_assert_uint_eq(said.status, 201);
    link = text_in(said.json, "link");
    ck_assert_ptr_nonnull(strstr(text_in(said.json, "qr_svg"), "<svg"));
    json_decref(said.json);
    ck_assert_int_eq(strncmp(link, OWN_ORIGIN "/pair.html#", strlen(OWN_ORIGIN "/pair.html#")), 0);
    return pair_by(strchr(link, '#') + 1);
}

static char tank_code[2][40];

static void add_tanks(struct person by)
{
    struct said vessel = ASK(.method = "POST", .path = "/api/v1/vessels", .cookie = by.cookie, .origin = OWN_ORIGIN,
                             .body = "{\"name\":\"tub\",\"shape\":{\"shape\":\"round\",\"floor_mm\":300,\"rim_mm\":340,\"height_mm\":400},"
                                     "\"start_mm\":300,\"low_mm\":60}");

    ck_assert_uint_eq(vessel.status, 201);
    for (int i = 0; i < 2; i++) {
        struct said tank = ASK(.method = "POST", .path = "/api/v1/tanks", .cookie = by.cookie, .origin = OWN_ORIGIN,
                               .body = arena_format(&kept, "{\"name\":\"tank %d\",\"vessel\":\"%s\"}", i, text_in(vessel.json, "id")));

        ck_assert_uint_eq(tank.status, 201);
        snprintf(tank_code[i], sizeof tank_code[i], "%s", text_in(tank.json, "code"));
        json_decref(tank.json);
    }
    json_decref(vessel.json);
}

static const char *sensor_key(struct person by)
{
    struct said said = ASK(.method = "POST", .path = "/api/v1/sensors", .cookie = by.cookie, .origin = OWN_ORIGIN,
                           .body = arena_format(&kept, "{\"name\":\"probe\",\"tanks\":[\"%s\"]}", tank_code[0]));
    const char *key;

    ck_assert_uint_eq(said.status, 201);
    key = text_in(said.json, "key");
    json_decref(said.json);
    return key;
}

/* ---- every route, every asker ---- */

enum asker { STRANGER, AT_HOME, SENSOR, VISITOR, GROWER, KEEPER, ASKERS };

static const char *const asker_names[] = {"a stranger", "this machine", "a sensor", "a visitor", "a grower", "a keeper"};

/* What each kind of access lets in, told here once more: the table in routes.c is held against it. */
static bool lets_in(enum access access, enum asker asker)
{
    switch (access) {
    case ACCESS_ANYONE: return true;
    case ACCESS_AT_HOME: return asker == AT_HOME || asker >= VISITOR;
    case ACCESS_SENSOR: return asker == SENSOR || asker >= GROWER;
    case ACCESS_VISITOR: return asker >= VISITOR;
    case ACCESS_GROWER: return asker >= GROWER;
    case ACCESS_KEEPER: return asker == KEEPER;
    case ACCESS_UNSET: break;
    }
    return false;
}

/* A path of this pattern; nothing in the garden has such names, so that no route finds anything to change. */
static const char *path_of(const char *pattern)
{
    char *made = arena_text(&kept, pattern), *to = made;

    for (const char *from = pattern; *from; from++) {
        *to++ = *from == '{' ? 'x' : *from;
        if (*from == '{')
            from = strchr(from, '}');
    }
    *to = '\0';
    return made;
}

static struct said ask_as(enum asker asker, const struct route *route, const struct person person[ASKERS], const char *key)
{
    bool writes = strcmp(route->method, "GET") != 0;

    return ASK(.method = route->method, .path = path_of(route->path), .body = route->takes || route->patches ? "{}" : NULL,
               .cookie = person[asker].cookie, .bearer = asker == SENSOR ? key : NULL,
               .origin = writes && asker != SENSOR ? OWN_ORIGIN : NULL, .peer = asker == AT_HOME ? "127.0.0.1" : ELSEWHERE);
}

START_TEST(every_route_for_every_asker)
{
    struct person person[ASKERS] = {[KEEPER] = keeper()};
    const char *key;
    int denied = 0;

    add_tanks(person[KEEPER]);
    key = sensor_key(person[KEEPER]);
    person[GROWER] = invited(person[KEEPER], "{\"name\":\"Ben\",\"role\":\"grower\"}");
    person[VISITOR] = invited(person[KEEPER], "{\"name\":\"Cy\",\"role\":\"visitor\"}");
    ck_assert_uint_gt(routes_count, 30);
    for (size_t i = 0; i < routes_count; i++)
        for (int asker = 0; asker < ASKERS; asker++) {
            unsigned status = status_of(ask_as((enum asker)asker, &routes[i], person, key));
            bool in = status != 401 && status != 403;

            ck_assert_msg(routes[i].access != ACCESS_UNSET, "%s %s: nobody said who may ask", routes[i].method, routes[i].path);
            ck_assert_msg(in == lets_in(routes[i].access, (enum asker)asker), "%s %s for %s: %u", routes[i].method, routes[i].path,
                          asker_names[asker], status);
            ck_assert_msg(in || status == (asker >= SENSOR ? 403 : 401), "%s %s for %s: %u", routes[i].method, routes[i].path,
                          asker_names[asker], status);
            ck_assert_uint_lt(status, 500);
            denied += !in;
        }
    ck_assert_int_gt(denied, 100);
}
END_TEST

static bool begins(const char *text, const char *with)
{
    return strncmp(text, with, strlen(with)) == 0;
}

/* The least that each route must ask for, by what it does: a new route falls under one of these. */
static enum access least_of(const struct route *route)
{
    bool reads = strcmp(route->method, "GET") == 0;

    if (begins(route->path, "/api/v1/calc/") || strcmp(route->path, "/metrics") == 0)
        return ACCESS_AT_HOME;
    if ((strcmp(route->path, "/api/v1/entries") == 0 || strcmp(route->path, "/api/v1/readings") == 0 ||
         strcmp(route->path, "/api/v1/weather") == 0) && !reads) /* of the last two weeks */
        return ACCESS_SENSOR;
    if (strcmp(route->path, "/api/v1/pair") == 0 || strcmp(route->path, "/healthz") == 0 || begins(route->path, "/t/") ||
        begins(route->path, "/api/v1/calendar/")) /* by a key of its own */
        return ACCESS_ANYONE;
    if (begins(route->path, "/api/v1/invites") || begins(route->path, "/api/v1/sensors"))
        return ACCESS_KEEPER;
    if (begins(route->path, "/api/v1/devices") || begins(route->path, "/api/v1/feeds"))
        return ACCESS_VISITOR; /* one's own */
    if (reads)
        return ACCESS_VISITOR;
    if (begins(route->path, "/api/v1/garden") || begins(route->path, "/api/v1/members") || begins(route->path, "/api/v1/tanks") ||
        begins(route->path, "/api/v1/vessels") || begins(route->path, "/api/v1/areas"))
        return ACCESS_KEEPER;
    return ACCESS_GROWER;
}

START_TEST(no_route_asks_for_less)
{
    for (size_t i = 0; i < routes_count; i++)
        ck_assert_msg(routes[i].access >= least_of(&routes[i]), "%s %s is open too wide", routes[i].method, routes[i].path);
}
END_TEST

/* ---- pairing and cookies ---- */

static struct said pair_at(const char *token, const char *peer, bool secure)
{
    return ASK(.method = "POST", .path = "/api/v1/pair", .body = arena_format(&kept, "{\"token\":\"%s\",\"device_name\":\"phone\"}", token),
               .origin = secure ? "https://garden.local:8080" : OWN_ORIGIN, .peer = peer, .secure = secure);
}

static const char *first_link(void)
{
    struct fault fault = {0};
    struct invite_made made;

    ck_assert_int_eq(people_host_invite(service.garden, NULL, &made, &kept, &fault), 0);
    return arena_text(&kept, made.token);
}

START_TEST(cookie_over_plain_http)
{
    struct said said = pair_at(first_link(), ELSEWHERE, false), garden;
    char cookie[300];

    ck_assert_uint_eq(said.status, 201);
    ck_assert_int_eq(strncmp(said.cookie, "tidemark=", 9), 0);
    ck_assert_ptr_nonnull(strstr(said.cookie, "; Path=/; HttpOnly; SameSite=Strict; Max-Age="));
    ck_assert_ptr_null(strstr(said.cookie, "Secure")); /* a browser would drop it without a word */
    ck_assert_str_eq(text_in(said.json, "role"), "keeper");
    snprintf(cookie, sizeof cookie, "%.*s", (int)strcspn(said.cookie, ";"), said.cookie);
    garden = ASK(.path = "/api/v1/garden", .cookie = cookie);
    ck_assert_uint_eq(garden.status, 200);
    ck_assert_str_eq(text_in(json_object_get(garden.json, "me"), "device"), text_in(said.json, "device"));
    json_decref(garden.json);
    json_decref(said.json);

    /* Once more, from the same browser: it would lose the token that it has. */
    said = ASK(.method = "POST", .path = "/api/v1/pair", .cookie = cookie, .origin = OWN_ORIGIN,
               .body = arena_format(&kept, "{\"token\":\"%s\",\"device_name\":\"phone\"}", first_link()));
    ck_assert_uint_eq(status_of(said), 409);
}
END_TEST

START_TEST(cookie_over_tls)
{
    struct said said = pair_at(first_link(), ELSEWHERE, true);
    char cookie[300];

    ck_assert_uint_eq(said.status, 201);
    ck_assert_int_eq(strncmp(said.cookie, "__Host-tidemark=", 16), 0);
    ck_assert_ptr_nonnull(strstr(said.cookie, "; Path=/; HttpOnly; SameSite=Strict; Max-Age="));
    ck_assert_ptr_nonnull(strstr(said.cookie, "; Secure"));
    ck_assert_ptr_null(strstr(said.cookie, "Domain"));
    snprintf(cookie, sizeof cookie, "%.*s", (int)strcspn(said.cookie, ";"), said.cookie);
    ck_assert_uint_eq(status_of(ASK(.path = "/api/v1/garden", .cookie = cookie, .secure = true)), 200);
    json_decref(said.json);
}
END_TEST

static void alter(const char *sql)
{
    sqlite3 *sqlite;

    ck_assert_int_eq(sqlite3_open(path, &sqlite), SQLITE_OK);
    ck_assert_msg(sqlite3_exec(sqlite, sql, NULL, NULL, NULL) == SQLITE_OK, "%s", sqlite3_errmsg(sqlite));
    sqlite3_close(sqlite);
}

START_TEST(cookie_of_a_device_in_use_is_renewed)
{
    struct person ana = keeper();
    struct said said;

    alter("UPDATE device SET last_used_ms = last_used_ms - 3600000");
    said = ASK(.path = "/api/v1/garden", .cookie = ana.cookie);
    ck_assert_uint_eq(said.status, 200);
    ck_assert_int_eq(strncmp(said.cookie, "tidemark=", 9), 0);
    json_decref(said.json);
    said = ASK(.path = "/api/v1/garden", .cookie = ana.cookie);
    ck_assert_str_eq(said.cookie, ""); /* not with every request */
    json_decref(said.json);
}
END_TEST

START_TEST(this_machine_is_a_keeper_until_one_has_paired)
{
    ck_assert_uint_eq(status_of(ASK(.path = "/api/v1/invites", .peer = "127.0.0.1")), 200);
    ck_assert_uint_eq(status_of(ASK(.path = "/api/v1/invites", .peer = ELSEWHERE)), 401);
    keeper();
    ck_assert_uint_eq(status_of(ASK(.path = "/api/v1/invites", .peer = "127.0.0.1")), 401);
    service.loopback_is_keeper = true; /* --demo */
    ck_assert_uint_eq(status_of(ASK(.path = "/api/v1/invites", .peer = "127.0.0.1")), 200);
    ck_assert_uint_eq(status_of(ASK(.path = "/api/v1/invites", .peer = ELSEWHERE)), 401);
}
END_TEST

/* ---- writes from elsewhere ---- */

static const struct {
    const char *origin, *site, *type;
    unsigned status;
    bool secure;
} writes[] = {
    {"https://garden.local:8080", NULL, NULL, 201, true},
    {OWN_ORIGIN, NULL, NULL, 403, true}, /* the same name without TLS: written by anyone on the way */
    {OWN_ORIGIN, NULL, NULL, 201, false},
    {"http://GARDEN.local:8080", "same-origin", NULL, 201, false},
    {NULL, NULL, NULL, 403, false}, /* browsers say it with each write */
    {"null", NULL, NULL, 403, false},
    {"http://garden.local", NULL, NULL, 403, false},
    {"http://garden.local:8081", NULL, NULL, 403, false}, /* another program on the same machine */
    {"http://evil.example", NULL, NULL, 403, false},
    {"http://garden.local:8080.evil.example", NULL, NULL, 403, false},
    {"http://evil.example/garden.local:8080", NULL, NULL, 403, false},
    {OWN_ORIGIN, "cross-site", NULL, 403, false},
    {OWN_ORIGIN, "same-site", NULL, 403, false},
    {OWN_ORIGIN, NULL, "text/plain", 415, false},
    {OWN_ORIGIN, NULL, "application/x-www-form-urlencoded", 415, false},
    {OWN_ORIGIN, NULL, "multipart/form-data; boundary=x", 415, false},
    {OWN_ORIGIN, NULL, "application/json; charset=utf-8", 201, false},
};

START_TEST(writes_need_our_origin_and_json)
{
    struct person ana = keeper();
    unsigned status = status_of(ASK(.method = "POST", .path = "/api/v1/members", .body = "{\"name\":\"Ben\",\"role\":\"grower\"}", .cookie = ana.cookie,
                                    .origin = writes[_i].origin, .site = writes[_i].site, .type = writes[_i].type, .secure = writes[_i].secure));
    struct said members;

    ck_assert_msg(status == writes[_i].status, "%s %s: %u", writes[_i].origin, writes[_i].type, status);
    members = ASK(.path = "/api/v1/members", .cookie = ana.cookie);
    ck_assert_uint_eq(json_array_size(json_object_get(members.json, "items")), writes[_i].status == 201 ? 2 : 1);
    json_decref(members.json);
}
END_TEST

/* A grower who is refused reads what would help, not the title once more. */
START_TEST(refusals_say_what_would_help)
{
    struct person ana = keeper(), cy = invited(ana, "{\"name\":\"Cy\",\"role\":\"visitor\"}");
    const struct {
        struct said said;
        unsigned status;
        const char *says;
    } refusals[] = {
        {ASK(.path = "/api/v1/tanks"), 401, "invite"},
        {ASK(.method = "POST", .path = "/api/v1/members", .body = "{}", .cookie = cy.cookie, .origin = OWN_ORIGIN), 403, "takes a keeper"},
        {ASK(.method = "POST", .path = "/api/v1/members", .body = "{}", .cookie = ana.cookie, .origin = "http://elsewhere.example"), 403, "Origin"},
        {ASK(.method = "POST", .path = "/api/v1/members", .body = "{}", .type = "text/plain", .cookie = ana.cookie, .origin = OWN_ORIGIN), 415, "application/json"},
        {ASK(.method = "POST", .path = "/plain/log", .body = "{}", .cookie = ana.cookie, .origin = OWN_ORIGIN), 415, "form-urlencoded"},
        {ASK(.method = "DELETE", .path = "/api/v1/tanks", .cookie = ana.cookie, .origin = OWN_ORIGIN), 405, "GET"},
        {ASK(.method = "POST", .path = "/api/v1/members", .body = "{}", .cookie = ana.cookie, .origin = OWN_ORIGIN), 422, "name: "},
    };

    for (size_t i = 0; i < COUNT(refusals); i++) {
        const char *detail = json_string_value(json_object_get(refusals[i].said.json, "detail"));

        ck_assert_uint_eq(refusals[i].said.status, refusals[i].status);
        ck_assert_msg(detail && strstr(detail, refusals[i].says), "%u: %s", refusals[i].status, detail ? detail : "nothing");
        json_decref(refusals[i].said.json);
    }
}
END_TEST

/* ---- sensors ---- */

static unsigned post_as_sensor(const char *key, int number, const char *tank, const char *rest)
{
    return status_of(ASK(.method = "POST", .path = "/api/v1/entries", .bearer = key,
                         .body = arena_format(&kept, "{\"id\":\"0190a000-0000-7000-8000-0000000000%02d\",\"tank\":\"%s\",\"at\":\"2026-05-01T07:30:00Z\",%s}",
                                              number, tank, rest)));
}

START_TEST(a_sensor_posts_readings_to_its_tanks)
{
    struct person ana = keeper();
    const char *key, *reading = "\"kind\":\"reading\",\"waterline_mm\":120,\"method\":\"sensor\"";
    struct said sensors;

    add_tanks(ana);
    key = sensor_key(ana);
    ck_assert_uint_eq(post_as_sensor(key, 1, tank_code[0], reading), 201);
    ck_assert_uint_eq(post_as_sensor(key, 1, tank_code[0], reading), 200);
    ck_assert_uint_eq(post_as_sensor(key, 2, tank_code[1], reading), 403);
    ck_assert_uint_eq(post_as_sensor(key, 3, tank_code[0], "\"kind\":\"top-up\",\"volume_l\":5"), 403);
    ck_assert_uint_eq(post_as_sensor(key, 4, tank_code[0], "\"kind\":\"note\",\"note\":\"hi\""), 403);
    ck_assert_uint_eq(post_as_sensor(key, 5, tank_code[0], "\"kind\":\"note\",\"withdraws\":\"0190a000-0000-7000-8000-000000000001\""), 403);
    ck_assert_uint_eq(post_as_sensor("AAAA", 6, tank_code[0], reading), 401);

    sensors = ASK(.path = "/api/v1/sensors", .cookie = ana.cookie);
    ck_assert_ptr_null(json_object_get(json_array_get(json_object_get(sensors.json, "items"), 0), "key"));
    ck_assert_uint_eq(status_of(ASK(.method = "DELETE", .cookie = ana.cookie, .origin = OWN_ORIGIN,
                                    .path = arena_format(&kept, "/api/v1/sensors/%s",
                                                         text_in(json_array_get(json_object_get(sensors.json, "items"), 0), "id")))),
                      204);
    json_decref(sensors.json);
    ck_assert_uint_eq(post_as_sensor(key, 7, tank_code[0], reading), 401);
}
END_TEST

START_TEST(a_new_key_voids_the_old_one_at_once)
{
    struct person ana = keeper();
    const char *key, *sensor, *reading = "\"kind\":\"reading\",\"waterline_mm\":120,\"method\":\"sensor\"";
    struct said sensors, said;
    char second[TOKEN_TEXT];

    add_tanks(ana);
    key = sensor_key(ana);
    ck_assert_uint_eq(post_as_sensor(key, 1, tank_code[0], reading), 201); /* remembered from now on */
    sensors = ASK(.path = "/api/v1/sensors", .cookie = ana.cookie);
    sensor = arena_format(&kept, "/api/v1/sensors/%s", text_in(json_array_get(json_object_get(sensors.json, "items"), 0), "id"));
    json_decref(sensors.json);

    said = ASK(.method = "POST", .path = arena_format(&kept, "%s/key", sensor), .cookie = ana.cookie, .origin = OWN_ORIGIN);
    ck_assert_uint_eq(said.status, 201);
    snprintf(second, sizeof second, "%s", text_in(said.json, "key"));
    ck_assert_str_ne(second, key);
    ck_assert_str_eq(text_in(said.json, "name"), "probe");
    ck_assert(json_is_null(json_object_get(said.json, "last_used_at")));
    json_decref(said.json);
    ck_assert_uint_eq(post_as_sensor(key, 2, tank_code[0], reading), 401);
    ck_assert_uint_eq(post_as_sensor(second, 2, tank_code[0], reading), 200); /* the same sensor: its reading of then is there */
    ck_assert_uint_eq(post_as_sensor(second, 3, tank_code[1], reading), 403); /* and the same tanks */
    sensors = ASK(.path = "/api/v1/sensors", .cookie = ana.cookie);
    ck_assert_uint_eq(json_array_size(json_object_get(sensors.json, "items")), 1);
    ck_assert_ptr_null(json_object_get(json_array_get(json_object_get(sensors.json, "items"), 0), "key")); /* shown once */
    json_decref(sensors.json);

    /* One that was shut out stays out. */
    ck_assert_uint_eq(status_of(ASK(.method = "DELETE", .path = sensor, .cookie = ana.cookie, .origin = OWN_ORIGIN)), 204);
    ck_assert_uint_eq(status_of(ASK(.method = "POST", .path = arena_format(&kept, "%s/key", sensor), .cookie = ana.cookie, .origin = OWN_ORIGIN)), 409);
    ck_assert_uint_eq(post_as_sensor(second, 4, tank_code[0], reading), 401);
    ck_assert_uint_eq(status_of(ASK(.method = "POST", .path = "/api/v1/sensors/nobody/key", .cookie = ana.cookie, .origin = OWN_ORIGIN)), 404);
}
END_TEST

/* ---- devices, members, invites ---- */

static json_t *items_of(struct person asks, const char *at)
{
    struct said said = ASK(.path = at, .cookie = asks.cookie);
    json_t *items;

    ck_assert_uint_eq(said.status, 200);
    items = json_incref(json_object_get(said.json, "items"));
    json_decref(said.json);
    return items;
}

static unsigned revoke(struct person by, const char *device)
{
    return status_of(ASK(.method = "DELETE", .path = arena_format(&kept, "/api/v1/devices/%s", device), .cookie = by.cookie, .origin = OWN_ORIGIN));
}

START_TEST(devices_are_seen_and_revoked)
{
    struct person ana = keeper(), ben = invited(ana, "{\"name\":\"Ben\",\"role\":\"grower\"}");
    json_t *all = items_of(ana, "/api/v1/devices"), *own = items_of(ben, "/api/v1/devices");
    struct said said;

    ck_assert_uint_eq(json_array_size(all), 2);
    ck_assert_uint_eq(json_array_size(own), 1);
    ck_assert_str_eq(text_in(json_array_get(own, 0), "id"), ben.device);
    ck_assert(json_is_true(json_object_get(json_array_get(own, 0), "this")));
    text_in(json_array_get(all, 1), "last_used_at");
    json_decref(all);
    json_decref(own);

    ck_assert_uint_eq(revoke(ben, ana.device), 403);
    ck_assert_uint_eq(status_of(ASK(.path = "/api/v1/garden", .cookie = ben.cookie)), 200);
    ck_assert_uint_eq(revoke(ana, ben.device), 204);
    ck_assert_uint_eq(status_of(ASK(.path = "/api/v1/garden", .cookie = ben.cookie)), 401);
    ck_assert_uint_eq(revoke(ana, "nothing"), 404);

    said = ASK(.method = "DELETE", .path = arena_format(&kept, "/api/v1/devices/%s", ana.device), .cookie = ana.cookie, .origin = OWN_ORIGIN);
    ck_assert_uint_eq(said.status, 204);
    ck_assert_ptr_nonnull(strstr(said.cookie, "tidemark=; ")); /* signed out here */
    ck_assert_uint_eq(status_of(ASK(.path = "/api/v1/garden", .cookie = ana.cookie)), 401);
}
END_TEST

static struct said change(struct person by, const char *member, const char *body)
{
    return ASK(.method = "PATCH", .path = arena_format(&kept, "/api/v1/members/%s", member), .body = body, .cookie = by.cookie, .origin = OWN_ORIGIN);
}

START_TEST(members_change_and_the_last_keeper_stays)
{
    struct person ana = keeper(), ben = invited(ana, "{\"name\":\"Ben\",\"role\":\"grower\"}");
    struct said said;

    ck_assert_uint_eq(status_of(change(ana, ana.member, "{\"removed\":true}")), 409);
    ck_assert_uint_eq(status_of(change(ana, ana.member, "{\"role\":\"visitor\"}")), 409);
    ck_assert_uint_eq(status_of(change(ana, ben.member, "{\"role\":\"king\"}")), 422);
    ck_assert_uint_eq(status_of(change(ana, ben.member, "{\"id\":\"x\"}")), 422);
    ck_assert_uint_eq(status_of(change(ana, "nobody", "{\"removed\":true}")), 404);
    ck_assert_uint_eq(status_of(change(ben, ben.member, "{\"role\":\"keeper\"}")), 403);

    said = change(ana, ben.member, "{\"role\":\"visitor\",\"name\":\"Benno\"}");
    ck_assert_uint_eq(said.status, 200);
    ck_assert_str_eq(text_in(said.json, "role"), "visitor");
    ck_assert_str_eq(text_in(said.json, "name"), "Benno");
    json_decref(said.json);
    said = change(ana, ben.member, "{\"removed\":true}");
    ck_assert_str_eq(text_in(said.json, "role"), "visitor"); /* what was not named stays */
    ck_assert(json_is_true(json_object_get(said.json, "removed")));
    json_decref(said.json);
    ck_assert_uint_eq(status_of(ASK(.path = "/api/v1/garden", .cookie = ben.cookie)), 401);
}
END_TEST

START_TEST(invites_are_listed_without_their_secrets)
{
    struct person ana = keeper();
    json_t *items, *invite;
    char *text;

    invited(ana, "{\"name\":\"Ben\",\"role\":\"grower\"}");
    ck_assert_uint_eq(status_of(ASK(.method = "POST", .path = "/api/v1/invites", .body = "{\"role\":\"visitor\"}", .cookie = ana.cookie, .origin = OWN_ORIGIN)), 201);
    items = items_of(ana, "/api/v1/invites");
    ck_assert_uint_eq(json_array_size(items), 3);
    ck_assert_str_eq(text_in(json_array_get(items, 1), "state"), "used");
    invite = json_array_get(items, 2);
    ck_assert_str_eq(text_in(invite, "state"), "open");
    text = json_dumps(items, 0);
    ck_assert(!strstr(text, "pair.html") && !strstr(text, "token") && !strstr(text, "hash"));
    free(text);
    ck_assert_uint_eq(status_of(ASK(.method = "DELETE", .cookie = ana.cookie, .origin = OWN_ORIGIN,
                                    .path = arena_format(&kept, "/api/v1/invites/%s", text_in(invite, "id")))), 204);
    json_decref(items);
    items = items_of(ana, "/api/v1/invites");
    ck_assert_str_eq(text_in(json_array_get(items, 2), "state"), "revoked");
    json_decref(items);
}
END_TEST

/* ---- limits ---- */

START_TEST(guessing_invites_is_slowed_down_by_address)
{
    const char *guess = "AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA", *link = first_link();
    struct said said = {.status = 0};
    int tried = 0;

    while (tried < 100 && said.status != 429) {
        json_decref(said.json);
        said = pair_at(guess, "192.168.1.66", false);
        ck_assert_msg(said.status == 404 || said.status == 429, "%u", said.status);
        tried++;
    }
    ck_assert_int_ge(tried, 11);
    ck_assert_int_lt(tried, 20);
    ck_assert_int_gt(atoi(said.wait), 0);
    json_decref(said.json);
    ck_assert_uint_eq(status_of(pair_at(link, "192.168.1.67", false)), 201);
}
END_TEST

START_TEST(a_device_is_slowed_down)
{
    struct person ana = keeper(), other = invited(ana, "{\"name\":\"Ben\",\"role\":\"grower\"}");
    int asked = 0;

    while (asked < 20000 && status_of(ASK(.path = "/api/v1/invites", .cookie = ana.cookie)) == 200)
        asked++;
    ck_assert_int_ge(asked, 100); /* other tests of this process may have taken some */
    ck_assert_int_lt(asked, 20000);
    ck_assert_uint_eq(status_of(ASK(.path = "/api/v1/garden", .cookie = other.cookie)), 200);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("who may ask what");
    TCase *tcase = tcase_create("people");

    tcase_add_checked_fixture(tcase, start, stop);
    tcase_add_test(tcase, every_route_for_every_asker);
    tcase_add_test(tcase, no_route_asks_for_less);
    tcase_add_test(tcase, cookie_over_plain_http);
    tcase_add_test(tcase, cookie_over_tls);
    tcase_add_test(tcase, cookie_of_a_device_in_use_is_renewed);
    tcase_add_test(tcase, this_machine_is_a_keeper_until_one_has_paired);
    tcase_add_loop_test(tcase, writes_need_our_origin_and_json, 0, COUNT(writes));
    tcase_add_test(tcase, refusals_say_what_would_help);
    tcase_add_test(tcase, a_sensor_posts_readings_to_its_tanks);
    tcase_add_test(tcase, a_new_key_voids_the_old_one_at_once);
    tcase_add_test(tcase, devices_are_seen_and_revoked);
    tcase_add_test(tcase, members_change_and_the_last_keeper_stays);
    tcase_add_test(tcase, invites_are_listed_without_their_secrets);
    tcase_add_test(tcase, guessing_invites_is_slowed_down_by_address);
    tcase_add_test(tcase, a_device_is_slowed_down);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
