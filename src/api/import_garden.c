/* import_garden.c - a whole garden from its export: every row is read, held against the table of store/portable.h and put into a garden
 * beside this one; when nothing was wrong, that one takes this one's place. */
#include <math.h>
#include <sodium.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "api/imports.h"
#include "api/json_pieces.h"
#include "format/jpeg.h"
#include "garden/import_garden.h"
#include "store/entries.h"
#include "store/stage.h"

#define FORMAT "tidemark-export"
#define FORMAT_VERSION 2
#define LOOK_EVERY 256 /* rows between two looks at whether it was cancelled */

struct reading_in {
    struct job *job;
    struct stage *stage;
    struct json_pieces pieces;
    struct arena arena;      /* of one piece */
    int64_t rows;
    uint64_t seen;           /* bit for each table that came */
    bool format_seen, version_seen;
    struct list named;       /* struct named: rows found wrong when the whole was there */
};

/* ---- one value ---- */

static int refuse(struct fault *fault, const char *under, const struct portable_column *column, const char *what)
{
    char at[64];

    snprintf(at, sizeof at, "%s/%s", under, column->name);
    return fault_add(fault, FAULT_INPUT, at, "%s", what);
}

static int refuse_range(struct fault *fault, const char *under, const struct portable_column *column)
{
    char what[96];

    snprintf(what, sizeof what, "must be from %.12g to %.12g", column->least, column->most);
    return refuse(fault, under, column, what);
}

static int word_of(const char *const *words, const char *text)
{
    for (int i = 0; words[i]; i++)
        if (strcmp(words[i], text) == 0)
            return i;
    return -1;
}

static int read_plain_text(const struct portable_column *column, const json_t *given, const char *under, struct stage_value *value, struct fault *fault)
{
    const char *text = json_string_value(given);
    size_t most = column->kind == PORTABLE_TEXT ? (size_t)column->most : 64;

    if (!text)
        return refuse(fault, under, column, "must be a text");
    if (!*text || strlen(text) > most)
        return refuse(fault, under, column, "is empty or too long");
    for (const char *c = text; *c; c++)
        if (((unsigned char)*c < 0x20 && *c != '\n' && *c != '\t') || *c == 0x7f)
            return refuse(fault, under, column, "must not hold control characters");
    if (column->kind == PORTABLE_TEXT && column->words && word_of(column->words, text) < 0)
        return refuse(fault, under, column, "is none of the words that may stand there");
    *value = (struct stage_value){.type = STAGE_TEXT, .text = text};
    return 0;
}

static int read_number(const struct portable_column *column, const json_t *given, const char *under, struct stage_value *value, struct fault *fault)
{
    double number = json_number_value(given), packed;

    if (!json_is_number(given))
        return refuse(fault, under, column, "must be a number");
    if (!(number >= column->least && number <= column->most))
        return refuse_range(fault, under, column);
    if (column->kind == PORTABLE_REAL) {
        *value = (struct stage_value){.type = STAGE_REAL, .real = number};
        return 0;
    }
    packed = number * (column->kind == PORTABLE_PACKED ? column->first : 1);
    if (column->kind == PORTABLE_INTEGER ? !json_is_integer(given) : fabs(packed - round(packed)) > 1e-6)
        return refuse(fault, under, column, column->kind == PORTABLE_INTEGER ? "must be a whole number" : "is finer than it is kept");
    *value = (struct stage_value){.type = STAGE_INTEGER, .integer = column->kind == PORTABLE_INTEGER ? json_integer_value(given) : llround(packed)};
    return 0;
}

static int read_time(const struct portable_column *column, const json_t *given, const char *under, struct stage_value *value, struct fault *fault)
{
    const char *text = json_string_value(given);
    int32_t day = 0;

    value->type = STAGE_INTEGER;
    if (column->kind == PORTABLE_INSTANT)
        return text && shape_read_instant(text, &value->integer) == 0 ? 0 : refuse(fault, under, column, "must be an instant like 2026-05-01T07:30:00Z");
    if (!text || shape_read_date(text, &day))
        return refuse(fault, under, column, "must be a date like 2026-05-01");
    value->integer = day;
    return 0;
}

