/* import_table.c - one noun from the table that tables.c makes of it: each row becomes the document that the noun's own address takes, and
 * is sent there, all of them inside one job of the writer. So the checks are those of the address, and a row that is refused
 * undoes all.
 *
 * What only an answer tells is passed over: who logged an entry and when it came are facts of this garden, not of the table.
 */
#include <errno.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "api/imports.h"
#include "api/routes.h"
#include "api/tables.h"
#include "format/csv_read.h"
#include "garden/past_readings.h"
#include "store/entries.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))
#define ROWS_MOST 20000 /* other writes wait meanwhile. Ours */
#define LOOK_EVERY 64

static const struct noun {
    const char *name, *path;
    const char *inside;  /* the member of the body that is a list of such rows; NULL: the row is the body */
    const char *only;    /* columns taken, apart by blanks; NULL: all that the body has */
    const char *id, *kind; /* the column that is the id; the kind that every row is */
    const char *noted;     /* of a row that is built in: what the garden notes of it, apart by blanks; NULL: nothing */
    const char *own;       /* the column that lists which of the others the garden told itself; the rest is built in */
} nouns[] = {
    {.name = "areas", .path = "/api/v1/areas"},
    {.name = "vessels", .path = "/api/v1/vessels"},
    {.name = "tanks", .path = "/api/v1/tanks"},
    {.name = "members", .path = "/api/v1/members"},
    {.name = "entries", .path = "/api/v1/entries"},
    {.name = "harvests", .path = "/api/v1/entries", .only = " entry tank at how weight_g bunches quality cups ", .id = "entry", .kind = "harvest"},
    {.name = "weather", .path = "/api/v1/weather", .inside = "days"},
    {.name = "salts", .path = "/api/v1/salts", .noted = " price_per_kg stock_g opened_on caution "},
    {.name = "waters", .path = "/api/v1/waters"},
    {.name = "targets", .path = "/api/v1/targets"},
    {.name = "crops", .path = "/api/v1/crops", .own = "own",
     .noted = " name fitness ec_ms_cm ph spacing_mm days_to_harvest yield_g solution_l further_cuts base_c air_c best_c sources "},
};

struct table_ask {
    int separator;
    bool check;
};
static const char *const separators[] = {"comma", "semicolon", "tab", NULL};
static const char separator_marks[] = {',', ';', '\t'};
#define AT(member) offsetof(struct table_ask, member)
static const struct field ask_fields[] = {
    {"separator", FIELD_CHOICE, 0, AT(separator), .words = separators, .standard = 0, .about = "What stands between cells."},
    {"check", FIELD_BOOL, 0, AT(check), .about = "Only look; nothing is kept."},
};
#undef AT
const struct shape import_table_ask_shape = {.size = sizeof(struct table_ask), .field = ask_fields, .count = COUNT(ask_fields)};

/* A column: the field it is, and the member of a group ("label.k2o", "shape.height_mm"). */
struct column {
    const char *heading;
    const struct field *field, *group; /* field NULL: passed over, or a word of group's map */
    const char *word;
};

/* A correction waits until what it corrects is there: a list comes newest first. */
struct waiting {
    json_t *document;
    int64_t row;
};

struct table_import {
    struct import import; /* first */
    const struct noun *noun;
    const struct shape *shape; /* of one row's document */
    struct service *service;
    struct who who;
    int64_t now_ms;
    bool check, looked;
    struct job *job;
    struct csv_reader reader;
    struct arena arena; /* lives as long as this */
    struct column column[CSV_CELLS_MOST];
    size_t columns;
    struct waiting *waiting;
    size_t waits;
    int64_t rows, kept;
};

/* ---- headings ---- */

static const struct field *field_named(const struct shape *shape, const char *name, size_t length)
{
    for (size_t i = 0; i < shape->count; i++)
        if (strlen(shape->field[i].name) == length && strncmp(shape->field[i].name, name, length) == 0)
            return &shape->field[i];
    return NULL;
}

static const char *word_named(const struct field *map, const char *name)
{
    for (size_t i = 0; map->words[i]; i++)
        if (strcmp(map->words[i], name) == 0)
            return map->words[i];
    return NULL;
}

