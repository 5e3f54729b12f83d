/* salts.c - the shelf of salts over HTTP. */
#include "api/salts.h"

#include <math.h>

#include "api/lists.h"
#include "garden/shelf.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

struct salt_document {
    const char *id, *name;
    int kind;
    double label[LABEL_ITEMS];
    bool label_given;
    const char *formula;
    double price_per_kg, stock_g, weighed_g;
    bool stock_doubtful;
    int32_t opened_day;
    const char *caution;
    struct list hazards; /* const char * */
    bool builtin, own_caution;
};

static const char *const kinds[] = {"pure", "blend", NULL};

/* label_key, ended by NULL: the words of a map. */
static const char *const label_words[LABEL_ITEMS + 1] = {
    [LABEL_N_NO3] = "n_no3", [LABEL_N_NH4] = "n_nh4", [LABEL_N_UREA] = "n_urea", [LABEL_P2O5] = "p2o5", [LABEL_P] = "p",
    [LABEL_K2O] = "k2o",     [LABEL_K] = "k",         [LABEL_CAO] = "cao",       [LABEL_CA] = "ca",     [LABEL_MGO] = "mgo",
    [LABEL_MG] = "mg",       [LABEL_SO3] = "so3",     [LABEL_S] = "s",           [LABEL_FE] = "fe",     [LABEL_MN] = "mn",
    [LABEL_ZN] = "zn",       [LABEL_B] = "b",         [LABEL_CU] = "cu",         [LABEL_MO] = "mo",     [LABEL_NA] = "na",
    [LABEL_CL] = "cl"};

static const struct field hazard_fields[] = {{NULL, FIELD_TEXT, 0, 0, .about = "oxidiser, acid, acid_mild, alkali or nitrate."}};
static const struct shape hazard_shape = {.size = sizeof(const char *), .field = hazard_fields, .count = 1};

#define AT(member) offsetof(struct salt_document, member)
static const struct field salt_fields[] = {
    {"id", FIELD_TEXT, 0, AT(id), 1, 64, .about = "Made by the garden where left out."},
    {"name", FIELD_TEXT, FIELD_REQUIRED, AT(name), 1, 100, .about = "What people call it."},
    {"kind", FIELD_CHOICE, FIELD_ANSWER_ONLY, AT(kind), .words = kinds, .about = "pure: known by its formula; blend: by its label."},
    {"label", FIELD_MAP, FIELD_NULLABLE, AT(label), 0, 100, .words = label_words, .given = AT(label_given),
     .about = "The analysis printed on the bag, percent of mass."},
    {"formula", FIELD_TEXT, FIELD_ANSWER_ONLY | FIELD_NULLABLE, AT(formula), .about = "Of a pure salt."},
    {"price_per_kg", FIELD_NUMBER, FIELD_NULLABLE, AT(price_per_kg), 0, 100000, .standard = NAN, .about = "In the garden's money."},
    {"stock_g", FIELD_NUMBER, FIELD_NULLABLE, AT(stock_g), 0, 1e7, .standard = NAN,
     .about = "At hand now, g: as it was told, less what fills and top-ups weighed since."},
    {"weighed_g", FIELD_NUMBER, FIELD_ANSWER_ONLY | FIELD_NULLABLE, AT(weighed_g), .standard = NAN, .about = "Weighed in since the stock was told, g."},
    {"stock_doubtful", FIELD_BOOL, FIELD_ANSWER_ONLY, AT(stock_doubtful), .about = "More was weighed than there was: weigh the bag."},
    {"opened_on", FIELD_DATE, FIELD_NULLABLE, AT(opened_day), .about = "Day the bag was opened."},
    {"caution", FIELD_TEXT, FIELD_NULLABLE | FIELD_SAID, AT(caution), 1, 500, .about = "What to mind: the garden's note, else the usual one."},
    {"own_caution", FIELD_BOOL, FIELD_ANSWER_ONLY, AT(own_caution), .about = "The caution is the garden's own note."},
    {"hazards", FIELD_LIST, FIELD_ANSWER_ONLY, AT(hazards), .shape = &hazard_shape, .about = "What its make-up asks for in store and at the scale."},
    {"builtin", FIELD_BOOL, FIELD_ANSWER_ONLY, AT(builtin), .about = "Known to the program by its formula."},
};
#undef AT
const struct shape salt_shape = {.name = "Salt", .size = sizeof(struct salt_document), .field = salt_fields, .count = COUNT(salt_fields),
                                 .about = "Anything weighed in."};

static const struct field answer_fields[] = LIST_ANSWER_FIELDS(salt_shape, "Built-in ones first, then by age.");
const struct shape salts_answer_shape = {.name = "Salts", .size = sizeof(struct list_answer), .field = answer_fields, .count = 2};

