/* Solutions under way: whoever comes next carries on, two at once lose nothing of each other. The garden is invented. */
#include <stdio.h>
#include <string.h>

#include "caller.h"
#include "api/shape.h"
#include "garden/clock.h"
#include "garden/garden.h"
#include "runner.h"
#include "store/members.h"
#include "store/mixes.h"

static struct caller caller;
static struct who tavi, odo; /* two growers */
static const struct who visitor = {.role = ROLE_VISITOR};

#define TANK "00000000-0000-7000-8000-000000000001"
#define VESSEL "00000000-0000-7000-8000-000000000002"
#define ID(n) "00000000-0000-7000-8000-0000000001" #n
#define MIX ID(50)

static int add_members(struct db *db, void *context, struct fault *fault)
{
    struct member_row row[] = {{.id = ID(90), .name = "Tavi", .role = ROLE_GROWER, .joined_ms = 1, .removed_ms = STORE_NO_INT},
                               {.id = ID(91), .name = "Odo", .role = ROLE_GROWER, .joined_ms = 1, .removed_ms = STORE_NO_INT}};

    (void)context;
    if (members_add(db, &row[0], fault) || members_add(db, &row[1], fault))
        return -1;
    tavi = (struct who){.role = ROLE_GROWER, .member = row[0].key};
    odo = (struct who){.role = ROLE_GROWER, .member = row[1].key};
    return 0;
}

static json_t *post_as(const struct who *who, unsigned status, const char *path, const char *body)
{
    json_t *answer = caller_ask(&caller, &(struct asking){.method = "POST", .path = path, .body = body, .length = strlen(body), .who = who});

    ck_assert_msg(caller.status == status, "%s %s: %u, not %u: %s", path, body, caller.status, status, caller.bytes);
    return answer;
}

#define MIX_BODY(steps, sheet) \
    "{\"id\":\"" MIX "\",\"tank\":\"" TANK "\",\"kind\":\"fill\",\"at\":\"2026-05-02T07:00:00Z\",\"volume_l\":20,\"steps\":" steps ",\"sheet\":" sheet "}"
#define THREE MIX_BODY("3", "{\"a\":1,\"b\":[\"epsom-salt\"]}")

static void open_garden(void)
{
    struct fault fault = {0};

    caller_open(&caller, "mixes");
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/vessels",
                              "{\"id\":\"%s\",\"name\":\"tub\",\"shape\":{\"shape\":\"round\",\"floor_mm\":260,\"rim_mm\":300,\"height_mm\":360},"
                              "\"start_mm\":322,\"low_mm\":40}", VESSEL));
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/tanks", "{\"id\":\"%s\",\"name\":\"one\",\"vessel\":\"%s\"}", TANK, VESSEL));
    ck_assert_int_eq(store_write(caller.service.garden->store, add_members, NULL, &fault), 0);
    json_decref(post_as(&tavi, 201, "/api/v1/mixes", THREE));
}

static void close_garden(void)
{
    caller_close(&caller);
}

static size_t listed(void)
{
    json_t *page = caller_get(&caller, "/api/v1/mixes");
    size_t count = json_array_size(json_object_get(page, "items"));

    json_decref(page);
    return count;
}

static json_t *tick(const struct who *who, int step, const char *rest)
{
    char body[300];

    snprintf(body, sizeof body, "{\"step\":%d,%s}", step, rest);
    return post_as(who, 200, "/api/v1/mixes/" MIX "/ticks", body);
}

static const json_t *told(const json_t *mix, int step)
{
    const json_t *item;
    size_t i;

    json_array_foreach(json_object_get(mix, "ticks"), i, item)
        if (number_of(item, "step") == step)
            return item;
    ck_abort_msg("nothing was told of step %d", step);
}

