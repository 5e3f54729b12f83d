/* sensed.c - readings of sensors in the file. */
#include "store/sensed.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "store/doubts.h"
#include "store/entries.h"

/* Rows looked at for a stretch: enough for three sensors at one tank, few enough to cost the same in every year. */
#define STRETCH_ROWS 12
#define STRETCH_LAST_MS ((int64_t)60 * 60 * 1000)

/* What speaks against a reading stands in the low bits of odd, the number of the import that brought it above them. */
#define ODD_BITS 8
#define ODD_MASK ((1 << ODD_BITS) - 1)

#define COLUMNS "SELECT tank, at_ms, sensor, again, late_s, odd, waterline, ec, ph, temperature"
#define SENSED_COLUMNS COLUMNS " FROM sensed "
#define UNDER_WAY "(SELECT under_way FROM sensed_import WHERE one = 1)"
#define SEEN "(odd < 256 OR odd >> 8 IS NOT " UNDER_WAY ") "
#define SEEN_BY "(odd < 256 OR odd >> 8 = :import OR odd >> 8 IS NOT " UNDER_WAY ") "

enum { ADD, OF_MOMENT, REVEAL, BEFORE, AFTER, STRETCH, PAGE, REST };

const struct query sensed_queries[] = {
    [ADD] = {"sensed_add", "INSERT INTO sensed (tank, at_ms, sensor, again, late_s, odd, waterline, ec, ph, temperature) "
                           "VALUES (:tank, :at_ms, :sensor, :again, :late_s, :odd, :waterline, :ec, :ph, :temperature)"},
    [OF_MOMENT] = {"sensed_of_moment", COLUMNS ", odd >= 256 AND odd >> 8 IS " UNDER_WAY " FROM sensed WHERE tank = :tank AND at_ms = :at_ms AND sensor = :sensor ORDER BY again"},
    [REVEAL] = {"sensed_reveal", "UPDATE sensed SET odd = odd & 255 WHERE tank = :tank AND at_ms = :at_ms AND sensor = :sensor AND again = :again"},
    [BEFORE] = {"sensed_before", SENSED_COLUMNS "WHERE tank = :tank AND at_ms <= :at_ms AND " SEEN_BY "ORDER BY at_ms DESC, sensor DESC, again DESC LIMIT :limit"},
    [AFTER] = {"sensed_after", "SELECT sensor, odd FROM sensed WHERE tank = :tank AND at_ms > :at_ms AND " SEEN_BY "ORDER BY at_ms DESC LIMIT 64"},
    [STRETCH] = {"sensed_stretch", SENSED_COLUMNS "WHERE tank = :tank AND at_ms < :before_ms AND at_ms >= :from_ms AND " SEEN
                                                  "ORDER BY at_ms DESC, sensor DESC, again DESC LIMIT :limit"},
    [PAGE] = {"sensed_page", SENSED_COLUMNS "WHERE tank = :tank AND at_ms >= :from_ms AND (at_ms, sensor, again) < (:before_ms, :before_sensor, :before_again) AND " SEEN
                                            "ORDER BY at_ms DESC, sensor DESC, again DESC LIMIT :limit"},
    [REST] = {"sensed_rest", SENSED_COLUMNS "WHERE tank = :tank AND (at_ms, sensor, again) > (:at_ms, :sensor, :again) AND " SEEN
                                            "ORDER BY at_ms, sensor, again LIMIT :limit"},
};
const size_t sensed_queries_count = sizeof sensed_queries / sizeof *sensed_queries;

/* ---- one reading ---- */

static const double per_unit[] = {10, 1000, 100, 100}; /* waterline, EC, pH, temperature */

static int64_t packed(double value, int quantity)
{
    return isnan(value) ? STORE_NO_INT : (int64_t)llround(value * per_unit[quantity]);
}

static double unpacked(int64_t value, int quantity)
{
    return value == STORE_NO_INT ? (double)NAN : (double)value / per_unit[quantity];
}

void sensed_round(struct sensed *reading)
{
    reading->waterline_mm = unpacked(packed(reading->waterline_mm, 0), 0);
    reading->ec_ms_cm = unpacked(packed(reading->ec_ms_cm, 1), 1);
    reading->ph = unpacked(packed(reading->ph, 2), 2);
    reading->temperature_c = unpacked(packed(reading->temperature_c, 3), 3);
}

static int64_t late_s(const struct sensed *reading)
{
    return (int64_t)floor((double)(reading->received_ms - reading->at_ms) / 1000);
}

