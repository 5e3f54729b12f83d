/* Rounds: two people split one, claims expire, the log says what is done. The garden, its people and its log are invented; the
 * rules are ours. */
#include "garden/rounds.h"

#include <math.h>
#include <pthread.h>
#include <stdio.h>
#include <string.h>

#include "calc/days.h"
#include "garden/areas.h"
#include "garden/clock.h"
#include "garden/duties.h"
#include "garden/garden.h"
#include "garden/log.h"
#include "garden/round_days.h"
#include "garden/walk.h"
#include "garden_file.h"
#include "runner.h"
#include "store/members.h"

#define TANKS 6
#define HOUR_MS ((int64_t)3600000)
#define MINUTE_MS ((int64_t)60000)

static struct garden *garden;
static struct arena arena;
static struct who tavi, odo, ilka; /* two growers and a keeper */
static int64_t now_ms;
static const char *roof, *bay, *tank[TANKS];

static int add_members(struct db *db, void *context, struct fault *fault)
{
    struct member_row row[] = {{.id = "00000000-0000-7000-8000-000000000090", .name = "Tavi", .role = ROLE_GROWER, .joined_ms = 1, .removed_ms = STORE_NO_INT},
                               {.id = "00000000-0000-7000-8000-000000000091", .name = "Odo", .role = ROLE_GROWER, .joined_ms = 1, .removed_ms = STORE_NO_INT},
                               {.id = "00000000-0000-7000-8000-000000000092", .name = "Ilka", .role = ROLE_KEEPER, .joined_ms = 1, .removed_ms = STORE_NO_INT}};
    struct who *who[] = {&tavi, &odo, &ilka};

    (void)context;
    for (size_t i = 0; i < COUNT(row); i++) {
        if (members_add(db, &row[i], fault))
            return -1;
        *who[i] = (struct who){.role = (enum role)row[i].role, .member = row[i].key, .member_id = row[i].id, .name = row[i].name};
    }
    return 0;
}

static const char *new_id(void)
{
    char id[37];

    clock_uuid(id);
    return arena_text(&arena, id);
}

static const char *log_at(const struct who *who, const char *of, int kind, int64_t at_ms, int64_t received_ms, struct entry entry)
{
    struct fault fault = {0};
    struct entry stored;
    bool before;

    entry.id = new_id();
    entry.tank = of;
    entry.kind = kind;
    entry.at_ms = at_ms;
    entry.received_ms = received_ms;
    ck_assert_msg(garden_log(garden, who, &entry, &stored, &before, &arena, &fault) == 0, "%s %s", fault.item[0].at, fault.item[0].detail);
    return entry.id;
}

static const char *read_level(const struct who *who, const char *of, int64_t at_ms, int64_t received_ms)
{
    struct entry entry = entry_blank();

    entry.waterline_mm = 250;
    return log_at(who, of, ENTRY_READING, at_ms, received_ms, entry);
}

/* A roof with three tanks, a bay on it with two, one tank in no area: each filled nine days ago and never read since. */
static void open_garden(void)
{
    struct fault fault = {0};
    struct area_row area[] = {{.name = "Roof", .walk_order = 2}, {.name = "Bay", .walk_order = 1}};
    struct vessel_row vessel = {.name = "Tub", .shape = VESSEL_ROUND, .floor_l_mm = 260, .floor_w_mm = NAN, .rim_l_mm = 300, .rim_w_mm = NAN,
                                .height_mm = 360, .corner_mm = NAN, .lid_l_mm = NAN, .lid_w_mm = NAN, .lid_corner_mm = NAN, .hole_mm = NAN,
                                .edge_mm = NAN, .spacing_mm = NAN, .pattern = -1, .cup_height_mm = NAN, .cup_top_mm = NAN,
                                .cup_bottom_mm = NAN, .cup_medium_fraction = NAN, .start_mm = 320, .low_mm = 40};
    bool made;

    garden = garden_open(garden_file_new("rounds"), &fault);
    ck_assert_msg(garden != NULL, "%s", fault.item[0].detail);
    now_ms = clock_now_ms();
    ck_assert_int_eq(store_write(garden->store, add_members, NULL, &fault), 0);
    ck_assert_int_eq(garden_area_add(garden, &area[0], &made, &arena, &fault), 0);
    roof = area[0].id;
    area[1].within = roof;
    ck_assert_int_eq(garden_area_add(garden, &area[1], &made, &arena, &fault), 0);
    bay = area[1].id;
    ck_assert_msg(garden_vessel_add(garden, &vessel, &made, &arena, &fault) == 0, "%s %s", fault.item[0].at, fault.item[0].detail);
    for (int i = 0; i < TANKS; i++) {
        const char *const where[TANKS] = {roof, roof, roof, bay, bay, NULL};
        struct tank_row row = {.name = arena_format(&arena, "Tub %d", i + 1), .area = where[i], .vessel = vessel.id, .walk_order = 10 - i};
        struct entry fill = entry_blank();

        ck_assert_int_eq(garden_tank_add(garden, &row, &made, &arena, &fault), 0);
        tank[i] = row.id;
        fill.waterline_mm = 320;
        log_at(&ilka, row.id, ENTRY_FILL, now_ms - 9 * DAY_MS, now_ms - 9 * DAY_MS, fill);
    }
}

