/* garden.c - opening a garden, its settings, vessels and tanks. */
#include "garden/garden.h"

#include <math.h>
#include <pthread.h>
#include <sodium.h>
#include <stdlib.h>
#include <string.h>

#include "garden/backup.h"
#include "garden/clock.h"
#include "garden/import_garden.h"
#include "garden/jobs.h"
#include "garden/people.h"
#include "garden/readings_import.h"
#include "garden/resend.h"
#include "garden/people_cache.h"
#include "garden/standing.h"
#include "garden/standing_keeper.h"
#include "garden/tank_state.h"
#include "store/entries.h"
#include "store/stage.h"

static int no_memory(struct fault *fault)
{
    return fault_add(fault, FAULT_MEMORY, "", "out of memory");
}

/* ---- the day ---- */

struct garden_day {
    pthread_mutex_t lock;
    int64_t from_ms, to_ms; /* of the day remembered; equal: none is */
    int32_t day;
    uint64_t forgotten;     /* how often: a day worked out by settings that changed meanwhile is not remembered */
};

static struct garden_day *day_new(void)
{
    struct garden_day *day = calloc(1, sizeof *day);

    if (day)
        pthread_mutex_init(&day->lock, NULL);
    return day;
}

static void day_free(struct garden_day *day)
{
    if (day)
        pthread_mutex_destroy(&day->lock);
    free(day);
}

static void forget_day(struct garden *garden)
{
    pthread_mutex_lock(&garden->day->lock);
    garden->day->from_ms = garden->day->to_ms = 0;
    garden->day->forgotten++;
    pthread_mutex_unlock(&garden->day->lock);
}

static bool remembered_day(struct garden *garden, int64_t now_ms, int32_t *today, uint64_t *forgotten)
{
    bool found;

    pthread_mutex_lock(&garden->day->lock);
    found = now_ms >= garden->day->from_ms && now_ms < garden->day->to_ms;
    *today = garden->day->day;
    *forgotten = garden->day->forgotten;
    pthread_mutex_unlock(&garden->day->lock);
    return found;
}

int garden_today(struct garden *garden, int64_t now_ms, int32_t *today, struct fault *fault)
{
    ARENA_HELD arena = {0};
    struct garden_row row;
    uint64_t forgotten;

    if (remembered_day(garden, now_ms, today, &forgotten))
        return 0;
    if (garden_settings(garden, &row, &arena, fault))
        return -1;
    *today = clock_day(row.time_zone, now_ms);
    pthread_mutex_lock(&garden->day->lock);
    if (garden->day->forgotten == forgotten) {
        garden->day->day = *today;
        garden->day->from_ms = clock_day_start_ms(row.time_zone, *today);
        garden->day->to_ms = clock_day_start_ms(row.time_zone, *today + 1);
    }
    pthread_mutex_unlock(&garden->day->lock);
    return 0;
}

/* ---- opening ---- */

static int make_garden(struct db *db, void *context, struct fault *fault)
{
    char id[37];
    struct arena arena = {0};
    struct garden_row row;
    int there = gardens_read(db, &row, &arena, fault);

    (void)context;
    arena_end(&arena);
    if (there)
        return there < 0 ? -1 : 0;
    clock_uuid(id);
    row = (struct garden_row){.id = id,
                              .name = "Garden",
                              .time_zone = "UTC",
                              .latitude_deg = NAN,
                              .elevation_m = NAN,
                              .place = PLACE_OPEN_AIR,
                              .indoor_temperature_c = NAN,
                              .indoor_rh_percent = NAN,
                              .indoor_ppfd_umol = NAN,
                              .indoor_hours = NAN,
                              .lamp_w = NAN,
                              .made_ms = clock_now_ms()};
    return gardens_write(db, &row, fault);
}

struct garden *garden_open(const char *path, struct fault *fault)
{
    struct garden *garden = calloc(1, sizeof *garden);

    if (!garden) {
        no_memory(fault);
        return NULL;
    }
    garden->standings = standing_cache_new();
    garden->people = people_new();
    garden->day = day_new();
    garden->jobs = jobs_new();
    garden->store = store_open(path, fault);
    if (!garden->standings || !garden->people || !garden->day || !garden->jobs || !garden->store || store_write(garden->store, make_garden, NULL, fault)) {
        garden_close(garden);
        return NULL;
    }
    stage_sweep(garden->store);
    readings_import_resume(garden);
    return garden;
}

