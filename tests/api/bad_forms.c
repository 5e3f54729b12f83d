/* Forms without script: what they send is held to the same rules as JSON, and nothing of a refused one is kept. Figures are invented. */
#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "bodies.h"
#include "runner.h"

static struct caller caller;
static char code[64]; /* of the tank */

#define TANK "01900000-0000-7000-8000-000000000101"
#define ENTRY "id=01900000-0000-7000-8000-0000000003%02d&tank=%s&kind=reading"

static void open_new(void)
{
    size_t count;
    json_t *tank;
    bool there = false;

    caller_open(&caller, "bad-forms");
    count = examples_open();
    for (size_t i = 0; i < count && !there; i++) { /* no form asks for what comes after the tank */
        struct example example = example_take(i);

        if (strncmp(example.path, "/api/v1/calc/", 13) != 0) /* leaves nothing in the garden, and takes the longest */
            example_send(&caller, i, &example);
        there = strcmp(example.route->method, "POST") == 0 && strcmp(example.path, "/api/v1/tanks") == 0;
        example_end(&example);
    }
    examples_close();
    tank = caller_get(&caller, "/api/v1/tanks/" TANK);
    snprintf(code, sizeof code, "%s", text_of(tank, "code"));
    json_decref(tank);
}

static void close_it(void)
{
    caller_close(&caller);
}

static void post(const char *body, size_t length, const char *type, const char *origin)
{
    json_decref(caller_ask(&caller, &(struct asking){.method = "POST", .path = "/plain/log", .body = body, .length = length, .content_type = type, .origin = origin}));
}

/* What stands behind a good beginning, and whether the whole is then taken. */
static const struct {
    const char *rest;
    bool good;
} forms[] = {
    {"&waterline=301", true},
    {"&waterline=301%2C5&note=with+a+comma", true},
    {"&waterline=301&ec=&ph=&note=", true}, /* what was left empty was not said */
    {"&waterline=301&note=M%C3%BCll+%F0%9F%8C%B1", true},
    {"", false}, /* a reading of nothing */
    {"&waterline=abc", false},
    {"&waterline=1.5%2C5", false},
    {"&waterline=nan", false},
    {"&waterline=inf", false},
    {"&waterline=0x10", false},
    {"&waterline=1e999", false},
    {"&waterline=-5", false},
    {"&waterline=99999", false},
    {"&waterline=301&ph=15", false},
    {"&waterline=301&waterline=302", false},
    {"&waterline=301&colour=red", false},
    {"&waterline=301&note=%FF", false},
    {"&waterline=301&note=\xc3", false},
    {"&waterline=301&note=%00", false},
    {"&waterline=301&note=%07", false},
    {"&waterline=301&note=%4", false},
    {"&waterline=301&note=%zz", false},
    {"&waterline=301&kind=fill", false},
    {"&waterline=301&how=somehow", false},
    {"&waterline=301&=", false},
};

START_TEST(forms_are_read_like_documents)
{
    uint64_t before = caller_hash(&caller);
    char body[600];

    snprintf(body, sizeof body, ENTRY "%s", (int)_i, code, forms[_i].rest);
    post(body, strlen(body), "application/x-www-form-urlencoded", "http://localhost");
    if (forms[_i].good) {
        ck_assert_msg(caller.status == 303, "%s: %u %s", body, caller.status, caller.bytes);
        ck_assert(caller_hash(&caller) != before);
    } else {
        ck_assert_msg(caller.status >= 400 && caller.status < 500, "%s: %u", body, caller.status);
        ck_assert_msg(caller_hash(&caller) == before, "%s wrote something", body);
    }
}
END_TEST

/* A form can be sent by a page of any origin, with one of three types: only ours, and from our own pages. */
START_TEST(forms_come_from_our_pages)
{
    static const struct {
        const char *type, *origin;
        unsigned status;
    } from[] = {
        {"application/x-www-form-urlencoded", NULL, 403},
        {"application/x-www-form-urlencoded", "null", 403},
        {"application/x-www-form-urlencoded", "http://elsewhere.example", 403},
        {"text/plain", "http://localhost", 415},
        {"multipart/form-data; boundary=x", "http://localhost", 415},
        {"application/json", "http://localhost", 415},
    };
    uint64_t before = caller_hash(&caller);
    char body[300];

    snprintf(body, sizeof body, ENTRY "&waterline=301", 99, code);
    for (size_t i = 0; i < COUNT(from); i++) {
        post(body, strlen(body), from[i].type, from[i].origin);
        ck_assert_msg(caller.status == from[i].status, "%s from %s: %u", from[i].type, from[i].origin ? from[i].origin : "nowhere", caller.status);
    }
    ck_assert(caller_hash(&caller) == before);
}
END_TEST

START_TEST(a_form_of_five_megabytes)
{
    size_t size = 5 << 20;
    char *body = malloc(size);

    memset(body, '&', size);
    post(body, size, "application/x-www-form-urlencoded", "http://localhost");
    ck_assert_uint_eq(caller.status, 413);
    memset(body, 'a', size);
    post(body, 200000, "application/x-www-form-urlencoded", "http://localhost"); /* one name of 200 kB */
    ck_assert(caller.status >= 400 && caller.status < 500);
    free(body);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("api/bad_forms");
    TCase *tests = tcase_create("bad forms");

    tcase_add_checked_fixture(tests, open_new, close_it);
    tcase_add_loop_test(tests, forms_are_read_like_documents, 0, COUNT(forms));
    tcase_add_test(tests, forms_come_from_our_pages);
    tcase_add_test(tests, a_form_of_five_megabytes);
    suite_add_tcase(suite, tests);
    return run_suite(suite);
}
