/* shelf.c - the rules of salts. */
#include "garden/shelf.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "garden/resend.h"

const char *const shelf_hazard_key[SHELF_HAZARDS + 1] = {
    [HAZARD_OXIDISER] = "oxidiser", [HAZARD_ACID] = "acid", [HAZARD_ACID_MILD] = "acid_mild", [HAZARD_ALKALI] = "alkali",
    [HAZARD_NITRATE] = "nitrate"};

/* One sentence each, the gravest first. Sources: fixtures/shelf/cautions.csv; alkali: common practice, no source. */
static const struct {
    enum shelf_hazard hazard;
    const char *sentence;
} sentences[] = {
    {HAZARD_ACID, "Acid: add it to water, never water to it; gloves and goggles; apart from children and from salts."},
    {HAZARD_ALKALI, "Alkali: burns skin and eyes and heats up in water; gloves and goggles; apart from children and acids."},
    {HAZARD_OXIDISER, "Oxidiser: keep dry, sealed and away from anything that burns."},
    {HAZARD_NITRATE, "Holds nitrate, which harms infants in drinking water: label it and keep it out of kitchens."},
    {HAZARD_ACID_MILD, "A mild acid, but an acid: keep it out of eyes and away from children."},
};

/* ---- what a make-up asks for ---- */

/* Pure nitrates are oxidisers; a blend counts as one from this share of nitrate nitrogen on. Ours, on the safe side: the
 * leanest pure nitrate of the table, magnesium's, holds 10.9 %. */
#define OXIDISER_NITRATE_N_PERCENT 10.0

unsigned shelf_hazards(const struct salt *salt)
{
    double nitrate_percent = salts_nitrate_n_percent(salt);
    unsigned hazards = 0;

    if (salt->ions[ION_CITRATE] > 0)
        return 1u << HAZARD_ACID_MILD;
    if (salt->ions[ION_H] > 0)
        hazards |= 1u << HAZARD_ACID;
    else if (nitrate_percent >= OXIDISER_NITRATE_N_PERCENT)
        hazards |= 1u << HAZARD_OXIDISER;
    if (salt->ions[ION_OH] > 0 && salt->ions[ION_PO4] <= 0 && salt->ions[ION_B] <= 0)
        hazards |= 1u << HAZARD_ALKALI; /* phosphates and borates bring OH too, but are weak */
    if (nitrate_percent > 0)
        hazards |= 1u << HAZARD_NITRATE;
    return hazards;
}

static const char *sentence_of(unsigned hazards)
{
    for (size_t i = 0; i < sizeof sentences / sizeof *sentences; i++)
        if (hazards & 1u << sentences[i].hazard)
            return sentences[i].sentence;
    return NULL;
}

/* ---- built in and noted, put together ---- */

static struct shelf_salt from_builtin(const struct salt *salt)
{
    struct shelf_salt shelf = {.id = salt->id, .name = salt->name, .builtin = salt, .salt = *salt, .price_per_kg = NAN,
                               .stock_g = NAN, .weighed_g = NAN, .opened_day = INT32_MIN, .hazards = shelf_hazards(salt)};

    label_clear(&shelf.label);
    shelf.caution = sentence_of(shelf.hazards);
    return shelf;
}

static int read_label(const struct salt_row *row, struct label *label)
{
    const struct salt_part *part = row->parts.item;

    label_clear(label);
    for (size_t i = 0; i < LABEL_ITEMS; i++)
        for (size_t j = 0; j < row->parts.count; j++)
            if (strcmp(part[j].part, label_key[i]) == 0)
                label->percent[i] = part[j].percent;
    return 0;
}

static int from_bag(const struct salt_row *row, struct shelf_salt *shelf, struct fault *fault)
{
    *shelf = (struct shelf_salt){.id = row->id, .name = row->name};
    read_label(row, &shelf->label);
    if (label_salt(&shelf->label, row->name, &shelf->salt, fault))
        return -1;
    snprintf(shelf->salt.id, sizeof shelf->salt.id, "%s", row->id);
    shelf->hazards = shelf_hazards(&shelf->salt);
    shelf->caution = sentence_of(shelf->hazards);
    return 0;
}

