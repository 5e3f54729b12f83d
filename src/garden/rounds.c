/* rounds.c - how a round stands, and what people do on it. */
#include "garden/rounds.h"

#include <math.h>
#include <string.h>

#include "garden/resend.h"
#include "garden/shelf.h"
#include "garden/walk.h"
#include "store/corrections.h"
#include "store/entries.h"

static int no_memory(struct fault *fault)
{
    return fault_add(fault, FAULT_MEMORY, "", "out of memory");
}

/* ---- people ---- */

/* Room for everybody was taken in read_parts: acts and stops are all that can bring somebody new. */
static struct round_person *person_of(struct round *round, int64_t key, const char *member, const char *name)
{
    struct round_person *person = round->people.item;

    for (size_t i = 0; i < round->people.count; i++)
        if (person[i].key == key)
            return &person[i];
    person = &person[round->people.count++];
    *person = (struct round_person){key, 0, STORE_NO_INT, member, name};
    return person;
}

static void sign_of_life(struct round_person *person, int64_t at_ms)
{
    if (at_ms > person->last_ms)
        person->last_ms = at_ms;
}

/* ---- acts ---- */

static void set_by(struct round_stop *stop, const struct round_act_row *act)
{
    stop->by_key = act->member_key;
    stop->by = act->member;
    stop->by_name = act->member_name;
    stop->at_ms = act->at_ms;
}

static void open_again(struct round_stop *stop)
{
    stop->state = stop->skips ? STOP_SKIPPED : STOP_FREE;
    stop->by_key = stop->at_ms = STORE_NO_INT;
    stop->by = stop->by_name = NULL;
}

static void apply(struct round *round, const struct round_act_row *act, int64_t turn)
{
    struct round_stop *stop;

    if (act->what == ROUND_END) {
        if (round->ended_ms == STORE_NO_INT) {
            round->ended_ms = act->at_ms;
            round->ended_by = act->member;
            round->ended_by_name = act->member_name;
        }
        return;
    }
    if (act->place < 1 || (uint64_t)act->place > round->stops.count)
        return;
    stop = (struct round_stop *)round->stops.item + act->place - 1;
    switch (act->what) {
    case ROUND_TAKE:
        stop->state = STOP_TAKEN;
        set_by(stop, act);
        break;
    case ROUND_SKIP:
        stop->state = STOP_SKIPPED;
        stop->skips++;
        stop->turn = turn;
        set_by(stop, act);
        break;
    case ROUND_DONE:
        stop->state = STOP_DONE;
        set_by(stop, act);
        break;
    default:
        open_again(stop);
    }
}

/* ---- the log ---- */

/* Whether an entry settles what a stop was for. A level that was told with a top-up is a reading, too; who empties the tank
 * leaves nothing to be done. */
static bool settles(int64_t act, const struct round_entry *entry)
{
    if (act == ENTRY_NOTE)
        return true; /* somebody looked */
    if (entry->withdraws)
        return false;
    if (entry->kind == act)
        return true;
    if (act == ENTRY_READING && entry->level)
        return true;
    if (act == ENTRY_TOP_UP && entry->kind == ENTRY_FILL)
        return true;
    return entry->kind == ENTRY_CLEAN_OUT && act != ENTRY_FILL && act != ENTRY_PLANTING;
}

static int settle(struct db *db, struct round *round, struct round_stop *stop, struct arena *arena, struct fault *fault)
{
    int64_t end_ms = round->ended_ms == STORE_NO_INT ? round->row.made_ms + ROUND_OPEN_MS : round->ended_ms;
    struct list entries;
    const struct round_entry *entry;

    if (round_entries(db, stop->row.tank_key, round->row.made_ms - ROUND_CLOCK_MS, end_ms + ROUND_CLOCK_MS, &entries, arena, fault))
        return -1;
    entry = entries.item;
    for (size_t i = 0; i < entries.count; i++) {
        char id[37];
        int stands;

        if (entry[i].received_ms < round->row.made_ms || !settles(stop->row.act, &entry[i]))
            continue;
        stands = entry_stands(db, entry[i].id, fault);
        if (stands < 0)
            return -1;
        if (!stands)
            continue;
        uuid_text(entry[i].id, id);
        stop->entry = arena_text(arena, id);
        stop->state = STOP_DONE;
        stop->by_key = entry[i].member_key;
        stop->by = entry[i].member;
        stop->by_name = entry[i].member_name;
        stop->at_ms = entry[i].at_ms;
        sign_of_life(person_of(round, entry[i].member_key, entry[i].member, entry[i].member_name), entry[i].received_ms);
        return stop->entry ? 0 : no_memory(fault);
    }
    return 0;
}

