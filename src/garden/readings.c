/* readings.c - keeping what sensors tell. */
#include "garden/readings.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "calc/vessel.h"
#include "garden/tank_state.h"
#include "store/tanks.h"
#include "store/vessels.h"

/* Plants drink a few millimetres an hour at most, and water poured in is confirmed by the two readings after it. */
const struct sense_reach sense_reach[4] = {{10, 2}, {0.3, 0.05}, {0.5, 0.05}, {3, 1}};

#define SAMPLES 8 /* a stuck float is looked for at so many moments */

/* ---- what speaks against it ---- */

static double value_of(const struct sensed *reading, int quantity)
{
    const double value[4] = {reading->waterline_mm, reading->ec_ms_cm, reading->ph, reading->temperature_c};

    return value[quantity];
}

/* The two before it say nearly the same, though they were not believed: then it is a new level, not a slip. */
static bool confirmed(double value, int quantity, const struct sensed *before, size_t count)
{
    size_t agree = 0;

    for (size_t i = 0; i < count && agree < 2; i++) {
        if (isnan(value_of(&before[i], quantity)))
            continue;
        if (!(fabs(value_of(&before[i], quantity) - value) <= sense_reach[quantity].at_once))
            return false;
        agree++;
    }
    return agree == 2;
}

static bool jumps(const struct sensed *reading, int quantity, const struct sensed *before, size_t count)
{
    double value = value_of(reading, quantity), reach;
    bool any = false;

    if (isnan(value))
        return false;
    for (size_t i = 0; i < count; i++) {
        if (isnan(value_of(&before[i], quantity)))
            continue;
        any = true;
        if (before[i].odd & ODD_NOT_BELIEVED)
            continue;
        reach = sense_reach[quantity].at_once + sense_reach[quantity].an_hour * (double)(reading->at_ms - before[i].at_ms) / 3600000;
        return fabs(value - value_of(&before[i], quantity)) > reach && !confirmed(value, quantity, before, count);
    }
    return any && !confirmed(value, quantity, before, count); /* all before it were odd */
}

int64_t sense_odd(const struct sensed *reading, int64_t clock_off_ms, const struct sensed *before, size_t count)
{
    int64_t ahead_ms = reading->at_ms - reading->received_ms, odd = 0;

    if (ahead_ms > SENSE_CLOCK_MS || -ahead_ms > SENSE_OLD_MS || (clock_off_ms != STORE_NO_INT && llabs(clock_off_ms) > SENSE_CLOCK_MS))
        return ODD_CLOCK; /* what it is held against would be the wrong neighbour */
    for (int quantity = 0; quantity < 4; quantity++)
        if (jumps(reading, quantity, before, count))
            odd = ODD_JUMP;
    return odd;
}

/* Nothing has moved since the longest that water stands still: looked for at a few moments, however many readings lie between. */
static int stuck(struct db *db, const struct sensed *reading, const struct sensed *before, size_t count, struct fault *fault)
{
    int64_t span_ms = isnan(reading->temperature_c) ? SENSE_STUCK_MS : SENSE_STUCK_WARM_MS;

    if (!count || !sensed_same(reading, &before[0]))
        return 0;
    for (int64_t k = SAMPLES; k > 0; k--) {
        struct sensed then[SENSED_BEFORE];
        int64_t at_ms = reading->at_ms - span_ms * k / SAMPLES;
        size_t found;

        if (sensed_before(db, reading, at_ms, then, &found, fault))
            return -1;
        if (!found || at_ms - then[0].at_ms > span_ms / SAMPLES || !sensed_same(reading, &then[0]))
            return 0;
    }
    return 1;
}

static int find_odd(struct db *db, struct sensed *reading, int64_t clock_off_ms, struct fault *fault)
{
    struct sensed before[SENSED_BEFORE];
    size_t count;
    int found;

    if (sensed_before(db, reading, reading->at_ms, before, &count, fault))
        return -1;
    reading->odd |= sense_odd(reading, clock_off_ms, before, count);
    if (reading->odd & ODD_CLOCK)
        return 0;
    found = sensed_after(db, reading, fault);
    if (found == 1)
        reading->odd |= clock_off_ms == STORE_NO_INT ? ODD_ORDER : ODD_LATE;
    if (found < 0 || (found = stuck(db, reading, before, count, fault)) < 0)
        return -1;
    reading->odd |= found ? ODD_STUCK : 0;
    return 0;
}

