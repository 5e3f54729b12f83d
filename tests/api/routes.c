/* The route table, and what HTTP itself asks of every answer. */
#include <check.h>
#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "bodies.h"
#include "runner.h"

static struct caller caller;

static void open_new(void)
{
    caller_open(&caller, "routes");
}

static void close_it(void)
{
    caller_close(&caller);
}

/* ---- the table ---- */

static bool reads(const struct route *route)
{
    return strcmp(route->method, "GET") == 0;
}

START_TEST(a_row_is_whole)
{
    const struct route *route = &routes[_i];
    static const char *const methods[] = {"GET", "POST", "PATCH", "DELETE"};
    bool known = false;

    for (size_t i = 0; i < COUNT(methods); i++)
        known |= strcmp(route->method, methods[i]) == 0;
    ck_assert_msg(known, "%s", route->method);
    ck_assert_int_eq(route->path[0], '/');
    ck_assert_msg(route->access != ACCESS_UNSET, "%s %s: who may ask?", route->method, route->path);
    ck_assert_ptr_nonnull(route->handler);
    ck_assert_msg(route->about && isupper((unsigned char)*route->about) && route->about[strlen(route->about) - 1] == '.', "%s %s: say in one sentence what it is",
                  route->method, route->path);
    ck_assert_msg(!reads(route) || (!route->takes && !route->patches), "%s takes a body", route->path);
    ck_assert_msg(!(route->takes && route->patches), "%s takes and patches", route->path);
    ck_assert_msg(!route->patches || route->patches->name, "%s: what is patched needs a name in openapi.json", route->path);
    ck_assert_msg(strcmp(route->method, "PATCH") == 0 || !route->patches, "%s", route->path);
    for (size_t i = 0; i < (size_t)_i; i++)
        ck_assert_msg(strcmp(routes[i].method, route->method) != 0 || strcmp(routes[i].path, route->path) != 0, "%s %s stands there twice", route->method,
                      route->path);
}
END_TEST

/* A row behind one that matches all of its paths would never be reached. */
START_TEST(a_row_is_reached)
{
    const struct route *route = &routes[_i];
    char path[200];

    snprintf(path, sizeof path, "%s", route->path);
    for (size_t i = 0; i < (size_t)_i; i++) {
        const char *a = routes[i].path, *b = path;

        while (*a && *b)
            if (*a == '{' && *b != '{') { /* its part takes this word */
                a = strchr(a, '}') + 1;
                b += strcspn(b, "/");
            } else if (*a == '{') {
                a = strchr(a, '}') + 1;
                b = strchr(b, '}') + 1;
            } else if (*a++ != *b++) {
                a = "x";
                b = "";
            }
        ck_assert_msg(*a || *b || strcmp(routes[i].method, route->method) != 0, "%s %s hides %s", route->method, routes[i].path, route->path);
    }
}
END_TEST

/* Every field of every shape has one sentence for the document. */
static void told(const struct shape *shape, const char *where, int depth)
{
    ck_assert_int_lt(depth, 12);
    for (size_t i = 0; shape->variants && shape->variants[i]; i++)
        told(shape->variants[i], where, depth + 1);
    for (size_t i = 0; i < shape->count; i++) {
        const struct field *field = &shape->field[i];

        ck_assert_msg(!field->name || (field->about && *field->about), "%s: %s has nothing about it", where, field->name);
        ck_assert_msg(field->least <= field->most || field->most == 0, "%s: %s", where, field->name ? field->name : "(item)");
        if (field->shape)
            told(field->shape, where, depth + 1);
    }
}

START_TEST(every_field_says_what_it_is)
{
    const struct shape *shapes[] = {routes[_i].asks, routes[_i].takes, routes[_i].patches, routes[_i].gives};

    for (size_t i = 0; i < COUNT(shapes); i++)
        if (shapes[i])
            told(shapes[i], routes[_i].path, 0);
}
END_TEST

/* ---- HTTP, asked of a garden with something in it ---- */

