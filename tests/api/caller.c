/* caller.c - asking the API without a socket. */
#include "caller.h"

#include <check.h>
#include <sqlite3.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "api/routes.h"
#include "garden/clock.h"
#include "garden_file.h"

void caller_open(struct caller *caller, const char *name)
{
    struct fault fault = {0};

    *caller = (struct caller){0};
    snprintf(caller->path, sizeof caller->path, "%s", garden_file_new(name));
    caller->service.garden = garden_open(caller->path, &fault);
    caller->service.loopback_is_keeper = true;
    ck_assert_msg(caller->service.garden != NULL, "%s", fault.item[0].detail);
}

void caller_close(struct caller *caller)
{
    garden_close(caller->service.garden);
    garden_file_remove(caller->path);
    free(caller->bytes);
}

static void keep_headers(struct caller *caller, const struct reply *reply)
{
    caller->allow[0] = caller->cache[0] = caller->challenge[0] = '\0';
    snprintf(caller->type, sizeof caller->type, "%s", reply->type ? reply->type : "");
    snprintf(caller->etag, sizeof caller->etag, "%s", reply->etag ? reply->etag : "");
    for (size_t i = 0; i < reply->headers; i++) {
        if (strcmp(reply->header[i].name, "Allow") == 0)
            snprintf(caller->allow, sizeof caller->allow, "%s", reply->header[i].value);
        if (strcmp(reply->header[i].name, "WWW-Authenticate") == 0)
            snprintf(caller->challenge, sizeof caller->challenge, "%s", reply->header[i].value);
        if (strcmp(reply->header[i].name, "Cache-Control") == 0)
            snprintf(caller->cache, sizeof caller->cache, "%s", reply->header[i].value);
    }
}

json_t *caller_ask(struct caller *caller, const struct asking *asking)
{
    ARENA_HELD arena = {.most = asking->arena_most};
    size_t length = strcspn(asking->path, "?");
    struct request request = {
        .service = &caller->service,
        .method = asking->method,
        .host = "localhost",
        .peer = asking->peer ? asking->peer : "127.0.0.1",
        .from_loopback = !asking->not_at_home,
        .content_type = asking->content_type ? asking->content_type : "application/json",
        .origin = asking->origin,
        .sec_fetch_site = asking->sec_fetch_site,
        .if_none_match = asking->if_none_match,
        .body = asking->body,
        .body_length = asking->length,
        .arena = &arena,
    };
    struct reply reply;
    json_t *answer;
    json_error_t why = {.text = ""};
    char path[300];

    request.path = path;
    snprintf(path, sizeof path, "%.*s", (int)length, asking->path);
    request.query = asking->path[length] ? asking->path + length + 1 : "";
    if (asking->who) {
        request.who = *asking->who;
        request.now_ms = clock_now_ms() + asking->ahead_ms;
        api_answer_as(&request, &reply);
    } else {
        api_answer(&request, &reply);
    }
    caller->status = reply.status ? reply.status : 200;
    keep_headers(caller, &reply);
    free(caller->bytes);
    if (reply.file) {
        reply.bytes = malloc(reply.length + 1);
        ck_assert_uint_eq(fread(reply.bytes, 1, reply.length, reply.file), reply.length);
    }
    caller->length = reply.length;
    caller->bytes = reply.bytes ? calloc(reply.length + 1, 1) : NULL;
    if (caller->bytes)
        memcpy(caller->bytes, reply.bytes, reply.length);
    answer = caller->bytes ? json_loads(caller->bytes, 0, &why) : NULL;
    if (caller->status < 300 && request.route->gives) {
        struct fault fault = {0};

        ck_assert_msg(answer != NULL, "%s %s: no JSON: %s", asking->method, asking->path, why.text);
        ck_assert_msg(shape_check(request.route->gives, answer, &fault) == 0, "%s %s: %s %s", asking->method, asking->path, fault.item[0].at,
                      fault.item[0].detail);
    }
    reply_end(&reply);
    return answer;
}

