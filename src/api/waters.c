/* waters.c - source waters over HTTP. */
#include "api/waters.h"

#include <math.h>

#include "api/lists.h"
#include "garden/waters.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

struct water_document {
    struct water_row row;
    struct list unknown; /* const char * */
    int by;
    struct source_water water, low, high;
};

static const char *const methods[] = {"laboratory", "supplier", "strips", "meter", NULL};

static const struct field key_fields[] = {{NULL, FIELD_TEXT, 0, 0, .about = "A member of this document."}};
static const struct shape key_shape = {.size = sizeof(const char *), .field = key_fields, .count = 1};

static const char *const reckoned_by[] = {"analysis", "hardness", "strips", "meter", "nothing", NULL};

#define AT(member) offsetof(struct source_water, member)
#define OF(name, about_) {#name, FIELD_NUMBER, FIELD_REQUIRED, AT(name), .standard = NAN, .about = about_}
static const struct field reckoned_fields[] = {
    OF(ph, "pH."), OF(alkalinity_mg_caco3_l, "mg/L as CaCO3."), OF(ca_mg_l, "mg/L."), OF(mg_mg_l, "mg/L."), OF(na_mg_l, "mg/L."),
    OF(k_mg_l, "mg/L."), OF(nh4_mg_l, "mg/L as NH4."), OF(cl_mg_l, "mg/L."), OF(so4_mg_l, "mg/L as SO4."), OF(no3_mg_l, "mg/L as NO3."),
    OF(po4_mg_l, "mg/L as PO4."), OF(si_mg_l, "mg/L as Si."), OF(b_mg_l, "mg/L."),
};
#undef AT
static const struct shape reckoned_shape = {.name = "WaterReckoned", .size = sizeof(struct source_water), .field = reckoned_fields,
                                            .count = COUNT(reckoned_fields)};

/* The bounds are wide: brackish water is measured, too. They are ours. */
#define AT(member) offsetof(struct water_document, member)
#define VALUE(name, which, most, about_) \
    {name, FIELD_NUMBER, FIELD_NULLABLE, AT(row.value) + (which) * sizeof(double), 0, most, .standard = NAN, .about = about_}
static const struct field water_fields[] = {
    {"id", FIELD_TEXT, 0, AT(row.id), 1, 64, .about = "Made by the garden where left out."},
    {"name", FIELD_TEXT, FIELD_REQUIRED, AT(row.name), 1, 100, .about = "What people call it."},
    {"analysed_on", FIELD_DATE, FIELD_NULLABLE, AT(row.analysed_day), .about = "Day of the analysis."},
    {"method", FIELD_CHOICE, FIELD_NULLABLE, AT(row.method), .words = methods, .standard = -1, .about = "How it is known."},
    VALUE("ph", WATER_PH, 14, "As analysed at 25 C."),
    VALUE("alkalinity_mg_caco3_l", WATER_ALKALINITY, 2000, "mg/L as CaCO3."),
    VALUE("hardness_mg_caco3_l", WATER_HARDNESS, 5000, "Total hardness, mg/L as CaCO3."),
    VALUE("ec_ms_cm", WATER_EC, 20, "mS/cm at 25 C."),
    VALUE("ca_mg_l", WATER_CA, 2000, "Calcium, mg/L."),
    VALUE("mg_mg_l", WATER_MG, 2000, "Magnesium, mg/L."),
    VALUE("na_mg_l", WATER_NA, 5000, "Sodium, mg/L."),
    VALUE("k_mg_l", WATER_K, 1000, "Potassium, mg/L."),
    VALUE("nh4_mg_l", WATER_NH4, 200, "Ammonium as NH4, mg/L."),
    VALUE("cl_mg_l", WATER_CL, 10000, "Chloride, mg/L."),
    VALUE("so4_mg_l", WATER_SO4, 5000, "Sulfate as SO4, mg/L."),
    VALUE("no3_mg_l", WATER_NO3, 1000, "Nitrate as NO3, mg/L."),
    VALUE("po4_mg_l", WATER_PO4, 200, "Phosphate as PO4, mg/L."),
    VALUE("si_mg_l", WATER_SI, 200, "Silicon as Si, mg/L."),
    VALUE("b_mg_l", WATER_B, 50, "Boron as B, mg/L."),
    {"unknown", FIELD_LIST, FIELD_ANSWER_ONLY, AT(unknown), .shape = &key_shape,
     .about = "What a recipe wants to know and this analysis does not tell: see reckoned."},
    {"reckoned_by", FIELD_CHOICE, FIELD_ANSWER_ONLY, AT(by), .words = reckoned_by, .about = "What it is reckoned by; the later in this list, the wider the range."},
    {"reckoned", FIELD_OBJECT, FIELD_ANSWER_ONLY, AT(water), .shape = &reckoned_shape, .about = "As a recipe takes it."},
    {"reckoned_low", FIELD_OBJECT, FIELD_ANSWER_ONLY, AT(low), .shape = &reckoned_shape, .about = "Each value as low as it may well be; no water of its own."},
    {"reckoned_high", FIELD_OBJECT, FIELD_ANSWER_ONLY, AT(high), .shape = &reckoned_shape, .about = "Each value as high."},
};
#undef AT
const struct shape water_shape = {.name = "Water", .size = sizeof(struct water_document), .field = water_fields,
                                  .count = COUNT(water_fields), .about = "A source water by one dated analysis."};