static void close_garden(void)
{
    char path[4096];

    snprintf(path, sizeof path, "%s", store_path(garden->store));
    garden_close(garden);
    arena_end(&arena);
    garden_file_remove(path);
}

static struct round make(const struct who *who, const char *area)
{
    struct round round;
    struct fault fault = {0};
    bool before;

    ck_assert_msg(garden_round_make(garden, who, &(struct round_asked){.area = area}, now_ms, &round, &before, &arena, &fault) == 0, "%s",
                  fault.item[0].detail);
    return round;
}

static int act_as(const struct who *who, const char *round_id, const char *id, int what, int64_t stop, int64_t at_ms, struct round *round,
                  struct fault *fault)
{
    return garden_round_act(garden, who, round_id, &(struct round_deed){.id = id, .what = what, .stop = stop}, at_ms, round, &arena, fault);
}

static struct round act_ok(const struct who *who, const char *round_id, int what, int64_t stop, int64_t at_ms)
{
    struct round round;
    struct fault fault = {0};

    ck_assert_msg(act_as(who, round_id, new_id(), what, stop, at_ms, &round, &fault) == 0, "%s %s", fault.item[0].at, fault.item[0].detail);
    return round;
}

static const struct round_stop *stop_of(const struct round *round, int64_t place)
{
    return (const struct round_stop *)round->stops.item + place - 1;
}

/* The stop that a person is at, 0: none. */
static int64_t where_is(const struct round *round, const struct who *who)
{
    for (size_t i = 0; i < round->stops.count; i++)
        if (stop_of(round, (int64_t)i + 1)->state == STOP_TAKEN && stop_of(round, (int64_t)i + 1)->by_key == who->member)
            return (int64_t)i + 1;
    return 0;
}

START_TEST(stops_come_in_walking_order)
{
    /* In no area first, then what stands on the roof itself, then the bay that lies on it; smaller numbers first. */
    static const char *const expected[] = {"Tub 6", "Tub 3", "Tub 2", "Tub 1", "Tub 5", "Tub 4"};
    struct round round = make(&tavi, NULL), part;

    ck_assert_uint_eq(round.stops.count, COUNT(expected));
    for (size_t i = 0; i < COUNT(expected); i++)
        ck_assert_str_eq(stop_of(&round, (int64_t)i + 1)->row.tank_name, expected[i]);
    ck_assert(round.open);
    part = make(&tavi, bay);
    ck_assert_uint_eq(part.stops.count, 2);
    part = make(&tavi, roof);
    ck_assert_uint_eq(part.stops.count, 5); /* with what lies in it */
}
END_TEST

START_TEST(one_round_is_under_way_at_a_time)
{
    struct round round = make(&tavi, NULL), other;
    struct fault fault = {0};
    bool before;
    struct round_asked again = {.id = round.row.id};

    ck_assert_int_eq(garden_round_make(garden, &odo, &(struct round_asked){0}, now_ms, &other, &before, &arena, &fault), -1);
    ck_assert_int_eq(fault.code, FAULT_CONFLICT);
    ck_assert_ptr_nonnull(strstr(fault.item[0].detail, "Tavi"));
    fault = (struct fault){0};
    ck_assert_int_eq(garden_round_make(garden, &tavi, &again, now_ms, &other, &before, &arena, &fault), 0);
    ck_assert(before);
    ck_assert_uint_eq(other.stops.count, round.stops.count);
    again.area = bay;
    ck_assert_int_eq(garden_round_make(garden, &tavi, &again, now_ms, &other, &before, &arena, &fault), -1);
    ck_assert_int_eq(fault.code, FAULT_CONFLICT);
}
END_TEST

START_TEST(two_people_never_get_the_same_stop)
{
    struct round round = make(&tavi, NULL), seen;
    int64_t first, second;
    struct fault fault = {0};

    seen = act_ok(&tavi, round.row.id, ROUND_TAKE, STORE_NO_INT, now_ms);
    first = where_is(&seen, &tavi);
    seen = act_ok(&odo, round.row.id, ROUND_TAKE, STORE_NO_INT, now_ms);
    second = where_is(&seen, &odo);
    ck_assert_int_eq(first, 1);
    ck_assert_int_eq(second, 2);
    seen = act_ok(&tavi, round.row.id, ROUND_TAKE, STORE_NO_INT, now_ms); /* who is somewhere stays there */
    ck_assert_int_eq(where_is(&seen, &tavi), 1);
    ck_assert_int_eq(act_as(&odo, round.row.id, new_id(), ROUND_TAKE, 1, now_ms, &seen, &fault), -1);
    ck_assert_int_eq(fault.code, FAULT_CONFLICT);
    fault = (struct fault){0};
    ck_assert_int_eq(act_as(&odo, round.row.id, new_id(), ROUND_SKIP, 1, now_ms, &seen, &fault), -1);
    ck_assert_int_eq(fault.code, FAULT_CONFLICT);
}
END_TEST