static int read_uuid(struct reading_in *in, const struct portable_column *column, const json_t *given, const char *under, struct stage_value *value,
                     struct fault *fault)
{
    unsigned char *bytes = arena_take(&in->arena, 16);

    if (!bytes)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    if (!json_is_string(given) || uuid_bytes(json_string_value(given), bytes))
        return refuse(fault, under, column, "must be a UUID");
    *value = (struct stage_value){.type = STAGE_BYTES, .bytes = bytes, .length = 16};
    return 0;
}

/* A picture is held against the same rules as one that a phone sends. */
static int read_jpeg(struct reading_in *in, const struct portable_column *column, const json_t *given, const char *under, struct stage_value *value,
                     struct fault *fault)
{
    size_t length = json_string_length(given), got = 0, kept;
    unsigned char *bytes = arena_take(&in->arena, length + 1), *picture = arena_take(&in->arena, length + 1);
    struct jpeg_size size;

    if (!bytes || !picture)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    if (!json_is_string(given) || sodium_base642bin(bytes, length + 1, json_string_value(given), length, NULL, &got, NULL, sodium_base64_VARIANT_ORIGINAL))
        return refuse(fault, under, column, "must be base64");
    if ((double)got > column->most)
        return refuse(fault, under, column, "is too long");
    if (jpeg_strip(bytes, got, picture, &kept, &size, NULL))
        return refuse(fault, under, column, "is no picture that can be taken");
    *value = (struct stage_value){.type = STAGE_BYTES, .bytes = picture, .length = kept};
    return 0;
}

static int read_value(struct reading_in *in, const struct portable_column *column, const json_t *given, const char *under, struct stage_value *value,
                      struct fault *fault)
{
    int word;

    *value = (struct stage_value){.type = STAGE_NULL};
    if (!given || json_is_null(given))
        return column->needed ? refuse(fault, under, column, "is required") : 0;
    switch (column->kind) {
    case PORTABLE_TEXT:
    case PORTABLE_REF:
        return read_plain_text(column, given, under, value, fault);
    case PORTABLE_INTEGER:
    case PORTABLE_REAL:
    case PORTABLE_PACKED:
        return read_number(column, given, under, value, fault);
    case PORTABLE_INSTANT:
    case PORTABLE_DAY:
        return read_time(column, given, under, value, fault);
    case PORTABLE_BOOL:
        *value = (struct stage_value){.type = STAGE_INTEGER, .integer = json_is_true(given)};
        return json_is_boolean(given) ? 0 : refuse(fault, under, column, "must be true or false");
    case PORTABLE_CHOICE:
        word = json_is_string(given) ? word_of(column->words, json_string_value(given)) : -1;
        *value = (struct stage_value){.type = STAGE_INTEGER, .integer = word + column->first};
        return word >= 0 ? 0 : refuse(fault, under, column, "is none of the words that may stand there");
    case PORTABLE_UUID:
        return read_uuid(in, column, given, under, value, fault);
    case PORTABLE_JPEG:
        return read_jpeg(in, column, given, under, value, fault);
    }
    return 0;
}

/* ---- rows ---- */

/* What is wrong with a row is told, and the next is looked at; what is wrong with the machine ends it. */
static int tell_faults(struct reading_in *in, const char *under, const struct fault *found, struct fault *fault)
{
    char at[96];

    if (found->code && found->code != FAULT_INPUT)
        return fault_under(fault, "", found);
    for (size_t i = 0; i < found->count; i++) {
        snprintf(at, sizeof at, "%s%s", under, found->item[i].at);
        job_wrong(in->job, at, found->item[i].detail);
    }
    return 0;
}

