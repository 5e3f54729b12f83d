/* entries.c - the log over HTTP. */
#include "api/entries.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "garden/log.h"
#include "garden/tank_state.h"

/* ---- documents ---- */

static const char *const methods[] = {"dipstick", "by_eye", "sensor", NULL};
static const char *const acids[] = {"nitric", "phosphoric", "sulfuric", "citric", NULL};
static const char *const starts[] = {"sown", "pricked_out", "transplanted", NULL};
static const char *const hows[] = {"whole", "cut", NULL};

#define AT(member) offsetof(struct entry_salt, member)
static const struct field salt_fields[] = {
    {"salt", FIELD_TEXT, FIELD_REQUIRED, AT(salt), 1, 64, .about = "A salt of the shelf, by its id."},
    {"grams", FIELD_NUMBER, FIELD_REQUIRED, AT(grams), 0, 100000, .standard = NAN, .about = "As weighed, g."},
};
#undef AT
static const struct shape salt_shape = {.name = "Weighed", .size = sizeof(struct entry_salt), .field = salt_fields,
                                        .count = sizeof salt_fields / sizeof *salt_fields};

#define AT(member) offsetof(struct entry_acid, member)
static const struct field acid_fields[] = {
    {"acid", FIELD_CHOICE, FIELD_REQUIRED, AT(acid), .words = acids, .standard = ENTRY_NONE, .about = "Which acid."},
    {"ml", FIELD_NUMBER, FIELD_REQUIRED, AT(ml), 0, 5000, .standard = NAN, .about = "As measured, mL of the bottle's strength."},
};
#undef AT
static const struct shape acid_shape = {.name = "AcidAdded", .size = sizeof(struct entry_acid), .field = acid_fields,
                                        .count = sizeof acid_fields / sizeof *acid_fields};

static const char *const steps[] = {"emptied", "debris", "scrubbed", "disinfected", "rinsed", "dried", "cups", NULL};
_Static_assert(sizeof steps / sizeof *steps == ENTRY_STEPS + 1, "every step has its name");
static const char *const went[] = {"planted_soil", "kept", "sewer", "other", NULL};
static const struct field step_field[] = {{NULL, FIELD_CHOICE, FIELD_REQUIRED, 0, .words = steps, .about = "A step that was done."}};
static const struct shape step_shape = {.size = sizeof(int), .field = step_field, .count = 1};
static const struct field cup_field[] = {{NULL, FIELD_INTEGER, FIELD_REQUIRED, 0, 1, 512, .about = "Number of a cup, from 1."}};
static const struct shape cup_shape = {.size = sizeof(int64_t), .field = cup_field, .count = 1};

static const struct field flag_field[] = {{NULL, FIELD_TEXT, FIELD_REQUIRED, 0, .about = "What looks odd about it."}};
static const struct shape flag_shape = {.size = sizeof(const char *), .field = flag_field, .count = 1};