START_TEST(sent_twice_is_done_once)
{
    struct round round = make(&tavi, NULL), seen;
    const char *id = new_id();
    struct fault fault = {0};

    ck_assert_int_eq(act_as(&tavi, round.row.id, id, ROUND_SKIP, 1, now_ms, &seen, &fault), 0);
    ck_assert_int_eq(act_as(&tavi, round.row.id, id, ROUND_SKIP, 1, now_ms, &seen, &fault), 0);
    ck_assert_int_eq(stop_of(&seen, 1)->skips, 1);
    ck_assert_int_eq(act_as(&tavi, round.row.id, id, ROUND_SKIP, 2, now_ms, &seen, &fault), -1);
    ck_assert_int_eq(fault.code, FAULT_CONFLICT);
    fault = (struct fault){0};
    ck_assert_int_eq(act_as(&odo, round.row.id, id, ROUND_SKIP, 1, now_ms, &seen, &fault), -1);
    ck_assert_int_eq(fault.code, FAULT_CONFLICT);
}
END_TEST

START_TEST(skipped_stops_come_back_at_the_end)
{
    struct round round = make(&tavi, bay), seen;

    act_ok(&tavi, round.row.id, ROUND_SKIP, 1, now_ms);
    seen = act_ok(&tavi, round.row.id, ROUND_TAKE, STORE_NO_INT, now_ms);
    ck_assert_int_eq(where_is(&seen, &tavi), 2);
    act_ok(&tavi, round.row.id, ROUND_DONE, 2, now_ms);
    seen = act_ok(&tavi, round.row.id, ROUND_TAKE, STORE_NO_INT, now_ms);
    ck_assert_int_eq(where_is(&seen, &tavi), 1);
    seen = act_ok(&tavi, round.row.id, ROUND_DONE, 1, now_ms + MINUTE_MS);
    ck_assert(!seen.open);
    ck_assert_int_eq(seen.ended_ms, now_ms + MINUTE_MS);
    ck_assert_ptr_null(seen.ended_by_name);
}
END_TEST

START_TEST(claims_expire_for_who_gives_no_sign)
{
    struct round round = make(&tavi, bay), seen;

    act_ok(&tavi, round.row.id, ROUND_TAKE, 1, now_ms);
    seen = act_ok(&odo, round.row.id, ROUND_TAKE, STORE_NO_INT, now_ms + ROUND_CLAIM_MS);
    ck_assert_int_eq(stop_of(&seen, 1)->state, STOP_TAKEN);
    ck_assert_int_eq(where_is(&seen, &odo), 2);
    act_ok(&odo, round.row.id, ROUND_DONE, 2, now_ms + ROUND_CLAIM_MS + 1);
    seen = act_ok(&odo, round.row.id, ROUND_TAKE, STORE_NO_INT, now_ms + ROUND_CLAIM_MS + 2);
    ck_assert_int_eq(where_is(&seen, &odo), 1);
}
END_TEST

START_TEST(halves_go_by_area)
{
    struct round round = make(&tavi, NULL), seen;
    struct round_deed deed = {.id = new_id(), .what = ROUND_TAKE, .stop = STORE_NO_INT, .area = bay};
    struct fault fault = {0};

    ck_assert_int_eq(garden_round_act(garden, &odo, round.row.id, &deed, now_ms, &seen, &arena, &fault), 0);
    ck_assert_int_eq(stop_of(&seen, 5)->by_key, odo.member);
    ck_assert_int_eq(stop_of(&seen, 6)->by_key, odo.member);
    ck_assert_int_eq(stop_of(&seen, 4)->state, STOP_FREE);
    ck_assert_int_eq(garden_round_act(garden, &odo, round.row.id, &deed, now_ms, &seen, &arena, &fault), 0); /* resent */
    deed.id = new_id();
    deed.area = roof; /* what is left of it */
    ck_assert_int_eq(garden_round_act(garden, &tavi, round.row.id, &deed, now_ms, &seen, &arena, &fault), 0);
    ck_assert_int_eq(stop_of(&seen, 5)->by_key, odo.member);
    ck_assert_int_eq(stop_of(&seen, 4)->by_key, tavi.member);
    deed.id = new_id();
    deed.area = bay;
    ck_assert_int_eq(garden_round_act(garden, &tavi, round.row.id, &deed, now_ms, &seen, &arena, &fault), -1);
    ck_assert_int_eq(fault.code, FAULT_CONFLICT);
}
END_TEST