static const struct field answer_fields[] = LIST_ANSWER_FIELDS(water_shape, "By age.");
const struct shape waters_answer_shape = {.name = "Waters", .size = sizeof(struct list_answer), .field = answer_fields, .count = 2};

static int fill_document(const struct water_row *row, struct water_document *document, struct arena *arena, struct fault *fault)
{
    document->row = *row;
    document->by = (int)water_reckon(row, &document->water, &document->low, &document->high);
    return water_unknown(row, &document->unknown, arena, fault);
}

/* GET /api/v1/waters */
int waters_get(struct request *request, struct reply *reply, struct fault *fault)
{
    struct list all;
    struct list_answer answer;
    struct water_document *documents;
    const struct water_row *row;

    if (garden_waters(request->service->garden, &all, request->arena, fault) ||
        list_page(&all, sizeof *row, offsetof(struct water_row, id), request->asked, &answer, fault))
        return -1;
    row = answer.items.item;
    documents = arena_take(request->arena, (answer.items.count + 1) * sizeof *documents);
    if (!documents)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    for (size_t i = 0; i < answer.items.count; i++)
        if (fill_document(&row[i], &documents[i], request->arena, fault))
            return -1;
    answer.items.item = documents;
    return reply_json(reply, 200, shape_write(&waters_answer_shape, &answer), fault);
}

static int answer_one(struct request *request, struct reply *reply, unsigned status, const struct water_row *row, struct fault *fault)
{
    struct water_document document;

    if (fill_document(row, &document, request->arena, fault))
        return -1;
    return reply_json(reply, status, shape_write(&water_shape, &document), fault);
}

/* POST /api/v1/waters */
int waters_post(struct request *request, struct reply *reply, struct fault *fault)
{
    struct water_document document = *(const struct water_document *)request->given;
    bool stored_before;

    if (garden_water_add(request->service->garden, &document.row, &stored_before, request->arena, fault))
        return -1;
    return answer_one(request, reply, stored_before ? 200 : 201, &document.row, fault);
}

/* PATCH /api/v1/waters/{water} */
int water_patch(struct request *request, struct reply *reply, struct fault *fault)
{
    struct store *store = request->service->garden->store;
    struct db *db = store_read(store, fault);
    struct water_document document = {.unknown = {NULL, 0}};
    int found = db ? water_rows_one(db, request->part[0], &document.row, request->arena, fault) : -1;

    store_done(store, db);
    if (found != 1)
        return found ? -1 : fault_add(fault, FAULT_ABSENT, "", "there is no such water");
    if (shape_patch(&water_shape, &document, request->document, request->arena, fault))
        return -1;
    document.row.id = request->part[0];
    if (garden_water_change(request->service->garden, &document.row, request->arena, fault))
        return -1;
    return answer_one(request, reply, 200, &document.row, fault);
}
