/* tables.c - what a list answers, as a table: one row an item, a column a member. Made from the list's own route and shape, so that
 * a member that a noun gets is a column at once. */
#include "api/tables.h"

#include <stdlib.h>
#include <string.h>

#include "api/routes.h"
#include "format/csv.h"

static const char *const nouns[] = {"areas", "tanks", "vessels", "entries", "salts", "waters", "targets", "crops", "weather", "harvests", "members"};

static const struct route *route_of(struct request *request, const char *noun)
{
    const char *path = arena_format(request->arena, "/api/v1/%s", noun);
    bool known = false;

    for (size_t i = 0; i < sizeof nouns / sizeof *nouns; i++)
        known |= strcmp(nouns[i], noun) == 0;
    for (size_t i = 0; path && known && i < routes_count; i++)
        if (strcmp(routes[i].method, "GET") == 0 && strcmp(routes[i].path, path) == 0)
            return &routes[i];
    return NULL;
}

/* ---- columns: members of members are joined by a dot, as "label.k2o"; what is a list stands in one cell as JSON ---- */

static bool is_group(const struct field *field)
{
    return field->kind == FIELD_MAP || (field->kind == FIELD_OBJECT && !field->shape->tuple);
}

static void write_heads(struct csv_table *table, const struct shape *shape, const char *before, struct arena *arena)
{
    for (size_t i = 0; i < shape->count; i++) {
        const struct field *field = &shape->field[i];
        const char *name = arena_format(arena, "%s%s", before, field->name), *inside = arena_format(arena, "%s.", name ? name : "");

        if (field->flags & FIELD_BODY_ONLY)
            continue;
        if (field->kind == FIELD_MAP)
            for (size_t w = 0; field->words[w]; w++)
                csv_put_text(table, arena_format(arena, "%s%s", inside ? inside : "", field->words[w]));
        else if (is_group(field))
            write_heads(table, field->shape, inside ? inside : "", arena);
        else
            csv_put_text(table, name);
    }
}

static void write_cell(struct csv_table *table, const json_t *value)
{
    char *text;

    if (json_is_number(value))
        csv_put_number(table, json_number_value(value));
    else if (json_is_string(value))
        csv_put_text(table, json_string_value(value));
    else if (json_is_boolean(value))
        csv_put_text(table, json_is_true(value) ? "true" : "false");
    else if (!value || json_is_null(value))
        csv_put_text(table, NULL);
    else {
        text = json_dumps(value, JSON_COMPACT | JSON_REAL_PRECISION(12));
        csv_put_text(table, text);
        free(text);
    }
}

static void write_cells(struct csv_table *table, const struct shape *shape, const json_t *item)
{
    for (size_t i = 0; i < shape->count; i++) {
        const struct field *field = &shape->field[i];
        const json_t *value = json_object_get(item, field->name);

        if (field->flags & FIELD_BODY_ONLY)
            continue;
        if (field->kind == FIELD_MAP)
            for (size_t w = 0; field->words[w]; w++)
                write_cell(table, json_object_get(value, field->words[w]));
        else if (is_group(field))
            write_cells(table, field->shape, value);
        else
            write_cell(table, value);
    }
}

/* ---- pages ---- */

static json_t *ask_page(struct request *outer, const struct route *route, const char *query, struct fault *fault)
{
    struct arena arena = {0};
    struct request request = {.service = outer->service, .method = "GET", .path = route->path, .query = query, .arena = &arena,
                              .who = outer->who, .now_ms = outer->now_ms, .from_loopback = outer->from_loopback};
    struct reply reply;
    json_t *answer = NULL;

    api_answer_as(&request, &reply);
    if (!reply.status || reply.status == 200)
        answer = json_loadb(reply.bytes, reply.length, 0, NULL);
    reply_end(&reply);
    arena_end(&arena);
    if (!answer)
        fault_add(fault, FAULT_STORE, "", "%s could not be read", route->path);
    return answer;
}

static int write_rows(struct request *request, const struct route *route, const struct shape *item_shape, struct csv_table *table,
                      struct fault *fault)
{
    const char *query = "limit=500";

    while (query) {
        json_t *page = ask_page(request, route, query, fault), *item;
        const char *next;
        size_t i;

        if (!page)
            return -1;
        json_array_foreach(json_object_get(page, "items"), i, item) {
            write_cells(table, item_shape, item);
            csv_end_row(table);
        }
        next = json_string_value(json_object_get(page, "next"));
        query = next ? arena_format(request->arena, "limit=500&after=%s", next) : NULL;
        if (next && !query) {
            json_decref(page);
            return fault_add(fault, FAULT_MEMORY, "", "out of memory");
        }
        json_decref(page);
    }
    return 0;
}

/* GET /api/v1/tables/{noun} */
int table_get(struct request *request, struct reply *reply, struct fault *fault)
{
    const char *part = request->part[0], *end = strstr(part, ".csv");
    const char *noun = arena_format(request->arena, "%.*s", end ? (int)(end - part) : (int)strlen(part), part);
    const struct route *route = noun ? route_of(request, noun) : NULL;
    const char *disposition = noun ? arena_format(request->arena, "attachment; filename=\"%s.csv\"", noun) : NULL;
    const struct shape *item_shape;
    struct csv_table table;
    int failed;

    if (!route)
        return fault_add(fault, FAULT_ABSENT, "", "there is no such table");
    if (!disposition)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    item_shape = route->gives->field[0].shape; /* "items" comes first in every list */
    csv_begin(&table);
    write_heads(&table, item_shape, "", request->arena);
    csv_end_row(&table);
    failed = write_rows(request, route, item_shape, &table, fault);
    reply->bytes = csv_end(&table, &reply->length);
    if (!reply->bytes)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    reply->type = "text/csv; charset=utf-8; header=present";
    return failed ? -1 : reply_header(request, reply, "Content-Disposition", disposition, fault);
}
