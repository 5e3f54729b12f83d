/* today.c - all tanks, most urgent first. */
#include "api/today.h"

#include <math.h>
#include <stdlib.h>

#include "api/answers.h"
#include "api/mixes.h"
#include "api/outlooks.h"
#include "api/standings.h"
#include "garden/successions.h"
#include "garden/duties.h"
#include "garden/log.h"
#include "garden/mixes.h"
#include "garden/putoffs.h"
#include "garden/round_days.h"
#include "garden/standing_keeper.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

struct today_item {
    const char *tank, *code, *name, *area;
    int64_t rank;
    struct advice_document advice;
    struct standing_drawing drawing;
    bool overdue;
    const char *whose, *whose_name;
};
struct calm_item {
    const char *tank, *code, *name;
    struct standing_drawing drawing;
    struct outlook_dates low_on;
    bool low_given;
};
struct off_item {
    const char *id, *tank, *code, *name, *member_name;
    struct advice_document advice;
    int32_t until;
};
struct round_item {
    struct round_due due;
    const char *area, *area_name, *round;
    int64_t tanks;
};
struct round_off_item {
    const char *id, *area, *area_name, *member_name;
    int32_t day, until;
};
struct today_answer {
    int32_t day;
    struct list items, calm, put_off, season, rounds, rounds_put_off, mixes;
    int64_t items_total, calm_total;
    int64_t behind, missing;
    int32_t behind_since;
};

/* Sowing and planting is told so many days ahead. Ours. */
#define SEASON_DAYS 2

/* More than anybody reads in a day; what lies beyond is counted. */
#define TODAY_MOST 500

/* Worked out while somebody waits, where a keeper of standings is at the rest: some 20 ms. Ours. */
#define TODAY_AT_ONCE 32

#define AT(member) offsetof(struct today_item, member)
static const struct field item_fields[] = {
    {"tank", FIELD_TEXT, FIELD_REQUIRED, AT(tank), .about = "Its id."},
    {"code", FIELD_TEXT, FIELD_REQUIRED, AT(code), .about = "Short, as on the label."},
    {"name", FIELD_TEXT, FIELD_REQUIRED, AT(name), .about = "Its name."},
    {"area", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE, AT(area), .about = "Where it stands, by name."},
    {"rank", FIELD_INTEGER, FIELD_REQUIRED, AT(rank), .about = "1 is the most urgent."},
    {"reason", FIELD_CHOICE, FIELD_REQUIRED, AT(advice.reason), .words = advice_reason_names, .about = "Why it wants a hand."},
    {"when", FIELD_OBJECT, FIELD_REQUIRED | FIELD_NULLABLE, AT(advice.when), .shape = &dates_shape, .about = "Until when.", .given = AT(advice.when_given)},
    {"with", FIELD_OBJECT, FIELD_REQUIRED, AT(advice.with), .shape = &advice_with_shape, .about = "The numbers of the sentence."},
    {"act", FIELD_CHOICE, FIELD_REQUIRED | FIELD_NULLABLE, AT(advice.act), .words = entry_kind_names, .standard = -1, .about = "The kind of entry that settles it."},
    {"drawing", FIELD_OBJECT, FIELD_REQUIRED, AT(drawing), .shape = &drawing_shape, .about = "What a small drawing needs."},
    {"whose", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE, AT(whose), .about = "The member whose tank it is today, by a duty; null: nobody's."},
    {"whose_name", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE, AT(whose_name), .about = "Their name."},
    {"overdue", FIELD_BOOL, FIELD_REQUIRED, AT(overdue), .about = "Nobody has read it for a week: it is everybody's, whose ever it is."},
};
#undef AT
static const struct shape item_shape = {.name = "TodayItem", .size = sizeof(struct today_item), .field = item_fields, .count = COUNT(item_fields)};