static int lay_over(struct db *db, struct shelf_salt *shelf, const struct salt_row *row, struct fault *fault)
{
    shelf->price_per_kg = row->price_per_kg;
    shelf->opened_day = row->opened_day;
    shelf->stock_g = shelf->weighed_g = NAN;
    if (row->caution) {
        shelf->caution = row->caution;
        shelf->own_caution = true;
    }
    if (isnan(row->stock_g))
        return 0;
    if (salt_rows_weighed(db, row->id, row->stock_ms, &shelf->weighed_g, fault))
        return -1;
    shelf->stock_g = fmax(row->stock_g - shelf->weighed_g, 0);
    shelf->stock_doubtful = shelf->weighed_g > row->stock_g;
    return 0;
}

static int from_row(struct db *db, const struct salt_row *row, struct shelf_salt *shelf, struct fault *fault)
{
    const struct salt *builtin = salts_find(row->id);

    if (builtin)
        *shelf = from_builtin(builtin);
    else if (from_bag(row, shelf, fault))
        return -1;
    return lay_over(db, shelf, row, fault);
}

int shelf_salts_in(struct db *db, struct list *all, struct arena *arena, struct fault *fault)
{
    struct list rows;
    const struct salt_row *row;
    struct shelf_salt *shelf;

    if (salt_rows_list(db, &rows, arena, fault))
        return -1;
    row = rows.item;
    shelf = arena_take(arena, (salts_count + rows.count) * sizeof *shelf);
    if (!shelf)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    for (size_t i = 0; i < salts_count; i++)
        shelf[i] = from_builtin(&salts[i]);
    *all = (struct list){shelf, salts_count};
    for (size_t i = 0; i < rows.count; i++) {
        const struct salt *builtin = salts_find(row[i].id);

        if (from_row(db, &row[i], builtin ? &shelf[builtin - salts] : &shelf[all->count], fault))
            return -1;
        all->count += !builtin;
    }
    return 0;
}

int shelf_salts(struct garden *garden, struct list *all, struct arena *arena, struct fault *fault)
{
    struct db *db = store_read(garden->store, fault);
    int failed = !db || shelf_salts_in(db, all, arena, fault);

    store_done(garden->store, db);
    return failed ? -1 : 0;
}

const struct shelf_salt *shelf_salt_find(const struct list *all, const char *id)
{
    const struct shelf_salt *salt = all->item;

    for (size_t i = 0; i < all->count; i++)
        if (strcmp(salt[i].id, id) == 0)
            return &salt[i];
    return NULL;
}

int shelf_salt_one(struct db *db, const char *id, struct shelf_salt *shelf, struct arena *arena, struct fault *fault)
{
    const struct salt *builtin = salts_find(id);
    struct salt_row row;
    int found = salt_rows_one(db, id, &row, arena, fault);

    if (found < 0)
        return -1;
    if (found)
        return from_row(db, &row, shelf, fault) ? -1 : 1;
    if (!builtin)
        return 0;
    *shelf = from_builtin(builtin);
    return 1;
}

/* ---- told by the garden ---- */

struct salt_job {
    const struct salt_told *told;
    int64_t now_ms;
    struct shelf_salt *shelf;
    struct arena *arena;
    bool adding, stored_before;
};

static int parts_of(const struct label *label, struct list *parts, struct arena *arena, struct fault *fault)
{
    struct salt_part *part = arena_take(arena, LABEL_ITEMS * sizeof *part);

    if (!part)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    *parts = (struct list){part, 0};
    for (size_t i = 0; i < LABEL_ITEMS; i++)
        if (label->percent[i] > 0) /* neither NAN nor "0 %": that is what a label leaves out */
            part[parts->count++] = (struct salt_part){label_key[i], label->percent[i]};
    return 0;
}

static bool same_parts(const struct list *a, const struct list *b)
{
    const struct salt_part *x = a->item, *y = b->item;
    size_t alike = 0;

    for (size_t i = 0; i < a->count; i++)
        for (size_t j = 0; j < b->count; j++)
            alike += strcmp(x[i].part, y[j].part) == 0 && resend_same_real(x[i].percent, y[j].percent);
    return a->count == b->count && alike == a->count;
}