/* ---- how it stands ---- */

static void let_claims_expire(struct round *round, int64_t now_ms)
{
    struct round_stop *stop = round->stops.item;

    for (size_t i = 0; i < round->stops.count; i++)
        if (stop[i].state == STOP_TAKEN &&
            now_ms - person_of(round, stop[i].by_key, stop[i].by, stop[i].by_name)->last_ms > ROUND_CLAIM_MS)
            open_again(&stop[i]);
}

/* Ended by somebody, by its last stop, or by the clock. */
static void tell_end(struct round *round, int64_t now_ms)
{
    const struct round_stop *stop = round->stops.item;
    int64_t last_ms = round->row.made_ms;

    for (size_t i = 0; i < round->stops.count; i++) {
        if (stop[i].state != STOP_DONE)
            continue;
        round->done++;
        person_of(round, stop[i].by_key, stop[i].by, stop[i].by_name)->done++;
        last_ms = stop[i].at_ms > last_ms ? stop[i].at_ms : last_ms;
    }
    if (round->ended_ms == STORE_NO_INT && round->done == (int64_t)round->stops.count)
        round->ended_ms = last_ms;
    if (round->ended_ms == STORE_NO_INT && now_ms - round->row.made_ms > ROUND_OPEN_MS)
        round->ended_ms = round->row.made_ms + ROUND_OPEN_MS;
    round->open = round->ended_ms == STORE_NO_INT;
}

static int read_parts(struct db *db, struct round *round, struct list *acts, struct arena *arena, struct fault *fault)
{
    struct list rows;
    struct round_stop *stop;

    if (round_stops_of(db, round->row.key, &rows, arena, fault) || round_acts_of(db, round->row.key, acts, arena, fault))
        return -1;
    stop = arena_list(arena, &round->stops, rows.count, sizeof *stop);
    if (!stop || !arena_list(arena, &round->people, rows.count + acts->count + 1, sizeof(struct round_person)))
        return no_memory(fault);
    round->people.count = 0;
    for (size_t i = 0; i < rows.count; i++)
        stop[i] = (struct round_stop){.row = ((struct round_stop_row *)rows.item)[i], .by_key = STORE_NO_INT, .at_ms = STORE_NO_INT};
    return 0;
}

int round_read(struct db *db, const struct round_row *row, int64_t now_ms, struct round *round, struct arena *arena,
               struct fault *fault)
{
    struct list acts;
    const struct round_act_row *act;
    struct round_stop *stop;

    *round = (struct round){.row = *row, .ended_ms = STORE_NO_INT};
    if (read_parts(db, round, &acts, arena, fault))
        return -1;
    act = acts.item;
    for (size_t i = 0; i < acts.count; i++) {
        apply(round, &act[i], (int64_t)i + 1);
        sign_of_life(person_of(round, act[i].member_key, act[i].member, act[i].member_name), act[i].at_ms);
    }
    stop = round->stops.item;
    for (size_t i = 0; i < round->stops.count; i++)
        if (settle(db, round, &stop[i], arena, fault))
            return -1;
    let_claims_expire(round, now_ms);
    tell_end(round, now_ms);
    return 0;
}

/* ---- what to carry ---- */

static int name_salt(struct db *db, struct round_salt *salt, struct arena *arena, struct fault *fault)
{
    struct shelf_salt *shelf = arena_take(arena, sizeof *shelf);
    int found = shelf ? shelf_salt_one(db, salt->salt, shelf, arena, fault) : no_memory(fault);

    if (found < 0)
        return -1;
    salt->name = found ? shelf->name : salt->salt;
    salt->caution = found ? shelf->caution : NULL;
    return 0;
}