#define AT(member) offsetof(struct calm_item, member)
static const struct field calm_fields[] = {
    {"tank", FIELD_TEXT, FIELD_REQUIRED, AT(tank), .about = "Its id."},
    {"code", FIELD_TEXT, FIELD_REQUIRED, AT(code), .about = "Short, as on the label."},
    {"name", FIELD_TEXT, FIELD_REQUIRED, AT(name), .about = "Its name."},
    {"drawing", FIELD_OBJECT, FIELD_REQUIRED, AT(drawing), .shape = &drawing_shape, .about = "What a small drawing needs."},
    {"low_on", FIELD_OBJECT, FIELD_REQUIRED | FIELD_NULLABLE, AT(low_on), .shape = &dates_shape, .about = "When it runs low.", .given = AT(low_given)},
};
#undef AT
static const struct shape calm_shape = {.name = "CalmTank", .size = sizeof(struct calm_item), .field = calm_fields, .count = COUNT(calm_fields)};

#define AT(member) offsetof(struct off_item, member)
static const struct field off_fields[] = {
    {"id", FIELD_TEXT, FIELD_REQUIRED, AT(id), .about = "Deleted, it is shown again."},
    {"tank", FIELD_TEXT, FIELD_REQUIRED, AT(tank), .about = "The tank's id."},
    {"code", FIELD_TEXT, FIELD_REQUIRED, AT(code), .about = "Short, as on the label."},
    {"name", FIELD_TEXT, FIELD_REQUIRED, AT(name), .about = "The tank's name."},
    {"reason", FIELD_CHOICE, FIELD_REQUIRED, AT(advice.reason), .words = advice_reason_names, .about = "What may wait."},
    {"when", FIELD_OBJECT, FIELD_REQUIRED | FIELD_NULLABLE, AT(advice.when), .shape = &dates_shape, .about = "Until when.", .given = AT(advice.when_given)},
    {"with", FIELD_OBJECT, FIELD_REQUIRED, AT(advice.with), .shape = &advice_with_shape, .about = "The numbers of the sentence."},
    {"until", FIELD_DATE, FIELD_REQUIRED, AT(until), .about = "Shown again from this day on, or as soon as it is worse."},
    {"member_name", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE, AT(member_name), .about = "Who put it off."},
};
#undef AT
static const struct shape off_shape = {.name = "PutOffItem", .size = sizeof(struct off_item), .field = off_fields, .count = COUNT(off_fields)};

#define AT(member) offsetof(struct season_due, member)
static const struct field season_fields[] = {
    {"succession", FIELD_TEXT, FIELD_REQUIRED, AT(succession), .about = "Its id."},
    {"name", FIELD_TEXT, FIELD_REQUIRED, AT(name), .about = "Its name."},
    {"crop", FIELD_TEXT, FIELD_REQUIRED, AT(crop), .about = "The crop, by its id."},
    {"sow", FIELD_BOOL, FIELD_REQUIRED, AT(sow), .about = "To be sown; else to be planted."},
    {"plants", FIELD_INTEGER, FIELD_REQUIRED, AT(plants), .about = "How many."},
    {"day", FIELD_DATE, FIELD_REQUIRED, AT(day), .about = "As planned."},
};
#undef AT
static const struct shape season_shape_of_today = {.name = "SeasonDue", .size = sizeof(struct season_due), .field = season_fields, .count = COUNT(season_fields)};

#define AT(member) offsetof(struct round_item, member)
static const struct field round_fields[] = {
    {"area", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE, AT(area), .about = "The area, by id; null: the whole garden."},
    {"area_name", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE, AT(area_name), .about = "Its name."},
    {"day", FIELD_DATE, FIELD_REQUIRED, AT(due.planned), .about = "Its round day: before today where it was put off."},
    {"tanks", FIELD_INTEGER, FIELD_REQUIRED, AT(tanks), .about = "How many of the items are tanks there that a round would visit."},
    {"round", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE, AT(round), .about = "The round that is under way there, by id; null: none is."},
};
#undef AT
static const struct shape round_shape_of_today = {.name = "RoundDue", .size = sizeof(struct round_item), .field = round_fields, .count = COUNT(round_fields)};