bool sensed_same(const struct sensed *a, const struct sensed *b)
{
    return packed(a->waterline_mm, 0) == packed(b->waterline_mm, 0) && packed(a->ec_ms_cm, 1) == packed(b->ec_ms_cm, 1) &&
           packed(a->ph, 2) == packed(b->ph, 2) && packed(a->temperature_c, 3) == packed(b->temperature_c, 3);
}

static struct sensed read_sensed(sqlite3_stmt *stmt)
{
    struct sensed reading = {.tank_key = stmt_get_int(stmt, 0), .at_ms = stmt_get_int(stmt, 1), .sensor_key = stmt_get_int(stmt, 2),
                             .again = stmt_get_int(stmt, 3), .odd = stmt_get_int(stmt, 5) & ODD_MASK, .import = stmt_get_int(stmt, 5) >> ODD_BITS};

    reading.received_ms = reading.at_ms + stmt_get_int(stmt, 4) * 1000;
    reading.waterline_mm = unpacked(stmt_get_int(stmt, 6), 0);
    reading.ec_ms_cm = unpacked(stmt_get_int(stmt, 7), 1);
    reading.ph = unpacked(stmt_get_int(stmt, 8), 2);
    reading.temperature_c = unpacked(stmt_get_int(stmt, 9), 3);
    return reading;
}

int sensed_add(struct db *db, const struct sensed *reading, struct fault *fault)
{
    STMT_HELD *add = stmt_take(db, &sensed_queries[ADD], fault);

    if (!add)
        return -1;
    stmt_int(add, ":tank", reading->tank_key);
    stmt_int(add, ":at_ms", reading->at_ms);
    stmt_int(add, ":sensor", reading->sensor_key);
    stmt_int(add, ":again", reading->again);
    stmt_int(add, ":late_s", late_s(reading));
    stmt_int(add, ":odd", reading->odd | reading->import << ODD_BITS);
    stmt_int(add, ":waterline", packed(reading->waterline_mm, 0));
    stmt_int(add, ":ec", packed(reading->ec_ms_cm, 1));
    stmt_int(add, ":ph", packed(reading->ph, 2));
    stmt_int(add, ":temperature", packed(reading->temperature_c, 3));
    return stmt_run(add, fault);
}

int sensed_of_moment(struct db *db, const struct sensed *reading, struct sensed *first, int64_t *count, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &sensed_queries[OF_MOMENT], fault);
    int more;

    if (!stmt)
        return -1;
    stmt_int(stmt, ":tank", reading->tank_key);
    stmt_int(stmt, ":at_ms", reading->at_ms);
    stmt_int(stmt, ":sensor", reading->sensor_key);
    for (*count = 0; (more = stmt_step(stmt, fault)) == 1; *count = stmt_get_int(stmt, 3) + 1) {
        struct sensed found = read_sensed(stmt);

        found.hidden = stmt_get_int(stmt, 10) != 0;
        if (*count == 0 || sensed_same(&found, reading))
            *first = found;
    }
    return more;
}

int sensed_reveal(struct db *db, const struct sensed *reading, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &sensed_queries[REVEAL], fault);

    if (!stmt)
        return -1;
    stmt_int(stmt, ":tank", reading->tank_key);
    stmt_int(stmt, ":at_ms", reading->at_ms);
    stmt_int(stmt, ":sensor", reading->sensor_key);
    stmt_int(stmt, ":again", reading->again);
    return stmt_run(stmt, fault);
}

int sensed_before(struct db *db, const struct sensed *reading, int64_t at_ms, struct sensed found[SENSED_BEFORE], size_t *count, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &sensed_queries[BEFORE], fault);
    int more;

    if (!stmt)
        return -1;
    stmt_int(stmt, ":tank", reading->tank_key);
    stmt_int(stmt, ":import", reading->import);
    stmt_int(stmt, ":at_ms", at_ms);
    stmt_int(stmt, ":limit", SENSED_BEFORE);
    *count = 0;
    while ((more = stmt_step(stmt, fault)) == 1) {
        found[*count] = read_sensed(stmt);
        *count += found[*count].sensor_key == reading->sensor_key;
    }
    return more;
}

int sensed_after(struct db *db, const struct sensed *reading, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &sensed_queries[AFTER], fault);
    int more;

    if (!stmt)
        return -1;
    stmt_int(stmt, ":tank", reading->tank_key);
    stmt_int(stmt, ":import", reading->import);
    stmt_int(stmt, ":at_ms", reading->at_ms);
    while ((more = stmt_step(stmt, fault)) == 1)
        if (stmt_get_int(stmt, 0) == reading->sensor_key && !(stmt_get_int(stmt, 1) & ODD_CLOCK))
            return 1;
    return more;
}

/* ---- thinned ---- */