static const struct field *field_of_group(const struct field *group, const char *name)
{
    const struct field *field;

    if (group->kind == FIELD_OBJECT)
        return field_named(group->shape, name, strlen(name));
    for (size_t n = 0; group->kind == FIELD_ONE_OF && (field = table_variant_field(group->shape, n)) != NULL; n++)
        if (strcmp(field->name, name) == 0)
            return field;
    return NULL;
}

/* False: no column of this table. What only an answer has keeps field NULL. */
static bool find_column(const struct table_import *in, const char *heading, struct column *column)
{
    const char *name = in->noun->id && strcmp(heading, in->noun->id) == 0 ? "id" : heading, *dot = strchr(name, '.');
    size_t length = dot ? (size_t)(dot - name) : strlen(name);
    const struct field *field = field_named(in->shape, name, length);
    char among[96];

    *column = (struct column){.heading = heading};
    snprintf(among, sizeof among, " %.60s ", heading);
    if (in->noun->only && !strstr(in->noun->only, among))
        return true;
    if (!field)
        return table_leaves_out(in->noun->name, name, length);
    if (field->flags & FIELD_ANSWER_ONLY)
        return true;
    if (dot) {
        column->group = field;
        if (field->kind == FIELD_MAP)
            return (column->word = word_named(field, dot + 1)) != NULL;
        field = field_of_group(field, dot + 1);
        if (!field)
            return false;
    }
    column->field = field;
    return true;
}

static int read_headings(struct table_import *in, struct fault *fault)
{
    in->columns = in->reader.cells;
    for (size_t i = 0; i < in->columns; i++) {
        const char *heading = arena_text(&in->arena, csv_unguard(csv_cell(&in->reader, i)));

        if (!heading)
            return fault_add(fault, FAULT_MEMORY, "", "out of memory");
        if (!find_column(in, heading, &in->column[i]))
            job_wrong_cell(in->job, in->reader.row, heading, "is no column of this table");
        for (size_t j = 0; j < i; j++)
            if (strcmp(in->column[j].heading, heading) == 0)
                job_wrong_cell(in->job, in->reader.row, heading, "is there twice");
    }
    return 0;
}

/* ---- a row as a document ---- */

/* Returns NULL, or what is wrong. */
static const char *value_of(const struct column *column, const char *cell, json_t **value)
{
    enum field_kind kind = column->word ? FIELD_NUMBER : column->field->kind;
    bool one_of = column->group && column->group->kind == FIELD_ONE_OF; /* a diameter here, length and width there */
    const char *wrong;
    double number;
    char *end;
    long long whole;

    if (one_of && kind != FIELD_CHOICE)
        kind = *cell == '[' ? FIELD_JSON : FIELD_NUMBER;
    switch (kind) {
    case FIELD_NUMBER:
        wrong = past_number(cell, false, &number);
        *value = wrong || isnan(number) ? NULL : json_real(number);
        return wrong;
    case FIELD_INTEGER:
        errno = 0;
        whole = strtoll(cell, &end, 10);
        *value = *end || errno ? NULL : json_integer(whole);
        return *value ? NULL : "must be a whole number";
    case FIELD_BOOL:
        *value = strcmp(cell, "true") == 0 ? json_true() : strcmp(cell, "false") == 0 ? json_false() : NULL;
        return *value ? NULL : "must be true or false";
    case FIELD_LIST:
    case FIELD_OBJECT:
    case FIELD_ONE_OF:
    case FIELD_MAP:
    case FIELD_JSON:
        *value = json_loads(cell, JSON_REJECT_DUPLICATES, NULL);
        return *value ? NULL : "must be a list as JSON writes it";
    default:
        *value = json_string(cell);
        return NULL;
    }
}

static void put(json_t *document, const struct column *column, json_t *value)
{
    json_t *inside;

    if (!column->group) {
        json_object_set_new(document, column->field->name, value);
        return;
    }
    inside = json_object_get(document, column->group->name);
    if (!inside) {
        json_object_set_new(document, column->group->name, json_object());
        inside = json_object_get(document, column->group->name);
    }
    json_object_set_new(inside, column->word ? column->word : column->field->name, value);
}

