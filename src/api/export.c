/* export.c - one document of everything: to read elsewhere, or to send back entry by entry.
 *
 * The nouns are what their own addresses answer, the log stands whole in the order in which it was received, so that
 * whoever sends it again in that order sends no correction before what it corrects. Written as a text that
 * grows, tank by tank: a long log is never one tree of documents.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "api/backup.h"
#include "api/entries.h"
#include "store/entries.h"
#include "store/tanks.h"

#define FLAGS (JSON_COMPACT | JSON_REAL_PRECISION(15))

/* In an order in which each names only what came before. */
static const char *const nouns[] = {"garden", "members", "areas", "vessels", "tanks", "salts", "waters", "targets", "crops", "weather"};

/* What one address answers; NULL with a fault. */
static json_t *ask(struct request *outer, const char *path, const char *query, struct fault *fault)
{
    struct arena arena = {0};
    struct request request = {.service = outer->service, .method = "GET", .path = path, .query = query, .arena = &arena, .who = outer->who,
                              .now_ms = outer->now_ms, .from_loopback = true};
    struct reply reply;
    json_t *answer = NULL;

    api_answer_as(&request, &reply);
    if (!reply.status || reply.status == 200)
        answer = json_loadb(reply.bytes, reply.length, 0, NULL);
    reply_end(&reply);
    arena_end(&arena);
    if (!answer)
        fault_add(fault, FAULT_STORE, "", "%s could not be read", path);
    return answer;
}

/* One page after the other, as the items of a list that is open in out. */
static int write_items(struct request *request, FILE *out, const char *path, json_t *page, struct fault *fault)
{
    bool first = true;
    json_t *item;
    size_t i;

    for (;;) {
        const char *next = json_string_value(json_object_get(page, "next")), *query;

        json_array_foreach(json_object_get(page, "items"), i, item) {
            if (!first)
                fputc(',', out);
            first = false;
            json_dumpf(item, out, FLAGS);
        }
        query = next ? arena_format(request->arena, "limit=500&after=%s", next) : NULL;
        json_decref(page);
        if (!next)
            return 0;
        page = query ? ask(request, path, query, fault) : NULL;
        if (!page)
            return -1;
    }
}

static int write_noun(struct request *request, FILE *out, const char *noun, struct fault *fault)
{
    const char *path = arena_format(request->arena, "/api/v1/%s", noun);
    bool list = strcmp(noun, "garden") != 0;
    json_t *answer = path ? ask(request, path, list ? "limit=500" : "", fault) : NULL;
    int failed = 0;

    if (!answer)
        return -1;
    fprintf(out, ",\"%s\":", noun);
    if (list) {
        fputc('[', out);
        failed = write_items(request, out, path, answer, fault);
        fputc(']', out);
    } else {
        json_object_del(answer, "me"); /* who asked is no part of the garden */
        json_dumpf(answer, out, FLAGS);
        json_decref(answer);
    }
    return failed;
}

static int as_received(const void *a, const void *b)
{
    const struct entry *x = a, *y = b;

    return x->received_ms != y->received_ms ? (x->received_ms > y->received_ms) - (x->received_ms < y->received_ms) : strcmp(x->id, y->id);
}

static int write_log(struct db *db, FILE *out, const struct tank_row *tank, bool *first, struct fault *fault)
{
    ARENA_HELD arena = {.most = (size_t)1 << 30};
    struct list entries;
    struct entry *entry;

    if (entries_of_tank(db, tank->key, &entries, &arena, fault))
        return -1;
    entry = entries.item;
    if (entries.count)
        qsort(entry, entries.count, sizeof *entry, as_received);
    for (size_t i = 0; i < entries.count; i++) {
        json_t *document = shape_write(&entry_shape, &entry[i]);

        if (!document)
            return fault_add(fault, FAULT_MEMORY, "", "out of memory");
        if (!*first)
            fputc(',', out);
        *first = false;
        json_dumpf(document, out, FLAGS);
        json_decref(document);
    }
    return 0;
}

/* The log first: whatever it names is then there when the nouns are asked. They are written before it all the same. */
static int write_logs(struct request *request, FILE *out, struct fault *fault)
{
    struct store *store = request->service->garden->store;
    struct db *db = store_read(store, fault);
    struct list tanks;
    bool first = true;
    int failed = !db || tanks_list(db, 0, INT64_MAX, &tanks, request->arena, fault);

    for (size_t i = 0; !failed && i < tanks.count; i++)
        failed = write_log(db, out, (const struct tank_row *)tanks.item + i, &first, fault);
    store_done(store, db);
    return failed ? -1 : 0;
}

struct text {
    char *bytes;
    size_t length;
    FILE *stream;
};

static int begin(struct text *text, struct fault *fault)
{
    text->stream = open_memstream(&text->bytes, &text->length);
    return text->stream ? 0 : fault_add(fault, FAULT_MEMORY, "", "out of memory");
}

static int end(struct text *text, int failed, struct fault *fault)
{
    bool whole;

    if (!text->stream)
        return -1;
    whole = !ferror(text->stream);
    if (fclose(text->stream) || !whole)
        failed = fault_add(fault, FAULT_MEMORY, "", "out of memory");
    return failed ? -1 : 0;
}

static int write_all(struct request *request, FILE *out, const struct text *log, struct fault *fault)
{
    char made_at[32];

    fprintf(out, "{\"format\":\"tidemark-export\",\"format_version\":1,\"made_at\":\"%s\"", shape_instant(made_at, request->now_ms));
    for (size_t i = 0; i < sizeof nouns / sizeof *nouns; i++)
        if (write_noun(request, out, nouns[i], fault))
            return -1;
    fputs(",\"entries\":[", out);
    fwrite(log->bytes, 1, log->length, out);
    fputs("]}\n", out);
    return 0;
}

/* GET /api/v1/export */
int export_get(struct request *request, struct reply *reply, struct fault *fault)
{
    struct text log = {NULL, 0, NULL}, all = {NULL, 0, NULL};
    char date[16];
    const char *name = arena_format(request->arena, "attachment; filename=\"garden-%s.json\"",
                                    shape_date(date, (int32_t)(request->now_ms / 86400000)));
    int failed = begin(&log, fault);

    failed = end(&log, failed || write_logs(request, log.stream, fault), fault);
    if (!failed) {
        failed = begin(&all, fault);
        failed = end(&all, failed || write_all(request, all.stream, &log, fault), fault);
    }
    free(log.bytes);
    if (failed || !name) {
        free(all.bytes);
        return failed ? -1 : fault_add(fault, FAULT_MEMORY, "", "out of memory");
    }
    reply->bytes = all.bytes;
    reply->length = all.length;
    reply->type = "application/json";
    return reply_header(request, reply, "Content-Disposition", name, fault);
}
