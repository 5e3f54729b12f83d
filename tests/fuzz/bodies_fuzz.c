/* Random bodies for every route that takes one, the same on every run: good ones with bytes flipped, cut and moved, and good ones
 * in which a value or two became another. Whatever comes, the answer is 2xx and keeps its shape, or 4xx and a problem document:
 * never 5xx, never a crash. TIDEMARK_FUZZ_SEED and TIDEMARK_FUZZ_COUNT make another or a longer run.
 */
#include <check.h>
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "bodies.h"
#include "runner.h"

static struct caller caller;
static uint64_t state;

/* xorshift64* (Journal of Statistical Software 72, 2016): enough to be unlike anything a person types. */
static uint64_t drawn(void)
{
    state ^= state >> 12;
    state ^= state << 25;
    state ^= state >> 27;
    return state * 0x2545f4914f6cdd1du;
}

static size_t below(size_t n)
{
    return n ? (size_t)(drawn() % n) : 0;
}

/* ---- bytes ---- */

/* Changes text (room for size bytes) in one to four places; returns the new length. */
static size_t spoil(char *text, size_t length, size_t size)
{
    static const char *const pieces[] = {"{", "}", "[", "]", ",", ":", "\"", "\\", "\\u0000", "1e999", "-", "null", "true", "\xc3", "\xff", "\"a\":", "0", "9999999999999999999", "1e-400"};

    for (size_t times = 1 + below(4); times; times--) {
        size_t at = below(length), many = 1 + below(8);
        const char *piece = pieces[below(COUNT(pieces))];

        switch (below(4)) {
        case 0:
            text[at] = (char)(text[at] ^ (char)(1 << below(8)));
            break;
        case 1:
            if (many > length - at)
                many = length - at;
            memmove(text + at, text + at + many, length - at - many);
            length -= many;
            break;
        case 2:
            many = strlen(piece);
            if (length + many < size) {
                memmove(text + at + many, text + at, length - at);
                memcpy(text + at, piece, many);
                length += many;
            }
            break;
        default:
            length = at;
        }
        if (!length)
            break;
    }
    return length;
}

/* ---- values ---- */

static json_t *strange_number(double was)
{
    static const double odd[] = {0, -0.0, 1, -1, 0.5, 1e-9, 1e-300, 1e9, 1e300, 9007199254740993.0, 100, 1000, 25, 7};
    static const double by[] = {0.5, 2, -1, 10, 0.1, 1e-3, 1e3, 1.0000001, 0.999};

    return json_real(below(2) ? odd[below(COUNT(odd))] : was * by[below(COUNT(by))]);
}

static json_t *strange(const json_t *was)
{
    static const char *const texts[] = {"", "a", "epsom-salt", "calcium-nitrate-4h2o", "box", "round", "poured", "2026-05-01", "2000-02-29", "0001-01-01", "9999-12-31",
                                        "2026-05-01T07:30:00Z", "9999-12-31T23:59:59.999Z", "0001-01-01T00:00:00Z", "lettuce-leaf", "nitric", "\xf0\x9f\x8c\xb1", "best", "whole"};

    if (json_is_number(was) && below(4))
        return strange_number(json_number_value(was));
    if (json_is_string(was) && below(4))
        return json_string(texts[below(COUNT(texts))]);
    switch (below(6)) {
    case 0:
        return json_null();
    case 1:
        return json_array();
    case 2:
        return json_object();
    case 3:
        return json_boolean(below(2));
    case 4:
        return strange_number(1);
    default:
        return json_string(texts[below(COUNT(texts))]);
    }
}