static const char *cell_named(const struct table_import *in, const char *heading)
{
    for (size_t i = 0; i < in->columns; i++)
        if (strcmp(in->column[i].heading, heading) == 0)
            return csv_unguard(csv_cell(&in->reader, i));
    return "";
}

/* What the garden did not tell itself is built in, and stays that: a table that says which is which is taken at its word. */
static bool is_own(const json_t *own, const struct column *column)
{
    static const char *const always[] = {"id", "resembles"};
    const char *member = column->group ? column->field->name : column->heading;
    const json_t *told;
    size_t i;

    for (i = 0; i < COUNT(always); i++)
        if (strcmp(member, always[i]) == 0)
            return true;
    json_array_foreach(own, i, told)
        if (strcmp(json_string_value(told) ? json_string_value(told) : "", member) == 0)
            return true;
    return false;
}

static json_t *document_of(struct table_import *in)
{
    const char *owns = in->noun->own ? cell_named(in, in->noun->own) : "";
    json_t *own = *owns ? json_loads(owns, JSON_REJECT_DUPLICATES, NULL) : NULL;

    json_t *document = json_object();

    for (size_t i = 0; document && i < in->columns; i++) {
        const struct column *column = &in->column[i];
        const char *cell = csv_unguard(csv_cell(&in->reader, i)), *wrong;
        json_t *value = NULL;

        if ((!column->field && !column->word) || !*cell || (own && !is_own(own, column)))
            continue;
        if (strcmp(column->heading, "caution") == 0 && strcmp(cell_named(in, "own_caution"), "false") == 0)
            continue; /* the usual one is no note of the garden's */
        wrong = value_of(column, cell, &value);
        if (wrong)
            job_wrong_cell(in->job, in->reader.row, column->heading, wrong);
        else if (value)
            put(document, column, value);
    }
    if (*owns && !own)
        job_wrong_cell(in->job, in->reader.row, in->noun->own, "must be a list as JSON writes it");
    json_decref(own);
    if (in->noun->kind && document)
        json_object_set_new(document, "kind", json_string(in->noun->kind));
    return document;
}

/* ---- sending it to the noun's address ---- */

/* "/days/0/tmin_c" and "/label/k2o" as the headings that they are. */
static void tell_problem(struct table_import *in, int64_t row, const json_t *problem)
{
    const json_t *errors = json_object_get(problem, "errors"), *error;
    const char *detail = json_string_value(json_object_get(problem, "detail"));
    size_t i;

    if (!json_array_size(errors))
        job_wrong_cell(in->job, row, "", detail ? detail : "is refused");
    json_array_foreach(errors, i, error) {
        const char *at = json_string_value(json_object_get(error, "at"));
        char column[80];

        if (in->noun->inside && at && strncmp(at, "/days/0", 7) == 0)
            at += 7;
        snprintf(column, sizeof column, "%s", at && *at == '/' ? at + 1 : "");
        for (char *c = column; *c; c++)
            if (*c == '/')
                *c = '.';
        job_wrong_cell(in->job, row, column, json_string_value(json_object_get(error, "detail")));
    }
}

static bool misses_earlier(const json_t *problem)
{
    const json_t *error;
    size_t i;

    json_array_foreach(json_object_get(problem, "errors"), i, error) {
        const char *at = json_string_value(json_object_get(error, "at"));

        if (at && (strcmp(at, "/amends") == 0 || strcmp(at, "/withdraws") == 0))
            return true;
    }
    return false;
}