#define AT(member) offsetof(struct round_off_item, member)
static const struct field round_off_fields[] = {
    {"id", FIELD_TEXT, FIELD_REQUIRED, AT(id), .about = "Deleted, it is due today after all."},
    {"area", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE, AT(area), .about = "The area, by id; null: the whole garden."},
    {"area_name", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE, AT(area_name), .about = "Its name."},
    {"day", FIELD_DATE, FIELD_REQUIRED, AT(day), .about = "Its round day."},
    {"until", FIELD_DATE, FIELD_REQUIRED, AT(until), .about = "It is walked on this day instead."},
    {"member_name", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE, AT(member_name), .about = "Who put it off."},
};
#undef AT
static const struct shape round_off_shape = {.name = "RoundPutOffItem", .size = sizeof(struct round_off_item), .field = round_off_fields, .count = COUNT(round_off_fields)};

#define AT(member) offsetof(struct today_answer, member)
static const struct field today_fields[] = {
    {"date", FIELD_DATE, FIELD_REQUIRED, AT(day), .about = "The garden's day."},
    {"items", FIELD_LIST, FIELD_REQUIRED, AT(items), .shape = &item_shape, .about = "What wants a hand, most urgent first."},
    {"calm", FIELD_LIST, FIELD_REQUIRED, AT(calm), .shape = &calm_shape, .about = "Tanks that want nothing."},
    {"put_off", FIELD_LIST, FIELD_REQUIRED, AT(put_off), .shape = &off_shape, .about = "What would want a hand, but was put off."},
    {"season", FIELD_LIST, FIELD_REQUIRED, AT(season), .shape = &season_shape_of_today, .about = "What successions ask to be sown or planted within three days, and plantings that are late."},
    {"rounds", FIELD_LIST, FIELD_REQUIRED, AT(rounds), .shape = &round_shape_of_today, .about = "Rounds that are planned for today and not walked yet."},
    {"rounds_put_off", FIELD_LIST, FIELD_REQUIRED, AT(rounds_put_off), .shape = &round_off_shape, .about = "Planned rounds that were put off to a later day."},
    {"mixes", FIELD_LIST, FIELD_REQUIRED, AT(mixes), .shape = &mix_under_way_shape, .about = "Solutions that somebody began to weigh in, the latest first; those put off, too."},
    {"items_total", FIELD_INTEGER, FIELD_REQUIRED, AT(items_total), .about = "How many want a hand; the first 500 are listed."},
    {"calm_total", FIELD_INTEGER, FIELD_REQUIRED, AT(calm_total), .about = "How many want nothing; the first 500 are listed."},
    {"behind", FIELD_INTEGER, FIELD_REQUIRED, AT(behind), .about = "How many are shown as they stood before; they are being worked out again."},
    {"behind_since", FIELD_DATE, FIELD_REQUIRED | FIELD_NULLABLE, AT(behind_since), .about = "The earliest day as of which one of those is shown; null: none is behind."},
    {"missing", FIELD_INTEGER, FIELD_REQUIRED, AT(missing), .about = "How many were never worked out yet and are not listed; they are being worked out."},
};
#undef AT
const struct shape today_shape = {.name = "Today", .size = sizeof(struct today_answer), .field = today_fields, .count = COUNT(today_fields)};

struct today_work {
    struct request *request;
    struct today_answer *answer;
    struct duties_now duties;
    size_t item_room, calm_room, off_room;
    struct fault *fault;
};

static int add_calm(struct today_work *work, const struct tank_row *row, const struct standing_short *brief)
{
    struct list *calm = &work->answer->calm;

    calm->item = arena_grow(work->request->arena, calm->item, calm->count, &work->calm_room, sizeof(struct calm_item));
    if (!calm->item)
        return fault_add(work->fault, FAULT_MEMORY, "", "out of memory");
    ((struct calm_item *)calm->item)[calm->count++] = (struct calm_item){
        row->id, row->code, row->name, brief->drawing, brief->low_on, brief->has_outlook && brief->low_on.p10 != DAYS_NONE};
    return 0;
}

static bool is_overdue(const struct standing_short *brief)
{
    for (size_t i = 0; i < brief->advice_count; i++)
        if (brief->advice[i].reason == ADVICE_OVERDUE_READING)
            return true;
    return false;
}