/* The bounds catch slips of the finger; they are ours, and are no advice. */
#define AT(member) offsetof(struct entry, member)
static const struct field entry_fields[] = {
    {"id", FIELD_TEXT, FIELD_REQUIRED, AT(id), 36, 36, .about = "A UUID made by the client, best version 7: sent twice, an entry is kept once."},
    {"tank", FIELD_TEXT, FIELD_REQUIRED, AT(tank), 1, 64, .about = "The tank's id, or its short code."},
    {"kind", FIELD_CHOICE, FIELD_REQUIRED, AT(kind), .words = entry_kind_names, .standard = ENTRY_NONE, .about = "What was done or seen."},
    {"at", FIELD_INSTANT, FIELD_REQUIRED, AT(at_ms), .about = "When it was done or seen."},
    {"sent_at", FIELD_INSTANT, FIELD_BODY_ONLY, AT(sent_ms), .about = "The sender's clock now; tells a clock that is off from an entry that waited."},
    {"received_at", FIELD_INSTANT, FIELD_ANSWER_ONLY, AT(received_ms), .about = "When the garden got it."},
    {"clock_off_ms", FIELD_INTEGER, FIELD_ANSWER_ONLY, AT(clock_off_ms), .standard = (double)STORE_NO_INT, .about = "How far the sender's clock was off, or the moment told lies ahead, where it is more than ten minutes."},
    {"note", FIELD_TEXT, 0, AT(note), 1, 2000, .about = "Words."},
    {"amends", FIELD_TEXT, 0, AT(amends), 36, 36, .about = "The entry that this one stands in the place of."},
    {"withdraws", FIELD_TEXT, 0, AT(withdraws), 36, 36, .about = "The entry that this one takes back."},
    {"waterline_mm", FIELD_NUMBER, 0, AT(waterline_mm), 0, 3000, .standard = NAN, .about = "Above the vessel's floor, mm; after a fill or top-up."},
    {"air_gap_mm", FIELD_NUMBER, FIELD_BODY_ONLY, AT(air_gap_mm), 0, 3000, .standard = NAN, .about = "From the waterline up to the lid, mm; kept as the waterline."},
    {"volume_l", FIELD_NUMBER, 0, AT(volume_l), 0.01, 5000, .standard = NAN, .about = "Put in, L."},
    {"ec_ms_cm", FIELD_NUMBER, 0, AT(ec_ms_cm), 0, 20, .standard = NAN, .about = "EC, mS/cm at 25 C."},
    {"ph", FIELD_NUMBER, 0, AT(ph), 0, 14, .standard = NAN, .about = "pH."},
    {"temperature_c", FIELD_NUMBER, 0, AT(temperature_c), -5, 60, .standard = NAN, .about = "Of the solution, C."},
    {"method", FIELD_CHOICE, 0, AT(method), .words = methods, .standard = ENTRY_NONE, .about = "How the waterline was read."},
    {"water", FIELD_TEXT, 0, AT(water), 1, 64, .about = "The source water, by its id."},
    {"target", FIELD_TEXT, 0, AT(target), 1, 64, .about = "The target, by its id."},
    {"weighed", FIELD_LIST, 0, AT(weighed), 0, 32, .shape = &salt_shape, .about = "The salts weighed in."},
    {"acid", FIELD_OBJECT, 0, AT(acid), .shape = &acid_shape, .about = "Acid put in."},
    {"crop", FIELD_TEXT, 0, AT(crop), 1, 64, .about = "The crop, by its id."},
    {"count", FIELD_INTEGER, 0, AT(count), 1, 512, .standard = (double)STORE_NO_INT, .about = "Plants."},
    {"cups", FIELD_LIST, 0, AT(cups), 0, 512, .shape = &cup_shape, .about = "The cups meant."},
    {"sown_on", FIELD_DATE, 0, AT(sown_day), .about = "When it was sown."},
    {"start", FIELD_CHOICE, 0, AT(start), .words = starts, .standard = ENTRY_NONE, .about = "How it came into the cup."},
    {"how", FIELD_CHOICE, 0, AT(how), .words = hows, .standard = ENTRY_NONE, .about = "The whole plant, or a cut that regrows."},
    {"weight_g", FIELD_NUMBER, 0, AT(weight_g), 0, 100000, .standard = NAN, .about = "Fresh weight taken, g."},
    {"bunches", FIELD_INTEGER, 0, AT(bunches), 0, 10000, .standard = (double)STORE_NO_INT, .about = "Bunches taken."},
    {"kept_fraction", FIELD_NUMBER, 0, AT(kept_fraction), 0, 1, .standard = NAN, .about = "Share of the leaves left by a cut."},
    {"quality", FIELD_INTEGER, 0, AT(quality), 1, 5, .standard = (double)STORE_NO_INT, .about = "1 poor to 5 very good, by eye."},
    {"to_cups", FIELD_LIST, 0, AT(to_cups), 0, 512, .shape = &cup_shape, .about = "Of a move: where each of cups went."},
    {"to_tank", FIELD_TEXT, 0, AT(to_tank), 1, 64, .about = "Of a move: the other tank; the garden writes a planting there that carries age and cuts. Left out: within the tank."},
    {"replaces", FIELD_BOOL, 0, AT(replaces), .about = "What hung in the cups was taken out knowingly."},
    {"hung_on", FIELD_DATE, 0, AT(hung_day), .about = "Of a planting: in a cup since then, where that was earlier."},
    {"cuts", FIELD_INTEGER, 0, AT(cuts), 0, 50, .standard = (double)STORE_NO_INT, .about = "Of a planting: how often it was cut before."},
    {"cut_on", FIELD_DATE, 0, AT(cut_day), .about = "Of a planting: the last of those cuts."},
    {"reason", FIELD_CHOICE, 0, AT(reason), .words = entry_reason_names, .standard = ENTRY_NONE, .about = "What a plant was lost to."},
    {"steps", FIELD_LIST, 0, AT(steps), 0, 16, .shape = &step_shape, .about = "What was done in a clean-out."},
    {"went_to", FIELD_CHOICE, 0, AT(went_to), .words = went, .standard = ENTRY_NONE, .about = "Where the solution of a clean-out went."},
    {"follows", FIELD_TEXT, FIELD_ANSWER_ONLY | FIELD_NULLABLE, AT(follows), .about = "The entry at another tank because of which the garden wrote this one."},
    {"member", FIELD_TEXT, FIELD_ANSWER_ONLY | FIELD_NULLABLE, AT(member), .about = "Who logged it; null: the host itself."},
    {"member_name", FIELD_TEXT, FIELD_ANSWER_ONLY | FIELD_NULLABLE, AT(member_name), .about = "Their name."},
    {"device", FIELD_TEXT, FIELD_ANSWER_ONLY | FIELD_NULLABLE, AT(device), .about = "From which device."},
    {"device_name", FIELD_TEXT, FIELD_ANSWER_ONLY | FIELD_NULLABLE, AT(device_name), .about = "Its name."},
    {"sensor", FIELD_TEXT, FIELD_ANSWER_ONLY | FIELD_NULLABLE, AT(sensor), .about = "The sensor that sent it; null: a person did."},
    {"sensor_name", FIELD_TEXT, FIELD_ANSWER_ONLY | FIELD_NULLABLE, AT(sensor_name), .about = "Its name."},
    {"withdrawn_by", FIELD_TEXT, FIELD_ANSWER_ONLY | FIELD_NULLABLE, AT(withdrawn_by), .about = "The entry that took it back."},
    {"amended_by", FIELD_TEXT, FIELD_ANSWER_ONLY | FIELD_NULLABLE, AT(amended_by), .about = "The entry that stands in its place."},
    {"flags", FIELD_LIST, FIELD_ANSWER_ONLY, AT(flags), .shape = &flag_shape, .about = "What looks odd about it."},
};
#undef AT
const struct shape entry_shape = {.name = "Entry", .size = sizeof(struct entry), .field = entry_fields,
                                  .count = sizeof entry_fields / sizeof *entry_fields,
                                  .about = "One fact of the log: what a member did or saw at a tank."};

