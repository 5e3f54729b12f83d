/* The calendar tells the outlooks' days, to members and to who has a feed's key, and to nobody else. */
#include <stdlib.h>
#include <string.h>

#include "api/demo.h"
#include "api/words.h"
#include "caller.h"
#include "runner.h"

static struct caller caller;
static struct words *words;

static void open_demo(void)
{
    struct fault fault = {0};

    caller_open(&caller, "calendar");
    words = words_load(source_path("www"), &fault);
    ck_assert_msg(words != NULL, "%s", fault.item[0].detail);
    caller.service.words = words;
    caller.service.public_url = "https://garden.example";
    ck_assert_msg(demo_load(&caller.service, &fault) == 0, "%s", fault.item[0].detail);
}

static void close_it(void)
{
    caller_close(&caller);
    words_free(words);
}

/* A day of a tank's event by its uid and the member's name, or "" where there is none; lines unfolded by hand would be more than this needs: UIDs of
 * two UUIDs are folded at a known place. */
static const char *event_day(const char *calendar, const char *tank, const char *kind, const char *member)
{
    static char day[16];
    char uid[128];
    const char *at = calendar;
    static char flat[1 << 20];
    char *to = flat;

    for (; *at; at++) {
        if (strncmp(at, "\r\n ", 3) == 0)
            at += 2;
        else
            *to++ = *at;
    }
    *to = '\0';
    snprintf(uid, sizeof uid, "UID:%s-%s@", tank, kind);
    at = strstr(flat, uid);
    if (!at)
        return "";
    at = strstr(at, member);
    ck_assert_ptr_nonnull(at);
    at += strlen(member);
    snprintf(day, sizeof day, "%.4s-%.2s-%.2s", at, at + 4, at + 6);
    return day;
}

static const char *likely(const json_t *outlook, const char *which, const char *how)
{
    const char *day = json_string_value(json_object_get(json_object_get(outlook, which), how));

    return day ? day : "";
}

#define START "DTSTART;VALUE=DATE:"
#define END "DTEND;VALUE=DATE:"

START_TEST(days_are_those_of_the_outlooks)
{
    json_t *none = caller_get(&caller, "/api/v1/calendar.ics"), *tanks, *tank, *garden;
    char *calendar = strdup(caller.bytes);
    size_t i, events = 0, windows = 0;
    static const char *const other_kinds[] = {"-duty@", "-sow-", "-plant-"}; /* in their uids */
    const char *today;

    ck_assert_ptr_null(none); /* no JSON */
    garden = caller_get(&caller, "/api/v1/garden");
    today = text_of(garden, "today");
    tanks = caller_get(&caller, "/api/v1/tanks?limit=500");
    json_array_foreach(json_object_get(tanks, "items"), i, tank) {
        const json_t *outlook = json_object_get(tank, "outlook");
        const char *low = likely(outlook, "low_on", "p50"), *ready = likely(outlook, "harvest_on", "p50"), *from = likely(outlook, "harvest_on", "p10");
        bool low_told = *low && !(*ready && strcmp(ready, low) < 0);

        if (json_is_true(json_object_get(tank, "retired")))
            low_told = false, ready = "";
        if (low_told && strcmp(low, today) < 0)
            low = today;
        if (!*from)
            from = ready;
        if (*from && strcmp(from, today) < 0)
            from = today;
        ck_assert_str_eq(event_day(calendar, text_of(tank, "id"), "low", START), low_told ? low : "");
        ck_assert_str_eq(event_day(calendar, text_of(tank, "id"), "harvest", START), *ready ? from : "");
        windows += *ready && strcmp(event_day(calendar, text_of(tank, "id"), "harvest", END), likely(outlook, "harvest_on", "p90")) > 0; /* the first day after it */
        events += (size_t)low_told + (*ready ? 1 : 0);
    }
    ck_assert_uint_gt(events, 5);
    ck_assert_uint_gt(windows, 2);
    ck_assert_ptr_null(strstr(calendar, "calendar.")); /* no key where a sentence should stand */
    events += strstr(calendar, "UID:round-") != NULL;
    for (size_t kind = 0; kind < COUNT(other_kinds); kind++)
        for (const char *at = calendar; (at = strstr(at, other_kinds[kind])); at++)
            events++;
    for (const char *at = calendar; (at = strstr(at, "BEGIN:VEVENT")); at++)
        events--;
    ck_assert_uint_eq(events, 0);
    ck_assert_ptr_nonnull(strstr(calendar, "URL:https://garden.example/t/"));
    json_decref(tanks);
    json_decref(garden);
    free(calendar);
}
END_TEST