static int add_off(struct today_work *work, const struct tank_row *row, const struct advice *matter, const struct putoff_row *putoff)
{
    struct list *off = &work->answer->put_off, advice = advice_documents(matter, 1, work->request->arena);

    if (off->count == TODAY_MOST)
        return 0;
    off->item = arena_grow(work->request->arena, off->item, off->count, &work->off_room, sizeof(struct off_item));
    if (!off->item || !advice.count)
        return fault_add(work->fault, FAULT_MEMORY, "", "out of memory");
    ((struct off_item *)off->item)[off->count++] = (struct off_item){.id = putoff->id,
                                                                     .tank = row->id,
                                                                     .code = row->code,
                                                                     .name = row->name,
                                                                     .member_name = putoff->member_name,
                                                                     .advice = *(struct advice_document *)advice.item,
                                                                     .until = putoff->until_day};
    return 0;
}

/* ---- planned rounds ---- */

/* Those that are due; what is done on them is looked up once a day and place, among the rounds made today. A round that nobody ends is told
 * as under way until anything is written after its time. */
static int plan_rounds(struct today_work *work, struct db *db, int32_t today)
{
    struct request *request = work->request;
    struct round_item *item;
    struct round_off_item *off;
    const struct round_days_row *place;
    struct round_plan plan;

    if (round_plan_read(db, today, &plan, request->arena, work->fault))
        return -1;
    item = arena_list(request->arena, &work->answer->rounds, plan.days.count, sizeof *item);
    off = arena_list(request->arena, &work->answer->rounds_put_off, plan.days.count, sizeof *off);
    if (!item || !off)
        return fault_add(work->fault, FAULT_MEMORY, "", "out of memory");
    work->answer->rounds.count = work->answer->rounds_put_off.count = 0;
    place = plan.days.item;
    for (size_t i = 0; i < plan.days.count; i++) {
        const struct round_putoff_row *putoff = round_plan_put_off(&plan, &place[i], today);
        struct round_item due = {.area = place[i].area, .area_name = place[i].area_name};
        bool walked;

        if (putoff)
            off[work->answer->rounds_put_off.count++] =
                (struct round_off_item){putoff->id, place[i].area, place[i].area_name, putoff->member_name, putoff->day, putoff->until_day};
        if (!round_plan_on(&plan, &place[i], today, &due.due))
            continue;
        if (round_plan_walked(db, &work->duties.map, &place[i], today, request->now_ms, &due.round, &walked, request->arena, work->fault))
            return -1;
        if (!walked)
            item[work->answer->rounds.count++] = due;
    }
    return 0;
}

/* A tank that wants a hand counts for each planned round that goes by it. Empty ones do not: a round leaves them out. */
static void count_for_rounds(struct today_work *work, int64_t area_key, const struct advice *advice)
{
    struct round_item *due = work->answer->rounds.item;

    for (size_t i = 0; i < work->answer->rounds.count && advice->reason != ADVICE_EMPTY; i++) {
        int64_t place = due[i].due.place->area_key;

        due[i].tanks += place == STORE_NO_INT || walk_within(&work->duties.map, area_key, place);
    }
}

/* Each tank shows its most urgent matter only; its page has the others. */
static int add_item(struct today_work *work, const struct tank_row *row, const struct standing_short *brief, size_t shown)
{
    struct list *items = &work->answer->items, advice = advice_documents(&brief->advice[shown], 1, work->request->arena);
    const struct duty_row *duty = duties_whose(&work->duties, row->key, row->area_key);

    items->item = arena_grow(work->request->arena, items->item, items->count, &work->item_room, sizeof(struct today_item));
    if (!items->item || !advice.count)
        return fault_add(work->fault, FAULT_MEMORY, "", "out of memory");
    count_for_rounds(work, row->area_key, &brief->advice[shown]);
    ((struct today_item *)items->item)[items->count++] =
        (struct today_item){.tank = row->id,
                            .code = row->code,
                            .name = row->name,
                            .area = row->area_name,
                            .advice = *(struct advice_document *)advice.item,
                            .drawing = brief->drawing,
                            .overdue = is_overdue(brief),
                            .whose = duty ? duty->member : NULL,
                            .whose_name = duty ? duty->member_name : NULL};
    return 0;
}

/* A tank in its place: first what is urgent, then what is calm, by age; last what nobody knows yet. */
struct ranked {
    int64_t key;
    struct standing_glance glance;
    size_t shown; /* which of its matters, most urgent first: those before it were put off */
    bool off;     /* all of them were */
};