#define AT(member) offsetof(struct entries_answer, member)
static const struct field answer_fields[] = {
    {"items", FIELD_LIST, FIELD_REQUIRED, AT(items), .shape = &entry_shape, .about = "Newest first."},
    {"next", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE, AT(next), .about = "Cursor of the next page."},
};
#undef AT
const struct shape entries_answer_shape = {.name = "Entries", .size = sizeof(struct entries_answer), .field = answer_fields,
                                           .count = sizeof answer_fields / sizeof *answer_fields};

#define AT(member) offsetof(struct entries_ask, member)
#define ASK_AFTER {"after", FIELD_TEXT, 0, AT(after), 1, 80, .about = "Cursor from the page before."}
#define ASK_LIMIT {"limit", FIELD_INTEGER, 0, AT(limit), 1, 500, .standard = 50, .about = "Most items to answer."}
static const struct field ask_fields[] = {
    {"tank", FIELD_TEXT, 0, AT(tank), 1, 64, .about = "Only this tank's, by id or short code."}, ASK_AFTER, ASK_LIMIT};
static const struct field page_fields[] = {ASK_AFTER, ASK_LIMIT};
#undef AT
const struct shape entries_ask_shape = {.size = sizeof(struct entries_ask), .field = ask_fields, .count = 3};
const struct shape page_ask_shape = {.size = sizeof(struct entries_ask), .field = page_fields, .count = 2};

/* ---- cursors: the moment and the id of the last item, "1714550400000.UUID" ---- */

static int read_cursor(const char *after, struct entries_page *page, struct fault *fault)
{
    unsigned char bytes[16];
    char *end;

    page->before_ms = INT64_MAX;
    page->before_id = NULL;
    if (!after)
        return 0;
    page->before_ms = strtoll(after, &end, 10);
    if (end == after || *end != '.' || uuid_bytes(end + 1, bytes))
        return fault_add(fault, FAULT_INPUT, "/after", "is not a cursor from this list");
    page->before_id = end + 1;
    return 0;
}

int entries_answer_page(struct request *request, struct db *db, int64_t tank_key, const char *after, int64_t limit,
                        struct entries_answer *answer, struct fault *fault)
{
    struct entries_page page = {.tank_key = tank_key, .limit = limit + 1};
    const struct entry *entry;