static size_t count_of(const char *calendar, const char *what)
{
    size_t count = 0;

    for (const char *at = calendar; (at = strstr(at, what)); at++)
        count++;
    return count;
}

/* Six weeks have each weekday six times. */
START_TEST(planned_rounds_take_the_place_of_todays)
{
    char *calendar;

    json_decref(caller_get(&caller, "/api/v1/calendar.ics"));
    ck_assert_uint_eq(count_of(caller.bytes, "UID:round-"), 1); /* the demo garden plans none, and wants hands today */
    json_decref(caller_expect(&caller, 200, "PATCH", "/api/v1/round-days/garden", "{\"weekdays\":[\"tuesday\",\"friday\"]}"));
    json_decref(caller_expect(&caller, 200, "PATCH", "/api/v1/round-days/1270d066-9411-54f0-be03-42c45c2cc243", "{\"weekdays\":[\"sunday\"]}"));
    json_decref(caller_get(&caller, "/api/v1/calendar.ics"));
    calendar = strdup(caller.bytes);
    ck_assert_uint_eq(count_of(calendar, "UID:round-") + count_of(calendar, "UID:\r\n round-"), 18); /* long ones are folded before they begin */
    ck_assert_uint_eq(count_of(calendar, "SUMMARY:Round through the whole garden"), 12);
    ck_assert_uint_eq(count_of(calendar, "/round.html?area="), 6);
    json_decref(caller_get(&caller, "/api/v1/calendar.ics"));
    ck_assert_str_eq(caller.bytes, calendar);
    free(calendar);
}
END_TEST

static void as_stranger(unsigned status, const char *path)
{
    json_decref(caller_ask(&caller, &(struct asking){.method = "GET", .path = path, .peer = "192.0.2.7", .not_at_home = true}));
    ck_assert_msg(caller.status == status, "%s: %u, not %u", path, caller.status, status);
}

START_TEST(strangers_need_a_key_that_was_not_revoked)
{
    json_t *feed = caller_expect(&caller, 201, "POST", "/api/v1/feeds", "{\"name\":\"kitchen\"}"), *list;
    const char *link = strstr(text_of(feed, "link"), "/api/v1/");
    char path[128], wrong[128];

    snprintf(path, sizeof path, "%s", link);
    snprintf(wrong, sizeof wrong, "%s", link);
    wrong[strlen("/api/v1/calendar/")] = wrong[strlen("/api/v1/calendar/")] == 'A' ? 'B' : 'A';
    as_stranger(401, "/api/v1/calendar.ics");
    as_stranger(404, wrong);
    as_stranger(404, "/api/v1/calendar/short");
    as_stranger(200, path);
    as_stranger(401, "/api/v1/feeds");
    list = caller_get(&caller, "/api/v1/feeds");
    ck_assert(!json_is_null(json_object_get(item_of(list, "name", "kitchen"), "last_used_at")));
    snprintf(wrong, sizeof wrong, "%.43s", path + strlen("/api/v1/calendar/"));
    ck_assert_ptr_null(strstr(caller.bytes, wrong)); /* the key is shown once */
    json_decref(list);
    snprintf(wrong, sizeof wrong, "/api/v1/feeds/%s", text_of(feed, "id"));
    json_decref(caller_expect(&caller, 204, "DELETE", wrong, NULL));
    as_stranger(404, path);
    json_decref(feed);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("calendar");
    TCase *tcase = tcase_create("calendar");

    tcase_add_checked_fixture(tcase, open_demo, close_it);
    tcase_set_timeout(tcase, 120);
    tcase_add_test(tcase, days_are_those_of_the_outlooks);
    tcase_add_test(tcase, planned_rounds_take_the_place_of_todays);
    tcase_add_test(tcase, strangers_need_a_key_that_was_not_revoked);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