static int more_urgent(const void *a, const void *b)
{
    const struct ranked *first = a, *second = b;
    double urgency = first->glance.urgency, other = second->glance.urgency;
    bool calm = isnan(urgency);

    if (calm != isnan(other))
        return calm ? 1 : -1;
    if (!calm && urgency != other)
        return urgency < other ? -1 : 1;
    return first->key < second->key ? -1 : 1;
}

/* The short standing of one tank, with its row; as it stood, where old is good enough. */
static int ask_short(struct today_work *work, struct db *db, const struct standing_place *place, int64_t key, bool old, struct tank_row *row,
                     const struct standing_short **brief)
{
    struct garden *garden = work->request->service->garden;

    if (tanks_by_key(db, key, row, work->request->arena, work->fault) != 1)
        return -1;
    return old ? standing_short_old(garden, db, place, row, brief, work->request->arena, work->fault)
               : standing_short(garden, db, place, row, brief, work->request->arena, work->fault);
}

static bool wanted(const struct standing_glance *glance, int turn)
{
    bool soon = glance->asked_for || glance->kept == STANDING_NONE;

    return glance->kept != STANDING_FRESH && soon == (turn == 0);
}

/* Works out what changed: first where people logged something or nothing is known yet. Without a keeper that is all of them. */
static int catch_up(struct today_work *work, struct db *db, const struct standing_place *place, struct ranked *rank, size_t count)
{
    struct garden *garden = work->request->service->garden;
    size_t made = 0;

    for (int turn = 0; turn < 2; turn++)
        for (size_t i = 0; i < count && (made < TODAY_AT_ONCE || !garden->keeper); i++) {
            const struct standing_short *brief;
            struct tank_row row;

            if (!wanted(&rank[i].glance, turn))
                continue;
            if (ask_short(work, db, place, rank[i].key, false, &row, &brief))
                return -1;
            rank[i].glance = (struct standing_glance){.kept = STANDING_FRESH, .day = place->today,
                                                      .urgency = brief->advice_count ? brief->advice[0].urgency : (double)NAN};
            made++;
        }
    return 0;
}

/* What was put off steps back, and the tank's next matter takes its place. */
static int step_back(struct today_work *work, struct db *db, const struct standing_place *place, const struct list *putoffs, struct ranked *rank)
{
    const struct putoff_row *putoff;
    const struct standing_short *brief;
    struct tank_row row;
    bool found = false;

    if (ask_short(work, db, place, rank->key, true, &row, &brief))
        return -1;
    rank->shown = brief->advice_count;
    for (size_t i = 0; i < brief->advice_count; i++) {
        putoff = putoff_of(putoffs, rank->key, &brief->advice[i], place->today);
        if (putoff && add_off(work, &row, &brief->advice[i], putoff))
            return -1;
        if (!putoff && !found) {
            rank->shown = i;
            found = true;
        }
    }
    rank->off = brief->advice_count > 0 && !found;
    rank->glance.urgency = found ? brief->advice[rank->shown].urgency : (double)NAN;
    return 0;
}

static int put_off(struct today_work *work, struct db *db, const struct standing_place *place, struct ranked *rank, size_t count)
{
    struct list putoffs;
    const struct putoff_row *putoff;
    size_t i = 0;

    if (putoffs_on(db, place->today, &putoffs, work->request->arena, work->fault))
        return -1;
    putoff = putoffs.item;
    for (size_t p = 0; p < putoffs.count; p++) { /* both by the tank's key */
        if (p && putoff[p].tank_key == putoff[p - 1].tank_key)
            continue;
        while (i < count && rank[i].key < putoff[p].tank_key)
            i++;
        if (i < count && rank[i].key == putoff[p].tank_key && rank[i].glance.kept != STANDING_NONE &&
            step_back(work, db, place, &putoffs, &rank[i]))
            return -1;
    }
    return 0;
}

