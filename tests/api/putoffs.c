/* 'Not today': a matter is put off for everybody, comes back on its day, and never hides what became worse. Rules: ours. */
#include <stdio.h>
#include <string.h>

#include "api/demo.h"
#include "caller.h"
#include "garden/putoffs.h"
#include "runner.h"

static struct caller caller;

static void open_demo(void)
{
    struct fault fault = {0};

    caller_open(&caller, "putoffs");
    ck_assert_msg(demo_load(&caller.service, &fault) == 0, "%s", fault.item[0].detail);
}

static void close_it(void)
{
    caller_close(&caller);
}

static json_t *find(json_t *today, const char *list, const char *tank, const char *reason)
{
    size_t i;
    json_t *item;

    json_array_foreach (json_object_get(today, list), i, item)
        if (strcmp(text_of(item, "tank"), tank) == 0 && (!reason || strcmp(text_of(item, "reason"), reason) == 0))
            return item;
    return NULL;
}

#define ID "01900000-0000-7000-8000-00000000f001"

START_TEST(a_matter_steps_back_and_comes_again)
{
    json_t *today = caller_get(&caller, "/api/v1/today"), *first = json_array_get(json_object_get(today, "items"), 0), *answer, *again, *off;
    char tank[64], reason[64], body[256];
    double total = number_of(today, "items_total"), calm = number_of(today, "calm_total");

    ck_assert_ptr_nonnull(first);
    ck_assert_uint_eq(json_array_size(json_object_get(today, "put_off")), 0);
    snprintf(tank, sizeof tank, "%s", text_of(first, "tank"));
    snprintf(reason, sizeof reason, "%s", text_of(first, "reason"));
    snprintf(body, sizeof body, "{\"id\":\"" ID "\",\"tank\":\"%s\",\"reason\":\"%s\",\"days\":2}", tank, reason);
    json_decref(today);

    answer = caller_expect(&caller, 201, "POST", "/api/v1/putoffs", "%s", body);
    again = caller_expect(&caller, 200, "POST", "/api/v1/putoffs", "%s", body);
    ck_assert(json_equal(answer, again));
    json_decref(again);
    json_decref(caller_expect(&caller, 409, "POST", "/api/v1/putoffs", "{\"id\":\"" ID "\",\"tank\":\"%s\",\"reason\":\"%s\",\"days\":3}", tank, reason));

    today = caller_get(&caller, "/api/v1/today");
    ck_assert_ptr_null(find(today, "items", tank, reason));
    ck_assert_ptr_null(find(today, "calm", tank, NULL)); /* put off is not calm */
    ck_assert_double_eq(number_of(today, "calm_total"), calm);
    off = find(today, "put_off", tank, reason);
    ck_assert_ptr_nonnull(off);
    ck_assert_str_eq(text_of(off, "until"), text_of(answer, "until"));
    json_decref(answer);
    json_decref(today);

    caller_expect(&caller, 204, "DELETE", "/api/v1/putoffs/" ID, NULL);
    today = caller_get(&caller, "/api/v1/today");
    ck_assert_ptr_nonnull(find(today, "items", tank, reason));
    ck_assert_double_eq(number_of(today, "items_total"), total);
    json_decref(today);
}
END_TEST

START_TEST(a_tanks_next_matter_takes_the_place)
{
    json_t *today = caller_get(&caller, "/api/v1/today"), *item, *tank_answer, *advice;
    size_t i, tried = 0;

    json_array_foreach (json_object_get(today, "items"), i, item) {
        char path[128];
        json_t *after;

        snprintf(path, sizeof path, "/api/v1/tanks/%s", text_of(item, "tank"));
        tank_answer = caller_get(&caller, path);
        advice = json_object_get(tank_answer, "advice");
        if (json_array_size(advice) > 1 && strcmp(text_of(json_array_get(advice, 0), "reason"), text_of(json_array_get(advice, 1), "reason")) != 0) {
            json_decref(caller_expect(&caller, 201, "POST", "/api/v1/putoffs", "{\"tank\":\"%s\",\"reason\":\"%s\",\"days\":1}", text_of(item, "tank"), text_of(item, "reason")));
            after = caller_get(&caller, "/api/v1/today");
            ck_assert_ptr_nonnull(find(after, "items", text_of(item, "tank"), text_of(json_array_get(advice, 1), "reason")));
            json_decref(after);
            tried++;
        }
        json_decref(tank_answer);
    }
    ck_assert_uint_gt(tried, 0);
    json_decref(today);
}
END_TEST