START_TEST(the_log_says_what_is_done)
{
    struct round round = make(&tavi, NULL), seen;
    struct fault fault = {0};
    struct entry entry = entry_blank();
    const char *id = read_level(&odo, tank[5], now_ms + MINUTE_MS, now_ms + MINUTE_MS);

    ck_assert_int_eq(garden_round(garden, round.row.id, now_ms + 2 * MINUTE_MS, &seen, &arena, &fault), 0);
    ck_assert_int_eq(stop_of(&seen, 1)->state, STOP_DONE);
    ck_assert_str_eq(stop_of(&seen, 1)->by_name, "Odo");
    ck_assert_str_eq(stop_of(&seen, 1)->entry, id);
    ck_assert_int_eq(stop_of(&seen, 2)->state, STOP_FREE);
    /* Of the wrong kind: a note is no reading. */
    entry.note = "lid is loose";
    log_at(&odo, tank[2], ENTRY_NOTE, now_ms + MINUTE_MS, now_ms + MINUTE_MS, entry);
    /* From before the round, but received during it: a phone that had been out of reach. */
    read_level(&odo, tank[1], now_ms - HOUR_MS, now_ms + MINUTE_MS);
    ck_assert_int_eq(garden_round(garden, round.row.id, now_ms + 2 * MINUTE_MS, &seen, &arena, &fault), 0);
    ck_assert_int_eq(seen.done, 1);
    /* A top-up that tells the level after it is a reading, too. */
    entry = entry_blank();
    entry.volume_l = 2;
    entry.waterline_mm = 280;
    log_at(&tavi, tank[1], ENTRY_TOP_UP, now_ms + 2 * MINUTE_MS, now_ms + 2 * MINUTE_MS, entry);
    /* Taken back, it is to be done again. */
    entry = entry_blank();
    entry.withdraws = id;
    log_at(&odo, tank[5], ENTRY_NOTE, now_ms + 3 * MINUTE_MS, now_ms + 3 * MINUTE_MS, entry);
    ck_assert_int_eq(garden_round(garden, round.row.id, now_ms + 4 * MINUTE_MS, &seen, &arena, &fault), 0);
    ck_assert_int_eq(stop_of(&seen, 1)->state, STOP_FREE);
    ck_assert_int_eq(stop_of(&seen, 3)->state, STOP_DONE);
    ck_assert_int_eq(seen.done, 1);
}
END_TEST

static const char *pour(const struct who *who, const char *of, double volume_l, int64_t at_ms, int64_t received_ms)
{
    struct entry entry = entry_blank();

    entry.volume_l = volume_l;
    return log_at(who, of, ENTRY_TOP_UP, at_ms, received_ms, entry);
}

/* Odo poured what he carried, which was too little: the round was made knowing that, and asks for water all the same. His entry lies
 * within what a phone's clock may be off and is of the right kind: only when it came in tells that it is no visit of this round. */
START_TEST(what_came_in_before_the_round_is_no_visit_of_it)
{
    struct round round, seen;
    struct fault fault = {0};
    struct entry low = entry_blank();
    const char *id;

    low.waterline_mm = 30;
    log_at(&odo, tank[4], ENTRY_READING, now_ms - 5 * MINUTE_MS, now_ms - 5 * MINUTE_MS, low);
    pour(&odo, tank[4], 0.3, now_ms - 2 * MINUTE_MS, now_ms - 1);
    round = make(&tavi, bay);
    ck_assert_str_eq(stop_of(&round, 1)->row.tank, tank[4]);
    ck_assert_int_eq(stop_of(&round, 1)->row.act, ENTRY_TOP_UP);
    ck_assert_int_eq(stop_of(&round, 1)->state, STOP_FREE);
    ck_assert_int_eq(garden_round(garden, round.row.id, now_ms + HOUR_MS, &seen, &arena, &fault), 0);
    ck_assert_int_eq(seen.done, 0);
    /* One of the very same minute that comes in when the round is made is a visit. */
    id = pour(&tavi, tank[4], 4, now_ms - 2 * MINUTE_MS, now_ms);
    ck_assert_int_eq(garden_round(garden, round.row.id, now_ms + HOUR_MS, &seen, &arena, &fault), 0);
    ck_assert_int_eq(seen.done, 1);
    ck_assert_str_eq(stop_of(&seen, 1)->entry, id);
    ck_assert_str_eq(stop_of(&seen, 1)->by_name, "Tavi");
}
END_TEST

