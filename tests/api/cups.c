/* Plants that are moved, lost and replaced, over the API. The garden is invented. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "caller.h"
#include "garden/garden.h"
#include "runner.h"

static struct caller caller;

#define TUB "00000000-0000-7000-8000-000000000001"
#define ONE "00000000-0000-7000-8000-000000000011"
#define TWO "00000000-0000-7000-8000-000000000012"
#define ID(n) "00000000-0000-7000-8000-0000000001" #n

static void open_garden(void)
{
    caller_open(&caller, "cups");
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/vessels",
                              "{\"id\":\"" TUB "\",\"name\":\"tub\",\"shape\":{\"shape\":\"box\",\"floor_mm\":[520,320],\"rim_mm\":[600,400],\"height_mm\":420},"
                              "\"cups\":[{\"x_mm\":80,\"y_mm\":80},{\"x_mm\":180,\"y_mm\":80},{\"x_mm\":280,\"y_mm\":80}],"
                              "\"cup\":{\"height_mm\":76,\"top_mm\":76,\"bottom_mm\":50},\"low_mm\":40}"));
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/tanks", "{\"id\":\"" ONE "\",\"name\":\"one\",\"vessel\":\"" TUB "\"}"));
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/tanks", "{\"id\":\"" TWO "\",\"name\":\"two\",\"vessel\":\"" TUB "\"}"));
    json_decref(caller_expect(&caller, 200, "PATCH", "/api/v1/garden", "{\"latitude_deg\":50,\"elevation_m\":100}"));
}

static void close_garden(void)
{
    caller_close(&caller);
}

static void log_one(unsigned status, const char *id, const char *tank, const char *kind, const char *at, const char *rest)
{
    json_decref(caller_expect(&caller, status, "POST", "/api/v1/entries", "{\"id\":\"%s\",\"tank\":\"%s\",\"kind\":\"%s\",\"at\":\"%sT07:00:00Z\"%s}", id,
                              tank, kind, at, rest));
}

/* The cup's state, borrowed from the tank that the caller frees. */
static json_t *cup_of(const char *tank, size_t number, json_t **held)
{
    char path[96];

    snprintf(path, sizeof path, "/api/v1/tanks/%s", tank);
    *held = caller_get(&caller, path);
    ck_assert_uint_eq(caller.status, 200);
    return json_array_get(json_object_get(json_object_get(*held, "state"), "cups"), number - 1);
}

static size_t flags_of(const char *tank, const char *name)
{
    json_t *whole, *flag;
    size_t found = 0, i;

    cup_of(tank, 1, &whole);
    json_array_foreach(json_object_get(json_object_get(whole, "state"), "flags"), i, flag)
        found += strcmp(text_of(flag, "flag"), name) == 0;
    json_decref(whole);
    return found;
}

static void plant_one(void)
{
    log_one(201, ID(01), ONE, "fill", "2026-05-01", ",\"waterline_mm\":380");
    log_one(201, ID(02), TWO, "fill", "2026-05-01", ",\"waterline_mm\":380");
    log_one(201, ID(03), ONE, "planting", "2026-05-02", ",\"crop\":\"lettuce-leaf\",\"cups\":[1,2],\"sown_on\":\"2026-04-12\",\"start\":\"transplanted\"");
    log_one(201, ID(04), ONE, "harvest", "2026-05-30", ",\"how\":\"cut\",\"cups\":[2],\"weight_g\":60");
}

#define MOVE ",\"cups\":[1,2],\"to_tank\":\"" TWO "\",\"to_cups\":[3,2]"

START_TEST(plants_move_to_another_tank_with_age_and_cuts)
{
    json_t *whole, *cup;

    plant_one();
    log_one(201, ID(05), ONE, "move", "2026-06-01", MOVE);
    log_one(200, ID(05), ONE, "move", "2026-06-01", MOVE); /* a slow network sends it twice */
    cup = cup_of(TWO, 2, &whole);
    ck_assert_str_eq(text_of(cup, "crop"), "lettuce-leaf");
    ck_assert_str_eq(text_of(cup, "planted_on"), "2026-05-02");
    ck_assert_str_eq(text_of(cup, "here_since"), "2026-06-01");
    ck_assert_str_eq(text_of(cup, "sown_on"), "2026-04-12");
    ck_assert_double_eq(number_of(cup, "cuts"), 1);
    json_decref(whole);
    cup = cup_of(TWO, 3, &whole);
    ck_assert_double_eq(number_of(cup, "cuts"), 0);
    json_decref(whole);
    cup = cup_of(ONE, 1, &whole);
    ck_assert_str_eq(text_of(cup, "state"), "free");
    json_decref(whole);
    ck_assert_uint_eq(flags_of(TWO, "cup_taken"), 0);
}
END_TEST