static void grow(void)
{
    size_t count = examples_open();

    for (size_t i = 0; i < count; i++) {
        struct example example = example_take(i);

        example_send(&caller, i, &example);
        example_end(&example);
    }
    examples_close();
}

/* The address of something that grow() made, in the place of the route's part. */
static bool real_path(const struct route *route, char path[200])
{
    static const struct {
        const char *part, *id;
    } made[] = {
        {"{area}", "01900000-0000-7000-8000-0000000000a1"},   {"{water}", "01900000-0000-7000-8000-0000000000b1"},
        {"{target}", "01900000-0000-7000-8000-0000000000c1"}, {"{salt}", "01900000-0000-7000-8000-0000000000d1"},
        {"{crop}", "01900000-0000-7000-8000-0000000000e1"},   {"{vessel}", "01900000-0000-7000-8000-0000000000f1"},
        {"{tank}", "01900000-0000-7000-8000-000000000101"},   {"{entry}", "01900000-0000-7000-8000-000000000201"},
        {"{round}", "01900000-0000-7000-8000-000000000401"},
        {"{cup}", "1"}, {"{succession}", "01900000-0000-7000-8000-000000000501"},
    };
    char *part, rest[200];

    snprintf(path, 200, "%s", route->path);
    while ((part = strchr(path, '{')) != NULL) {
        size_t i = 0;

        while (i < COUNT(made) && strncmp(part, made[i].part, strlen(made[i].part)) != 0)
            i++;
        if (i == COUNT(made))
            return false;
        snprintf(rest, sizeof rest, "%s", part + strlen(made[i].part));
        snprintf(part, (size_t)(path + 200 - part), "%s%s", made[i].id, rest);
    }
    return true;
}

/* Each GET: 200 by its shape (caller_ask checks), a tag; asked again with the tag: 304 and no body; HEAD like GET; nothing else without need. */
START_TEST(every_get_has_a_tag)
{
    size_t asked = 0;
    char path[200], tag[64];

    grow();
    for (size_t i = 0; i < routes_count; i++) {
        struct asking asking = {.method = "GET", .path = path};

        if (!reads(&routes[i]) || !real_path(&routes[i], path) || strncmp(path, "/t/", 3) == 0)
            continue;
        asked++;
        json_decref(caller_ask(&caller, &asking));
        ck_assert_msg(caller.status == 200, "GET %s: %u %s", path, caller.status, caller.bytes);
        ck_assert_msg(strncmp(caller.etag, "W/\"", 3) == 0, "GET %s: no tag", path);
        ck_assert_msg(strstr(caller.cache, "no-store") || strstr(caller.cache, "no-cache"), "GET %s: %s", path, caller.cache);
        snprintf(tag, sizeof tag, "%s", caller.etag);
        asking.if_none_match = tag;
        /* Forms carry a new id each time, an export the moment at which it was made; how much room a disk has nobody can hold still. */
        if (strncmp(path, "/plain", 6) != 0 && strcmp(path, "/api/v1/export") != 0 && strcmp(path, "/metrics") != 0 && strcmp(path, "/api/v1/backups") != 0) {
            json_t *again = caller_ask(&caller, &asking);

            ck_assert_msg(caller.status == 304, "GET %s: %u the second time: %s", path, caller.status, caller.bytes);
            ck_assert_ptr_null(again);
            ck_assert_str_eq(caller.etag, tag);
        }
        asking.if_none_match = "W/\"something else\"";
        json_decref(caller_ask(&caller, &asking));
        ck_assert_uint_eq(caller.status, 200);
        asking.method = "HEAD";
        json_decref(caller_ask(&caller, &asking));
        ck_assert_uint_eq(caller.status, 200);
    }
    ck_assert_uint_ge(asked, 20);
}
END_TEST