START_TEST(an_entry_that_comes_late_counts)
{
    struct round round = make(&tavi, bay), seen;
    struct fault fault = {0};

    act_ok(&tavi, round.row.id, ROUND_END, STORE_NO_INT, now_ms + HOUR_MS);
    read_level(&tavi, tank[4], now_ms + 30 * MINUTE_MS, now_ms + 5 * HOUR_MS);
    read_level(&tavi, tank[3], now_ms + 4 * HOUR_MS, now_ms + 5 * HOUR_MS); /* done after the round */
    ck_assert_int_eq(garden_round(garden, round.row.id, now_ms + 6 * HOUR_MS, &seen, &arena, &fault), 0);
    ck_assert_int_eq(seen.done, 1);
    ck_assert_int_eq(stop_of(&seen, 1)->state, STOP_DONE);
    ck_assert_str_eq(seen.ended_by_name, "Tavi");
    ck_assert_int_eq(act_as(&odo, round.row.id, new_id(), ROUND_TAKE, STORE_NO_INT, now_ms + 6 * HOUR_MS, &seen, &fault), -1);
    ck_assert_int_eq(fault.code, FAULT_CONFLICT);
}
END_TEST

START_TEST(who_did_what_stays_visible)
{
    struct round round = make(&tavi, NULL);
    struct fault fault = {0};
    struct list rounds;
    const struct round *past;
    const struct round_person *person;

    read_level(&odo, tank[5], now_ms + MINUTE_MS, now_ms + MINUTE_MS);
    act_ok(&tavi, round.row.id, ROUND_DONE, 2, now_ms + MINUTE_MS);
    act_ok(&tavi, round.row.id, ROUND_DONE, 3, now_ms + MINUTE_MS);
    act_ok(&ilka, round.row.id, ROUND_END, STORE_NO_INT, now_ms + HOUR_MS);
    ck_assert_int_eq(garden_rounds(garden, NULL, 10, now_ms + 40 * DAY_MS, &rounds, &arena, &fault), 0);
    ck_assert_uint_eq(rounds.count, 1);
    past = rounds.item;
    ck_assert(!past->open);
    ck_assert_int_eq(past->done, 3);
    ck_assert_uint_eq(past->people.count, 3);
    person = past->people.item;
    for (size_t i = 0; i < past->people.count; i++)
        ck_assert_int_eq(person[i].done, person[i].key == tavi.member ? 2 : person[i].key == odo.member ? 1 : 0);
}
END_TEST

START_TEST(a_round_that_nobody_ended_is_over)
{
    struct round round = make(&tavi, NULL), seen;
    struct fault fault = {0};

    ck_assert_int_eq(garden_round(garden, round.row.id, now_ms + ROUND_OPEN_MS, &seen, &arena, &fault), 0);
    ck_assert(seen.open);
    ck_assert_int_eq(garden_round(garden, round.row.id, now_ms + ROUND_OPEN_MS + 1, &seen, &arena, &fault), 0);
    ck_assert(!seen.open);
}
END_TEST

/* ---- at once ---- */

struct runner {
    const struct who *who;
    const char *round;
    int got;
};

/* Takes the next and does it, until nothing is left. */
static void *run_round(void *context)
{
    struct runner *runner = context;

    for (int turn = 0; turn < TANKS + 1; turn++) {
        ARENA_HELD work = {0};
        struct round round;
        struct fault fault = {0};
        char id[37];
        int64_t at;

        clock_uuid(id);
        if (garden_round_act(garden, runner->who, runner->round, &(struct round_deed){.id = id, .what = ROUND_TAKE, .stop = STORE_NO_INT}, now_ms, &round,
                             &work, &fault))
            break; /* the last one was done meanwhile */
        at = where_is(&round, runner->who);
        if (!at)
            break;
        clock_uuid(id);
        if (garden_round_act(garden, runner->who, runner->round, &(struct round_deed){.id = id, .what = ROUND_DONE, .stop = at}, now_ms, &round, &work, &fault))
            break;
        runner->got++;
    }
    return NULL;
}

START_TEST(at_once_each_stop_is_somebodys)
{
    struct round round = make(&tavi, NULL), seen;
    struct runner runner[] = {{&tavi, round.row.id, 0}, {&odo, round.row.id, 0}, {&ilka, round.row.id, 0}};
    struct fault fault = {0};
    pthread_t thread[COUNT(runner)];
    int got = 0;

    for (size_t i = 0; i < COUNT(runner); i++)
        ck_assert_int_eq(pthread_create(&thread[i], NULL, run_round, &runner[i]), 0);
    for (size_t i = 0; i < COUNT(runner); i++) {
        pthread_join(thread[i], NULL);
        got += runner[i].got;
    }
    ck_assert_int_eq(got, TANKS);
    ck_assert_int_eq(garden_round(garden, round.row.id, now_ms, &seen, &arena, &fault), 0);
    ck_assert_int_eq(seen.done, TANKS);
    ck_assert(!seen.open);
}
END_TEST

/* ---- planned rounds ---- */