START_TEST(taking_the_move_back_takes_back_both_sides)
{
    json_t *whole, *cup;

    plant_one();
    log_one(201, ID(05), ONE, "move", "2026-06-01", MOVE);
    log_one(201, ID(06), ONE, "note", "2026-06-02", ",\"withdraws\":\"" ID(05) "\"");
    cup = cup_of(ONE, 1, &whole);
    ck_assert_str_eq(text_of(cup, "crop"), "lettuce-leaf");
    json_decref(whole);
    cup = cup_of(TWO, 3, &whole);
    ck_assert_str_eq(text_of(cup, "state"), "free");
    json_decref(whole);
    /* ... and the withdrawal taken back brings both back. */
    log_one(201, ID(07), ONE, "note", "2026-06-03", ",\"withdraws\":\"" ID(06) "\"");
    cup = cup_of(ONE, 1, &whole);
    ck_assert_str_eq(text_of(cup, "state"), "free");
    json_decref(whole);
    cup = cup_of(TWO, 3, &whole);
    ck_assert_str_eq(text_of(cup, "crop"), "lettuce-leaf");
    json_decref(whole);
}
END_TEST

START_TEST(what_follows_from_a_move_is_corrected_there)
{
    json_t *log, *entry, *refused;
    char *planting = NULL;
    size_t i;

    plant_one();
    log_one(201, ID(05), ONE, "move", "2026-06-01", MOVE);
    log = caller_get(&caller, "/api/v1/entries?tank=" TWO);
    json_array_foreach(json_object_get(log, "items"), i, entry)
        if (strcmp(text_of(entry, "kind"), "planting") == 0) {
            ck_assert_str_eq(text_of(entry, "follows"), ID(05));
            free(planting); /* one for each age and number of cuts */
            planting = strdup(text_of(entry, "id"));
        }
    json_decref(log);
    ck_assert_ptr_nonnull(planting);
    refused = caller_expect(&caller, 422, "POST", "/api/v1/entries",
                            "{\"id\":\"" ID(08) "\",\"tank\":\"" TWO "\",\"kind\":\"note\",\"at\":\"2026-06-02T07:00:00Z\",\"withdraws\":\"%s\"}", planting);
    ck_assert(problem_at(refused, "/withdraws"));
    json_decref(refused);
    free(planting);
    refused = caller_expect(&caller, 422, "POST", "/api/v1/entries",
                            "{\"id\":\"" ID(09) "\",\"tank\":\"" ONE "\",\"kind\":\"move\",\"at\":\"2026-06-02T07:00:00Z\",\"amends\":\"" ID(05) "\",\"cups\":[1],\"to_cups\":[3]}");
    ck_assert(problem_at(refused, "/amends"));
    json_decref(refused);
}
END_TEST

START_TEST(lost_and_odd_entries_are_seen)
{
    json_t *whole, *cup;

    plant_one();
    log_one(201, ID(05), ONE, "loss", "2026-06-01", ",\"cups\":[1],\"reason\":\"rot\"");
    cup = cup_of(ONE, 1, &whole);
    ck_assert_str_eq(text_of(cup, "state"), "lost");
    ck_assert_str_eq(text_of(cup, "lost_to"), "rot");
    ck_assert_str_eq(text_of(cup, "lost_on"), "2026-06-01");
    json_decref(whole);
    log_one(201, ID(06), ONE, "planting", "2026-06-02", ",\"crop\":\"basil\",\"cups\":[2]");
    ck_assert_uint_eq(flags_of(ONE, "cup_taken"), 1);
    log_one(201, ID(07), ONE, "planting", "2026-06-03", ",\"crop\":\"basil\",\"count\":3");
    ck_assert_uint_eq(flags_of(ONE, "cups_full"), 1);
    log_one(201, ID(08), TWO, "harvest", "2026-06-03", ",\"how\":\"whole\",\"cups\":[3]");
    ck_assert_uint_eq(flags_of(TWO, "cup_empty"), 1);
}
END_TEST