void garden_close(struct garden *garden)
{
    if (!garden)
        return;
    backup_watch_stop(garden->watch);
    standing_keeper_stop(garden->keeper);
    jobs_free(garden->jobs); /* first: they work on all the rest */
    store_close(garden->store);
    standing_cache_free(garden->standings);
    people_free(garden->people);
    day_free(garden->day);
    free(garden);
}

/* ---- settings ---- */

int garden_settings(struct garden *garden, struct garden_row *row, struct arena *arena, struct fault *fault)
{
    struct db *db = store_read(garden->store, fault);
    int found;

    if (!db)
        return -1;
    found = gardens_read(db, row, arena, fault);
    store_done(garden->store, db);
    return found == 1 ? 0 : -1;
}

static int write_settings(struct db *db, void *context, struct fault *fault)
{
    return gardens_write(db, context, fault);
}

int garden_settings_write(struct garden *garden, const struct garden_row *row, struct fault *fault)
{
    struct garden_row copy = *row;
    const struct month_row *month = row->months.item;
    int failed = 0;

    if (!clock_zone_known(row->time_zone))
        failed = fault_add(fault, FAULT_INPUT, "/time_zone", "must be an IANA zone such as Europe/Lisbon");
    for (size_t i = 0; i < row->months.count; i++)
        if (month[i].tmin_c > month[i].tmax_c)
            failed = fault_add(fault, FAULT_INPUT, "/climate/monthly", "month %zu: tmin_c is above tmax_c", i + 1);
    if (failed || store_write(garden->store, write_settings, &copy, fault))
        return -1;
    forget_day(garden);
    return 0;
}

void garden_replaced(struct garden *garden)
{
    forget_day(garden);
    people_forget(garden->people);
}

/* ---- vessels ---- */

/* Cups that a person placed must lie on the lid; a lid without places gets them laid out. */
static int complete_lid(struct vessel_row *row, struct arena *arena, struct fault *fault)
{
    struct lid lid = {.lid_mm = {row->lid_l_mm, row->lid_w_mm},
                      .corner_mm = row->lid_corner_mm,
                      .hole_mm = row->hole_mm,
                      .edge_mm = row->edge_mm,
                      .spacing_mm = row->spacing_mm,
                      .pattern = row->pattern < 0 ? LID_BEST : (enum lid_pattern)row->pattern};
    struct lid_layout *layout = arena_take(arena, sizeof *layout);
    struct lid_cup *cup;

    if (!layout)
        return no_memory(fault);
    if (isnan(row->lid_l_mm) || row->cups.count)
        return 0;
    if (lid_lay_out(&lid, layout, fault))
        return -1;
    cup = arena_take(arena, layout->count * sizeof *cup);
    if (!cup)
        return no_memory(fault);
    memcpy(cup, layout->cup, layout->count * sizeof *cup);
    row->cups = (struct list){cup, layout->count};
    return 0;
}

int garden_vessel_complete(struct vessel_row *row, struct arena *arena, struct fault *fault)
{
    struct vessel vessel = tank_vessel(row);
    struct fault shape = {0}, lid = {0};
    struct vessel_cups cups;

    if (vessel_check(&vessel, &shape))
        return fault_under(fault, "/shape", &shape);
    row->height_mm = vessel_height_mm(&vessel);
    if (complete_lid(row, arena, &lid))
        return fault_under(fault, "/lid", &lid);
    cups = tank_cups(row);
    if (!isnan(row->cup_height_mm)) {
        struct fault hung = {0};

        if (vessel_cups_check(&vessel, &cups, &hung))
            return fault_under(fault, "/cup", &hung);
    }
    if (isnan(row->start_mm)) {
        if (isnan(row->cup_height_mm))
            return fault_add(fault, FAULT_INPUT, "/start_mm", "needs the start waterline, or the cup's height to find it");
        row->start_mm = row->height_mm - row->cup_height_mm / 2;
    }
    if (!(row->start_mm > 0 && row->start_mm <= row->height_mm))
        return fault_add(fault, FAULT_INPUT, "/start_mm", "must lie between floor and lid (%g mm)", row->height_mm);
    /* A tenth of the fill is what trials left at harvest: "A suspended pot, non-circulating hydroponic method",
     * Acta Horticulturae 648 (2004), abstract. Of the waterline, not of the volume: easier to mark. */
    if (isnan(row->low_mm))
        row->low_mm = row->start_mm / 10;
    if (!(row->low_mm >= 0 && row->low_mm < row->start_mm))
        return fault_add(fault, FAULT_INPUT, "/low_mm", "must lie below the start waterline (%g mm)", row->start_mm);
    return 0;
}