static void plan_days(const char *place, int64_t weekdays)
{
    struct fault fault = {0};
    struct round_days_row set;

    ck_assert_int_eq(garden_round_days_set(garden, place, weekdays, &set, &arena, &fault), 0);
}

/* Days of the four weeks from a Monday on which a place has a round, as letters: x, or for one put off here m. */
static const char *days_of(size_t which, int32_t monday)
{
    static char text[29];
    struct fault fault = {0};
    struct round_plan plan;
    struct round_due due;
    struct db *db = store_read(garden->store, &fault);

    ck_assert_int_eq(round_plan_read(db, monday, &plan, &arena, &fault), 0);
    store_done(garden->store, db);
    ck_assert_uint_lt(which, plan.days.count);
    for (int32_t i = 0; i < 28; i++)
        text[i] = !round_plan_on(&plan, (const struct round_days_row *)plan.days.item + which, monday + i, &due) ? '.' : due.planned == monday + i ? 'x' : 'm';
    return text;
}

static const char *put_off(const char *area, int32_t day, int64_t days)
{
    struct round_putoff_row putoff = {.area = area, .days = days};
    struct fault fault = {0};
    bool before;

    ck_assert_msg(garden_round_put_off(garden, &tavi, &putoff, day * DAY_MS + 12 * HOUR_MS, &before, &arena, &fault) == 0, "%s", fault.item[0].detail);
    return putoff.id;
}

#define TUESDAY 2
#define FRIDAY 16

/* 2026-11-30 is a Monday, by any calendar; the garden's zone is UTC. */
START_TEST(round_days_come_each_week_and_move_when_put_off)
{
    struct fault fault = {0};
    struct round_putoff_row again = {.area = bay, .days = 1};
    int32_t monday;
    const char *id;
    bool before;

    ck_assert(days_from_civil((struct civil){2026, 11, 30}, &monday));
    for (int i = 0; i < 7; i++)
        ck_assert_int_eq(round_weekday(monday + i), i);
    ck_assert_int_eq(round_weekday(-3), 0); /* 1969-12-29 */
    plan_days(bay, TUESDAY | FRIDAY);
    ck_assert_str_eq(days_of(0, monday), ".x..x...x..x...x..x...x..x..");
    id = put_off(bay, monday + 1, 1); /* Tuesday's, to Wednesday */
    ck_assert_str_eq(days_of(0, monday), "..m.x...x..x...x..x...x..x..");
    ck_assert_int_eq(garden_round_put_off(garden, &tavi, &again, (monday + 1) * DAY_MS + 12 * HOUR_MS, &before, &arena, &fault), -1);
    ck_assert_int_eq(fault.code, FAULT_CONFLICT);
    put_off(bay, monday + 2, 1); /* once more, to Thursday: still Tuesday's */
    ck_assert_str_eq(days_of(0, monday), "...mx...x..x...x..x...x..x..");
    id = put_off(bay, monday + 3, 1); /* onto Friday, which has its own: one will do */
    ck_assert_str_eq(days_of(0, monday), "....x...x..x...x..x...x..x..");
    ck_assert_int_eq(garden_round_putoff_lift(garden, id, (monday + 3) * DAY_MS + 13 * HOUR_MS, &fault), 0); /* today after all */
    ck_assert_str_eq(days_of(0, monday), "...mx...x..x...x..x...x..x..");
    ck_assert_int_eq(garden_round_putoff_lift(garden, id, (monday + 9) * DAY_MS, &fault), 0); /* long past: nothing comes back */
    ck_assert_str_eq(days_of(0, monday), "...mx...x..x...x..x...x..x..");
    put_off(bay, monday + 8, 14); /* Tuesday's of the second week, by two: onto a Tuesday */
    ck_assert_str_eq(days_of(0, monday + 7), "....x...x..x...x..x...x..x..");
    plan_days(ROUND_PLACE_GARDEN, 1); /* of another place: nothing to do with it */
    ck_assert_str_eq(days_of(0, monday), "x......x......x......x......");
    ck_assert_str_eq(days_of(1, monday + 7), "....x...x..x...x..x...x..x..");
    plan_days(bay, FRIDAY); /* what was put off of a day that is no round day any more is none either */
    ck_assert_str_eq(days_of(1, monday), "....x......x......x......x..");
}
END_TEST

START_TEST(an_area_goes_with_its_round_days)
{
    struct fault fault = {0};
    struct area_row shed = {.name = "Shed"};
    struct list days;
    bool made;

    ck_assert_int_eq(garden_area_add(garden, &shed, &made, &arena, &fault), 0);
    plan_days(shed.id, WEEKDAYS_ALL);
    put_off(shed.id, 20000, 3);
    ck_assert_int_eq(garden_area_remove(garden, shed.id, &arena, &fault), 0);
    ck_assert_int_eq(garden_round_days(garden, &days, &arena, &fault), 0);
    ck_assert_uint_eq(days.count, 0);
}
END_TEST