    if (read_cursor(after, &page, fault) || entries_page(db, &page, &answer->items, request->arena, fault))
        return -1;
    answer->next = NULL;
    if (answer->items.count <= (size_t)limit)
        return 0;
    answer->items.count = (size_t)limit;
    entry = answer->items.item;
    answer->next = arena_format(request->arena, "%lld.%s", (long long)entry[limit - 1].at_ms, entry[limit - 1].id);
    return answer->next ? 0 : fault_add(fault, FAULT_MEMORY, "", "out of memory");
}

/* ---- flags ---- */

static const char *const flag_names[] = {[FLAG_PROBABLE_DOUBLE] = "probable_double",
                                         [FLAG_UNEXPLAINED_RISE] = "unexplained_rise",
                                         [FLAG_CLOCK_OFF] = "clock_off",
                                         [FLAG_ABOVE_CEILING] = "above_ceiling",
                                         [FLAG_CUP_TAKEN] = "cup_taken",
                                         [FLAG_CUPS_FULL] = "cups_full",
                                         [FLAG_CUP_EMPTY] = "cup_empty"};

static int add_flag(struct entry *entry, const char *name, struct arena *arena, struct fault *fault)
{
    const char **names = arena_take(arena, (entry->flags.count + 1) * sizeof *names);

    if (!names)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    if (entry->flags.count)
        memcpy(names, entry->flags.item, entry->flags.count * sizeof *names);
    names[entry->flags.count] = name;
    entry->flags = (struct list){names, entry->flags.count + 1};
    return 0;
}

int entries_flag(struct list *entries, const struct tank_state *state, struct arena *arena, struct fault *fault)
{
    const struct tank_flag_item *flag = state->flags.item;
    struct entry *entry = entries->item;

    for (size_t i = 0; i < entries->count; i++)
        for (size_t f = 0; f < state->flags.count; f++)
            if (strcmp(flag[f].entry, entry[i].id) == 0 && add_flag(&entry[i], flag_names[flag[f].flag], arena, fault))
                return -1;
    return 0;
}

/* ---- handlers ---- */

/* POST /api/v1/entries: logs one entry. Sent twice, it is kept once. */
int entries_post(struct request *request, struct reply *reply, struct fault *fault)
{
    struct entry entry = *(const struct entry *)request->given, stored;
    bool stored_before;

    entry.received_ms = request->now_ms;
    if (garden_log(request->service->garden, &request->who, &entry, &stored, &stored_before, request->arena, fault))
        return -1;
    return reply_json(reply, stored_before ? 200 : 201, shape_write(&entry_shape, &stored), fault);
}

static int page_of(struct request *request, struct db *db, struct entries_answer *answer, struct fault *fault)
{
    const struct entries_ask *ask = request->asked;
    int64_t tank_key = STORE_NO_INT;
    struct tank_row tank;
    int found = 1;

    if (ask->tank) {
        found = tanks_one(db, ask->tank, &tank, request->arena, fault);
        tank_key = tank.key;
    }
    if (found < 0)
        return -1;
    if (!found)
        return fault_add(fault, FAULT_INPUT, "/tank", "there is no such tank");
    return entries_answer_page(request, db, tank_key, ask->after, ask->limit, answer, fault);
}

/* GET /api/v1/entries: the log, newest first. */
int entries_get(struct request *request, struct reply *reply, struct fault *fault)
{
    struct store *store = request->service->garden->store;
    struct db *db = store_read(store, fault);
    struct entries_answer answer;
    int failed;

    if (!db)
        return -1;
    failed = page_of(request, db, &answer, fault);
    store_done(store, db);
    return failed ? -1 : reply_json(reply, 200, shape_write(&entries_answer_shape, &answer), fault);
}

/* GET /api/v1/entries/{entry} */
int entry_get(struct request *request, struct reply *reply, struct fault *fault)
{
    struct store *store = request->service->garden->store;
    struct db *db = store_read(store, fault);
    struct entry entry;
    int found;

    if (!db)
        return -1;
    found = entries_one(db, request->part[0], &entry, request->arena, fault);
    store_done(store, db);
    if (found < 0)
        return -1;
    if (!found)
        return fault_add(fault, FAULT_ABSENT, "", "there is no such entry");
    return reply_json(reply, 200, shape_write(&entry_shape, &entry), fault);
}