static int document_of(const struct shelf_salt *salt, struct salt_document *document, struct arena *arena, struct fault *fault)
{
    const char **hazard = arena_take(arena, SHELF_HAZARDS * sizeof *hazard);

    if (!hazard)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    *document = (struct salt_document){.id = salt->id,
                                       .name = salt->name,
                                       .kind = salt->builtin ? 0 : 1,
                                       .label_given = !salt->builtin,
                                       .formula = salt->builtin && *salt->builtin->formula ? salt->builtin->formula : NULL,
                                       .price_per_kg = salt->price_per_kg,
                                       .stock_g = salt->stock_g,
                                       .weighed_g = salt->weighed_g,
                                       .stock_doubtful = salt->stock_doubtful,
                                       .opened_day = salt->opened_day,
                                       .caution = salt->caution,
                                       .own_caution = salt->own_caution,
                                       .hazards = {hazard, 0},
                                       .builtin = salt->builtin != NULL};
    for (size_t i = 0; i < LABEL_ITEMS; i++)
        document->label[i] = salt->label.percent[i];
    for (size_t i = 0; i < SHELF_HAZARDS; i++)
        if (salt->hazards & 1u << i)
            hazard[document->hazards.count++] = shelf_hazard_key[i];
    return 0;
}

/* GET /api/v1/salts */
int salts_get(struct request *request, struct reply *reply, struct fault *fault)
{
    struct list all;
    struct list_answer answer;
    struct salt_document *documents;
    const struct shelf_salt *salt;

    if (shelf_salts(request->service->garden, &all, request->arena, fault) ||
        list_page(&all, sizeof *salt, offsetof(struct shelf_salt, id), request->asked, &answer, fault))
        return -1;
    salt = answer.items.item;
    documents = arena_take(request->arena, (answer.items.count + 1) * sizeof *documents);
    if (!documents)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    for (size_t i = 0; i < answer.items.count; i++)
        if (document_of(&salt[i], &documents[i], request->arena, fault))
            return -1;
    answer.items.item = documents;
    return reply_json(reply, 200, shape_write(&salts_answer_shape, &answer), fault);
}

static int answer_one(struct request *request, struct reply *reply, unsigned status, const struct shelf_salt *salt, struct fault *fault)
{
    struct salt_document document;

    if (document_of(salt, &document, request->arena, fault))
        return -1;
    return reply_json(reply, status, shape_write(&salt_shape, &document), fault);
}

static struct salt_told told_by(const struct salt_document *document)
{
    struct salt_told told = {.id = document->id,
                             .name = document->name,
                             .price_per_kg = document->price_per_kg,
                             .stock_g = document->stock_g,
                             .opened_day = document->opened_day,
                             .caution = document->caution};

    for (size_t i = 0; i < LABEL_ITEMS; i++)
        told.label.percent[i] = document->label[i];
    return told;
}

/* POST /api/v1/salts: a bag by its label. */
int salts_post(struct request *request, struct reply *reply, struct fault *fault)
{
    const struct salt_document *document = request->given;
    struct salt_told told = told_by(document);
    struct shelf_salt made;
    bool stored_before;

    if (!document->label_given)
        return fault_add(fault, FAULT_INPUT, "/label", "is required: what the bag prints, in percent");
    if (shelf_salt_add(request->service->garden, &told, request->now_ms, &made, &stored_before, request->arena, fault))
        return -1;
    return answer_one(request, reply, stored_before ? 200 : 201, &made, fault);
}

static int find(struct request *request, struct salt_document *document, struct fault *fault)
{
    struct store *store = request->service->garden->store;
    struct db *db = store_read(store, fault);
    struct shelf_salt salt;
    int found = db ? shelf_salt_one(db, request->part[0], &salt, request->arena, fault) : -1;

    store_done(store, db);
    if (found != 1)
        return found ? -1 : fault_add(fault, FAULT_ABSENT, "", "there is no such salt");
    return document_of(&salt, document, request->arena, fault);
}

/* PATCH /api/v1/salts/{salt}: what the garden notes of it. Only what is named is told anew: a price must not date the stock. */
int salt_patch(struct request *request, struct reply *reply, struct fault *fault)
{
    struct salt_document document;
    struct salt_told told;
    struct shelf_salt changed;

    if (find(request, &document, fault) || shape_patch(&salt_shape, &document, request->document, request->arena, fault))
        return -1;
    told = told_by(&document);
    told.id = request->part[0];
    told.name = patch_names(request, "name") ? document.name : NULL;
    told.label_told = patch_names(request, "label");
    told.price_told = patch_names(request, "price_per_kg");
    told.stock_told = patch_names(request, "stock_g");
    told.opened_told = patch_names(request, "opened_on");
    told.caution_told = patch_names(request, "caution");
    if (shelf_salt_change(request->service->garden, &told, request->now_ms, &changed, request->arena, fault))
        return -1;
    return answer_one(request, reply, 200, &changed, fault);
}
