/* round_make.c - a round out of what Today advises, with what each stop takes. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "garden/clock.h"
#include "garden/putoffs.h"
#include "garden/refill.h"
#include "garden/resend.h"
#include "garden/rounds.h"
#include "garden/standing_keeper.h"
#include "garden/walk.h"

/* Tanks that are worked out while somebody waits; some 100 ms. Ours. */
#define ROUND_AT_ONCE 64

struct candidate {
    struct walk_place place;
    struct tank_row tank;
    struct round_stop_row stop;
    double urgency;
    struct list salts; /* struct round_salt_row */
};

struct making {
    struct garden *garden;
    struct db *db;
    struct standing_place place;
    struct walk_map map;
    struct list putoffs; /* struct putoff_row: "not today" holds for a round, too */
    bool empty;
    int64_t area_key;  /* STORE_NO_INT: the whole garden */
    struct list stops; /* struct candidate */
    size_t room;
    struct arena *arena;
    struct fault *fault;
};

static int no_memory(struct fault *fault)
{
    return fault_add(fault, FAULT_MEMORY, "", "out of memory");
}

/* ---- which tanks, and what for ---- */

/* One visit does all that is due. What it is for is the water, where water is due: it has to be carried there; else the most
 * urgent matter. NULL: nothing that a round is for. */
static const struct advice *main_matter(const struct making *making, const struct standing_short *brief, int64_t *also)
{
    const struct advice *chosen = NULL;

    *also = 0;
    for (size_t i = 0; i < brief->advice_count; i++) {
        const struct advice *advice = &brief->advice[i];

        if ((advice->reason == ADVICE_EMPTY && !making->empty) || putoff_of(&making->putoffs, brief->key, advice, making->place.today))
            continue;
        if (advice->act >= 0)
            *also |= INT64_C(1) << advice->act;
        if (!chosen || (advice->act == ENTRY_TOP_UP && advice->with.litres > 0 && chosen->act != ENTRY_TOP_UP))
            chosen = advice;
    }
    if (chosen && chosen->act >= 0)
        *also &= ~(INT64_C(1) << chosen->act);
    return chosen;
}

static struct round_stop_row stop_of(const struct tank_row *tank, const struct advice *advice, int64_t also)
{
    return (struct round_stop_row){.tank_key = tank->key,
                                   .reason = advice_reason_names[advice->reason],
                                   .act = advice->act < 0 ? ENTRY_NOTE : advice->act,
                                   .also = also,
                                   .p10 = advice->when.p10,
                                   .p50 = advice->when.p50,
                                   .p90 = advice->when.p90,
                                   .days = advice->with.days,
                                   .value = advice->with.value,
                                   .low = advice->with.low,
                                   .high = advice->with.high,
                                   .crop = advice->with.crop,
                                   .litres = advice->with.litres,
                                   .to_mm = advice->with.to_mm,
                                   .share = advice->with.share,
                                   .strength = advice->with.strength,
                                   .grams_known = true,
                                   .acid_ml = NAN};
}

static int consider(struct making *making, const struct tank_mark *mark)
{
    const struct standing_short *brief;
    const struct advice *advice;
    struct candidate *stop;
    struct tank_row tank;
    struct standing_glance glance = standing_glance(making->garden, mark, making->place.today);
    int64_t also;

    /* Only what is fresh: a round must not pass by a tank because it was calm yesterday. */
    if (glance.kept == STANDING_FRESH && isnan(glance.urgency))
        return 0;
    if (tanks_by_key(making->db, mark->key, &tank, making->arena, making->fault) != 1)
        return -1;
    if (making->area_key != STORE_NO_INT && !walk_within(&making->map, tank.area_key, making->area_key))
        return 0;
    if (standing_short(making->garden, making->db, &making->place, &tank, &brief, making->arena, making->fault))
        return -1;
    advice = main_matter(making, brief, &also);
    if (!advice)
        return 0;
    making->stops.item = arena_grow(making->arena, making->stops.item, making->stops.count, &making->room, sizeof *stop);
    if (!making->stops.item)
        return no_memory(making->fault);
    stop = (struct candidate *)making->stops.item + making->stops.count++;
    *stop = (struct candidate){.place = walk_place_of(&making->map, tank.area_key, tank.walk_order, tank.key),
                               .tank = tank,
                               .stop = stop_of(&tank, advice, also),
                               .urgency = brief->advice[0].urgency};
    return 0;
}

static int more_urgent(const void *a, const void *b)
{
    const struct candidate *first = a, *second = b;

    if (first->urgency != second->urgency)
        return first->urgency < second->urgency ? -1 : 1;
    return walk_compare(&first->place, &second->place);
}

