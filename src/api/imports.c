/* imports.c - imports under way, over HTTP. */
#include "api/imports.h"

#include <stdlib.h>
#include <sys/stat.h>

#include "api/lists.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

#define AT(member) offsetof(struct job_fault, member)
static const struct field fault_fields[] = {
    {"at", FIELD_TEXT, 0, AT(at), .about = "JSON Pointer into what was sent."},
    {"row", FIELD_INTEGER, 0, AT(row), .about = "Of a table: its row; the headings are row 1."},
    {"column", FIELD_TEXT, 0, AT(column), .about = "Of a table: its column."},
    {"detail", FIELD_TEXT, FIELD_REQUIRED | FIELD_SAID, AT(detail), .about = "What is wrong there."},
};
#undef AT
static const struct shape fault_shape = {.name = "ImportFault", .size = sizeof(struct job_fault), .field = fault_fields, .count = COUNT(fault_fields)};

#define AT(member) offsetof(struct job_view, member)
static const struct field import_fields[] = {
    {"id", FIELD_TEXT, FIELD_REQUIRED, AT(id), .about = "The import's id."},
    {"what", FIELD_TEXT, FIELD_REQUIRED, AT(what), .about = "What is brought in."},
    {"state", FIELD_CHOICE, FIELD_REQUIRED, AT(state), .words = job_state_names,
     .about = "running; done: all was kept; refused: something in it is wrong; cancelled; failed: the machine could not. Of all but done nothing is kept."},
    {"bytes", FIELD_INTEGER, FIELD_REQUIRED, AT(bytes), .about = "How long the file is."},
    {"bytes_read", FIELD_INTEGER, FIELD_REQUIRED, AT(bytes_read), .about = "How far it was read."},
    {"rows", FIELD_INTEGER, FIELD_REQUIRED, AT(rows), .about = "Rows looked at so far."},
    {"kept", FIELD_INTEGER, FIELD_REQUIRED, AT(kept), .about = "Rows that were new, once it is done."},
    {"faults", FIELD_LIST, FIELD_REQUIRED, AT(faults), 0, JOB_FAULTS, .shape = &fault_shape, .about = "The first hundred things that are wrong."},
    {"faults_count", FIELD_INTEGER, FIELD_REQUIRED, AT(faults_count), .about = "How many there are in all."},
    {"remarks", FIELD_LIST, FIELD_REQUIRED, AT(remarks), 0, JOB_FAULTS, .shape = &fault_shape, .about = "The first hundred things that are not wrong, but good to know."},
    {"remarks_count", FIELD_INTEGER, FIELD_REQUIRED, AT(remarks_count), .about = "How many there are in all."},
    {"said", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE | FIELD_SAID, AT(said), .about = "Why it was refused or failed."},
    {"started_at", FIELD_INSTANT, FIELD_REQUIRED, AT(started_ms), .about = "When it began."},
    {"ended_at", FIELD_INSTANT, FIELD_REQUIRED | FIELD_NULLABLE, AT(ended_ms), .about = "null: it is under way."},
};
#undef AT
const struct shape import_shape = {.name = "Import", .size = sizeof(struct job_view), .field = import_fields, .count = COUNT(import_fields),
                                   .about = "Data being brought in."};
static const struct field answer_fields[] = LIST_ANSWER_FIELDS(import_shape, "Newest first; remembered until the daemon ends.");
const struct shape imports_answer_shape = {.name = "Imports", .size = sizeof(struct list_answer), .field = answer_fields, .count = 2};

int import_start(struct request *request, struct reply *reply, const char *what, job_work *work, job_done *done, struct import *import,
                 struct fault *fault)
{
    struct stat about;
    struct job_view view;
    char id[37];
    int64_t bytes = fstat(fileno(request->body_file), &about) ? 0 : (int64_t)about.st_size;

    import->garden = request->service->garden;
    import->from = request->body_file;
    request->body_file = NULL;
    if (jobs_start(import->garden, what, bytes, work, done, import, id, fault) ||
        jobs_view(request->service->garden, id, &view, request->arena, fault))
        return -1;
    return reply_json(reply, 202, shape_write(&import_shape, &view), fault);
}

/* GET /api/v1/imports */
int imports_get(struct request *request, struct reply *reply, struct fault *fault)
{
    struct list_answer answer = {{NULL, 0}, NULL};

    if (jobs_list(request->service->garden, &answer.items, request->arena, fault))
        return -1;
    return reply_json(reply, 200, shape_write(&imports_answer_shape, &answer), fault);
}

/* GET /api/v1/imports/{import} */
int import_get(struct request *request, struct reply *reply, struct fault *fault)
{
    struct job_view view;

    if (jobs_view(request->service->garden, request->part[0], &view, request->arena, fault))
        return -1;
    return reply_json(reply, 200, shape_write(&import_shape, &view), fault);
}

/* DELETE /api/v1/imports/{import} */
int import_delete(struct request *request, struct reply *reply, struct fault *fault)
{
    if (jobs_cancel(request->service->garden, request->part[0], fault))
        return -1;
    reply->status = 204;
    return 0;
}