static void count_behind(struct today_work *work, const struct ranked *rank, size_t count)
{
    struct today_answer *answer = work->answer;

    answer->behind_since = FIELD_NO_DATE;
    for (size_t i = 0; i < count; i++) {
        answer->missing += rank[i].glance.kept == STANDING_NONE;
        if (rank[i].glance.kept != STANDING_OLD)
            continue;
        answer->behind++;
        if (answer->behind_since == FIELD_NO_DATE || rank[i].glance.day < answer->behind_since)
            answer->behind_since = rank[i].glance.day;
    }
    if (answer->behind || answer->missing)
        standing_keeper_wake(work->request->service->garden->keeper);
}

/* Most tanks stand as they stood when they were last asked: a glance tells, and only those that are listed are copied. */
static int rank_tanks(struct today_work *work, struct db *db, const struct standing_place *place, struct list *ranked)
{
    struct garden *garden = work->request->service->garden;
    struct list marks;
    const struct tank_mark *mark;
    struct ranked *rank;

    if (tanks_marks(db, &marks, work->request->arena, work->fault))
        return -1;
    mark = marks.item;
    rank = arena_take(work->request->arena, (marks.count + 1) * sizeof *rank);
    if (!rank)
        return fault_add(work->fault, FAULT_MEMORY, "", "out of memory");
    for (size_t i = 0; i < marks.count; i++)
        rank[i] = (struct ranked){.key = mark[i].key, .glance = standing_glance(garden, &mark[i], place->today)};
    if (catch_up(work, db, place, rank, marks.count))
        return -1;
    count_behind(work, rank, marks.count);
    if (put_off(work, db, place, rank, marks.count))
        return -1;
    qsort(rank, marks.count, sizeof *rank, more_urgent);
    *ranked = (struct list){rank, marks.count};
    return 0;
}

static int fill_today(struct today_work *work, struct db *db)
{
    struct today_answer *answer = work->answer;
    struct standing_place place;
    struct list ranked = {NULL, 0};
    const struct ranked *rank;

    if (standing_place(db, work->request->now_ms, &place, work->request->arena, work->fault) || rank_tanks(work, db, &place, &ranked) ||
        duties_now_read(db, place.today, &work->duties, work->request->arena, work->fault) || plan_rounds(work, db, place.today))
        return -1;
    answer->day = place.today;
    if (mixes_open(db, STORE_NO_INT, work->request->now_ms, place.today, &answer->mixes, work->request->arena, work->fault))
        return -1;
    if (successions_due(db, place.garden.time_zone, place.today, place.today + SEASON_DAYS, &answer->season, work->request->arena, work->fault))
        return -1;
    rank = ranked.item;
    for (size_t i = 0; i < ranked.count; i++) {
        bool calm = isnan(rank[i].glance.urgency);
        const struct standing_short *brief;
        struct tank_row row;

        if (rank[i].off || rank[i].glance.kept == STANDING_NONE || (calm ? answer->calm_total++ : answer->items_total++) >= TODAY_MOST)
            continue;
        if (ask_short(work, db, &place, rank[i].key, true, &row, &brief) ||
            (brief->advice_count ? add_item(work, &row, brief, rank[i].shown) : add_calm(work, &row, brief)))
            return -1;
    }
    for (size_t i = 0; i < answer->items.count; i++)
        ((struct today_item *)answer->items.item)[i].rank = (int64_t)i + 1;
    return 0;
}

/* GET /api/v1/today */
int today_get(struct request *request, struct reply *reply, struct fault *fault)
{
    struct store *store = request->service->garden->store;
    struct db *db = store_read(store, fault);
    struct today_answer answer = {0};
    struct today_work work = {.request = request, .answer = &answer, .fault = fault};
    int32_t today;
    int failed;

    if (!db)
        return -1;
    /* Any write may change it, and nothing else but the day. */
    if (garden_today(request->service->garden, request->now_ms, &today, fault)) {
        store_done(store, db);
        return -1;
    }
    reply->keep_as = arena_format(request->arena, "today %llu %d", (unsigned long long)store_version(store), today);
    if (reply->keep_as && answers_find(request->service->answers, reply->keep_as, request, reply)) {
        store_done(store, db);
        return 0;
    }
    failed = fill_today(&work, db);
    store_done(store, db);
    if (answer.behind || answer.missing)
        reply->keep_as = NULL; /* it will say more soon, without anything being written */
    return failed ? -1 : reply_json(reply, 200, shape_write(&today_shape, &answer), fault);
}