/* 1 kept, 0 was there, -1 refused with *problem (the caller's), -2 a fault of the machine. */
static int ask(struct table_import *in, const char *method, const char *path, json_t *document, json_t **problem, struct fault *fault)
{
    struct arena arena = {0};
    struct request request = {.service = in->service, .method = method, .path = path, .query = "", .content_type = "application/json",
                              .host = "localhost", .peer = "", .arena = &arena, .who = in->who, .now_ms = in->now_ms};
    char *text = json_dumps(document, JSON_COMPACT | JSON_REAL_PRECISION(17));
    struct reply reply;
    unsigned status;

    *problem = NULL;
    if (!text) {
        fault_add(fault, FAULT_MEMORY, "", "out of memory");
        return -2;
    }
    request.body = text;
    request.body_length = strlen(text);
    api_answer_as(&request, &reply);
    status = reply.status ? reply.status : 200;
    if (status >= 400)
        *problem = json_loadb(reply.bytes, reply.length, 0, NULL);
    reply_end(&reply);
    arena_end(&arena);
    free(text);
    if (status >= 500) {
        json_decref(*problem);
        fault_add(fault, FAULT_STORE, "", "a row could not be written");
        return -2;
    }
    return status >= 400 ? -1 : status == 201 || in->noun->inside;
}

/* Of what is built in only what the garden noted of it is told, and told anew. */
static int ask_builtin(struct table_import *in, json_t *document, json_t **problem, struct fault *fault)
{
    const char *id = json_string_value(json_object_get(document, "id")), *name;
    json_t *patch = json_object(), *value;
    char path[128], among[96];
    int result = 0;

    json_object_foreach(document, name, value) {
        snprintf(among, sizeof among, " %.80s ", name);
        if (in->noun->noted && strstr(in->noun->noted, among))
            json_object_set(patch, name, value);
    }
    snprintf(path, sizeof path, "%s/%.64s", in->noun->path, id ? id : "");
    *problem = NULL;
    if (json_object_size(patch))
        result = ask(in, "PATCH", path, patch, problem, fault);
    json_decref(patch);
    return result;
}

static int send_row(struct table_import *in, json_t *document, json_t **problem, struct fault *fault)
{
    json_t *body;
    int result;

    if (!in->noun->inside)
        return ask(in, "POST", in->noun->path, document, problem, fault);
    body = json_pack("{s:[O]}", in->noun->inside, document);
    result = ask(in, "POST", in->noun->path, body, problem, fault);
    json_decref(body);
    return result;
}

static int wait_with(struct table_import *in, json_t *document)
{
    struct waiting *grown = realloc(in->waiting, (in->waits + 1) * sizeof *grown);

    if (!grown)
        return -1;
    in->waiting = grown;
    in->waiting[in->waits++] = (struct waiting){json_incref(document), in->reader.row};
    return 0;
}

static int take_row(struct table_import *in, struct fault *fault)
{
    int64_t faults = job_faults(in->job);
    json_t *document = document_of(in), *problem = NULL;
    int result = 0;

    in->rows++;
    if (!document)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    if (job_faults(in->job) > faults) {
        json_decref(document);
        return 0;
    }
    if (*cell_named(in, "sensor") && strcmp(in->noun->name, "entries") == 0)
        result = 0; /* what sensors told travels in the export, packed */
    else if (strcmp(cell_named(in, "builtin"), "true") == 0)
        result = ask_builtin(in, document, &problem, fault);
    else if (json_object_get(document, "amends") || json_object_get(document, "withdraws"))
        result = wait_with(in, document) ? -2 : 0;
    else
        result = send_row(in, document, &problem, fault);
    if (result == -1)
        tell_problem(in, in->reader.row, problem);
    in->kept += result == 1;
    json_decref(problem);
    json_decref(document);
    return result == -2 ? -1 : 0;
}

/* Round after round, as long as one finds what it corrects. */
static int send_waiting(struct table_import *in, struct fault *fault)
{
    size_t left = in->waits, before;

    do {
        before = left;
        for (size_t i = 0; i < in->waits; i++) {
            json_t *problem;
            int result;

            if (!in->waiting[i].document)
                continue;
            result = send_row(in, in->waiting[i].document, &problem, fault);
            if (result == -2)
                return -1;
            if (result == -1 && misses_earlier(problem) && left > 1) {
                json_decref(problem);
                continue;
            }
            if (result == -1)
                tell_problem(in, in->waiting[i].row, problem);
            in->kept += result == 1;
            json_decref(problem);
            json_decref(in->waiting[i].document);
            in->waiting[i].document = NULL;
            left--;
        }
    } while (left && left < before);
    for (size_t i = 0; i < in->waits; i++)
        if (in->waiting[i].document)
            job_wrong_cell(in->job, in->waiting[i].row, "amends", "there is no such entry");
    return 0;
}