static int in_walking_order(const void *a, const void *b)
{
    return walk_compare(&((const struct candidate *)a)->place, &((const struct candidate *)b)->place);
}

/* While a day turns, ten thousand tanks take some seconds. A round neither waits for that nor goes by how they stood before. */
static int check_worked_out(const struct making *making, const struct list *marks)
{
    const struct tank_mark *mark = marks->item;
    size_t behind = 0;

    for (size_t i = 0; making->garden->keeper && i < marks->count; i++) {
        ARENA_HELD work = {.most = 0};
        struct tank_row tank;

        if (standing_glance(making->garden, &mark[i], making->place.today).kept == STANDING_FRESH)
            continue;
        if (making->area_key != STORE_NO_INT) {
            if (tanks_by_key(making->db, mark[i].key, &tank, &work, making->fault) != 1)
                return -1;
            if (!walk_within(&making->map, tank.area_key, making->area_key))
                continue;
        }
        behind++;
    }
    if (behind <= ROUND_AT_ONCE)
        return 0;
    standing_keeper_wake(making->garden->keeper);
    return fault_add(making->fault, FAULT_CONFLICT, "", "%zu tanks are still being worked out for today; try again in a moment", behind);
}

static int choose_stops(struct making *making)
{
    struct list marks;
    const struct tank_mark *mark;

    if (tanks_marks(making->db, &marks, making->arena, making->fault))
        return -1;
    if (check_worked_out(making, &marks))
        return -1;
    mark = marks.item;
    for (size_t i = 0; i < marks.count; i++)
        if (consider(making, &mark[i]))
            return -1;
    if (!making->stops.count)
        return fault_add(making->fault, FAULT_CONFLICT, "", "nothing wants a visit there today");
    if (making->stops.count > ROUND_STOPS_MOST) {
        qsort(making->stops.item, making->stops.count, sizeof(struct candidate), more_urgent);
        making->stops.count = ROUND_STOPS_MOST;
    }
    qsort(making->stops.item, making->stops.count, sizeof(struct candidate), in_walking_order);
    return 0;
}

/* ---- what to weigh ---- */

static int keep_salts(struct making *making, struct candidate *stop, const struct recipe *recipe)
{
    struct round_salt_row *salt = arena_list(making->arena, &stop->salts, recipe->count, sizeof *salt);

    if (!salt)
        return no_memory(making->fault);
    stop->salts.count = 0;
    for (size_t i = 0; i < recipe->count; i++) {
        const char *id = arena_text(making->arena, recipe->weigh[i].salt->id);

        if (!id)
            return no_memory(making->fault);
        if (recipe->weigh[i].grams > 0)
            salt[stop->salts.count++] = (struct round_salt_row){stop->stop.place, id, recipe->weigh[i].grams};
    }
    return 0;
}

/* Nothing was weighed where nothing is known of the fill: then the page says so, and nobody guesses. */
static int keep_refill(struct making *making, struct candidate *stop, const struct mix_topup *made)
{
    stop->stop.litres = made->topup.add_l;
    stop->stop.to_mm = made->topup.to_mm;
    stop->stop.share = made->topup.share;
    stop->stop.strength = topup_strength_key[made->topup.strength];
    stop->stop.cautions = made->topup.cautions;
    stop->stop.grams_known = made->mix || made->topup.strength == TOPUP_PLAIN || made->topup.strength == TOPUP_NOTHING;
    if (made->acid_asked && made->acid.ml > 0)
        stop->stop.acid_ml = made->acid.ml;
    return made->mix ? keep_salts(making, stop, &made->mix->recipe) : 0;
}

static int weigh(struct making *making, struct candidate *stop)
{
    ARENA_HELD work = {0};
    struct standing *standing = arena_take(&work, sizeof *standing);
    struct refill *refill = arena_take(&work, sizeof *refill);
    struct fault refused = {0};
    const struct mix_topup *made;
    struct vessel vessel;

    if (!standing || !refill)
        return no_memory(making->fault);
    if (standing_make(making->db, &making->place, &stop->tank, standing, &work, making->fault))
        return -1;
    vessel = tank_vessel(&standing->vessel);
    stop->stop.grams_known = false;
    if (!standing->topup)
        return 0;
    if (refill_gather(making->db, &making->place, standing, &vessel, refill, &work, making->fault))
        return -1;
    made = refill_make(refill, standing->state.ph.value, &work, &refused);
    if (!made)
        return refused.code == FAULT_MEMORY ? no_memory(making->fault) : 0;
    return keep_refill(making, stop, made);
}