int readings_keep(struct db *db, struct sensed *reading, int64_t clock_off_ms, bool *known, struct fault *fault)
{
    struct sensed first;
    int64_t count;

    *known = false;
    reading->odd = 0;
    sensed_round(reading);
    if (sensed_of_moment(db, reading, &first, &count, fault))
        return -1;
    if (count && sensed_same(&first, reading)) {
        bool reveals = first.hidden && !reading->import; /* brought by a table that may yet come to nothing */

        *reading = first;
        *known = true;
        return reveals && (sensed_reveal(db, reading, fault) || tanks_touch(db, reading->tank_key, fault)) ? -1 : 0;
    }
    reading->again = count;
    if (count)
        reading->odd = ODD_AGAIN;
    if (find_odd(db, reading, clock_off_ms, fault) || sensed_add(db, reading, fault))
        return -1;
    return reading->import || (reading->odd & ODD_NOT_BELIEVED) ? 0 : tanks_touch(db, reading->tank_key, fault);
}

/* ---- many at once ---- */

struct readings_job {
    const struct who *who;
    const struct readings_told *told;
    int64_t sensor_key;
    struct reading_kept *kept; /* one for each told */
    struct arena *arena;
    struct tank_row tank;      /* the last one named, with its vessel's height */
    double height_mm;
};

static int find_sensor(struct db *db, struct readings_job *job, struct fault *fault)
{
    struct sensor_row sensor;
    int found;

    job->sensor_key = job->who->sensor;
    if (job->who->role == ROLE_SENSOR)
        return job->told->sensor ? fault_add(fault, FAULT_INPUT, "/sensor", "a sensor's key speaks for that sensor alone") : 0;
    if (!job->told->sensor)
        return fault_add(fault, FAULT_INPUT, "/sensor", "which sensor told this? Its own key says so by itself");
    found = sensors_one(db, job->told->sensor, &sensor, job->arena, fault);
    if (found == 1 && sensor.revoked_ms != STORE_NO_INT)
        found = 0;
    job->sensor_key = sensor.key;
    return found == 1 ? 0 : found ? -1 : fault_add(fault, FAULT_INPUT, "/sensor", "there is no such sensor");
}

/* Readings of one tank mostly come together: it is looked up once. */
static int find_tank(struct db *db, struct readings_job *job, const char *name, const char *at, struct fault *fault)
{
    struct vessel_row vessel;
    int found;

    if (job->tank.id && (strcmp(job->tank.id, name) == 0 || strcmp(job->tank.code, name) == 0))
        return 0;
    found = tanks_one(db, name, &job->tank, job->arena, fault);
    if (found != 1) {
        job->tank.id = NULL;
        return found ? -1 : fault_add(fault, FAULT_INPUT, at, "there is no such tank");
    }
    found = sensors_may(db, job->sensor_key, job->tank.key, fault);
    if (found != 1) {
        job->tank.id = NULL;
        return found ? -1 : fault_add(fault, FAULT_DENIED, at, "this sensor is not for that tank");
    }
    if (vessels_by_key(db, job->tank.vessel_key, &vessel, job->arena, fault) != 1)
        return -1;
    job->height_mm = vessel.height_mm;
    return 0;
}

static int check_level(const struct reading_told *told, double height_mm, size_t n, double *waterline_mm, struct fault *fault)
{
    bool gap = !isnan(told->air_gap_mm);
    char at[48];

    snprintf(at, sizeof at, "/readings/%zu/%s", n, gap ? "air_gap_mm" : "waterline_mm");
    if (gap && !isnan(told->waterline_mm))
        return fault_add(fault, FAULT_INPUT, at, "give the waterline or the air gap, not both");
    *waterline_mm = gap ? height_mm - told->air_gap_mm : told->waterline_mm;
    if (*waterline_mm > height_mm || *waterline_mm < 0)
        return fault_add(fault, FAULT_INPUT, at, "the vessel is only %g mm high", height_mm);
    if (isnan(*waterline_mm) && isnan(told->ec_ms_cm) && isnan(told->ph) && isnan(told->temperature_c)) {
        snprintf(at, sizeof at, "/readings/%zu", n);
        return fault_add(fault, FAULT_INPUT, at, "a reading needs at least one value");
    }
    return 0;
}

/* Every row is looked at before any is kept: the sender hears of all faults at once. */
static int check_all(struct db *db, struct readings_job *job, struct fault *fault)
{
    const struct reading_told *told = job->told->readings.item;
    int failed = 0;

    for (size_t i = 0; i < job->told->readings.count; i++) {
        double waterline_mm = NAN;
        char at[40];

        snprintf(at, sizeof at, "/readings/%zu/tank", i);
        if (find_tank(db, job, told[i].tank, at, fault) || check_level(&told[i], job->height_mm, i, &waterline_mm, fault)) {
            failed = -1;
            continue;
        }
        job->kept[i] = (struct reading_kept){
            .tank = job->tank.id,
            .reading = {.tank_key = job->tank.key, .sensor_key = job->sensor_key, .at_ms = told[i].at_ms, .received_ms = job->told->received_ms,
                        .waterline_mm = waterline_mm, .ec_ms_cm = told[i].ec_ms_cm, .ph = told[i].ph, .temperature_c = told[i].temperature_c}};
    }
    return failed;
}

