/* The whole garden in one document: brought into an empty garden it makes the same garden, to the byte. What is wrong in it is told with
 * its place, and then nothing is kept. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include "api/demo.h"
#include "caller.h"
#include "garden/clock.h"
#include "garden/people.h"
#include "garden_file.h"
#include "runner.h"
#include "store/doubts.h"
#include "store/entries.h"
#include "store/sensed.h"
#include "store/tanks.h"

static struct caller caller, other;
static char *text; /* the export of the demo garden */

#define NORTH "1270d066-9411-54f0-be03-42c45c2cc243" /* an area of the demo garden */

static void tell_more(void);

static void open_demo(void)
{
    struct fault fault = {0};

    caller_open(&caller, "export");
    ck_assert_msg(demo_load(&caller.service, &fault) == 0, "%s", fault.item[0].detail);
    tell_more();
    json_decref(caller_get(&caller, "/api/v1/export"));
    text = strdup(caller.bytes);
    caller_open(&other, "export-other");
}

static void close_it(void)
{
    caller_close(&caller);
    caller_close(&other);
    free(text);
}

/* ---- what the demo garden has none of: invented ---- */

static int read_by_sensor(struct db *db, void *context, struct fault *fault)
{
    struct sensed reading = {.sensor_key = 1, .received_ms = 1770000061000, .waterline_mm = 210.4, .ec_ms_cm = 1.213, .ph = 5.87, .temperature_c = 21.25};
    struct doubt_row doubt = {.id = "0190aaaa-0000-7000-8000-000000000001", .sensor_key = 1, .from_ms = 1770000000000, .to_ms = 1770000600000,
                              .why = "fell out", .member_key = STORE_NO_INT, .told_ms = 1770000700000, .lifted_ms = STORE_NO_INT};

    reading.tank_key = doubt.tank_key = *(int64_t *)context;
    for (int i = 0; i < 2500; i++) { /* more than stand under one head */
        reading.at_ms = 1770000000000 + i * 60000LL;
        reading.received_ms = reading.at_ms + 61000;
        reading.waterline_mm = 210.4 - i / 100.0;
        reading.odd = i % 7 ? 0 : ODD_JUMP;
        if (i % 5 == 0)
            reading.ph = i % 10 ? 5.87 : (double)NAN;
        if (sensed_add(db, &reading, fault))
            return -1;
    }
    return doubts_add(db, &doubt, fault);
}

static void tell_more(void)
{
    json_t *tanks = caller_get(&caller, "/api/v1/tanks?limit=2"), *tank = json_array_get(json_object_get(tanks, "items"), 0);
    const char *id = text_of(tank, "id");
    struct fault fault = {0};
    struct arena arena = {0};
    struct tank_row row;
    struct db *db;

    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/sensors", "{\"name\":\"Schwimmer \\u00fc\",\"tanks\":[\"%s\"]}", id));
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/entries",
                              "{\"id\":\"0190bbbb-0000-7000-8000-000000000001\",\"tank\":\"%s\",\"kind\":\"reading\",\"at\":\"2026-01-05T07:30:00.250Z\","
                              "\"ph\":6.1,\"waterline_mm\":222.20000000000002,\"note\":\"line one\\nline \\\"two\\\" \\u2028 \\\\ end\"}", id));
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/entries", /* a correction that comes before what it corrects, by moment and by id */
                              "{\"id\":\"0180bbbb-0000-7000-8000-000000000002\",\"tank\":\"%s\",\"kind\":\"reading\",\"at\":\"2026-01-04T07:30:00Z\","
                              "\"ph\":6.2,\"amends\":\"0190bbbb-0000-7000-8000-000000000001\"}", id));
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/entries",
                              "{\"id\":\"0190bbbb-0000-7000-8000-000000000003\",\"tank\":\"%s\",\"kind\":\"note\",\"at\":\"2026-01-06T07:30:00Z\","
                              "\"withdraws\":\"0180bbbb-0000-7000-8000-000000000002\"}", id));
    json_decref(caller_expect(&caller, 200, "POST", "/api/v1/weather", "{\"days\":[{\"date\":\"2026-01-05\",\"tmin_c\":0.1,\"tmax_c\":0.30000000000000004}]}"));
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/meters", "{\"meter\":\"pen\",\"at\":\"2026-01-05T07:30:00Z\",\"standard\":\"kcl_0_01_mol_l\","
                                                                      "\"reading_ms_cm\":1.4,\"temperature_c\":25}"));
    json_decref(caller_expect(&caller, 200, "PATCH", "/api/v1/round-days/garden", "{\"weekdays\":[\"sunday\",\"monday\",\"tuesday\",\"wednesday\",\"thursday\","
                                                                                   "\"friday\",\"saturday\"]}"));
    json_decref(caller_expect(&caller, 200, "PATCH", "/api/v1/round-days/" NORTH, "{\"weekdays\":[\"tuesday\",\"friday\"]}"));
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/round-putoffs", "{\"id\":\"0190cccc-0000-7000-8000-000000000001\",\"days\":3}"));
    db = store_read(caller.service.garden->store, &fault);
    ck_assert_int_eq(tanks_one(db, id, &row, &arena, &fault), 1);
    store_done(caller.service.garden->store, db);
    ck_assert_msg(store_write(caller.service.garden->store, read_by_sensor, &row.key, &fault) == 0, "%s", fault.item[0].detail);
    arena_end(&arena);
    json_decref(tanks);
}

