/* labels.c - what stands on a tank's label: its name, its short code, and the way to its page. */
#include <stdlib.h>

#include "api/link.h"
#include "api/lists.h"
#include "api/tables.h"
#include "format/qr.h"
#include "store/tanks.h"

struct label_document {
    const char *tank, *code, *name, *area, *link, *qr_svg;
};

#define AT(member) offsetof(struct label_document, member)
static const struct field label_fields[] = {
    {"tank", FIELD_TEXT, FIELD_REQUIRED, AT(tank), .about = "The tank."},
    {"code", FIELD_TEXT, FIELD_REQUIRED, AT(code), .about = "Its short code, to type where nothing scans."},
    {"name", FIELD_TEXT, FIELD_REQUIRED, AT(name), .about = "Its name."},
    {"area", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE, AT(area), .about = "Name of the area it stands in."},
    {"link", FIELD_TEXT, FIELD_REQUIRED, AT(link), .about = "Where the code leads."},
    {"qr_svg", FIELD_TEXT, FIELD_REQUIRED, AT(qr_svg), .about = "The link as a QR code, an SVG element."},
};
#undef AT
static const struct shape label_shape = {.name = "Label", .size = sizeof(struct label_document), .field = label_fields,
                                         .count = sizeof label_fields / sizeof *label_fields, .about = "A tank's label."};

static const struct field answer_fields[] = LIST_ANSWER_FIELDS(label_shape, "By age; tanks in use.");
const struct shape labels_answer_shape = {.name = "Labels", .size = sizeof(struct list_answer), .field = answer_fields, .count = 2};

static int fill_label(struct request *request, const struct tank_row *tank, struct label_document *label, struct fault *fault)
{
    const char *path = arena_format(request->arena, "/t/%s", tank->code);
    const char *link = path ? api_link(request, path, fault) : NULL;
    struct qr qr;
    char *svg;

    if (!link)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    if (qr_make(link, &qr, fault))
        return -1;
    svg = qr_svg(&qr, link);
    *label = (struct label_document){tank->id, tank->code, tank->name, tank->area_name, link, svg ? arena_text(request->arena, svg) : NULL};
    free(svg);
    return label->qr_svg ? 0 : fault_add(fault, FAULT_MEMORY, "", "out of memory");
}

/* GET /api/v1/labels */
int labels_get(struct request *request, struct reply *reply, struct fault *fault)
{
    struct store *store = request->service->garden->store;
    struct db *db = store_read(store, fault);
    struct list tanks;
    struct list_answer answer;
    struct label_document *labels;
    const struct tank_row *tank;
    size_t count = 0;
    int failed = !db || tanks_list(db, 0, INT64_MAX, &tanks, request->arena, fault);

    store_done(store, db);
    if (failed || list_page(&tanks, sizeof *tank, offsetof(struct tank_row, id), request->asked, &answer, fault))
        return -1;
    tank = answer.items.item;
    labels = arena_take(request->arena, (answer.items.count + 1) * sizeof *labels);
    if (!labels)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    for (size_t i = 0; i < answer.items.count; i++)
        if (!tank[i].retired && fill_label(request, &tank[i], &labels[count++], fault))
            return -1;
    answer.items = (struct list){labels, count};
    return reply_json(reply, 200, shape_write(&labels_answer_shape, &answer), fault);
}