static const struct {
    const char *kind, *rest, *at;
} refused[] = {
    {"move", ",\"cups\":[1]", "/to_cups"},
    {"move", ",\"cups\":[1],\"to_cups\":[4]", "/to_cups/0"},
    {"move", ",\"cups\":[1,2],\"to_cups\":[3,3]", "/to_cups/1"},
    {"move", ",\"to_cups\":[3]", "/cups"},
    {"move", ",\"cups\":[1],\"to_cups\":[3],\"to_tank\":\"nowhere\"", "/to_tank"},
    {"move", ",\"cups\":[1],\"to_cups\":[3],\"crop\":\"basil\"", "/crop"},
    {"loss", ",\"cups\":[1]", "/reason"},
    {"loss", ",\"reason\":\"rot\"", "/cups"},
    {"loss", ",\"cups\":[9],\"reason\":\"rot\"", "/cups/0"},
    {"loss", ",\"cups\":[1],\"reason\":\"hunger\"", "/reason"},
    {"harvest", ",\"how\":\"whole\",\"reason\":\"rot\"", "/reason"},
    {"fill", ",\"volume_l\":9,\"steps\":[\"dried\"]", "/steps"},
    {"clean-out", ",\"steps\":[\"polished\"]", "/steps/0"},
};

START_TEST(refused_with_a_pointer)
{
    uint64_t before;
    json_t *problem;

    plant_one();
    before = caller_hash(&caller);
    problem = caller_expect(&caller, 422, "POST", "/api/v1/entries", "{\"id\":\"" ID(20) "\",\"tank\":\"" ONE "\",\"kind\":\"%s\",\"at\":\"2026-06-01T07:00:00Z\"%s}",
                            refused[_i].kind, refused[_i].rest);
    ck_assert_msg(problem_at(problem, refused[_i].at), "%s %s: %s", refused[_i].kind, refused[_i].rest, caller.bytes);
    json_decref(problem);
    ck_assert(before == caller_hash(&caller));
}
END_TEST

START_TEST(cup_has_its_history)
{
    json_t *answer, *deed;

    plant_one();
    log_one(201, ID(05), ONE, "move", "2026-06-01", MOVE);
    answer = caller_get(&caller, "/api/v1/tanks/" ONE "/cups/2");
    ck_assert_uint_eq(caller.status, 200);
    ck_assert_uint_eq(json_array_size(json_object_get(answer, "past")), 3);
    deed = json_array_get(json_object_get(answer, "past"), 2);
    ck_assert_str_eq(text_of(deed, "what"), "moved_out");
    ck_assert_str_eq(text_of(deed, "other_tank"), TWO);
    json_decref(answer);
    answer = caller_get(&caller, "/api/v1/tanks/" TWO "/cups/2");
    ck_assert_str_eq(text_of(json_array_get(json_object_get(answer, "past"), 0), "what"), "moved_in");
    json_decref(answer);
    json_decref(caller_expect(&caller, 404, "GET", "/api/v1/tanks/" ONE "/cups/4", NULL));
    json_decref(caller_expect(&caller, 404, "GET", "/api/v1/tanks/" ONE "/cups/2x", NULL));
}
END_TEST

START_TEST(steps_of_a_clean_out_are_kept)
{
    json_t *log, *steps;

    plant_one();
    log_one(201, ID(05), ONE, "clean-out", "2026-06-01", ",\"steps\":[\"rinsed\",\"emptied\",\"rinsed\"],\"went_to\":\"planted_soil\"");
    log_one(200, ID(05), ONE, "clean-out", "2026-06-01", ",\"steps\":[\"emptied\",\"rinsed\"],\"went_to\":\"planted_soil\"");
    log = caller_get(&caller, "/api/v1/entries/" ID(05));
    steps = json_object_get(log, "steps");
    ck_assert_uint_eq(json_array_size(steps), 2);
    ck_assert_str_eq(json_string_value(json_array_get(steps, 0)), "emptied");
    ck_assert_str_eq(text_of(log, "went_to"), "planted_soil");
    json_decref(log);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("cups");
    TCase *tcase = tcase_create("cups");

    tcase_add_checked_fixture(tcase, open_garden, close_garden);
    tcase_add_test(tcase, plants_move_to_another_tank_with_age_and_cuts);
    tcase_add_test(tcase, taking_the_move_back_takes_back_both_sides);
    tcase_add_test(tcase, what_follows_from_a_move_is_corrected_there);
    tcase_add_test(tcase, lost_and_odd_entries_are_seen);
    tcase_add_loop_test(tcase, refused_with_a_pointer, 0, sizeof refused / sizeof *refused);
    tcase_add_test(tcase, cup_has_its_history);
    tcase_add_test(tcase, steps_of_a_clean_out_are_kept);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