static int count_row(struct reading_in *in, struct fault *fault)
{
    if (++in->rows % LOOK_EVERY)
        return 0;
    job_progress(in->job, in->pieces.read, in->rows);
    return job_cancelled(in->job) ? fault_add(fault, FAULT_CONFLICT, "", "it was cancelled; nothing was kept") : 0;
}

static int add_row(struct reading_in *in, const struct portable_table *table, const char *under, struct stage_value *value, struct fault *found, struct fault *fault)
{
    if (!found->code)
        stage_add(in->stage, table, value, found);
    return tell_faults(in, under, found, fault) || count_row(in, fault) ? -1 : 0;
}

static void refuse_unknown(const struct portable_table *table, const json_t *row, size_t columns, bool rows, struct fault *found)
{
    const char *key;
    json_t *member;

    json_object_foreach((json_t *)row, key, member) {
        bool known = rows && strcmp(key, "rows") == 0;
        char at[64];

        for (size_t i = 0; i < columns; i++)
            known |= strcmp(key, table->column[i].name) == 0;
        snprintf(at, sizeof at, "/%.60s", key);
        if (!known)
            fault_add(found, FAULT_INPUT, at, "is no member of this list's rows");
    }
}

static int read_row(struct reading_in *in, const struct portable_table *table, const json_t *row, const char *under, struct fault *fault)
{
    struct stage_value value[PORTABLE_COLUMNS];
    struct fault found = {0};

    if (!json_is_object(row)) {
        fault_add(&found, FAULT_INPUT, "", "must be an object");
        return tell_faults(in, under, &found, fault);
    }
    refuse_unknown(table, row, table->count, false, &found);
    for (size_t i = 0; i < table->count; i++)
        read_value(in, &table->column[i], json_object_get(row, table->column[i].name), "", &value[i], &found);
    return add_row(in, table, under, value, &found, fault);
}

static int read_grouped_row(struct reading_in *in, const struct portable_table *table, const struct stage_value *head, const json_t *row,
                            const char *under, struct fault *fault)
{
    struct stage_value value[PORTABLE_COLUMNS];
    struct fault found = {0};

    for (size_t i = 0; i < table->grouped; i++)
        value[i] = head[i];
    if (!json_is_array(row) || json_array_size(row) != table->count - table->grouped) {
        char what[64];

        snprintf(what, sizeof what, "must be a list of %zu values", table->count - table->grouped);
        fault_add(&found, FAULT_INPUT, "", "%s", what);
        return tell_faults(in, under, &found, fault);
    }
    for (size_t i = table->grouped; i < table->count; i++)
        read_value(in, &table->column[i], json_array_get(row, i - table->grouped), "", &value[i], &found);
    return add_row(in, table, under, value, &found, fault);
}

static int read_group(struct reading_in *in, const struct portable_table *table, const json_t *group, const char *under, struct fault *fault)
{
    struct stage_value head[PORTABLE_COLUMNS];
    const json_t *rows = json_object_get(group, "rows");
    struct fault found = {0};
    json_t *row;
    size_t r;

    if (!json_is_object(group) || !json_is_array(rows))
        fault_add(&found, FAULT_INPUT, "", "must be an object with a list of rows");
    if (json_is_object(group))
        refuse_unknown(table, group, table->grouped, true, &found);
    for (size_t i = 0; i < table->grouped; i++)
        read_value(in, &table->column[i], json_object_get(group, table->column[i].name), "", &head[i], &found);
    if (found.code)
        return tell_faults(in, under, &found, fault);
    json_array_foreach((json_t *)rows, r, row) {
        char at[112];

        snprintf(at, sizeof at, "%.80s/rows/%zu", under, r);
        if (read_grouped_row(in, table, head, row, at, fault))
            return -1;
    }
    return 0;
}

/* ---- the document ---- */

