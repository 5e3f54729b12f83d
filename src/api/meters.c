/* meters.c - a log of meter checks. */
#include "api/meters.h"

#include <math.h>

#include "api/lists.h"
#include "garden/meters.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

struct check_document {
    struct meter_check_row row;
    double expected_ms_cm, off_percent, correction;
    bool good;
    const char *said;
};

static const char *const standard_words[] = {"kcl_0_01_mol_l", "kcl_0_1_mol_l", NULL};

#define AT(member) offsetof(struct check_document, member)
#define FOUND(name, member, text) {name, FIELD_NUMBER, FIELD_ANSWER_ONLY, AT(member), .standard = NAN, .about = text}
static const struct field check_fields[] = {
    {"id", FIELD_TEXT, 0, AT(row.id), 36, 36, .about = "A UUID; made by the garden where left out."},
    {"meter", FIELD_TEXT, FIELD_REQUIRED, AT(row.meter), 1, 60, .about = "What people call the meter."},
    {"at", FIELD_INSTANT, FIELD_REQUIRED, AT(row.at_ms), .about = "When it was read."},
    {"standard", FIELD_CHOICE, FIELD_REQUIRED, AT(row.standard), .words = standard_words, .standard = -1, .about = "The potassium chloride standard; 1.413 or 12.88 mS/cm at 25 C."},
    {"reading_ms_cm", FIELD_NUMBER, FIELD_REQUIRED, AT(row.reading_ms_cm), 0.01, 200, .standard = NAN, .about = "As the meter showed it, mS/cm."},
    {"temperature_c", FIELD_NUMBER, FIELD_REQUIRED, AT(row.temperature_c), 5, 35, .standard = NAN, .about = "Of the standard, C."},
    {"compensated", FIELD_BOOL, 0, AT(row.compensated), .standard = 1, .about = "Whether the meter shows EC at 25 C, as most do."},
    {"member_name", FIELD_TEXT, FIELD_ANSWER_ONLY | FIELD_NULLABLE, AT(row.member_name), .about = "Who checked it."},
    FOUND("expected_ms_cm", expected_ms_cm, "What the standard has there, mS/cm."),
    FOUND("off_percent", off_percent, "How far the meter was off, %."),
    FOUND("correction", correction, "Multiply readings by this."),
    {"good", FIELD_BOOL, FIELD_ANSWER_ONLY, AT(good), .about = "Within 2 %."},
    {"said", FIELD_TEXT, FIELD_ANSWER_ONLY | FIELD_SAID, AT(said), .about = "In a sentence."},
};
#undef AT
const struct shape meter_check_shape = {.name = "MeterChecked", .size = sizeof(struct check_document), .field = check_fields,
                                        .count = COUNT(check_fields), .about = "A conductivity meter held into a standard."};
static const struct field answer_fields[] = LIST_ANSWER_FIELDS(meter_check_shape, "Newest first, the last hundred.");
const struct shape meter_checks_answer_shape = {.name = "MeterChecks", .size = sizeof(struct list_answer), .field = answer_fields, .count = 2};

static struct check_document document_of(const struct meter_check *check)
{
    return (struct check_document){check->row, check->found.expected_ms_cm, check->found.off_percent, check->found.correction,
                                   check->found.good, check->found.said};
}

/* GET /api/v1/meters */
int meter_checks_get(struct request *request, struct reply *reply, struct fault *fault)
{
    struct list_answer answer = {{NULL, 0}, NULL};
    struct list checks;
    struct check_document *documents;

    if (garden_meter_checks(request->service->garden, 100, &checks, request->arena, fault))
        return -1;
    documents = arena_take(request->arena, (checks.count + 1) * sizeof *documents);
    if (!documents)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    for (size_t i = 0; i < checks.count; i++)
        documents[i] = document_of((struct meter_check *)checks.item + i);
    answer.items = (struct list){documents, checks.count};
    return reply_json(reply, 200, shape_write(&meter_checks_answer_shape, &answer), fault);
}

/* POST /api/v1/meters: logs a check. */
int meter_checks_post(struct request *request, struct reply *reply, struct fault *fault)
{
    const struct check_document *sent = request->given;
    struct meter_check check = {.row = sent->row};
    struct check_document document;

    if (garden_meter_check(request->service->garden, &request->who, &check, request->arena, fault))
        return -1;
    document = document_of(&check);
    return reply_json(reply, 201, shape_write(&meter_check_shape, &document), fault);
}