START_TEST(another_member_carries_on)
{
    json_t *mix;

    json_decref(tick(&tavi, 0, "\"done\":true,\"grams\":9.8,\"at\":\"2026-05-02T07:05:00Z\""));
    mix = caller_ask(&caller, &(struct asking){.method = "GET", .path = "/api/v1/mixes/" MIX, .who = &odo});
    ck_assert_str_eq(text_of(mix, "state"), "open");
    ck_assert_str_eq(text_of(mix, "member_name"), "Tavi");
    ck_assert_double_eq(number_of(mix, "done"), 1);
    ck_assert_double_eq(number_of(told(mix, 0), "grams"), 9.8);
    ck_assert_str_eq(text_of(told(mix, 0), "member_name"), "Tavi");
    ck_assert_str_eq(json_string_value(json_array_get(json_object_get(json_object_get(mix, "sheet"), "b"), 0)), "epsom-salt");
    json_decref(mix);
}
END_TEST

START_TEST(two_at_once_lose_nothing)
{
    json_t *mix;

    json_decref(tick(&tavi, 0, "\"done\":true,\"grams\":9.8,\"at\":\"2026-05-02T07:05:00Z\""));
    json_decref(tick(&odo, 1, "\"done\":true,\"grams\":4.1,\"at\":\"2026-05-02T07:05:00Z\""));
    /* The later word stands, in whichever order they come in. */
    json_decref(tick(&odo, 2, "\"done\":true,\"grams\":3,\"at\":\"2026-05-02T07:09:00Z\""));
    mix = tick(&tavi, 2, "\"done\":true,\"grams\":2,\"at\":\"2026-05-02T07:08:00Z\"");
    ck_assert_double_eq(number_of(mix, "done"), 3);
    ck_assert_double_eq(number_of(told(mix, 2), "grams"), 3);
    ck_assert_str_eq(text_of(told(mix, 2), "member_name"), "Odo");
    json_decref(mix);
    mix = tick(&tavi, 2, "\"done\":false,\"at\":\"2026-05-02T07:10:00Z\"");
    ck_assert_double_eq(number_of(mix, "done"), 2);
    ck_assert_double_eq(number_of(told(mix, 1), "grams"), 4.1);
    json_decref(mix);
}
END_TEST

START_TEST(a_clock_that_is_ahead_does_not_win)
{
    char body[200], at[40], ahead[40];
    json_t *mix;
    int64_t now = clock_now_ms();

    /* Tavi's clock is an hour ahead; what he said a minute ago is older than what Odo says now. */
    shape_instant(ahead, now + 3600000);
    shape_instant(at, now + 3600000 - 60000);
    snprintf(body, sizeof body, "\"done\":true,\"grams\":2,\"at\":\"%s\",\"sent_at\":\"%s\"", at, ahead);
    json_decref(tick(&tavi, 0, body));
    shape_instant(at, now - 30000);
    snprintf(body, sizeof body, "\"done\":true,\"grams\":3,\"at\":\"%s\",\"sent_at\":\"%s\"", at, shape_instant(ahead, now));
    mix = tick(&odo, 0, body);
    ck_assert_double_eq(number_of(told(mix, 0), "grams"), 3);
    json_decref(mix);
    /* A moment that is still to come counts as now: the next word stands. */
    shape_instant(ahead, now + 7200000);
    snprintf(body, sizeof body, "\"done\":true,\"grams\":4,\"at\":\"%s\"", ahead);
    json_decref(tick(&tavi, 0, body));
    mix = tick(&odo, 0, body);
    ck_assert_str_eq(text_of(told(mix, 0), "member_name"), "Odo");
    json_decref(mix);
}
END_TEST