static const struct portable_table *table_named(const char *name, size_t *place)
{
    for (size_t i = 0; i < portable_tables_count; i++)
        if (strcmp(portable_tables[i].name, name) == 0) {
            *place = i;
            return &portable_tables[i];
        }
    return NULL;
}

/* The two members that are no lists. */
static int read_head(struct reading_in *in, const json_t *piece)
{
    const char *name = in->pieces.name;

    if (in->pieces.index < 0 && strcmp(name, "format") == 0 && !in->format_seen) {
        in->format_seen = json_is_string(piece) && strcmp(json_string_value(piece), FORMAT) == 0;
        if (!in->format_seen)
            job_wrong(in->job, "/format", "must be \"" FORMAT "\": this is no export of a garden");
        return 1;
    }
    if (in->pieces.index < 0 && strcmp(name, "format_version") == 0 && !in->version_seen) {
        in->version_seen = json_is_integer(piece) && json_integer_value(piece) == FORMAT_VERSION;
        if (!in->version_seen)
            job_wrong(in->job, "/format_version", json_is_integer(piece) && json_integer_value(piece) > FORMAT_VERSION
                                                      ? "was written by a newer version of the program; update this one first"
                                                      : "is not one that can be brought in");
        return 1;
    }
    return 0;
}

static int read_piece(struct reading_in *in, const json_t *piece, struct fault *fault)
{
    char under[80];
    size_t place = 0;
    const struct portable_table *table = table_named(in->pieces.name, &place);

    if (read_head(in, piece))
        return 0;
    if (in->pieces.index < 0 || !table) {
        snprintf(under, sizeof under, "/%s", in->pieces.name);
        job_wrong(in->job, under, table ? "must be a list" : "is no member of an export");
        return 0;
    }
    if (in->pieces.index == 0) {
        snprintf(under, sizeof under, "/%s", in->pieces.name);
        if (in->seen & (uint64_t)1 << place)
            job_wrong(in->job, under, "is there twice");
        in->seen |= (uint64_t)1 << place;
    }
    snprintf(under, sizeof under, "/%s/%lld", in->pieces.name, (long long)in->pieces.index);
    return table->grouped ? read_group(in, table, piece, under, fault) : read_row(in, table, piece, under, fault);
}

static int read_document(struct reading_in *in, struct fault *fault)
{
    json_t *piece;
    struct fault found = {0};
    int more, failed = 0;

    while (!failed && (more = json_pieces_next(&in->pieces, &piece, &found)) == 1) {
        failed = read_piece(in, piece, fault);
        json_decref(piece);
        arena_end(&in->arena);
    }
    if (failed || tell_faults(in, "", &found, fault))
        return -1;
    if (!found.code && !in->format_seen && !job_faults(in->job))
        job_wrong(in->job, "/format", "is missing: this is no export of a garden");
    if (!found.code && in->format_seen && !in->version_seen && !job_faults(in->job))
        job_wrong(in->job, "/format_version", "is missing");
    return 0;
}

/* ---- what the whole tells ---- */

struct named {
    char list[24], id[72], at[48], what[160];
};

/* Kept until it is known where in the document each stands. */
static void keep_named(void *context, const char *list, const char *id, const char *at, const char *what)
{
    struct reading_in *in = context;
    struct named *named = in->named.item;

    if (in->named.count == JOB_FAULTS)
        return;
    named += in->named.count++;
    snprintf(named->list, sizeof named->list, "%s", list);
    snprintf(named->id, sizeof named->id, "%s", id);
    snprintf(named->at, sizeof named->at, "%s", at);
    snprintf(named->what, sizeof named->what, "%s", what);
}

static void keep_loose(void *context, const char *list, const char *id, const char *what)
{
    keep_named(context, list, id, "", what);
}

static bool go_on(void *context)
{
    return !job_cancelled(((struct reading_in *)context)->job);
}