struct thinning {
    struct db *db;
    const struct sensed_ask *ask;
    struct list doubts;
    struct list *readings;
    size_t room;
    struct arena *arena;
    struct fault *fault;
};

/* Where the stretch begins in which this moment lies. */
static int64_t begin_of(const struct sensed_ask *ask, int64_t at_ms)
{
    const struct sensed_step *step = ask->steps;
    int64_t begin;

    while (ask->to_ms - at_ms > step->age_ms)
        step++;
    begin = at_ms - (at_ms < 0 ? 0 : at_ms % step->every_ms); /* before 1970 lies no stretch */
    for (size_t i = 0; i < ask->cut_count && ask->cuts[i] <= at_ms; i++)
        if (ask->cuts[i] > begin)
            begin = ask->cuts[i];
    return begin > ask->from_ms ? begin : ask->from_ms;
}

static int read_rows(struct thinning *work, int64_t before_ms, struct sensed row[STRETCH_ROWS], size_t *count)
{
    STMT_HELD *stmt = stmt_take(work->db, &sensed_queries[STRETCH], work->fault);
    int more;

    if (!stmt)
        return -1;
    stmt_int(stmt, ":tank", work->ask->tank_key);
    stmt_int(stmt, ":from_ms", work->ask->from_ms);
    stmt_int(stmt, ":before_ms", before_ms);
    stmt_int(stmt, ":limit", STRETCH_ROWS);
    for (*count = 0; (more = stmt_step(stmt, work->fault)) == 1; ++*count)
        row[*count] = read_sensed(stmt);
    return more;
}

static int by_waterline(const void *a, const void *b)
{
    double x = ((const struct sensed *)a)->waterline_mm, y = ((const struct sensed *)b)->waterline_mm;

    return (x > y) - (x < y);
}

/* Puts the newest value of a quantity that the middle one does not tell beside it. */
static void fill_in(struct sensed *middle, const struct sensed *row, size_t count)
{
    middle->ec_ms_cm = middle->ph = middle->temperature_c = NAN;
    for (size_t i = 0; i < count; i++) { /* newest first */
        if (isnan(middle->ec_ms_cm))
            middle->ec_ms_cm = row[i].ec_ms_cm;
        if (isnan(middle->ph))
            middle->ph = row[i].ph;
        if (isnan(middle->temperature_c))
            middle->temperature_c = row[i].temperature_c;
    }
}

/* One of the rows stands for the stretch that began at begin; none where none is believed. Rows come newest first. */
static int keep_middle(struct thinning *work, const struct sensed *row, size_t count, int64_t begin_ms)
{
    struct sensed good[STRETCH_ROWS], level[STRETCH_ROWS], *kept;
    size_t goods = 0, levels = 0;

    for (size_t i = 0; i < count && row[i].at_ms >= begin_ms; i++) {
        if ((row[i].odd & ODD_NOT_BELIEVED) || doubts_cover(&work->doubts, row[i].sensor_key, row[i].at_ms))
            continue;
        if (goods && good[0].at_ms - row[i].at_ms > STRETCH_LAST_MS)
            break;
        good[goods++] = row[i];
        if (!isnan(row[i].waterline_mm))
            level[levels++] = row[i];
    }
    if (!goods)
        return 0;
    if (levels)
        qsort(level, levels, sizeof *level, by_waterline);
    work->readings->item = arena_grow(work->arena, work->readings->item, work->readings->count, &work->room, sizeof *kept);
    if (!work->readings->item)
        return fault_add(work->fault, FAULT_MEMORY, "", "out of memory");
    kept = (struct sensed *)work->readings->item + work->readings->count++;
    *kept = levels ? level[levels / 2] : good[0];
    fill_in(kept, good, goods);
    return 0;
}

static void turn_round(struct list *readings)
{
    struct sensed *reading = readings->item;

    for (size_t i = 0, j = readings->count; i + 1 < j; i++) {
        struct sensed other = reading[i];

        reading[i] = reading[--j];
        reading[j] = other;
    }
}

int sensed_thinned(struct db *db, const struct sensed_ask *ask, struct list *readings, struct arena *arena, struct fault *fault)
{
    struct thinning work = {.db = db, .ask = ask, .readings = readings, .arena = arena, .fault = fault};
    struct sensed row[STRETCH_ROWS];
    int64_t before_ms = ask->to_ms;
    size_t count;

    *readings = (struct list){NULL, 0};
    while (before_ms > ask->from_ms) {
        if (read_rows(&work, before_ms, row, &count))
            return -1;
        if (!count)
            break;
        if (!readings->count && !work.doubts.item && doubts_of_tank(db, ask->tank_key, &work.doubts, arena, fault))
            return -1;
        before_ms = begin_of(ask, row[0].at_ms); /* stretches without any are passed over */
        if (keep_middle(&work, row, count, before_ms))
            return -1;
    }
    turn_round(readings);
    return 0;
}