START_TEST(sent_twice_is_kept_once)
{
    json_t *again = post_as(&odo, 200, "/api/v1/mixes", "{\"id\":\"" MIX "\",\"sheet\":{\"b\":[\"epsom-salt\"],\"a\":1},\"tank\":\"" TANK
                                                        "\",\"kind\":\"fill\",\"at\":\"2026-05-02T07:00:00Z\",\"volume_l\":20,\"steps\":3}");

    ck_assert_str_eq(text_of(again, "member_name"), "Tavi");
    json_decref(again);
    json_decref(post_as(&tavi, 409, "/api/v1/mixes", MIX_BODY("4", "{\"a\":1,\"b\":[\"epsom-salt\"]}")));
    json_decref(post_as(&tavi, 409, "/api/v1/mixes", MIX_BODY("3", "{\"a\":2,\"b\":[\"epsom-salt\"]}")));
    ck_assert_uint_eq(listed(), 1);
}
END_TEST

START_TEST(it_is_over_when_it_is_logged)
{
    json_t *mix;

    ck_assert_uint_eq(listed(), 1);
    json_decref(post_as(&odo, 201, "/api/v1/entries", "{\"id\":\"" MIX "\",\"tank\":\"" TANK "\",\"kind\":\"fill\",\"at\":\"2026-05-02T08:00:00Z\",\"volume_l\":20}"));
    ck_assert_uint_eq(listed(), 0);
    mix = caller_get(&caller, "/api/v1/mixes/" MIX);
    ck_assert_str_eq(text_of(mix, "state"), "logged");
    json_decref(mix);
    /* The other one at the scale logs it, too: one fill, not two. */
    json_decref(post_as(&tavi, 409, "/api/v1/entries", "{\"id\":\"" MIX "\",\"tank\":\"" TANK "\",\"kind\":\"fill\",\"at\":\"2026-05-02T08:01:00Z\",\"volume_l\":20}"));
}
END_TEST

START_TEST(given_up_and_taken_up_again)
{
    json_decref(post_as(&odo, 200, "/api/v1/mixes/" MIX "/state", "{\"state\":\"given_up\"}"));
    ck_assert_uint_eq(listed(), 0);
    json_decref(post_as(&tavi, 200, "/api/v1/mixes/" MIX "/state", "{\"state\":\"open\"}"));
    ck_assert_uint_eq(listed(), 1);
    json_decref(post_as(&tavi, 422, "/api/v1/mixes/" MIX "/state", "{\"state\":\"logged\"}"));
}
END_TEST

/* The mix as Today, or as its tank's page, tells it: NULL when it does not. The answer is borrowed out of *answer. */
static const json_t *told_by(const char *path, json_t **answer)
{
    *answer = caller_get(&caller, path);
    return json_array_get(json_object_get(*answer, "mixes"), 0);
}

START_TEST(today_and_its_tank_tell_of_it)
{
    static const char *const paths[] = {"/api/v1/today", "/api/v1/tanks/" TANK};

    for (int turn = 0; turn < 2; turn++)
        for (size_t i = 0; i < COUNT(paths); i++) {
            json_t *answer;
            const json_t *mix = told_by(paths[i], &answer);

            ck_assert_ptr_nonnull(mix);
            ck_assert_str_eq(text_of(mix, "id"), MIX);
            ck_assert_str_eq(text_of(mix, "tank_name"), "one");
            ck_assert_str_eq(text_of(mix, "member_name"), "Tavi");
            ck_assert_str_eq(text_of(mix, "at"), "2026-05-02T07:00:00Z");
            ck_assert_double_eq(number_of(mix, "done"), turn);
            ck_assert(json_is_null(json_object_get(mix, "off_until")));
            json_decref(answer);
            if (i == 1 && turn == 0)
                json_decref(tick(&odo, 0, "\"done\":true,\"grams\":9.8,\"at\":\"2026-05-02T07:05:00Z\"")); /* seen on both at once */
        }
    json_decref(post_as(&odo, 200, "/api/v1/mixes/" MIX "/state", "{\"state\":\"given_up\"}"));
    for (size_t i = 0; i < COUNT(paths); i++) {
        json_t *answer;

        ck_assert_ptr_null(told_by(paths[i], &answer));
        json_decref(answer);
    }
}
END_TEST