struct vessel_job {
    struct vessel_row *vessel;
    struct arena *arena;
    bool stored_before;
};

/* Lists of pairs of numbers: points, places of cups. */
static bool same_pairs(const struct list *a, const struct list *b)
{
    const double *x = a->item, *y = b->item;

    _Static_assert(sizeof(struct vessel_point) == 2 * sizeof(double) && sizeof(struct lid_cup) == 2 * sizeof(double), "pairs of numbers");
    if (a->count != b->count)
        return false;
    for (size_t i = 0; i < 2 * a->count; i++)
        if (!resend_same_real(x[i], y[i]))
            return false;
    return true;
}

static bool same_vessel(const struct vessel_row *a, const struct vessel_row *b)
{
    const double x[] = {a->floor_l_mm, a->floor_w_mm, a->rim_l_mm, a->rim_w_mm, a->height_mm, a->corner_mm, a->lid_l_mm, a->lid_w_mm,
                        a->lid_corner_mm, a->hole_mm, a->edge_mm, a->spacing_mm, a->cup_height_mm, a->cup_top_mm, a->cup_bottom_mm,
                        a->cup_medium_fraction, a->start_mm, a->low_mm};
    const double y[] = {b->floor_l_mm, b->floor_w_mm, b->rim_l_mm, b->rim_w_mm, b->height_mm, b->corner_mm, b->lid_l_mm, b->lid_w_mm,
                        b->lid_corner_mm, b->hole_mm, b->edge_mm, b->spacing_mm, b->cup_height_mm, b->cup_top_mm, b->cup_bottom_mm,
                        b->cup_medium_fraction, b->start_mm, b->low_mm};

    for (size_t i = 0; i < sizeof x / sizeof *x; i++)
        if (!resend_same_real(x[i], y[i]))
            return false;
    return resend_same_text(a->name, b->name) && a->shape == b->shape && (isnan(a->lid_l_mm) || a->pattern == b->pattern) &&
           same_pairs(&a->points, &b->points) && same_pairs(&a->cups, &b->cups);
}

static int add_vessel(struct db *db, void *context, struct fault *fault)
{
    struct vessel_job *job = context;
    struct vessel_row there;
    int found = vessels_one(db, job->vessel->id, &there, job->arena, fault);

    if (found < 0)
        return -1;
    job->stored_before = found == 1;
    if (!found)
        return vessels_add(db, job->vessel, fault);
    if (!same_vessel(job->vessel, &there))
        return resend_conflict(fault);
    job->vessel->key = there.key;
    return 0;
}

static int change_vessel(struct db *db, void *context, struct fault *fault)
{
    struct vessel_job *job = context;
    struct vessel_row there;
    int found = vessels_one(db, job->vessel->id, &there, job->arena, fault);

    if (found != 1)
        return found ? -1 : fault_add(fault, FAULT_ABSENT, "", "there is no such vessel");
    job->vessel->key = there.key;
    return vessels_change(db, job->vessel, fault);
}

static int give_id(const char **id, struct arena *arena, struct fault *fault)
{
    unsigned char bytes[16];
    char text[37];

    if (*id)
        return uuid_bytes(*id, bytes) ? fault_add(fault, FAULT_INPUT, "/id", "must be a UUID") : 0;
    clock_uuid(text);
    *id = arena_text(arena, text);
    return *id ? 0 : no_memory(fault);
}

int garden_vessel_add(struct garden *garden, struct vessel_row *vessel, bool *stored_before, struct arena *arena, struct fault *fault)
{
    struct vessel_job job = {.vessel = vessel, .arena = arena};

    if (resend_give_id(&vessel->id, arena, fault) || garden_vessel_complete(vessel, arena, fault) ||
        store_write(garden->store, add_vessel, &job, fault))
        return -1;
    *stored_before = job.stored_before;
    return 0;
}

int garden_vessel_change(struct garden *garden, struct vessel_row *vessel, struct arena *arena, struct fault *fault)
{
    struct vessel_job job = {.vessel = vessel, .arena = arena};

    return garden_vessel_complete(vessel, arena, fault) || store_write(garden->store, change_vessel, &job, fault) ? -1 : 0;
}

/* ---- tanks ---- */

/* Capitals and digits that nobody takes for one another, on a label or by phone. */
static const char code_letters[] = "23456789ABCDEFGHJKMNPQRSTVWXYZ";
#define CODE_LENGTH 6
#define CODE_MOST 16 /* shorter than any id: tanks_one tells them apart by it */