/* ---- bringing in ---- */

static json_t *wait_for(struct caller *to, const char *id)
{
    static const struct timespec moment = {.tv_nsec = 2000000};
    char path[128];

    snprintf(path, sizeof path, "/api/v1/imports/%s", id);
    for (;;) {
        json_t *job = caller_get(to, path);

        if (strcmp(text_of(job, "state"), "running") != 0)
            return job;
        json_decref(job);
        nanosleep(&moment, NULL);
    }
}

static json_t *send_in(struct caller *to, const char *document, size_t length)
{
    struct asking asking = {.method = "POST", .path = "/api/v1/imports/garden", .body = document, .length = length};
    json_t *started = caller_ask(to, &asking), *job;

    ck_assert_msg(to->status == 202, "%u %s", to->status, to->bytes);
    job = wait_for(to, text_of(started, "id"));
    json_decref(started);
    return job;
}

static void must_be(const json_t *job, const char *state)
{
    char *said = json_dumps(job, 0);

    ck_assert_msg(strcmp(text_of(job, "state"), state) == 0, "%s", said);
    free(said);
}

static void same_export(struct caller *of, const char *wanted)
{
    json_decref(caller_get(of, "/api/v1/export"));
    for (size_t i = 0; wanted[i] || of->bytes[i]; i++)
        ck_assert_msg(wanted[i] == of->bytes[i], "differs at byte %zu: %.120s | %.120s", i, wanted + (i < 40 ? 0 : i - 40), of->bytes + (i < 40 ? 0 : i - 40));
}

static void import_makes_the_same_bytes(void)
{
    json_t *job = send_in(&other, text, strlen(text)), *tanks, *tank;
    size_t i;

    must_be(job, "done");
    ck_assert_double_ge(number_of(job, "rows"), 3000);
    ck_assert_double_eq(number_of(job, "bytes"), (double)strlen(text));
    same_export(&other, text);
    same_export(&other, text);
    tanks = caller_get(&caller, "/api/v1/tanks?limit=500");
    json_array_foreach(json_object_get(tanks, "items"), i, tank) { /* and what is worked out of it is the same */
        char path[128];
        json_t *x, *y;

        snprintf(path, sizeof path, "/api/v1/tanks/%s", text_of(tank, "id"));
        x = caller_get(&caller, path);
        y = caller_get(&other, path);
        ck_assert_msg(json_equal(json_object_get(x, "state"), json_object_get(y, "state")), "%s", path);
        ck_assert_msg(json_equal(json_object_get(x, "recent"), json_object_get(y, "recent")), "%s", path);
        json_decref(x);
        json_decref(y);
    }
    json_decref(tanks);
    json_decref(job);
}

static void only_an_empty_garden_takes_one(void)
{
    json_t *refused = caller_ask(&other, &(struct asking){.method = "POST", .path = "/api/v1/imports/garden", .body = text, .length = strlen(text)});

    ck_assert_uint_eq(other.status, 409);
    ck_assert_ptr_nonnull(strstr(other.bytes, "not empty"));
    json_decref(refused);
}

START_TEST(export_brought_in_is_the_same_garden)
{
    import_makes_the_same_bytes();
    only_an_empty_garden_takes_one();
}
END_TEST

/* ---- what is wrong ---- */

/* text with the first `from` after `behind` replaced. */
static char *with(const char *behind, const char *from, const char *to)
{
    const char *at = strstr(text, behind);
    char *changed = malloc(strlen(text) + strlen(to) + 1);

    ck_assert_msg(at != NULL, "%s", behind);
    at = strstr(at, from);
    ck_assert_msg(at != NULL, "%s", from);
    sprintf(changed, "%.*s%s%s", (int)(at - text), text, to, at + strlen(from));
    return changed;
}

static bool told_at(const json_t *job, const char *at, const char *word)
{
    const json_t *fault;
    size_t i;

    json_array_foreach(json_object_get(job, "faults"), i, fault)
        if (strcmp(text_of(fault, "at"), at) == 0 && strstr(text_of(fault, "detail"), word))
            return true;
    return false;
}