/* One row a salt, in the order in which they come first. */
static int sum_salts(struct db *db, struct round *round, const struct list *rows, struct arena *arena, struct fault *fault)
{
    const struct round_salt_row *row = rows->item;
    struct round_salt *sum = arena_list(arena, &round->salts, rows->count, sizeof *sum);

    if (!sum)
        return no_memory(fault);
    round->salts.count = 0;
    for (size_t i = 0; i < rows->count; i++) {
        size_t at = 0;

        while (at < round->salts.count && strcmp(sum[at].salt, row[i].salt) != 0)
            at++;
        if (at == round->salts.count) {
            sum[at].salt = row[i].salt;
            if (name_salt(db, &sum[at], arena, fault))
                return -1;
            round->salts.count++;
        }
        sum[at].grams += row[i].grams;
    }
    return 0;
}

static int salts_of_stop(const struct round *round, struct round_stop *stop, const struct list *rows, struct arena *arena,
                         struct fault *fault)
{
    const struct round_salt_row *row = rows->item;
    const struct round_salt *sum = round->salts.item;
    struct round_salt *salt = arena_list(arena, &stop->salts, rows->count, sizeof *salt);

    if (!salt)
        return no_memory(fault);
    stop->salts.count = 0;
    for (size_t i = 0; i < rows->count; i++) {
        if (row[i].place != stop->row.place)
            continue;
        for (size_t at = 0; at < round->salts.count; at++)
            if (strcmp(sum[at].salt, row[i].salt) == 0)
                salt[stop->salts.count++] = (struct round_salt){row[i].salt, sum[at].name, sum[at].caution, row[i].grams};
    }
    return 0;
}

static int sum_water(struct round *round, struct arena *arena, struct fault *fault)
{
    static const char *const strengths[] = {"plain", "dilute", "full"};
    const struct round_stop *stop = round->stops.item;
    struct round_water *water = arena_list(arena, &round->water, 3, sizeof *water);

    if (!water)
        return no_memory(fault);
    round->water.count = 0;
    for (size_t s = 0; s < 3; s++) {
        struct round_water sum = {.strength = strengths[s]};

        for (size_t i = 0; i < round->stops.count; i++)
            if (stop[i].row.litres > 0 && stop[i].row.strength && strcmp(stop[i].row.strength, strengths[s]) == 0) {
                sum.litres += stop[i].row.litres;
                sum.tanks++;
            }
        if (sum.tanks)
            water[round->water.count++] = sum;
        round->litres += sum.litres;
    }
    for (size_t i = 0; i < round->stops.count; i++) {
        round->cautions |= stop[i].row.cautions;
        round->grams_unknown += !stop[i].row.grams_known;
        if (stop[i].row.acid_ml > 0)
            round->acid_ml += stop[i].row.acid_ml;
    }
    return 0;
}

static int tell_carry(struct db *db, struct round *round, struct arena *arena, struct fault *fault)
{
    struct round_stop *stop = round->stops.item;
    struct list rows;

    if (round_salts_of(db, round->row.key, &rows, arena, fault) || sum_salts(db, round, &rows, arena, fault) ||
        sum_water(round, arena, fault))
        return -1;
    for (size_t i = 0; i < round->stops.count; i++)
        if (salts_of_stop(round, &stop[i], &rows, arena, fault))
            return -1;
    return 0;
}

/* ---- asking ---- */

static int find_round(struct db *db, const char *id, struct round_row *row, struct arena *arena, struct fault *fault)
{
    int found = round_rows_one(db, id, row, arena, fault);

    return found == 1 ? 0 : found ? -1 : fault_add(fault, FAULT_ABSENT, "", "there is no such round");
}

static int read_whole(struct db *db, const char *id, int64_t now_ms, struct round *round, struct arena *arena, struct fault *fault)
{
    struct round_row row;

    return find_round(db, id, &row, arena, fault) || round_read(db, &row, now_ms, round, arena, fault) ||
                   tell_carry(db, round, arena, fault)
               ? -1
               : 0;
}