START_TEST(what_is_not_asked_for_cannot_wait)
{
    json_t *today = caller_get(&caller, "/api/v1/today"), *calm = json_array_get(json_object_get(today, "calm"), 0), *problem;

    ck_assert_ptr_nonnull(calm);
    problem = caller_expect(&caller, 409, "POST", "/api/v1/putoffs", "{\"tank\":\"%s\",\"reason\":\"below_low\",\"days\":1}", text_of(calm, "tank"));
    ck_assert(problem_at(problem, "/reason"));
    json_decref(problem);
    json_decref(caller_expect(&caller, 422, "POST", "/api/v1/putoffs", "{\"tank\":\"%s\",\"reason\":\"below_low\",\"days\":15}", text_of(calm, "tank")));
    problem = caller_expect(&caller, 422, "POST", "/api/v1/putoffs", "{\"tank\":\"NOSUCH\",\"reason\":\"below_low\",\"days\":1}");
    ck_assert(problem_at(problem, "/tank"));
    json_decref(problem);
    json_decref(caller_expect(&caller, 404, "DELETE", "/api/v1/putoffs/" ID, NULL));
    json_decref(today);
}
END_TEST

static size_t count_of(const char *text)
{
    size_t count = 0;

    for (const char *at = caller.bytes; (at = strstr(at, text)); at += strlen(text))
        count++;
    return count;
}

/* How often the plain Today, or the plain page of a tank, tells a reason, by the key that stands for its sentence without words. */
static size_t told_plainly(const char *code, const char *reason)
{
    char path[64], key[64];

    snprintf(path, sizeof path, code ? "/plain/tank/%s" : "/plain", code);
    snprintf(key, sizeof key, ">reason.%s<", reason);
    json_decref(caller_send(&caller, "GET", path, NULL));
    ck_assert_uint_eq(caller.status, 200);
    return count_of(key);
}

START_TEST(the_plain_pages_leave_it_out_and_say_how_many)
{
    json_t *today = caller_get(&caller, "/api/v1/today"), *items = json_object_get(today, "items"), *first = json_array_get(items, 0), *second = json_array_get(items, 1);
    const char *reason = text_of(first, "reason"), *code = text_of(first, "code");
    size_t everywhere = told_plainly(NULL, reason), there = told_plainly(code, reason);

    ck_assert_uint_ge(everywhere, 1);
    ck_assert_uint_eq(there, 1);
    ck_assert_uint_eq(count_of("plain.off"), 0);
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/putoffs", "{\"id\":\"" ID "\",\"tank\":\"%s\",\"reason\":\"%s\",\"days\":1}", text_of(first, "tank"), reason));
    ck_assert_uint_eq(told_plainly(NULL, reason), everywhere - 1);
    ck_assert_uint_eq(count_of("plain.off.one"), 1);
    ck_assert_uint_eq(told_plainly(code, reason), 0);
    ck_assert_uint_eq(count_of("plain.off.one"), 1);
    told_plainly(text_of(second, "code"), reason);
    ck_assert_uint_eq(count_of("plain.off"), 0); /* another tank's page */
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/putoffs", "{\"tank\":\"%s\",\"reason\":\"%s\",\"days\":1}", text_of(second, "tank"), text_of(second, "reason")));
    told_plainly(NULL, reason);
    ck_assert_uint_eq(count_of("plain.off.other"), 1);
    caller_expect(&caller, 204, "DELETE", "/api/v1/putoffs/" ID, NULL);
    ck_assert_uint_eq(told_plainly(code, reason), 1);
    json_decref(today);
}
END_TEST

START_TEST(it_survives_a_restart)
{
    json_t *today = caller_get(&caller, "/api/v1/today"), *first = json_array_get(json_object_get(today, "items"), 0), *before, *after;
    struct fault fault = {0};

    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/putoffs", "{\"tank\":\"%s\",\"reason\":\"%s\",\"days\":3}", text_of(first, "tank"), text_of(first, "reason")));
    before = caller_get(&caller, "/api/v1/today");
    ck_assert_uint_eq(json_array_size(json_object_get(before, "put_off")), 1);
    garden_close(caller.service.garden);
    caller.service.garden = garden_open(caller.path, &fault);
    ck_assert_ptr_nonnull(caller.service.garden);
    after = caller_get(&caller, "/api/v1/today");
    ck_assert(json_equal(before, after));
    json_decref(after);
    json_decref(before);
    json_decref(today);
}
END_TEST