static void nothing_kept(void)
{
    json_t *tanks = caller_get(&other, "/api/v1/tanks");
    char name[4200];

    ck_assert_uint_eq(json_array_size(json_object_get(tanks, "items")), 0);
    json_decref(tanks);
    snprintf(name, sizeof name, "%s.import", other.path);
    ck_assert_int_ne(access(name, F_OK), 0);
}

static const struct {
    const char *behind, *from, *to, *at, *word;
} wrongs[] = {
    {"\"format\"", "tidemark-export", "somebody-elses", "/format", "no export"},
    {"\"format_version\"", "2", "3", "/format_version", "newer"},
    {"\"garden\"", "\"time_zone\":\"", "\"time_zone\":\"Nowhere/", "/garden/0/time_zone", "IANA"},
    {"\"garden\"", "\"place\":\"", "\"place\":\"on_the_moon_", "/garden/0/place", "none of the words"},
    {"\"members\"", "\"role\":\"", "\"role\":\"x", "/members/0/role", "none of the words"},
    {"\"members\"", "\"joined_at\":\"", "\"joined_at\":\"yesterday ", "/members/0/joined_at", "instant"},
    {"\"vessels\"", "\"name\":", "\"nmae\":", "/vessels/0/nmae", "no member"},
    {"\"vessels\"", "\"name\":", "\"nmae\":", "/vessels/0/name", "required"},
    {"\"vessels\"", "\"start_mm\":", "\"start_mm\":9", "/vessels/0/start_mm", "floor and lid"},
    {"\"tanks\"", "\"vessel\":\"", "\"vessel\":\"0", "/tanks/0/vessel", "no such vessel"},
    {"\"tanks\"", "\"retired\":false", "\"retired\":0", "/tanks/0/retired", "true or false"},
    {"\"weather\"", "\"tmin_c\":", "\"tmin_c\":-200,\"rain_mm\":", "/weather/0/tmin_c", "from -90"},
    {"\"weather\"", "\"date\":\"", "\"date\":\"3", "/weather/0/date", "date"},
    {"\"entries\"", "\"kind\":\"", "\"kind\":\"re", "/entries/0/kind", "none of the words"},
    {"\"amends\"", "\"0190bbbb-0000-7000-8000-000000000001\"", "\"0190bbbb-0000-7000-8000-00000000000f\"", "/entries/0", "amends an entry that is not there"},
    {"\"readings\":[", "\"rows\":[[17", "\"rows\":[[\"x\",17", "/readings/0/rows/0", "list of 8"},
    {"\"readings\"", ",210.4,", ",210.45,", "/readings/0/rows/0/waterline_mm", "finer"},
    {"\"readings\":[", "\"sensor\":\"", "\"sensor\":\"0", "/readings/0/rows/0/sensor", "no such sensor"},
    {"\"readings\":[", "[", "[1,", "/readings/0", "object"},
    {"\"lessons\":", "lessons", "lesson", "/lesson", "no member"},
};

static void must_be_told(size_t i)
{
    char *changed = with(wrongs[i].behind, wrongs[i].from, wrongs[i].to);
    json_t *job = send_in(&other, changed, strlen(changed));
    char *said = json_dumps(job, 0);

    must_be(job, "refused");
    ck_assert_msg(told_at(job, wrongs[i].at, wrongs[i].word), "%s: %s", wrongs[i].at, said);
    nothing_kept();
    free(said);
    free(changed);
    json_decref(job);
}

START_TEST(what_is_wrong_is_told_with_its_place)
{
    for (size_t i = 0; i < COUNT(wrongs); i++)
        must_be_told(i);
}
END_TEST

/* Cut off anywhere, it is refused: every hundredth of its length, from the first byte to the last but one. */
static void cut_off_anywhere(void)
{
    size_t length = strlen(text) - 2; /* without the bracket and the line's end */

    for (size_t i = 0; i <= 100; i += 4) {
        json_t *job = send_in(&other, text, length * i / 100);

        must_be(job, "refused");
        ck_assert_double_ge(number_of(job, "faults_count"), 1);
        json_decref(job);
    }
    nothing_kept();
}

static void every_fault_is_counted(void)
{
    char *many = strdup(text);
    json_t *job;
    int changed = 0;

    for (char *at = many; (at = strstr(at, "\"ph\":")) != NULL; at++, changed++)
        memcpy(at, "\"pH\"", 4);
    job = send_in(&other, many, strlen(many));
    must_be(job, "refused");
    ck_assert_int_ge(changed, 150);
    ck_assert_double_ge(number_of(job, "faults_count"), changed);
    ck_assert_uint_eq(json_array_size(json_object_get(job, "faults")), 100);
    nothing_kept();
    json_decref(job);
    free(many);
}