/* Only a round that went by all of it, today, and on which somebody did something, is that day's. */
START_TEST(a_planned_round_is_walked_by_one_that_goes_by_it)
{
    static const struct {
        int planned, walked; /* 0: whole garden, 1 roof, 2 bay (on the roof) */
        bool counts;
    } row[] = {{0, 0, true}, {0, 1, false}, {1, 0, true}, {1, 1, true}, {1, 2, false}, {2, 1, true}, {2, 2, true}, {2, 0, true}};
    const char *const place[] = {NULL, roof, bay};
    struct fault fault = {0};
    struct walk_map map;
    struct list days;
    struct db *db;
    int32_t today;

    plan_days(ROUND_PLACE_GARDEN, WEEKDAYS_ALL);
    plan_days(roof, WEEKDAYS_ALL);
    plan_days(bay, WEEKDAYS_ALL);
    ck_assert_int_eq(garden_round_days(garden, &days, &arena, &fault), 0);
    ck_assert_int_eq(garden_today(garden, now_ms, &today, &fault), 0);
    for (int walked = 0; walked < 3; walked++) {
        struct round round = make(&tavi, place[walked]);

        for (int turn = 0; turn < 3; turn++) { /* under way; ended, with a stop done; the day after */
            for (size_t i = 0; i < COUNT(row); i++) {
                const char *under_way;
                bool done;

                if (row[i].walked != walked)
                    continue;
                db = store_read(garden->store, &fault);
                ck_assert_int_eq(walk_map_read(db, &map, &arena, &fault), 0);
                ck_assert_int_eq(round_plan_walked(db, &map, (const struct round_days_row *)days.item + row[i].planned, today + (turn == 2), now_ms + HOUR_MS,
                                                   &under_way, &done, &arena, &fault), 0);
                store_done(garden->store, db);
                ck_assert_msg((under_way != NULL) == (row[i].counts && turn == 0), "row %zu, turn %d", i, turn);
                ck_assert_msg(done == (row[i].counts && turn == 1), "row %zu, turn %d", i, turn);
            }
            if (turn == 0) {
                act_ok(&tavi, round.row.id, ROUND_DONE, 1, now_ms);
                act_ok(&tavi, round.row.id, ROUND_END, STORE_NO_INT, now_ms);
            }
        }
        now_ms += DAY_MS; /* the next one stands alone */
        ck_assert_int_eq(garden_today(garden, now_ms, &today, &fault), 0);
    }
}
END_TEST

/* ---- duties ---- */

START_TEST(weeks_end_on_sunday) /* ISO 8601-1 (2019): weeks begin on Monday; days of the week of these dates: any calendar */
{
    static const struct {
        struct civil day, end;
    } row[] = {{{2026, 11, 25}, {2026, 11, 29}}, {{2026, 11, 29}, {2026, 11, 29}}, {{2026, 11, 30}, {2026, 12, 6}}, {{1970, 1, 1}, {1970, 1, 4}}};

    for (size_t i = 0; i < COUNT(row); i++) {
        int32_t day, end;

        ck_assert(days_from_civil(row[i].day, &day) && days_from_civil(row[i].end, &end));
        ck_assert_int_eq(duty_week_end(day), end);
    }
}
END_TEST

static struct duty_row give(const struct who *who, const char *member, const char *of_tank, const char *of_area, int32_t from, int32_t to)
{
    struct duty_row duty = {.member = member, .tank = of_tank, .area = of_area, .from_day = from, .to_day = to};
    struct fault fault = {0};
    bool before;

    ck_assert_msg(garden_duty_add(garden, who, 20000, &duty, &before, &arena, &fault) == 0, "%s %s", fault.item[0].at, fault.item[0].detail);
    return duty;
}

static const char *whose(int32_t day, const char *of_tank)
{
    struct fault fault = {0};
    struct db *db = store_read(garden->store, &fault);
    struct duties_now now;
    struct tank_row row;
    const struct duty_row *duty;

    ck_assert_int_eq(tanks_one(db, of_tank, &row, &arena, &fault), 1);
    ck_assert_int_eq(duties_now_read(db, day, &now, &arena, &fault), 0);
    duty = duties_whose(&now, row.key, row.area_key);
    store_done(garden->store, db);
    return duty ? duty->member_name : "nobody";
}

