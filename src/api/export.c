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
#include "api/photos.h"
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

static int write_logs(struct db *db, FILE *out, const struct list *tanks, struct fault *fault)
{
    bool first = true;

    for (size_t i = 0; i < tanks->count; i++)
        if (write_log(db, out, (const struct tank_row *)tanks->item + i, &first, fault))
            return -1;
    return 0;
}

/* db sees the file as it was before any noun is asked: whatever the log names is there then. */
static int write_all(struct request *request, struct db *db, FILE *out, const struct list *tanks, struct fault *fault)
{
    char made_at[32];

    fprintf(out, "{\"format\":\"tidemark-export\",\"format_version\":1,\"made_at\":\"%s\"", shape_instant(made_at, request->now_ms));
    for (size_t i = 0; i < sizeof nouns / sizeof *nouns; i++)
        if (write_noun(request, out, nouns[i], fault))
            return -1;
    fputs(",\"entries\":[", out);
    if (write_logs(db, out, tanks, fault))
        return -1;
    fputs("],\"photos\":[", out);
    if (photos_export(db, out, fault))
        return -1;
    fputs("]}\n", out);
    return 0;
}

/* The whole text, malloc'ed; NULL with a fault. */
static char *export_text(struct request *request, struct db *db, size_t *length, struct fault *fault)
{
    char *text = NULL;
    FILE *out = open_memstream(&text, length);
    struct list tanks;
    int failed;

    if (!out) {
        fault_add(fault, FAULT_MEMORY, "", "out of memory");
        return NULL;
    }
    failed = tanks_list(db, 0, INT64_MAX, &tanks, request->arena, fault) || write_all(request, db, out, &tanks, fault);
    if (ferror(out))
        failed = fault_add(fault, FAULT_MEMORY, "", "out of memory");
    if (fclose(out) && !failed)
        failed = fault_add(fault, FAULT_MEMORY, "", "out of memory");
    if (failed) {
        free(text);
        return NULL;
    }
    return text;
}

/* GET /api/v1/export */
int export_get(struct request *request, struct reply *reply, struct fault *fault)
{
    struct store *store = request->service->garden->store;
    char date[16];
    const char *name = arena_format(request->arena, "attachment; filename=\"garden-%s.json\"",
                                    shape_date(date, (int32_t)(request->now_ms / 86400000)));
    struct db *db = name ? store_read(store, fault) : NULL;

    if (!db)
        return name ? -1 : fault_add(fault, FAULT_MEMORY, "", "out of memory");
    reply->bytes = export_text(request, db, &reply->length, fault);
    store_done(store, db);
    if (!reply->bytes)
        return -1;
    reply->type = "application/json";
    return reply_header(request, reply, "Content-Disposition", name, fault);
}
