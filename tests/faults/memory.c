/* A request that finds no more memory is answered with 503 and leaves the garden as it was; with a little more, it goes well. */
#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "bodies.h"
#include "runner.h"

static struct caller caller;

static void open_new(void)
{
    caller_open(&caller, "memory");
}

static void close_it(void)
{
    caller_close(&caller);
}

/* Asks with more and more memory until it goes well. Returns how often it did not. */
static size_t starve(const struct example *example)
{
    char *text = json_dumps(example->body, 0);
    size_t starved = 0;

    for (size_t most = 1; most < (size_t)4 << 20; most += 1 + most / 12) {
        uint64_t before = caller_hash(&caller);
        json_t *answer = caller_ask(&caller, &(struct asking){.method = example->route->method, .path = example->path, .body = text,
                                                               .length = strlen(text), .peer = "10.1.1.1", .arena_most = most});

        if (caller.status < 300) {
            json_decref(answer);
            free(text);
            return starved;
        }
        starved++;
        ck_assert_msg(caller.status == 503, "%s %s with %zu bytes: %u %s", example->route->method, example->path, most, caller.status, caller.bytes);
        ck_assert_str_eq(caller.type, "application/problem+json");
        ck_assert_msg(caller_hash(&caller) == before, "%s %s with %zu bytes wrote something", example->route->method, example->path, most);
        json_decref(answer);
    }
    ck_abort_msg("%s %s: %u, however much memory", example->route->method, example->path, caller.status);
}

START_TEST(without_memory_it_says_so)
{
    size_t count = examples_open(), starved = 0;

    for (size_t i = 0; i < count; i++) {
        struct example example = example_take(i);

        /* Attempts to pair are limited by address, and a retry after a lost answer is for the person to make. */
        if (strcmp(example.path, "/api/v1/pair") != 0 && !example.tells)
            starved += starve(&example);
        else
            example_send(&caller, i, &example);
        example_end(&example);
    }
    examples_close();
    printf("starved: %zu requests\n", starved);
    ck_assert_uint_gt(starved, 2 * count);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("faults/memory");
    TCase *tests = tcase_create("memory");

    tcase_add_checked_fixture(tests, open_new, close_it);
    tcase_set_timeout(tests, 60);
    tcase_add_test(tests, without_memory_it_says_so);
    suite_add_tcase(suite, tests);
    return run_suite(suite);
}