static json_t *ask(struct caller *caller, const char *method, const char *path, const char *body)
{
    return caller_ask(caller, &(struct asking){.method = method, .path = path, .body = body, .length = body ? strlen(body) : 0});
}

json_t *caller_get(struct caller *caller, const char *path)
{
    json_t *answer = ask(caller, "GET", path, NULL);

    ck_assert_msg(caller->status == 200, "GET %s: %u %s", path, caller->status, caller->bytes);
    return answer;
}

static char *formatted(const char *body, va_list values)
{
    static char text[1 << 16];
    int length = vsnprintf(text, sizeof text, body, values);

    ck_assert(length >= 0 && (size_t)length < sizeof text);
    return text;
}

json_t *caller_send(struct caller *caller, const char *method, const char *path, const char *body, ...)
{
    va_list values;
    char *text = NULL;

    va_start(values, body);
    if (body)
        text = formatted(body, values);
    va_end(values);
    return ask(caller, method, path, text);
}

json_t *caller_expect(struct caller *caller, unsigned status, const char *method, const char *path, const char *body, ...)
{
    va_list values;
    char *text = NULL;
    json_t *answer;

    va_start(values, body);
    if (body)
        text = formatted(body, values);
    va_end(values);
    answer = ask(caller, method, path, text);
    ck_assert_msg(caller->status == status, "%s %s %s: %u, not %u: %s", method, path, text ? text : "", caller->status, status,
                  caller->bytes ? caller->bytes : "");
    return answer;
}

bool problem_at(const json_t *problem, const char *at)
{
    size_t i;
    json_t *error;

    json_array_foreach(json_object_get(problem, "errors"), i, error)
        if (strcmp(json_string_value(json_object_get(error, "at")), at) == 0)
            return true;
    return false;
}

json_t *item_of(const json_t *answer, const char *member, const char *says)
{
    size_t i;
    json_t *item;

    json_array_foreach(json_object_get(answer, "items"), i, item) {
        const char *text = json_string_value(json_object_get(item, member));

        if (text && strcmp(text, says) == 0)
            return item;
    }
    ck_abort_msg("no item whose %s is %s", member, says);
}

double number_of(const json_t *document, const char *member)
{
    const json_t *value = json_object_get(document, member);

    ck_assert_msg(json_is_number(value), "%s is no number", member);
    return json_number_value(value);
}

const char *text_of(const json_t *document, const char *member)
{
    const json_t *value = json_object_get(document, member);

    ck_assert_msg(json_is_string(value), "%s is no text", member);
    return json_string_value(value);
}

/* FNV-1a, 64 bit, over every value of every table. */
uint64_t caller_hash(const struct caller *caller)
{
    uint64_t hash = 0xcbf29ce484222325u;
    sqlite3 *db;
    sqlite3_stmt *tables, *rows;

    ck_assert_int_eq(sqlite3_open_v2(caller->path, &db, SQLITE_OPEN_READONLY, NULL), SQLITE_OK);
    ck_assert_int_eq(sqlite3_prepare_v2(db, "SELECT 'SELECT * FROM \"' || name || '\"' FROM sqlite_master WHERE type = 'table' ORDER BY name", -1,
                                        &tables, NULL), SQLITE_OK);
    while (sqlite3_step(tables) == SQLITE_ROW) {
        ck_assert_int_eq(sqlite3_prepare_v2(db, (const char *)sqlite3_column_text(tables, 0), -1, &rows, NULL), SQLITE_OK);
        while (sqlite3_step(rows) == SQLITE_ROW)
            for (int i = 0; i < sqlite3_column_count(rows); i++) {
                const unsigned char *byte = sqlite3_column_blob(rows, i);

                for (int b = 0; b < sqlite3_column_bytes(rows, i); b++)
                    hash = (hash ^ byte[b]) * 0x100000001b3u;
                hash = (hash ^ 0xffu) * 0x100000001b3u;
            }
        sqlite3_finalize(rows);
    }
    sqlite3_finalize(tables);
    sqlite3_close(db);
    return hash;
}