/* now_g: what is left of the stock by the log, which is what lists and tables say of it. */
static bool same_salt(const struct salt_row *a, double now_g, const struct salt_row *b)
{
    return resend_same_text(a->name, b->name) && resend_same_real(a->price_per_kg, b->price_per_kg) &&
           (resend_same_real(a->stock_g, b->stock_g) || resend_same_real(now_g, b->stock_g)) && a->opened_day == b->opened_day &&
           resend_same_text(a->caution, b->caution) && same_parts(&a->parts, &b->parts);
}

static int tell(struct salt_row *row, const struct salt_job *job, struct fault *fault)
{
    const struct salt_told *told = job->told;

    if (told->name)
        row->name = told->name;
    if (told->price_told)
        row->price_per_kg = told->price_per_kg;
    if (told->stock_told) {
        row->stock_g = told->stock_g;
        row->stock_ms = isnan(told->stock_g) ? STORE_NO_INT : job->now_ms;
    }
    if (told->opened_told)
        row->opened_day = told->opened_day;
    if (told->caution_told)
        row->caution = told->caution;
    return told->label_told ? parts_of(&told->label, &row->parts, job->arena, fault) : 0;
}

static int put_salt(struct db *db, void *context, struct fault *fault)
{
    struct salt_job *job = context;
    const struct salt *builtin = salts_find(job->told->id);
    struct salt_row there, row = {.id = job->told->id, .name = builtin ? builtin->name : NULL, .price_per_kg = NAN,
                                  .stock_g = NAN, .stock_ms = STORE_NO_INT, .opened_day = INT32_MIN};
    int found = salt_rows_one(db, job->told->id, &there, job->arena, fault);

    if (found < 0)
        return -1;
    if (found && !job->adding)
        row = there;
    if (tell(&row, job, fault))
        return -1;
    if (found && job->adding) {
        if (from_row(db, &there, job->shelf, fault))
            return -1;
        job->stored_before = same_salt(&there, job->shelf->stock_g, &row);
        return job->stored_before ? 0 : resend_conflict(fault);
    }
    if (!found && !job->adding && !builtin)
        return fault_add(fault, FAULT_ABSENT, "", "there is no such salt");
    if (found ? salt_rows_change(db, &row, fault) : salt_rows_add(db, &row, fault))
        return -1;
    return shelf_salt_one(db, row.id, job->shelf, job->arena, fault) == 1 ? 0 : -1;
}

static int check_label(const struct label *label, struct fault *fault)
{
    struct fault inner = {0};
    struct salt salt;

    return label_salt(label, "", &salt, &inner) ? fault_under(fault, "/label", &inner) : 0;
}

int shelf_salt_add(struct garden *garden, struct salt_told *told, int64_t now_ms, struct shelf_salt *made, bool *stored_before,
                   struct arena *arena, struct fault *fault)
{
    struct salt_job job = {.told = told, .now_ms = now_ms, .shelf = made, .arena = arena, .adding = true};

    told->label_told = told->price_told = told->stock_told = told->opened_told = told->caution_told = true;
    if (resend_give_id(&told->id, arena, fault) || check_label(&told->label, fault) ||
        store_write(garden->store, put_salt, &job, fault))
        return -1;
    *stored_before = job.stored_before;
    return 0;
}

int shelf_salt_change(struct garden *garden, const struct salt_told *told, int64_t now_ms, struct shelf_salt *changed,
                      struct arena *arena, struct fault *fault)
{
    struct salt_job job = {.told = told, .now_ms = now_ms, .shelf = changed, .arena = arena};
    bool builtin = salts_find(told->id) != NULL;

    if (builtin && told->name)
        return fault_add(fault, FAULT_INPUT, "/name", "a built-in salt keeps its name");
    if (builtin && told->label_told)
        return fault_add(fault, FAULT_INPUT, "/label", "a built-in salt has its formula; a bag with a label is one of your own");
    if (told->label_told && check_label(&told->label, fault))
        return -1;
    return store_write(garden->store, put_salt, &job, fault);
}