/* Day 100: put off for three days. */
static const struct {
    int reason;
    double then_urgency, then_value, now_urgency, now_value;
    int32_t today;
    bool hidden;
} rules[] = {
    {ADVICE_RUNS_LOW, 4, 0, 3, 0, 101, true},          /* a day has passed */
    {ADVICE_RUNS_LOW, 4, 0, 1.5, 0, 101, false},       /* it drinks faster than was thought */
    {ADVICE_RUNS_LOW, 4, 0, 1, 0, 103, false},         /* its day has come */
    {ADVICE_BELOW_LOW, 0, 40, 0, 37, 101, true},
    {ADVICE_BELOW_LOW, 0, 40, 0, 30, 101, false},
    {ADVICE_EC_HIGH, 2, 2.6, 2, 2.7, 102, true},
    {ADVICE_EC_HIGH, 2, 2.6, 2, 2.9, 101, false},
    {ADVICE_EC_LOW, 2, 0.8, 2, 0.5, 101, false},
    {ADVICE_PH_HIGH, 2, 7.0, 2, 7.3, 101, false},
    {ADVICE_PH_LOW, 2, 5.0, 2, 4.9, 101, true},
    {ADVICE_PH_LOW, 2, 5.0, 2, 4.7, 101, false},
    {ADVICE_WARM, 1.5, 26, 1.5, 26.5, 101, true},
    {ADVICE_WARM, 1.5, 26, 1.5, 28, 101, false},
    {ADVICE_OVERDUE_READING, 3, 100, 2.5, 100, 102, true}, /* longer ago is no worse than was known */
    {ADVICE_EMPTY, 20, 0, 20, 0, 100, true},
};

START_TEST(what_became_worse_shows_again)
{
    const struct putoff_row putoff = {.reason = advice_reason_names[rules[_i].reason], .from_day = 100, .until_day = 103, .urgency = rules[_i].then_urgency,
                                      .value = rules[_i].then_value, .lifted_ms = STORE_NO_INT};
    const struct advice now = {.reason = rules[_i].reason, .urgency = rules[_i].now_urgency, .with = {.value = rules[_i].now_value}};
    struct advice other = now;

    other.reason = ADVICE_UNPLANTED;
    ck_assert_int_eq(putoff_hides(&putoff, &now, rules[_i].today), rules[_i].hidden);
    ck_assert(!putoff_hides(&putoff, &other, 100)); /* another reason is another matter */
}
END_TEST

START_TEST(another_entrys_flag_is_another_matter)
{
    const struct putoff_row putoff = {.reason = "unexplained_rise", .from_day = 100, .until_day = 103, .entry = "a", .lifted_ms = STORE_NO_INT};
    struct advice now = {.reason = ADVICE_UNEXPLAINED_RISE, .urgency = 2.5, .with = {.entry = "a"}};

    ck_assert(putoff_hides(&putoff, &now, 101));
    now.with.entry = "b";
    ck_assert(!putoff_hides(&putoff, &now, 101));
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("api/putoffs");
    TCase *demo = tcase_create("demo"), *plain = tcase_create("rules");

    tcase_add_checked_fixture(demo, open_demo, close_it);
    tcase_add_test(demo, a_matter_steps_back_and_comes_again);
    tcase_add_test(demo, a_tanks_next_matter_takes_the_place);
    tcase_add_test(demo, what_is_not_asked_for_cannot_wait);
    tcase_add_test(demo, the_plain_pages_leave_it_out_and_say_how_many);
    tcase_add_test(demo, it_survives_a_restart);
    suite_add_tcase(suite, demo);
    tcase_add_loop_test(plain, what_became_worse_shows_again, 0, COUNT(rules));
    tcase_add_test(plain, another_entrys_flag_is_another_matter);
    suite_add_tcase(suite, plain);
    return run_suite(suite);
}