static int by_moment(const void *a, const void *b)
{
    const struct reading_kept *x = *(struct reading_kept *const *)a, *y = *(struct reading_kept *const *)b;

    return x->reading.at_ms != y->reading.at_ms ? (x->reading.at_ms > y->reading.at_ms) - (x->reading.at_ms < y->reading.at_ms) : (x > y) - (x < y);
}

static int keep_all(struct db *db, void *context, struct fault *fault)
{
    struct readings_job *job = context;
    size_t count = job->told->readings.count;
    struct reading_kept **order = arena_take(job->arena, (count + 1) * sizeof *order);
    int64_t off_ms = job->told->sent_ms == STORE_NO_INT ? STORE_NO_INT : job->told->received_ms - job->told->sent_ms;

    if (!order)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    if (find_sensor(db, job, fault) || check_all(db, job, fault))
        return -1;
    for (size_t i = 0; i < count; i++)
        order[i] = &job->kept[i];
    qsort(order, count, sizeof *order, by_moment);
    for (size_t i = 0; i < count; i++)
        if (readings_keep(db, &order[i]->reading, off_ms, &order[i]->known, fault))
            return -1;
    return 0;
}

int garden_readings(struct garden *garden, const struct who *who, const struct readings_told *told, struct list *kept, struct arena *arena,
                    struct fault *fault)
{
    struct readings_job job = {.who = who, .told = told, .arena = arena};

    job.kept = arena_list(arena, kept, told->readings.count, sizeof *job.kept);
    if (!job.kept)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    return store_write(garden->store, keep_all, &job, fault);
}

int readings_flags(const struct sensed *reading, struct list *flags, struct arena *arena, struct fault *fault)
{
    static const struct {
        int64_t odd;
        const char *word;
    } words[] = {{ODD_AGAIN, "told_again"}, {ODD_ORDER, "out_of_order"}, {ODD_CLOCK, "clock_off"}, {ODD_STUCK, "stuck"}, {ODD_JUMP, "jump"}, {ODD_LATE, "late"}};
    const char **word = arena_take(arena, (sizeof words / sizeof *words + 1) * sizeof *word);

    if (!word)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    *flags = (struct list){word, 0};
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        if (reading->odd & words[i].odd)
            word[flags->count++] = words[i].word;
    if (reading->doubted)
        word[flags->count++] = "doubted";
    return 0;
}

/* ---- what is not believed ---- */

bool readings_not_believed(const struct sensed *reading)
{
    return (reading->odd & ODD_NOT_BELIEVED) || reading->doubted;
}

/* One page after the other, since the file holds no list of odd ones: of a week there are some ten thousand at most. */
int readings_odd_of(struct db *db, int64_t tank_key, int64_t from_ms, int64_t to_ms, size_t most, struct readings_odd *odd, struct arena *arena,
                    struct fault *fault)
{
    struct sensed_page page = {.tank_key = tank_key, .from_ms = from_ms, .before_ms = to_ms, .limit = 2000};
    struct sensed *kept;
    struct list found;

    *odd = (struct readings_odd){.from_ms = from_ms};
    kept = arena_list(arena, &odd->readings, most, sizeof *kept);
    if (!kept)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    odd->readings.count = 0;
    do {
        ARENA_HELD work = {0};
        const struct sensed *reading;

        if (sensed_page(db, &page, &found, &work, fault))
            return -1;
        reading = found.item;
        for (size_t i = 0; i < found.count; i++) {
            if (!readings_not_believed(&reading[i]))
                continue;
            if (odd->readings.count < most)
                kept[odd->readings.count++] = reading[i]; /* it holds no text: it outlives the page */
            odd->odd++;
        }
        odd->looked += (int64_t)found.count;
        if (found.count) {
            page.before_ms = reading[found.count - 1].at_ms;
            page.before_sensor = reading[found.count - 1].sensor_key;
            page.before_again = reading[found.count - 1].again;
        }
    } while (found.count == (size_t)page.limit && odd->looked < READINGS_LOOKED);
    if (found.count == (size_t)page.limit)
        odd->from_ms = page.before_ms;
    return 0;
}
