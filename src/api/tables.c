/* tables.c - what a list answers, as a table: one row an item, a column a member. Made from the list's own route and shape, so that
 * a member that a noun gets is a column at once. */
#include "api/tables.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "api/routes.h"
#include "format/csv.h"

/* What is worked out from the log and the day is no part of the noun: a table that comes back could not tell it. */
static const struct noun {
    const char *name, *of_today; /* members, apart by blanks */
} nouns[] = {{"areas", " tanks "}, {"tanks", " drawing outlook last "}, {"vessels", ""}, {"entries", ""},  {"salts", " weighed_g stock_doubtful "},  {"waters", ""},
             {"targets", ""}, {"crops", " nitrate "},         {"weather", ""}, {"harvests", ""}, {"members", ""}};

static const struct noun *noun_named(const char *name, size_t length)
{
    for (size_t i = 0; i < sizeof nouns / sizeof *nouns; i++)
        if (strlen(nouns[i].name) == length && strncmp(nouns[i].name, name, length) == 0)
            return &nouns[i];
    return NULL;
}

static bool leaves_out(const struct noun *noun, const char *member, size_t length)
{
    char among[80];

    snprintf(among, sizeof among, " %.*s ", (int)length, member);
    return strstr(noun->of_today, among) != NULL;
}

bool table_leaves_out(const char *noun, const char *member, size_t length)
{
    const struct noun *found = noun_named(noun, strlen(noun));

    return found && leaves_out(found, member, length);
}

static const struct route *route_of(struct request *request, const struct noun *noun)
{
    const char *path = arena_format(request->arena, "/api/v1/%s", noun->name);

    for (size_t i = 0; path && i < routes_count; i++)
        if (strcmp(routes[i].method, "GET") == 0 && strcmp(routes[i].path, path) == 0)
            return &routes[i];
    return NULL;
}

/* ---- columns: members of members are joined by a dot, as "label.k2o" and "shape.height_mm"; what is a list or a pair stands in one
 * cell as JSON ---- */

const struct field *table_variant_field(const struct shape *shape, size_t n)
{
    for (size_t v = 0; shape->variants[v]; v++)
        for (size_t i = 0; i < shape->variants[v]->count; i++) {
            const struct field *field = &shape->variants[v]->field[i];
            bool seen = false;

            for (size_t w = 0; w < v; w++)
                for (size_t j = 0; j < shape->variants[w]->count; j++)
                    seen |= strcmp(shape->variants[w]->field[j].name, field->name) == 0;
            if (!seen && n-- == 0)
                return field;
        }
    return NULL;
}

static bool is_group(const struct field *field)
{
    return field->kind == FIELD_MAP || (field->kind == FIELD_OBJECT && !field->shape->tuple);
}

/* noun NULL: inside a member, where nothing is left out. */
static void write_heads(struct csv_table *table, const struct noun *noun, const struct shape *shape, const char *before, struct arena *arena)
{
    const struct field *variant;

    for (size_t i = 0; i < shape->count; i++) {
        const struct field *field = &shape->field[i];
        const char *name = arena_format(arena, "%s%s", before, field->name), *inside = arena_format(arena, "%s.", name ? name : "");

        if (field->flags & FIELD_BODY_ONLY || (noun && leaves_out(noun, field->name, strlen(field->name))))
            continue;
        if (field->kind == FIELD_MAP)
            for (size_t w = 0; field->words[w]; w++)
                csv_put_text(table, arena_format(arena, "%s%s", inside ? inside : "", field->words[w]));
        else if (field->kind == FIELD_ONE_OF)
            for (size_t n = 0; (variant = table_variant_field(field->shape, n)) != NULL; n++)
                csv_put_text(table, arena_format(arena, "%s%s", inside ? inside : "", variant->name));
        else if (is_group(field))
            write_heads(table, NULL, field->shape, inside ? inside : "", arena);
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

static void write_cells(struct csv_table *table, const struct noun *noun, const struct shape *shape, const json_t *item)
{
    const struct field *variant;

    for (size_t i = 0; i < shape->count; i++) {
        const struct field *field = &shape->field[i];
        const json_t *value = json_object_get(item, field->name);

        if (field->flags & FIELD_BODY_ONLY || (noun && leaves_out(noun, field->name, strlen(field->name))))
            continue;
        if (field->kind == FIELD_MAP)
            for (size_t w = 0; field->words[w]; w++)
                write_cell(table, json_object_get(value, field->words[w]));
        else if (field->kind == FIELD_ONE_OF)
            for (size_t n = 0; (variant = table_variant_field(field->shape, n)) != NULL; n++)
                write_cell(table, json_object_get(value, variant->name));
        else if (is_group(field))
            write_cells(table, NULL, field->shape, value);
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

static int write_rows(struct request *request, const struct route *route, const struct noun *noun, struct csv_table *table, struct fault *fault)
{
    const struct shape *item_shape = route->gives->field[0].shape; /* "items" comes first in every list */
    const char *query = "limit=500";

    while (query) {
        json_t *page = ask_page(request, route, query, fault), *item;
        const char *next;
        size_t i;

        if (!page)
            return -1;
        json_array_foreach(json_object_get(page, "items"), i, item) {
            write_cells(table, noun, item_shape, item);
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
    const struct noun *noun = noun_named(part, end ? (size_t)(end - part) : strlen(part));
    const struct route *route = noun ? route_of(request, noun) : NULL;
    const char *disposition = noun ? arena_format(request->arena, "attachment; filename=\"%s.csv\"", noun->name) : NULL;
    struct csv_table table;
    int failed;

    if (!route)
        return fault_add(fault, FAULT_ABSENT, "", "there is no such table");
    if (!disposition)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    csv_begin(&table);
    write_heads(&table, noun, route->gives->field[0].shape, "", request->arena);
    csv_end_row(&table);
    failed = write_rows(request, route, noun, &table, fault);
    reply->bytes = csv_end(&table, &reply->length);
    if (!reply->bytes)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    reply->type = "text/csv; charset=utf-8; header=present";
    return failed ? -1 : reply_header(request, reply, "Content-Disposition", disposition, fault);
}
