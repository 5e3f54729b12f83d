/* The whole garden in one document: sent back entry by entry it makes the same garden. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "api/demo.h"
#include "api/routes.h"
#include "caller.h"
#include "garden_file.h"
#include "runner.h"
#include "store/entries.h"
#include "store/tanks.h"

static struct caller caller;

static void open_demo(void)
{
    struct fault fault = {0};

    caller_open(&caller, "export");
    ck_assert_msg(demo_load(&caller.service, &fault) == 0, "%s", fault.item[0].detail);
}

static void close_it(void)
{
    caller_close(&caller);
}

static const struct shape *taken_by(const char *path)
{
    for (size_t i = 0; i < routes_count; i++)
        if (strcmp(routes[i].method, "POST") == 0 && strcmp(routes[i].path, path) == 0)
            return routes[i].takes;
    ck_abort_msg("nobody takes %s", path);
}

/* What an answer says more than a body may is left out, by the same table that says so. */
static json_t *body_of(const struct shape *shape, const json_t *document)
{
    json_t *body = json_object();

    for (size_t i = 0; i < shape->count; i++) {
        json_t *value = json_object_get(document, shape->field[i].name);

        if (value && !(shape->field[i].flags & FIELD_ANSWER_ONLY) && !(json_is_null(value) && !(shape->field[i].flags & FIELD_NULLABLE)))
            json_object_set(body, shape->field[i].name, value);
    }
    return body;
}

static void send_one(struct caller *to, const char *path, const json_t *document)
{
    json_t *body = body_of(taken_by(path), document);
    char *text = json_dumps(body, JSON_REAL_PRECISION(15));

    json_decref(caller_expect(to, 201, "POST", path, "%s", text));
    json_decref(body);
    free(text);
}

static void send_all(struct caller *to, const json_t *all, const char *noun)
{
    char path[64];
    json_t *item;
    size_t i;

    snprintf(path, sizeof path, "/api/v1/%s", noun);
    json_array_foreach(json_object_get(all, noun), i, item)
        if (!json_is_true(json_object_get(item, "builtin")))
            send_one(to, path, item);
}

/* Two texts of the same question to both gardens, but for what depends on who keeps it. */
static void same_answers(struct caller *a, struct caller *b, const char *path)
{
    json_t *x = caller_get(a, path), *y = caller_get(b, path);

    ck_assert_msg(json_equal(x, y), "%s differs:\n%s\n%s", path, a->bytes, b->bytes);
    json_decref(x);
    json_decref(y);
}

START_TEST(export_sent_back_makes_the_same_garden)
{
    static const char *const order[] = {"areas", "vessels", "salts", "waters", "targets", "crops"};
    struct caller other;
    json_t *all = caller_get(&caller, "/api/v1/export"), *tank;
    size_t i;

    caller_open(&other, "export-other");
    json_decref(caller_expect(&other, 200, "PATCH", "/api/v1/garden", "{\"time_zone\":\"%s\"}", text_of(json_object_get(all, "garden"), "time_zone")));
    for (i = 0; i < COUNT(order); i++)
        send_all(&other, all, order[i]);
    json_array_foreach(json_object_get(all, "tanks"), i, tank)
        send_one(&other, "/api/v1/tanks", tank);
    ck_assert_uint_gt(json_array_size(json_object_get(all, "entries")), 500);
    send_all(&other, all, "entries");
    json_array_foreach(json_object_get(all, "tanks"), i, tank) {
        char path[128];
        json_t *x, *y;

        snprintf(path, sizeof path, "/api/v1/tanks/%s", text_of(tank, "id"));
        x = caller_get(&caller, path);
        y = caller_get(&other, path);
        json_object_del(json_object_get(x, "state"), "flags"); /* a double is one by two members; here one sent all */
        json_object_del(json_object_get(y, "state"), "flags");
        ck_assert_msg(json_equal(json_object_get(x, "state"), json_object_get(y, "state")), "%s", path);
        json_decref(x);
        json_decref(y);
    }
    same_answers(&caller, &other, "/api/v1/vessels?limit=500");
    same_answers(&caller, &other, "/api/v1/waters");
    caller_close(&other);
    json_decref(all);
}
END_TEST

static void export_holds_no_secret_and_every_entry(void)
{
    struct fault fault = {0};
    struct arena arena = {0};
    json_t *all = caller_get(&caller, "/api/v1/export");
    struct db *db = store_read(caller.service.garden->store, &fault);
    size_t entries = 0;
    struct list tanks, log;

    ck_assert_int_eq(tanks_list(db, 0, 1000, &tanks, &arena, &fault), 0);
    for (size_t i = 0; i < tanks.count; i++) {
        ck_assert_int_eq(entries_of_tank(db, ((struct tank_row *)tanks.item)[i].key, &log, &arena, &fault), 0);
        entries += log.count;
    }
    store_done(caller.service.garden->store, db);
    arena_end(&arena);
    ck_assert_uint_eq(json_array_size(json_object_get(all, "entries")), entries);
    ck_assert_uint_eq(json_array_size(json_object_get(all, "tanks")), tanks.count);
    ck_assert_ptr_null(strstr(caller.bytes, "token"));
    ck_assert_ptr_null(strstr(caller.bytes, "hash"));
    ck_assert_ptr_null(json_object_get(json_object_get(all, "garden"), "me"));
    json_decref(all);
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

/* One test, since the invented garden takes its time to fill. */
START_TEST(copies_hold_everything_but_secrets)
{
    export_holds_no_secret_and_every_entry();
    backup_lies_beside_the_garden();
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("export");
    TCase *tcase = tcase_create("export");

    tcase_add_checked_fixture(tcase, open_demo, close_it);
    tcase_set_timeout(tcase, 120);
    tcase_add_test(tcase, export_sent_back_makes_the_same_garden);
    tcase_add_test(tcase, copies_hold_everything_but_secrets);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