int garden_round(struct garden *garden, const char *id, int64_t now_ms, struct round *round, struct arena *arena, struct fault *fault)
{
    struct db *db = store_read(garden->store, fault);
    int failed = !db || read_whole(db, id, now_ms, round, arena, fault);

    store_done(garden->store, db);
    return failed ? -1 : 0;
}

static int list_rounds(struct db *db, const char *before, int64_t limit, int64_t now_ms, struct list *rounds, struct arena *arena,
                       struct fault *fault)
{
    struct round_row last = {.key = INT64_MAX};
    struct list rows;
    struct round *round;

    if (before) {
        int found = round_rows_one(db, before, &last, arena, fault);

        if (found != 1)
            return found ? -1 : fault_add(fault, FAULT_INPUT, "/after", "is not a cursor from this list");
    }
    if (round_rows_list(db, last.key, limit, &rows, arena, fault))
        return -1;
    round = arena_list(arena, rounds, rows.count, sizeof *round);
    if (!round)
        return no_memory(fault);
    for (size_t i = 0; i < rows.count; i++)
        if (round_read(db, (struct round_row *)rows.item + i, now_ms, &round[i], arena, fault))
            return -1;
    return 0;
}

int garden_rounds(struct garden *garden, const char *before, int64_t limit, int64_t now_ms, struct list *rounds, struct arena *arena,
                  struct fault *fault)
{
    struct db *db = store_read(garden->store, fault);
    int failed = !db || list_rounds(db, before, limit, now_ms, rounds, arena, fault);

    store_done(garden->store, db);
    return failed ? -1 : 0;
}

/* ---- acting ---- */

struct act_job {
    const struct who *who;
    const char *round_id;
    const struct round_deed *deed;
    struct round_act_row act;
    int64_t now_ms;
    struct round *round;
    struct arena *arena;
};

/* 1: this act is there already, and the same. */
static int acted_before(struct db *db, const struct act_job *job, struct fault *fault)
{
    struct list acts;
    const struct round_act_row *act;

    if (round_acts_of(db, job->round->row.key, &acts, job->arena, fault))
        return -1;
    act = acts.item;
    for (size_t i = 0; i < acts.count; i++) {
        if (strcmp(act[i].id, job->act.id) != 0)
            continue;
        if (act[i].what == job->deed->what && act[i].member_key == job->act.member_key &&
            (job->deed->stop == STORE_NO_INT || act[i].place == job->deed->stop))
            return 1;
        return resend_conflict(fault);
    }
    return 0;
}

static int add_act(struct db *db, struct act_job *job, int64_t place, struct fault *fault)
{
    job->act.place = place;
    return round_acts_add(db, job->round->row.key, &job->act, fault);
}

static bool is_mine(const struct act_job *job, const struct round_stop *stop)
{
    return stop->state == STOP_TAKEN && stop->by_key == job->act.member_key;
}

static bool is_free(const struct round_stop *stop)
{
    return stop->state == STOP_FREE || stop->state == STOP_SKIPPED;
}

/* The stop where one is, else the first free one, else the one that was skipped longest ago. */
static const struct round_stop *next_stop(const struct act_job *job)
{
    const struct round_stop *stop = job->round->stops.item, *next = NULL;

    for (size_t i = 0; i < job->round->stops.count; i++)
        if (is_mine(job, &stop[i]))
            return &stop[i];
    for (size_t i = 0; i < job->round->stops.count; i++)
        if (is_free(&stop[i]) && (!next || stop[i].turn < next->turn))
            next = &stop[i];
    return next;
}

static int take_next(struct db *db, struct act_job *job, struct fault *fault)
{
    const struct round_stop *next = next_stop(job);

    return !next || is_mine(job, next) ? 0 : add_act(db, job, next->row.place, fault);
}