START_TEST(the_nearest_duty_says_whose)
{
    struct duty_row duty;
    struct fault fault = {0};

    give(&ilka, odo.member_id, NULL, roof, 20000, 20006);
    give(&ilka, tavi.member_id, NULL, bay, 20000, 20006);
    duty = give(&ilka, ilka.member_id, tank[3], NULL, 20002, 20002);
    ck_assert_str_eq(whose(20000, tank[0]), "Odo");
    ck_assert_str_eq(whose(20000, tank[3]), "Tavi");
    ck_assert_str_eq(whose(20002, tank[3]), "Ilka");
    ck_assert_str_eq(whose(20003, tank[3]), "Tavi");
    ck_assert_str_eq(whose(20007, tank[3]), "nobody");
    ck_assert_str_eq(whose(20000, tank[5]), "nobody");
    ck_assert_int_eq(garden_duty_give_back(garden, &odo, duty.id, now_ms, &arena, &fault), -1);
    ck_assert_int_eq(fault.code, FAULT_DENIED);
    ck_assert_int_eq(garden_duty_give_back(garden, &ilka, duty.id, now_ms, &arena, &fault), 0);
    ck_assert_str_eq(whose(20002, tank[3]), "Tavi");
}
END_TEST

/* What a page asks for one tank says the same as Today, and what comes next. */
START_TEST(duties_of_one_tank_come_nearest_first)
{
    struct fault fault = {0};
    struct list duties;
    const struct duty_row *duty;

    give(&ilka, odo.member_id, NULL, roof, 20000, 20006);
    give(&ilka, tavi.member_id, NULL, bay, 20003, 20009);
    give(&ilka, ilka.member_id, tank[3], NULL, 20007, 20013);
    give(&ilka, ilka.member_id, tank[4], NULL, 20000, 20006);
    ck_assert_int_eq(garden_duties(garden, 20000, tank[3], &duties, &arena, &fault), 0);
    ck_assert_uint_eq(duties.count, 3);
    duty = duties.item;
    ck_assert_str_eq(duty[0].tank, tank[3]);
    ck_assert_str_eq(duty[1].area, bay);
    ck_assert_str_eq(duty[2].area, roof);
    for (int32_t day = 20000; day <= 20014; day++) {
        const char *counts = "nobody";

        ck_assert_int_eq(garden_duties(garden, day, tank[3], &duties, &arena, &fault), 0);
        duty = duties.item;
        for (size_t i = duties.count; i-- > 0;)
            if (duty[i].from_day <= day)
                counts = duty[i].member_name;
        ck_assert_str_eq(counts, whose(day, tank[3]));
    }
    ck_assert_int_eq(garden_duties(garden, 20000, tank[5], &duties, &arena, &fault), 0);
    ck_assert_uint_eq(duties.count, 0);
    ck_assert_int_eq(garden_duties(garden, 20000, "nowhere", &duties, &arena, &fault), -1);
    ck_assert_str_eq(fault.item[0].at, "/tank");
}
END_TEST

START_TEST(an_area_goes_with_its_duties)
{
    struct fault fault = {0};
    struct area_row shed = {.name = "Shed"};
    struct list duties;
    bool made;

    ck_assert_int_eq(garden_area_add(garden, &shed, &made, &arena, &fault), 0);
    give(&ilka, odo.member_id, NULL, shed.id, 20000, 20006);
    ck_assert_int_eq(garden_area_remove(garden, shed.id, &arena, &fault), 0);
    ck_assert_int_eq(garden_duties(garden, 20000, NULL, &duties, &arena, &fault), 0);
    ck_assert_uint_eq(duties.count, 0);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("rounds");
    TCase *tcase = tcase_create("rounds");

    tcase_add_checked_fixture(tcase, open_garden, close_garden);
    tcase_set_timeout(tcase, 60);
    tcase_add_test(tcase, stops_come_in_walking_order);
    tcase_add_test(tcase, one_round_is_under_way_at_a_time);
    tcase_add_test(tcase, two_people_never_get_the_same_stop);
    tcase_add_test(tcase, sent_twice_is_done_once);
    tcase_add_test(tcase, skipped_stops_come_back_at_the_end);
    tcase_add_test(tcase, claims_expire_for_who_gives_no_sign);
    tcase_add_test(tcase, halves_go_by_area);
    tcase_add_test(tcase, the_log_says_what_is_done);
    tcase_add_test(tcase, what_came_in_before_the_round_is_no_visit_of_it);
    tcase_add_test(tcase, an_entry_that_comes_late_counts);
    tcase_add_test(tcase, who_did_what_stays_visible);
    tcase_add_test(tcase, a_round_that_nobody_ended_is_over);
    tcase_add_test(tcase, at_once_each_stop_is_somebodys);
    tcase_add_test(tcase, round_days_come_each_week_and_move_when_put_off);
    tcase_add_test(tcase, an_area_goes_with_its_round_days);
    tcase_add_test(tcase, a_planned_round_is_walked_by_one_that_goes_by_it);
    tcase_add_test(tcase, weeks_end_on_sunday);
    tcase_add_test(tcase, the_nearest_duty_says_whose);
    tcase_add_test(tcase, duties_of_one_tank_come_nearest_first);
    tcase_add_test(tcase, an_area_goes_with_its_duties);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