static bool is_off(const char *path)
{
    json_t *answer;
    const json_t *mix = told_by(path, &answer);
    bool off;

    ck_assert_ptr_nonnull(mix);
    off = json_is_string(json_object_get(mix, "off_until"));
    json_decref(answer);
    return off;
}

START_TEST(put_off_until_somebody_is_at_it)
{
    json_t *answer = post_as(&odo, 200, "/api/v1/mixes/" MIX "/off", "{\"days\":1}"), *today = caller_get(&caller, "/api/v1/today");

    ck_assert_str_gt(text_of(answer, "off_until"), text_of(today, "date"));
    json_decref(answer);
    json_decref(today);
    ck_assert(is_off("/api/v1/today") && is_off("/api/v1/tanks/" TANK));
    json_decref(post_as(&tavi, 200, "/api/v1/mixes/" MIX "/off", "{\"days\":0}"));
    ck_assert(!is_off("/api/v1/today"));
    json_decref(post_as(&tavi, 200, "/api/v1/mixes/" MIX "/off", "{\"days\":2}"));
    json_decref(tick(&odo, 1, "\"done\":true,\"grams\":1,\"at\":\"2026-05-02T07:05:00Z\""));
    ck_assert(!is_off("/api/v1/today") && !is_off("/api/v1/tanks/" TANK));
}
END_TEST

static int turn_the_day(struct db *db, void *context, struct fault *fault)
{
    static const struct query back = {"test_turn_the_day", "UPDATE mix SET off_day = off_day - 1"};
    STMT_HELD *held = stmt_take(db, &back, fault);

    (void)context;
    return stmt_run(held, fault);
}

START_TEST(put_off_it_comes_back_on_its_day)
{
    struct fault fault = {0};

    json_decref(post_as(&odo, 200, "/api/v1/mixes/" MIX "/off", "{\"days\":2}"));
    ck_assert_int_eq(store_write(caller.service.garden->store, turn_the_day, NULL, &fault), 0);
    ck_assert(is_off("/api/v1/today"));
    ck_assert_int_eq(store_write(caller.service.garden->store, turn_the_day, NULL, &fault), 0);
    ck_assert(!is_off("/api/v1/today"));
}
END_TEST

static int grow_old(struct db *db, void *context, struct fault *fault)
{
    sqlite3_stmt *held;
    static const struct query back = {"test_grow_old", "UPDATE mix SET told_ms = told_ms - :by"};

    held = stmt_take(db, &back, fault);
    stmt_int(held, ":by", *(const int64_t *)context);
    if (stmt_run(held, fault))
        return -1;
    stmt_release(&held);
    return 0;
}

START_TEST(untouched_for_a_week_it_leaves_the_list)
{
    struct fault fault = {0};
    int64_t by = INT64_C(7) * 86400000 - 60000;

    ck_assert_int_eq(store_write(caller.service.garden->store, grow_old, &by, &fault), 0);
    ck_assert_uint_eq(listed(), 1);
    by = 120000;
    ck_assert_int_eq(store_write(caller.service.garden->store, grow_old, &by, &fault), 0);
    ck_assert_uint_eq(listed(), 0);
    json_decref(caller_expect(&caller, 200, "GET", "/api/v1/mixes/" MIX, NULL));
    json_decref(tick(&odo, 1, "\"done\":true,\"grams\":1,\"at\":\"2026-05-02T07:05:00Z\"")); /* somebody is at it again */
    ck_assert_uint_eq(listed(), 1);
}
END_TEST