/* The document is read once more, for the places of the rows that were named. */
static int place_named(struct reading_in *in, struct fault *fault)
{
    struct named *named = in->named.item;
    struct json_pieces pieces;
    json_t *piece;
    char at[128];

    if (fseek(in->pieces.from, 0, SEEK_SET))
        return fault_add(fault, FAULT_STORE, "", "what was sent cannot be read again");
    json_pieces_begin(&pieces, in->pieces.from);
    while (json_pieces_next(&pieces, &piece, NULL) == 1) {
        const char *id = json_string_value(json_object_get(piece, "id"));

        if (!id)
            id = json_string_value(json_object_get(piece, strcmp(pieces.name, "lessons") == 0 ? "fill" : "entry"));
        for (size_t i = 0; id && i < in->named.count; i++)
            if (*named[i].id && strcmp(named[i].list, pieces.name) == 0 && strcasecmp(named[i].id, id) == 0) {
                snprintf(at, sizeof at, "/%s/%lld%s", pieces.name, (long long)pieces.index, named[i].at);
                job_wrong(in->job, at, named[i].what);
                *named[i].list = '\0';
            }
        json_decref(piece);
    }
    json_pieces_end(&pieces);
    for (size_t i = 0; i < in->named.count; i++)
        if (*named[i].list) {
            snprintf(at, sizeof at, "/%s%s", named[i].list, named[i].at);
            job_wrong(in->job, at, named[i].what);
        }
    return 0;
}

static int check_whole(struct reading_in *in, struct fault *fault)
{
    int failed;

    in->named.item = calloc(JOB_FAULTS, sizeof(struct named));
    if (!in->named.item)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    failed = stage_check(in->stage, JOB_FAULTS, keep_loose, in, fault) ||
             import_garden_check(stage_db(in->stage), go_on, keep_named, in, fault);
    if (!failed && in->named.count)
        failed = place_named(in, fault);
    free(in->named.item);
    return failed;
}

static int bring_in(struct reading_in *in, struct garden *garden, struct fault *fault)
{
    if (read_document(in, fault))
        return -1;
    job_progress(in->job, in->pieces.read, in->rows);
    if (!job_faults(in->job) && check_whole(in, fault))
        return -1;
    if (job_faults(in->job))
        return fault_add(fault, FAULT_INPUT, "", "nothing was kept: mend what is listed and send it again");
    if (job_cancelled(in->job))
        return fault_add(fault, FAULT_CONFLICT, "", "it was cancelled; nothing was kept");
    if (stage_adopt(in->stage, garden->store, fault))
        return -1;
    garden_replaced(garden);
    job_kept(in->job, in->rows);
    return 0;
}

int import_garden_work(struct job *job, void *context, struct fault *fault)
{
    struct import *import = context;
    struct reading_in in = {.job = job};
    int failed;

    in.stage = stage_open(import->garden->store, fault);
    if (!in.stage)
        return -1;
    json_pieces_begin(&in.pieces, import->from);
    failed = bring_in(&in, import->garden, fault);
    json_pieces_end(&in.pieces);
    arena_end(&in.arena);
    stage_end(in.stage);
    return failed;
}

static void end(void *context)
{
    struct import *import = context;

    if (import->from)
        fclose(import->from);
    free(import);
}

/* POST /api/v1/imports/garden */
int import_garden_post(struct request *request, struct reply *reply, struct fault *fault)
{
    struct store *store = request->service->garden->store;
    struct db *db = store_read(store, fault);
    int empty = db ? portable_empty(db, fault) : -1;
    struct import *import;

    store_done(store, db);
    if (empty < 0)
        return -1;
    if (!empty)
        return fault_add(fault, FAULT_CONFLICT, "", "this garden is not empty: start the daemon with a new --garden FILE and import there");
    import = calloc(1, sizeof *import);
    if (!import)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    return import_start(request, reply, "garden", import_garden_work, end, import, fault);
}