/* ---- as they came ---- */

static int read_list(struct db *db, sqlite3_stmt *stmt, int64_t tank_key, struct list *readings, struct arena *arena, struct fault *fault)
{
    struct list doubts = {NULL, 0};
    size_t room = 0;
    int more;

    *readings = (struct list){NULL, 0};
    if (doubts_of_tank(db, tank_key, &doubts, arena, fault))
        return -1;
    while ((more = stmt_step(stmt, fault)) == 1) {
        struct sensed *reading;

        readings->item = arena_grow(arena, readings->item, readings->count, &room, sizeof *reading);
        if (!readings->item)
            return fault_add(fault, FAULT_MEMORY, "", "out of memory");
        reading = (struct sensed *)readings->item + readings->count++;
        *reading = read_sensed(stmt);
        reading->doubted = doubts_cover(&doubts, reading->sensor_key, reading->at_ms);
    }
    return more;
}

int sensed_page(struct db *db, const struct sensed_page *page, struct list *readings, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &sensed_queries[PAGE], fault);

    if (!stmt)
        return -1;
    stmt_int(stmt, ":tank", page->tank_key);
    stmt_int(stmt, ":from_ms", page->from_ms);
    stmt_int(stmt, ":before_ms", page->before_ms);
    stmt_int(stmt, ":before_sensor", page->before_sensor);
    stmt_int(stmt, ":before_again", page->before_again);
    stmt_int(stmt, ":limit", page->limit);
    return read_list(db, stmt, page->tank_key, readings, arena, fault);
}

int sensed_rest(struct db *db, const struct sensed *after, int64_t limit, struct list *readings, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &sensed_queries[REST], fault);

    if (!stmt)
        return -1;
    stmt_int(stmt, ":tank", after->tank_key);
    stmt_int(stmt, ":at_ms", after->at_ms);
    stmt_int(stmt, ":sensor", after->sensor_key);
    stmt_int(stmt, ":again", after->again);
    stmt_int(stmt, ":limit", limit);
    return read_list(db, stmt, after->tank_key, readings, arena, fault);
}

/* ---- names ---- */

/* 48 bits of the moment, 12 of again, 14 of the sensor, 48 of the tank; RFC 9562 (2024), section 5.8. */
void sensed_name(const struct sensed *reading, char text[37])
{
    uint64_t at = (uint64_t)reading->at_ms;

    snprintf(text, 37, "%08x-%04x-8%03x-%04x-%012llx", (unsigned)(at >> 16 & 0xffffffff), (unsigned)(at & 0xffff),
             (unsigned)reading->again & 0xfff, 0x8000u | ((unsigned)reading->sensor_key & 0x3fff),
             (unsigned long long)reading->tank_key & 0xffffffffffff);
}

static uint64_t digits(const unsigned char *byte, size_t count)
{
    uint64_t value = 0;

    while (count--)
        value = value << 8 | *byte++;
    return value;
}

bool sensed_of_name(const char *text, struct sensed *reading)
{
    unsigned char byte[16];

    if (uuid_bytes(text, byte) || byte[6] >> 4 != 8 || byte[8] >> 6 != 2)
        return false;
    *reading = (struct sensed){.at_ms = (int64_t)digits(byte, 6),
                               .again = (int64_t)(digits(byte + 6, 2) & 0xfff),
                               .sensor_key = (int64_t)(digits(byte + 8, 2) & 0x3fff),
                               .tank_key = (int64_t)digits(byte + 10, 6),
                               .waterline_mm = NAN, .ec_ms_cm = NAN, .ph = NAN, .temperature_c = NAN};
    return true;
}

int sensed_entry(const struct sensed *reading, struct entry *entry, struct arena *arena, struct fault *fault)
{
    char name[37];

    sensed_name(reading, name);
    *entry = entry_blank();
    entry->id = arena_text(arena, name);
    entry->tank_key = reading->tank_key;
    entry->kind = ENTRY_READING;
    entry->at_ms = reading->at_ms;
    entry->received_ms = reading->received_ms;
    entry->method = METHOD_SENSOR;
    entry->sensor_key = reading->sensor_key;
    entry->waterline_mm = reading->waterline_mm;
    entry->ec_ms_cm = reading->ec_ms_cm;
    entry->ph = reading->ph;
    entry->temperature_c = reading->temperature_c;
    return entry->id ? 0 : fault_add(fault, FAULT_MEMORY, "", "out of memory");
}