/* Of every address: methods that it does not take are 405 and Allow names those that it does. */
START_TEST(other_methods_are_named)
{
    static const char *const methods[] = {"GET", "POST", "PATCH", "DELETE", "PUT", "OPTIONS", "TRACE", "get"};
    const struct route *route = &routes[_i];

    for (size_t m = 0; m < COUNT(methods); m++) {
        bool taken = false;
        json_t *problem;

        for (size_t i = 0; i < routes_count; i++)
            taken |= strcmp(routes[i].path, route->path) == 0 && strcmp(routes[i].method, methods[m]) == 0;
        if (taken)
            continue;
        problem = caller_ask(&caller, &(struct asking){.method = methods[m], .path = route->path, .body = "{}", .length = 2});
        /* An address like /tanks/summary may be one of {tank}, too. */
        if (caller.status == 405) {
            ck_assert_msg(strstr(caller.allow, route->method) != NULL, "%s %s: Allow: %s", methods[m], route->path, caller.allow);
            ck_assert_str_eq(caller.type, "application/problem+json");
            ck_assert_str_eq(caller.cache[0] ? caller.cache : "no-store", "no-store");
        } else {
            ck_assert_msg(caller.status >= 400 && caller.status < 500, "%s %s: %u", methods[m], route->path, caller.status);
        }
        json_decref(problem);
    }
}
END_TEST

static const char *const nowhere[] = {"/api", "/api/v1", "/api/v1/", "/api/v1/tank", "/api/v1/tanks/", "/api/v1/tanks//entries", "/api/v2/tanks", "/api/v1/calc/vessel/",
                                      "/api/v1/tanks/a/b/c", "/api/v1/../v1/garden", "/api/v1/garden/x"};

START_TEST(other_addresses_are_not_there)
{
    json_t *problem = caller_ask(&caller, &(struct asking){.method = "GET", .path = nowhere[_i]});

    ck_assert_msg(caller.status == 404, "%s: %u", nowhere[_i], caller.status);
    ck_assert_str_eq(caller.type, "application/problem+json");
    json_decref(problem);
}
END_TEST

/* Each query: what it does not ask for, what is doubled or no number is refused; a route without one takes none. */
START_TEST(queries_are_checked)
{
    static const char *const bad[] = {"?no_such=1", "?limit=0", "?limit=501", "?limit=x", "?limit=nan", "?limit=1&limit=1", "?%zz=1", "?after=%ff", "?limit=-1"};
    char path[260], real[200];

    grow();
    for (size_t i = 0; i < routes_count; i++) {
        if (!reads(&routes[i]) || strncmp(routes[i].path, "/api/v1/", 8) != 0 || !real_path(&routes[i], real))
            continue;
        for (size_t b = 0; b < COUNT(bad); b++) {
            snprintf(path, sizeof path, "%s%s", real, bad[b]);
            json_decref(caller_ask(&caller, &(struct asking){.method = "GET", .path = path}));
            ck_assert_msg(caller.status == 422, "GET %s: %u", path, caller.status);
        }
    }
}
END_TEST

/* A page of ours sends its Origin with every write, and that is fine. */
START_TEST(our_own_origin_is_fine)
{
    static const char body[] = "{\"lid_mm\":[640,440],\"hole_mm\":76,\"edge_mm\":40,\"spacing_mm\":180}";
    struct asking asking = {.method = "POST", .path = "/api/v1/calc/lid", .body = body, .length = sizeof body - 1, .origin = "http://localhost",
                            .sec_fetch_site = "same-origin", .content_type = "application/json; charset=utf-8"};

    json_decref(caller_ask(&caller, &asking));
    ck_assert_uint_eq(caller.status, 200);
    ck_assert_str_eq(caller.cache, "no-store");
    asking.not_at_home = true;
    asking.peer = "192.168.1.9";
    json_decref(caller_ask(&caller, &asking)); /* calculations want a member when they are asked from elsewhere */
    ck_assert_uint_eq(caller.status, 401);
    ck_assert_str_eq(caller.challenge, "Bearer realm=\"garden\"");
}
END_TEST

/* ---- the document ---- */