/* Changes one value somewhere below node: another value, none at all, or (in a list) twice the same. */
static void change(json_t *node)
{
    size_t count = json_is_object(node) ? json_object_size(node) : json_array_size(node), at = below(count);
    void *member = json_object_iter(node);
    json_t *child;

    if (!count)
        return;
    if (json_is_array(node)) {
        child = json_array_get(node, at);
        if (below(3) && (json_is_object(child) || json_is_array(child)))
            change(child);
        else if (below(4) == 0)
            json_array_append_new(node, json_deep_copy(child));
        else if (below(4) == 0)
            json_array_remove(node, at);
        else
            json_array_set_new(node, at, strange(child));
        return;
    }
    while (at--)
        member = json_object_iter_next(node, member);
    child = json_object_iter_value(member);
    if (below(3) && (json_is_object(child) || json_is_array(child)))
        change(child);
    else if (below(8) == 0)
        json_object_del(node, json_object_iter_key(member));
    else
        json_object_iter_set_new(node, member, strange(child));
}

/* ---- sending ---- */

static size_t taken, refused;

static void send_one(const struct example *example, const char *body, size_t length)
{
    char peer[32];
    json_t *answer;

    snprintf(peer, sizeof peer, "10.%zu.%zu.%zu", below(256), below(256), below(256));
    answer = caller_ask(&caller, &(struct asking){.method = example->route->method, .path = example->path, .body = body, .length = length, .peer = peer});
    ck_assert_msg(caller.status < 500, "%s %s: %u for %.*s: %s", example->route->method, example->path, caller.status, (int)length, body, caller.bytes);
    if (caller.status >= 400) {
        refused++;
        ck_assert_msg(strcmp(caller.type, "application/problem+json") == 0 && json_is_array(json_object_get(answer, "errors")), "%s", caller.bytes);
    } else {
        taken++; /* and caller_ask held it against its shape */
    }
    json_decref(answer);
}

/* The good body itself, so that the next ones have something to refer to. In a garden that grew by random bodies it may be
 * refused: a bag lost its price, an invite was used. */
static void grow_on(size_t n, const struct example *example)
{
    char *text = json_dumps(example->body, 0);

    if (example->tells)
        example_send(&caller, n, example);
    else
        send_one(example, text, strlen(text));
    free(text);
}

static uint64_t told(const char *name, uint64_t otherwise)
{
    const char *text = getenv(name);

    return text && *text ? strtoull(text, NULL, 10) : otherwise;
}

START_TEST(nothing_random_does_harm)
{
    uint64_t seed = told("TIDEMARK_FUZZ_SEED", 20260501), rounds = told("TIDEMARK_FUZZ_COUNT", 80);
    size_t count = examples_open();
    static char text[32768];

    state = seed * 2 + 1;
    for (size_t i = 0; i < count; i++) {
        struct example example = example_take(i);

        for (uint64_t round = 0; round < rounds; round++) {
            struct example other = {.route = example.route, .body = json_deep_copy(example.body)};
            char *dumped;
            size_t length;

            snprintf(other.path, sizeof other.path, "%s", example.path);
            for (size_t times = below(3); times; times--)
                change(other.body);
            dumped = json_dumps(other.body, 0);
            ck_assert_ptr_nonnull(dumped);
            length = (size_t)snprintf(text, sizeof text, "%s", dumped);
            free(dumped);
            if (round % 2)
                length = spoil(text, length, sizeof text);
            send_one(&other, text, length);
            json_decref(other.body);
        }
        grow_on(i, &example);
        example_end(&example);
    }
    examples_close();
    printf("random bodies: %zu taken, %zu refused (seed %" PRIu64 ")\n", taken, refused, seed);
    ck_assert_uint_gt(taken, 0);
    ck_assert_uint_gt(refused, taken / 10);
}
END_TEST

static void open_new(void)
{
    caller_open(&caller, "bodies-fuzz");
}

static void close_it(void)
{
    caller_close(&caller);
}

int main(void)
{
    Suite *suite = suite_create("fuzz/bodies_fuzz");
    TCase *tests = tcase_create("bodies");

    tcase_add_checked_fixture(tests, open_new, close_it);
    tcase_set_timeout(tests, 60);
    tcase_add_test(tests, nothing_random_does_harm);
    suite_add_tcase(suite, tests);
    return run_suite(suite);
}