static int take_area(struct db *db, struct act_job *job, struct fault *fault)
{
    const struct round_stop *stop = job->round->stops.item;
    struct walk_map map;
    int64_t area;
    int found = tanks_area_key(db, job->deed->area, &area, fault);
    size_t taken = 0;

    if (found != 1)
        return found ? -1 : fault_add(fault, FAULT_INPUT, "/area", "there is no such area");
    if (walk_map_read(db, &map, job->arena, fault))
        return -1;
    for (size_t i = 0; i < job->round->stops.count; i++) {
        if (!walk_within(&map, stop[i].row.area_key, area) || (!is_free(&stop[i]) && !is_mine(job, &stop[i])))
            continue;
        taken++;
        if (!is_mine(job, &stop[i]) && add_act(db, job, stop[i].row.place, fault))
            return -1;
    }
    return taken ? 0 : fault_add(fault, FAULT_CONFLICT, "/area", "nothing is left to take there");
}

/* What is wanted of one stop. Done is done: asked for again it stays so. */
static int act_at(struct db *db, struct act_job *job, struct fault *fault)
{
    const struct round_stop *stop;

    if (job->deed->stop < 1 || (uint64_t)job->deed->stop > job->round->stops.count)
        return fault_add(fault, FAULT_INPUT, "/stop", "this round has stops 1 to %zu", job->round->stops.count);
    stop = (const struct round_stop *)job->round->stops.item + job->deed->stop - 1;
    if (stop->state == STOP_DONE)
        return job->deed->what == ROUND_FREE && !stop->entry ? add_act(db, job, stop->row.place, fault)
               : job->deed->what == ROUND_DONE               ? 0
                                                             : fault_add(fault, FAULT_CONFLICT, "/stop", "%s is done already", stop->row.tank_name);
    if (stop->state == STOP_TAKEN && !is_mine(job, stop) && job->deed->what != ROUND_DONE &&
        !(job->deed->what == ROUND_FREE && job->who->role == ROLE_KEEPER))
        return fault_add(fault, FAULT_CONFLICT, "/stop", "%s is at %s", stop->by_name ? stop->by_name : "somebody at the garden's computer",
                         stop->row.tank_name);
    if (job->deed->what == ROUND_TAKE && is_mine(job, stop))
        return 0;
    return add_act(db, job, stop->row.place, fault);
}

static int decide(struct db *db, struct act_job *job, struct fault *fault)
{
    if (job->deed->what == ROUND_END)
        return add_act(db, job, 0, fault);
    if (job->deed->what == ROUND_TAKE && job->deed->area)
        return take_area(db, job, fault);
    if (job->deed->what == ROUND_TAKE && job->deed->stop == STORE_NO_INT)
        return take_next(db, job, fault);
    if (job->deed->stop == STORE_NO_INT)
        return fault_add(fault, FAULT_INPUT, "/stop", "which stop?");
    return act_at(db, job, fault);
}

static int act(struct db *db, void *context, struct fault *fault)
{
    struct act_job *job = context;
    int before;

    if (read_whole(db, job->round_id, job->now_ms, job->round, job->arena, fault))
        return -1;
    before = acted_before(db, job, fault);
    if (before)
        return before < 0 ? -1 : 0;
    if (!job->round->open) {
        if (job->deed->what == ROUND_END)
            return 0;
        return fault_add(fault, FAULT_CONFLICT, "", "this round is over");
    }
    return decide(db, job, fault) || read_whole(db, job->round_id, job->now_ms, job->round, job->arena, fault) ? -1 : 0;
}

int garden_round_act(struct garden *garden, const struct who *who, const char *round_id, const struct round_deed *deed, int64_t now_ms,
                     struct round *round, struct arena *arena, struct fault *fault)
{
    struct act_job job = {.who = who, .round_id = round_id, .deed = deed, .now_ms = now_ms, .round = round, .arena = arena};

    job.act = (struct round_act_row){.id = deed->id, .what = deed->what, .at_ms = now_ms, .member_key = who->member ? who->member : STORE_NO_INT};
    if (deed->stop != STORE_NO_INT && deed->area)
        return fault_add(fault, FAULT_INPUT, "/area", "a stop or an area, not both");
    if (deed->area && deed->what != ROUND_TAKE)
        return fault_add(fault, FAULT_INPUT, "/area", "only taking goes by area");
    return resend_give_id(&job.act.id, arena, fault) || store_write(garden->store, act, &job, fault) ? -1 : 0;
}