static const struct {
    unsigned status;
    const char *path, *body, *at;
} refused[] = {
    {422, "/api/v1/mixes", "{\"kind\":\"fill\",\"at\":\"2026-05-02T07:00:00Z\",\"volume_l\":20,\"steps\":3}", "/sheet"},
    {422, "/api/v1/mixes", "{\"kind\":\"fill\",\"at\":\"2026-05-02T07:00:00Z\",\"volume_l\":20,\"steps\":3,\"sheet\":[1]}", "/sheet"},
    {422, "/api/v1/mixes", "{\"kind\":\"reading\",\"at\":\"2026-05-02T07:00:00Z\",\"volume_l\":20,\"steps\":3,\"sheet\":{}}", "/kind"},
    {422, "/api/v1/mixes", "{\"kind\":\"fill\",\"at\":\"2026-05-02T07:00:00Z\",\"volume_l\":20,\"steps\":65,\"sheet\":{}}", "/steps"},
    {422, "/api/v1/mixes", "{\"tank\":\"nowhere\",\"kind\":\"fill\",\"at\":\"2026-05-02T07:00:00Z\",\"volume_l\":20,\"steps\":3,\"sheet\":{}}", "/tank"},
    {422, "/api/v1/mixes/" MIX "/ticks", "{\"step\":3,\"done\":true,\"at\":\"2026-05-02T07:05:00Z\"}", "/step"},
    {422, "/api/v1/mixes/" MIX "/ticks", "{\"step\":0,\"done\":true,\"grams\":-1,\"at\":\"2026-05-02T07:05:00Z\"}", "/grams"},
    {404, "/api/v1/mixes/" ID(51) "/ticks", "{\"step\":0,\"done\":true,\"at\":\"2026-05-02T07:05:00Z\"}", NULL},
    {422, "/api/v1/mixes/" MIX "/off", "{\"days\":8}", "/days"},
    {422, "/api/v1/mixes/" MIX "/off", "{\"days\":-1}", "/days"},
    {404, "/api/v1/mixes/" ID(51) "/off", "{\"days\":1}", NULL},
    {404, "/api/v1/mixes/" ID(51) "/state", "{\"state\":\"finished\"}", NULL},
};

START_TEST(bad_ones_are_refused)
{
    json_t *problem = post_as(&tavi, refused[_i].status, refused[_i].path, refused[_i].body);

    ck_assert_msg(!refused[_i].at || problem_at(problem, refused[_i].at), "%s: %s", refused[_i].body, caller.bytes);
    json_decref(problem);
    ck_assert_uint_eq(listed(), 1);
}
END_TEST

START_TEST(who_only_looks_changes_nothing)
{
    json_decref(post_as(&visitor, 403, "/api/v1/mixes", THREE));
    json_decref(post_as(&visitor, 403, "/api/v1/mixes/" MIX "/ticks", "{\"step\":0,\"done\":true,\"at\":\"2026-05-02T07:05:00Z\"}"));
    json_decref(post_as(&visitor, 403, "/api/v1/mixes/" MIX "/state", "{\"state\":\"given_up\"}"));
    json_decref(post_as(&visitor, 403, "/api/v1/mixes/" MIX "/off", "{\"days\":1}"));
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("mixes");
    TCase *tcase = tcase_create("mixes");

    tcase_add_checked_fixture(tcase, open_garden, close_garden);
    tcase_add_test(tcase, another_member_carries_on);
    tcase_add_test(tcase, two_at_once_lose_nothing);
    tcase_add_test(tcase, a_clock_that_is_ahead_does_not_win);
    tcase_add_test(tcase, sent_twice_is_kept_once);
    tcase_add_test(tcase, it_is_over_when_it_is_logged);
    tcase_add_test(tcase, given_up_and_taken_up_again);
    tcase_add_test(tcase, today_and_its_tank_tell_of_it);
    tcase_add_test(tcase, put_off_until_somebody_is_at_it);
    tcase_add_test(tcase, put_off_it_comes_back_on_its_day);
    tcase_add_test(tcase, untouched_for_a_week_it_leaves_the_list);
    tcase_add_loop_test(tcase, bad_ones_are_refused, 0, COUNT(refused));
    tcase_add_test(tcase, who_only_looks_changes_nothing);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