static int gather(struct making *making, const char *area, int64_t now_ms, struct round_row *round)
{
    struct candidate *stop;

    if (standing_place(making->db, now_ms, &making->place, making->arena, making->fault) ||
        walk_map_read(making->db, &making->map, making->arena, making->fault) ||
        putoffs_on(making->db, making->place.today, &making->putoffs, making->arena, making->fault))
        return -1;
    round->day = making->place.today;
    if (area) {
        struct area_row row;
        int found = area_rows_one(making->db, area, &row, making->arena, making->fault);

        if (found != 1)
            return found ? -1 : fault_add(making->fault, FAULT_INPUT, "/area", "there is no such area");
        round->area_key = making->area_key = row.key;
        round->area = row.id;
        round->area_name = row.name;
    }
    if (choose_stops(making))
        return -1;
    stop = making->stops.item;
    for (size_t i = 0; i < making->stops.count; i++) {
        stop[i].stop.place = (int64_t)i + 1;
        if (stop[i].stop.act == ENTRY_TOP_UP && stop[i].stop.litres > 0 && weigh(making, &stop[i]))
            return -1;
    }
    return 0;
}

/* ---- keeping it ---- */

struct make_job {
    struct making *making;
    struct round_row *row;
    int64_t now_ms;
    bool stored_before;
};

/* Two people who set out at once are to walk one round. */
static int check_under_way(struct db *db, const struct make_job *job, struct fault *fault)
{
    ARENA_HELD work = {0};
    struct list rows;
    const struct round_row *row;

    if (round_rows_since(db, job->now_ms - ROUND_OPEN_MS, &rows, &work, fault))
        return -1;
    row = rows.item;
    for (size_t i = 0; i < rows.count; i++) {
        struct round round;

        if (row[i].area_key != job->row->area_key)
            continue;
        if (round_read(db, &row[i], job->now_ms, &round, &work, fault))
            return -1;
        if (round.open)
            return fault_add(fault, FAULT_CONFLICT, "/area", "this round is under way already, made by %s; join it",
                             row[i].member_name ? row[i].member_name : "somebody at the garden's computer");
    }
    return 0;
}

static int keep_round(struct db *db, void *context, struct fault *fault)
{
    struct make_job *job = context;
    const struct candidate *stop = job->making->stops.item;
    struct round_row there;
    int found = round_rows_one(db, job->row->id, &there, job->making->arena, fault);

    if (found) {
        job->stored_before = found == 1;
        return found < 0 ? -1 : 0;
    }
    if (check_under_way(db, job, fault) || round_rows_add(db, job->row, fault))
        return -1;
    for (size_t i = 0; i < job->making->stops.count; i++) {
        const struct round_salt_row *salt = stop[i].salts.item;

        if (round_stops_add(db, job->row->key, &stop[i].stop, fault))
            return -1;
        for (size_t s = 0; s < stop[i].salts.count; s++)
            if (round_salts_add(db, job->row->key, &salt[s], fault))
                return -1;
    }
    return 0;
}

/* 1: a round of this id is there, made for the same area. */
static int made_before(struct garden *garden, const struct round_asked *asked, const char *id, struct arena *arena, struct fault *fault)
{
    struct db *db = store_read(garden->store, fault);
    struct round_row there;
    int found = db ? round_rows_one(db, id, &there, arena, fault) : -1;

    store_done(garden->store, db);
    if (found == 1 && !resend_same_text(there.area, asked->area))
        return resend_conflict(fault);
    return found;
}

int garden_round_make(struct garden *garden, const struct who *who, const struct round_asked *asked, int64_t now_ms,
                      struct round *round, bool *stored_before, struct arena *arena, struct fault *fault)
{
    struct making making = {.garden = garden, .empty = asked->empty, .area_key = STORE_NO_INT, .arena = arena, .fault = fault};
    struct round_row row = {.id = asked->id, .area_key = STORE_NO_INT, .made_ms = now_ms, .member_key = who->member ? who->member : STORE_NO_INT};
    struct make_job job = {.making = &making, .row = &row, .now_ms = now_ms};
    int before, failed;

    if (resend_give_id(&row.id, arena, fault))
        return -1;
    before = made_before(garden, asked, row.id, arena, fault);
    if (before < 0)
        return -1;
    job.stored_before = before == 1;
    if (!before) {
        making.db = store_read(garden->store, fault);
        failed = !making.db || gather(&making, asked->area, now_ms, &row);
        store_done(garden->store, making.db);
        if (failed || store_write(garden->store, keep_round, &job, fault))
            return -1;
    }
    *stored_before = job.stored_before;
    return garden_round(garden, row.id, now_ms, round, arena, fault);
}