START_TEST(half_a_document_is_none)
{
    cut_off_anywhere();
    every_fault_is_counted();
}
END_TEST

/* ---- people ---- */

START_TEST(whoever_brings_it_in_stays_in)
{
    struct fault fault = {0};
    struct arena arena = {0};
    struct invite_made invite;
    struct pairing pairing = {.device_name = "phone"};
    struct paired paired;
    struct who who;
    json_t *job, *members, *member;
    size_t i, same = 0;
    const char *name = NULL;

    members = caller_get(&caller, "/api/v1/members?limit=500");
    json_array_foreach(json_object_get(members, "items"), i, member)
        if (strcmp(text_of(member, "role"), "keeper") == 0)
            name = text_of(member, "name");
    ck_assert_ptr_nonnull(name);
    ck_assert_int_eq(people_host_invite(other.service.garden, name, &invite, &arena, &fault), 0);
    pairing.token = invite.token;
    ck_assert_int_eq(people_pair(other.service.garden, &pairing, &paired, &arena, &fault), 0);
    job = send_in(&other, text, strlen(text));
    must_be(job, "done");
    json_decref(job);
    ck_assert_int_eq(people_by_token(other.service.garden, paired.token, &who, &arena, &fault), 0);
    ck_assert_int_eq((int)who.role, ROLE_KEEPER);
    ck_assert_str_eq(who.name, name);
    same_export(&other, text); /* the keeper of the same name is the same person: nobody was added */
    job = caller_get(&other, "/api/v1/members?limit=500");
    json_array_foreach(json_object_get(job, "items"), i, member)
        same += strcmp(text_of(member, "name"), name) == 0;
    ck_assert_uint_eq(same, 1);
    json_decref(job);
    json_decref(members);
    arena_end(&arena);
}
END_TEST

/* ---- an import that is stopped ---- */

static void cancelled_keeps_nothing(void)
{
    struct asking asking = {.method = "POST", .path = "/api/v1/imports/garden", .body = text, .length = strlen(text)};
    json_t *started = caller_ask(&other, &asking), *job, *second;
    char path[128];
    bool was_running;

    ck_assert_uint_eq(other.status, 202);
    snprintf(path, sizeof path, "/api/v1/imports/%s", text_of(started, "id"));
    second = caller_ask(&other, &asking);
    was_running = other.status == 409;
    json_decref(second);
    json_decref(caller_send(&other, "DELETE", path, NULL));
    was_running &= other.status == 204;
    job = wait_for(&other, text_of(started, "id"));
    if (was_running) { /* as good as always: it takes longer than two questions */
        must_be(job, "cancelled");
        nothing_kept();
    }
    ck_assert(was_running);
    json_decref(job);
    json_decref(started);
    json_decref(caller_expect(&other, 404, "GET", "/api/v1/imports/0190bbbb-0000-7000-8000-000000000001", NULL));
}

START_TEST(cancelled_is_as_if_it_never_was)
{
    cancelled_keeps_nothing();
}
END_TEST

/* ---- copies ---- */

static void export_holds_no_secret(void)
{
    static const char *const secrets[] = {"token", "_hash", "\"invites\"", "\"feeds\"", "\"key\""};

    for (size_t i = 0; i < COUNT(secrets); i++)
        ck_assert_msg(!strstr(text, secrets[i]), "%s", secrets[i]);
    ck_assert_ptr_nonnull(strstr(text, "\"amends\""));
}

static void backup_lies_beside_the_garden(void)
{
    json_t *made = caller_expect(&caller, 201, "POST", "/api/v1/backup", NULL);
    char path[4300];
    const char *name = text_of(made, "file");

    ck_assert_ptr_null(strchr(name, '/'));
    snprintf(path, sizeof path, "%.*s%s", (int)(strrchr(caller.path, '/') + 1 - caller.path), caller.path, name);
    ck_assert_int_eq(access(path, R_OK), 0);
    ck_assert_double_ge(number_of(made, "entries"), 500);
    unlink(path);
    json_decref(made);
}

START_TEST(copies_hold_everything_but_secrets)
{
    export_holds_no_secret();
    backup_lies_beside_the_garden();
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("export");
    TCase *tcase = tcase_create("export");

    tcase_add_checked_fixture(tcase, open_demo, close_it);
    tcase_set_timeout(tcase, 120);
    tcase_add_test(tcase, export_brought_in_is_the_same_garden);
    tcase_add_test(tcase, what_is_wrong_is_told_with_its_place);
    tcase_add_test(tcase, half_a_document_is_none);
    tcase_add_test(tcase, whoever_brings_it_in_stays_in);
    tcase_add_test(tcase, cancelled_is_as_if_it_never_was);
    tcase_add_test(tcase, copies_hold_everything_but_secrets);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