/* Whether each "$ref" leads somewhere. */
static void follow(const json_t *root, const json_t *node)
{
    const char *name;
    json_t *value;
    size_t i;

    json_object_foreach((json_t *)node, name, value) {
        if (strcmp(name, "$ref") == 0) {
            const char *to = json_string_value(value) + strlen("#/components/schemas/");

            ck_assert_msg(json_is_object(json_object_get(json_object_get(json_object_get(root, "components"), "schemas"), to)), "%s leads nowhere", to);
        }
        follow(root, value);
    }
    json_array_foreach(node, i, value)
        follow(root, value);
}

START_TEST(the_document_has_every_route)
{
    json_t *document = routes_openapi(), *paths = json_object_get(document, "paths");
    size_t operations = 0;
    const char *path, *method;
    json_t *item, *operation;

    ck_assert_str_eq(text_of(document, "openapi"), "3.1.0");
    for (size_t i = 0; i < routes_count; i++) {
        char name[8] = "";

        if (strncmp(routes[i].path, "/api/", 5) != 0)
            continue;
        for (size_t c = 0; routes[i].method[c]; c++)
            name[c] = (char)tolower((unsigned char)routes[i].method[c]);
        operation = json_object_get(json_object_get(paths, routes[i].path), name);
        ck_assert_msg(json_is_object(operation), "%s %s is not told", name, routes[i].path);
        ck_assert_msg((json_object_get(operation, "requestBody") != NULL) == (routes[i].takes || routes[i].patches || routes[i].spools), "%s %s", name, routes[i].path);
    }
    json_object_foreach(paths, path, item)
        json_object_foreach(item, method, operation)
            operations++;
    printf("openapi.json: %zu operations at %zu addresses\n", operations, json_object_size(paths));
    follow(document, document);
    json_decref(document);
}
END_TEST

/* Two shapes of one name would overwrite each other in the document. */
static const struct shape *seen[400];
static size_t seen_count;

static void no_namesake(const struct shape *shape)
{
    for (size_t i = 0; i < seen_count; i++)
        if (seen[i] == shape)
            return;
    for (size_t i = 0; shape->name && i < seen_count; i++)
        ck_assert_msg(!seen[i]->name || strcmp(seen[i]->name, shape->name) != 0, "two shapes are called %s", shape->name);
    ck_assert_uint_lt(seen_count, COUNT(seen));
    seen[seen_count++] = shape;
    for (size_t i = 0; shape->variants && shape->variants[i]; i++)
        no_namesake(shape->variants[i]);
    for (size_t i = 0; i < shape->count; i++)
        if (shape->field[i].shape)
            no_namesake(shape->field[i].shape);
}

START_TEST(names_of_shapes_are_their_own)
{
    for (size_t i = 0; i < routes_count; i++) {
        const struct shape *shapes[] = {routes[i].takes, routes[i].patches, routes[i].gives};

        for (size_t s = 0; s < COUNT(shapes) && strncmp(routes[i].path, "/api/", 5) == 0; s++)
            if (shapes[s])
                no_namesake(shapes[s]);
    }
    ck_assert_uint_gt(seen_count, 50);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("api/routes");
    TCase *table = tcase_create("table"), *http = tcase_create("http");

    tcase_add_loop_test(table, a_row_is_whole, 0, (int)routes_count);
    tcase_add_loop_test(table, a_row_is_reached, 0, (int)routes_count);
    tcase_add_loop_test(table, every_field_says_what_it_is, 0, (int)routes_count);
    tcase_add_test(table, the_document_has_every_route);
    tcase_add_test(table, names_of_shapes_are_their_own);
    suite_add_tcase(suite, table);
    tcase_add_checked_fixture(http, open_new, close_it);
    tcase_add_test(http, every_get_has_a_tag);
    tcase_add_loop_test(http, other_methods_are_named, 0, (int)routes_count);
    tcase_add_loop_test(http, other_addresses_are_not_there, 0, COUNT(nowhere));
    tcase_add_test(http, queries_are_checked);
    tcase_add_test(http, our_own_origin_is_fine);
    suite_add_tcase(suite, http);
    return run_suite(suite);
}