static void make_code(char code[CODE_LENGTH + 1])
{
    for (int i = 0; i < CODE_LENGTH; i++)
        code[i] = code_letters[randombytes_uniform(sizeof code_letters - 1)];
    code[CODE_LENGTH] = '\0';
}

struct tank_job {
    struct tank_row *tank;
    struct arena *arena;
    bool stored_before;
};

static int find_places(struct db *db, struct tank_row *tank, struct arena *arena, struct fault *fault)
{
    struct vessel_row vessel;
    int found = vessels_one(db, tank->vessel, &vessel, arena, fault);

    if (found < 0)
        return -1;
    if (!found)
        return fault_add(fault, FAULT_INPUT, "/vessel", "there is no such vessel");
    tank->vessel_key = vessel.key;
    tank->area_key = STORE_NO_INT;
    if (!tank->area)
        return 0;
    found = tanks_area_key(db, tank->area, &tank->area_key, fault);
    return found == 0 ? fault_add(fault, FAULT_INPUT, "/area", "there is no such area") : found < 0 ? -1 : 0;
}

/* A code that the sender brings must read like those that are drawn, and be nobody else's. */
static int check_code(struct db *db, const char *code, struct arena *arena, struct fault *fault)
{
    struct tank_row there;
    int found;

    if (strlen(code) >= CODE_MOST || strspn(code, "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ") != strlen(code))
        return fault_add(fault, FAULT_INPUT, "/code", "must be capitals and digits, at most %d of them", CODE_MOST - 1);
    found = tanks_one(db, code, &there, arena, fault);
    return found == 1 ? fault_add(fault, FAULT_CONFLICT, "/code", "another tank has this code") : found;
}

static int draw_code(struct db *db, struct tank_row *tank, struct arena *arena, struct fault *fault)
{
    struct tank_row there;
    char code[CODE_LENGTH + 1];
    int found;

    do {
        make_code(code);
        found = tanks_one(db, code, &there, arena, fault);
    } while (found == 1);
    tank->code = found ? NULL : arena_text(arena, code);
    return tank->code ? 0 : found ? -1 : no_memory(fault);
}

static bool same_tank(const struct tank_row *there, const struct tank_row *told)
{
    return resend_same_text(there->name, told->name) && resend_same_text(there->vessel, told->vessel) && resend_same_text(there->area, told->area) &&
           resend_same_real(there->walk_order, told->walk_order) && resend_same_real(there->lamp_w, told->lamp_w) && there->retired == told->retired &&
           (!told->code || resend_same_text(there->code, told->code));
}

static int add_tank(struct db *db, void *context, struct fault *fault)
{
    struct tank_job *job = context;
    struct tank_row *tank = job->tank, there;
    int found = tanks_one(db, tank->id, &there, job->arena, fault);

    if (found < 0 || find_places(db, tank, job->arena, fault))
        return -1;
    if (found) {
        if (!same_tank(&there, tank))
            return fault_add(fault, FAULT_CONFLICT, "/id", "this id is a tank already, another one");
        *tank = there;
        job->stored_before = true;
        return 0;
    }
    if (tank->code ? check_code(db, tank->code, job->arena, fault) : draw_code(db, tank, job->arena, fault))
        return -1;
    if (tanks_add(db, tank, fault) || (tank->retired && tanks_change(db, tank, fault)))
        return -1;
    return tanks_one(db, tank->id, tank, job->arena, fault) == 1 ? 0 : -1;
}

int garden_tank_add(struct garden *garden, struct tank_row *tank, bool *stored_before, struct arena *arena, struct fault *fault)
{
    struct tank_job job = {.tank = tank, .arena = arena};

    if (give_id(&tank->id, arena, fault) || store_write(garden->store, add_tank, &job, fault))
        return -1;
    *stored_before = job.stored_before;
    return 0;
}

static int change_tank(struct db *db, void *context, struct fault *fault)
{
    struct tank_job *job = context;

    if (find_places(db, job->tank, job->arena, fault) || tanks_change(db, job->tank, fault))
        return -1;
    return tanks_one(db, job->tank->id, job->tank, job->arena, fault) == 1 ? 0 : -1;
}

int garden_tank_change(struct garden *garden, struct tank_row *tank, struct arena *arena, struct fault *fault)
{
    struct tank_job job = {.tank = tank, .arena = arena};

    return store_write(garden->store, change_tank, &job, fault);
}
