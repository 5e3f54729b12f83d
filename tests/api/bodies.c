/* bodies.c - a good body for every route that takes one. */
#include "bodies.h"

#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "runner.h"

static json_t *all, *told;

bool takes_json(const struct route *route)
{
    return (route->takes && !route->form) || route->patches;
}

size_t examples_open(void)
{
    json_error_t why;

    all = json_load_file(source_path("tests/api/bodies.json"), JSON_REJECT_DUPLICATES, &why);
    ck_assert_msg(json_is_array(all), "bodies.json: %s, line %d", why.text, why.line);
    told = json_object();
    return json_array_size(all);
}

void examples_close(void)
{
    json_decref(all);
    json_decref(told);
}

static const struct route *route_named(const char *name)
{
    for (size_t i = 0; i < routes_count; i++) {
        size_t length = strlen(routes[i].method);

        if (strncmp(name, routes[i].method, length) == 0 && name[length] == ' ' && strcmp(name + length + 1, routes[i].path) == 0)
            return &routes[i];
    }
    ck_abort_msg("bodies.json: there is no route %s", name);
}

/* "$token" becomes what an earlier answer told under that name. */
static void put_told(char *text, size_t size)
{
    const char *name;
    json_t *value;

    json_object_foreach(told, name, value) {
        char mark[40], rest[8192];
        char *at;

        snprintf(mark, sizeof mark, "$%s", name);
        at = strstr(text, mark);
        if (!at)
            continue;
        snprintf(rest, sizeof rest, "%s", at + strlen(mark));
        snprintf(at, size - (size_t)(at - text), "%s%s", json_string_value(value), rest);
    }
}

struct example example_take(size_t n)
{
    json_t *item = json_array_get(all, n);
    struct example example = {.route = route_named(json_string_value(json_object_get(item, "route"))), .tells = json_object_get(item, "keep") != NULL};
    const char *path = json_string_value(json_object_get(item, "path"));
    char *body = json_dumps(json_object_get(item, "body"), 0), text[8192];

    snprintf(text, sizeof text, "%s", body);
    free(body);
    put_told(text, sizeof text);
    example.body = json_loads(text, 0, NULL);
    ck_assert_ptr_nonnull(example.body);
    snprintf(example.path, sizeof example.path, "%s", path ? path : example.route->path);
    put_told(example.path, sizeof example.path);
    return example;
}

void example_end(struct example *example)
{
    json_decref(example->body);
}

void example_send(struct caller *caller, size_t n, const struct example *example)
{
    char *text = json_dumps(example->body, 0);
    json_t *answer = caller_ask(caller, &(struct asking){.method = example->route->method, .path = example->path, .body = text, .length = strlen(text)});
    const char *name;
    json_t *member;

    ck_assert_msg(caller->status >= 200 && caller->status < 300, "%s %s %s: %u %s", example->route->method, example->path, text, caller->status,
                  caller->bytes);
    json_object_foreach(json_object_get(json_array_get(all, n), "keep"), name, member) {
        const char *value = text_of(answer, json_string_value(member)), *hash = strchr(value, '#');

        json_object_set_new(told, name, json_string(hash ? hash + 1 : value)); /* of a link what stands behind "#" */
    }
    json_decref(answer);
    free(text);
}