/* ---- the work ---- */

static int read_rows(struct table_import *in, struct fault *fault)
{
    int more;

    while ((more = csv_read_row(&in->reader)) != 0) {
        if (more < 0)
            job_wrong_cell(in->job, in->reader.row, in->reader.wrong_cell < in->columns ? in->column[in->reader.wrong_cell].heading : "", in->reader.wrong);
        else if (in->reader.row == 1 ? read_headings(in, fault) : take_row(in, fault))
            return -1;
        if (in->reader.row == 1 && job_faults(in->job))
            return 0;
        if (in->reader.row > ROWS_MOST + 1) {
            job_wrong_cell(in->job, in->reader.row, "", "a table has at most 20,000 rows; send it in parts");
            return 0;
        }
        if (in->reader.row % LOOK_EVERY == 0) {
            job_progress(in->job, in->reader.read, in->rows);
            if (job_cancelled(in->job))
                return fault_add(fault, FAULT_CONFLICT, "", "it was cancelled; nothing was kept");
        }
    }
    if (!in->rows && !job_faults(in->job))
        job_wrong_cell(in->job, in->reader.row, "", "the table has no rows");
    return send_waiting(in, fault);
}

static int keep_all(struct db *db, void *context, struct fault *fault)
{
    struct table_import *in = context;

    (void)db; /* each row is a job of its own within this one */
    if (read_rows(in, fault))
        return -1;
    job_progress(in->job, in->reader.read, in->rows);
    if (job_faults(in->job))
        return fault_add(fault, FAULT_INPUT, "", "nothing was kept: mend what is listed and send it again");
    in->looked = in->check;
    return in->check ? fault_add(fault, FAULT_INPUT, "", "only looked at") : 0;
}

static int import_table_work(struct job *job, void *context, struct fault *fault)
{
    struct table_import *in = context;
    int failed;

    in->job = job;
    failed = store_write(in->import.garden->store, keep_all, in, fault);
    if (in->looked)
        return 0;
    if (!failed)
        job_kept(job, in->kept);
    return failed;
}

static void end(void *context)
{
    struct table_import *in = context;

    for (size_t i = 0; i < in->waits; i++)
        json_decref(in->waiting[i].document);
    free(in->waiting);
    csv_read_end(&in->reader);
    if (in->import.from)
        fclose(in->import.from);
    arena_end(&in->arena);
    free(in);
}

static const struct shape *taken_by(const struct noun *noun)
{
    for (size_t i = 0; i < routes_count; i++)
        if (strcmp(routes[i].method, "POST") == 0 && strcmp(routes[i].path, noun->path) == 0)
            return noun->inside ? routes[i].takes->field[0].shape : routes[i].takes;
    return NULL;
}

/* POST /api/v1/imports/tables/{noun} */
int import_table_post(struct request *request, struct reply *reply, struct fault *fault)
{
    const struct table_ask *ask_ = request->asked;
    const char *part = request->part[0], *dot = strstr(part, ".csv");
    size_t length = dot ? (size_t)(dot - part) : strlen(part);
    const struct noun *noun = NULL;
    struct table_import *in;

    for (size_t i = 0; i < COUNT(nouns); i++)
        if (strlen(nouns[i].name) == length && strncmp(nouns[i].name, part, length) == 0)
            noun = &nouns[i];
    if (!noun)
        return fault_add(fault, FAULT_ABSENT, "", "there is no such table to bring in");
    in = calloc(1, sizeof *in);
    if (!in)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    in->noun = noun;
    in->shape = taken_by(noun);
    in->service = request->service;
    in->who = request->who;
    in->who.device = 0; /* a table has no device, nor its limits */
    in->who.member_id = in->who.name = in->who.device_id = NULL; /* live as long as the request */
    in->now_ms = request->now_ms;
    in->check = ask_->check;
    csv_read_begin(&in->reader, request->body_file, separator_marks[ask_->separator]);
    return import_start(request, reply, noun->name, import_table_work, end, &in->import, fault);
}
