/* import_readings.c - past readings from a table: what its columns seem to be, and bringing them in.
 *
 * Twice through: first every cell is read and held against the bounds, and good rows are put in order on the disk; only when nothing was
 * wrong are they kept: people's in one job of the writer, a logger's a slice a job, unseen until the last. What says the same of
 * the same moment is kept once, so a table that grew can be sent again.
 */
#include <math.h>
#include <sodium.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "api/imports.h"
#include "format/csv_read.h"
#include "garden/clock.h"
#include "garden/past_readings.h"
#include "garden/readings.h"
#include "garden/readings_import.h"
#include "garden/tank_state.h"
#include "store/entries.h"
#include "store/sensed_imports.h"
#include "store/sheet.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))
#define LOOK_EVERY 1024
#define AHEAD_MS ((int64_t)10 * 60 * 1000)

/* More rows than people write are a logger's: the log is read whole for each tank. Ours. */
#define LOG_ROWS_MOST 20000

/* ---- how to read the table ---- */

struct readings_ask {
    struct past_columns columns;
    int separator, decimal, as;
    int64_t heading_rows, waterline, air_gap;
    const char *tank, *sensor;
    bool check;
};

static const char *const separators[] = {"comma", "semicolon", "tab", NULL};
static const char separator_marks[] = {',', ';', '\t'};
static const char *const dates[] = {"ymd", "dmy", "mdy", NULL};
static const char *const decimals[] = {"point", "comma", NULL};
static const char *const lengths[] = {"mm", "cm", "in", NULL};
static const char *const ecs[] = {"ms_cm", "us_cm", NULL};
static const char *const degrees[] = {"c", "f", NULL};
static const char *const kept_as[] = {"log", "sensor", NULL};

#define AT(member) offsetof(struct readings_ask, member)
#define COLUMN(name, member, about_) {name, FIELD_INTEGER, 0, AT(member), 1, CSV_CELLS_MOST, .standard = 0, .about = about_}
static const struct field ask_fields[] = {
    {"separator", FIELD_CHOICE, 0, AT(separator), .words = separators, .standard = 0, .about = "What stands between cells."},
    {"decimal", FIELD_CHOICE, 0, AT(decimal), .words = decimals, .standard = 0, .about = "The decimal mark."},
    {"date", FIELD_CHOICE, 0, AT(columns.date), .words = dates, .standard = 0, .about = "The order of year, month and day."},
    {"heading_rows", FIELD_INTEGER, 0, AT(heading_rows), 0, 100, .standard = 1, .about = "Rows before the first reading."},
    {"at_column", FIELD_INTEGER, FIELD_REQUIRED, AT(columns.at), 1, CSV_CELLS_MOST, .about = "Date, with or without the time; columns count from 1."},
    COLUMN("time_column", columns.time, "Time, where it has a column of its own."),
    COLUMN("tank_column", columns.tank, "Tank: its name, short code or id."),
    {"tank", FIELD_TEXT, 0, AT(tank), 1, 64, .about = "The one tank of the whole table, where no column names it."},
    COLUMN("waterline_column", waterline, "Waterline."),
    COLUMN("air_gap_column", air_gap, "Air gap, instead of the waterline."),
    COLUMN("ec_column", columns.value[PAST_EC], "EC."),
    COLUMN("ph_column", columns.value[PAST_PH], "pH."),
    COLUMN("temperature_column", columns.value[PAST_TEMPERATURE], "Temperature of the solution."),
    COLUMN("note_column", columns.note, "Words; for the log only."),
    {"length_unit", FIELD_CHOICE, 0, AT(columns.length), .words = lengths, .standard = 0, .about = "Of waterline and air gap."},
    {"ec_unit", FIELD_CHOICE, 0, AT(columns.ec), .words = ecs, .standard = 0, .about = "Of EC; at 25 C either way."},
    {"temperature_unit", FIELD_CHOICE, 0, AT(columns.degrees), .words = degrees, .standard = 0, .about = "Of the temperature."},
    {"as", FIELD_CHOICE, 0, AT(as), .words = kept_as, .standard = 0, .about = "log: what people read, at most 20,000 rows; sensor: a logger's, packed, as many as there are."},
    {"sensor", FIELD_TEXT, 0, AT(sensor), 1, PEOPLE_NAME_MOST, .about = "What to call the logger; the same name is the same one."},
    {"check", FIELD_BOOL, 0, AT(check), .about = "Only look; nothing is kept."},
};
#undef AT
static int ask_rule(const void *read, struct fault *fault)
{
    const struct readings_ask *ask = read;

    if (!ask->columns.tank == !ask->tank)
        return fault_add(fault, FAULT_INPUT, "/tank_column", "name the column that tells the tank, or the one tank of the whole table");
    if (ask->waterline && ask->air_gap)
        return fault_add(fault, FAULT_INPUT, "/air_gap_column", "the waterline or the air gap, not both");
    if (!ask->waterline && !ask->air_gap && !ask->columns.value[PAST_EC] && !ask->columns.value[PAST_PH] && !ask->columns.value[PAST_TEMPERATURE])
        return fault_add(fault, FAULT_INPUT, "/waterline_column", "name at least one column with a reading");
    if (ask->as == 1 && !ask->sensor)
        return fault_add(fault, FAULT_INPUT, "/sensor", "what is the logger called?");
    return 0;
}
const struct shape import_readings_ask_shape = {.size = sizeof(struct readings_ask), .field = ask_fields, .count = COUNT(ask_fields), .rule = ask_rule};

/* ---- the import ---- */

struct tank_known {
    struct tank_row row;
    double height_mm; /* NAN: not looked up yet */
};

/* A name by which a cell may mean a tank. */
struct tank_name {
    const char *name;
    size_t tank;
    bool twice;
};

struct readings_import {
    struct import import; /* first */
    struct readings_ask ask;
    struct who who;
    struct arena arena;   /* lives as long as this */
    const char *zone;
    int64_t now_ms;
    struct tank_known *tank;
    struct tank_name *name;
    size_t tanks, names;
    const char *heading[CSV_CELLS_MOST];
    struct job *job;
    struct csv_reader reader;
    struct sheet *sheet;
    int64_t rows, kept;
    int64_t number, sensor_key; /* of the slices of a logger's */
    int more;                   /* what the last slice's last look at the sheet said */
    struct {
        int32_t day, quarter;
        int64_t ms;
        enum clock_shown shown;
        bool known;
    } last; /* zones are slow to ask; their offsets are whole quarters of an hour */
};

static int by_name(const void *a, const void *b)
{
    return strcasecmp(((const struct tank_name *)a)->name, ((const struct tank_name *)b)->name);
}

/* Names that two tanks share mean neither. */
static void sort_names(struct readings_import *in)
{
    size_t kept = 0;

    qsort(in->name, in->names, sizeof *in->name, by_name);
    for (size_t i = 0; i < in->names; i++) {
        if (kept && strcasecmp(in->name[kept - 1].name, in->name[i].name) == 0) {
            in->name[kept - 1].twice |= in->name[kept - 1].tank != in->name[i].tank;
            continue;
        }
        in->name[kept++] = in->name[i];
    }
    in->names = kept;
}

static int read_tanks(struct readings_import *in, struct db *db, struct fault *fault)
{
    struct list rows;
    const struct tank_row *row;
    struct garden_row garden;

    if (gardens_read(db, &garden, &in->arena, fault) != 1 || tanks_list(db, 0, INT64_MAX, &rows, &in->arena, fault))
        return -1;
    in->zone = garden.time_zone;
    row = rows.item;
    in->tank = arena_take(&in->arena, (rows.count + 1) * sizeof *in->tank);
    in->name = arena_take(&in->arena, (3 * rows.count + 1) * sizeof *in->name);
    if (!in->tank || !in->name)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    for (size_t i = 0; i < rows.count; i++) {
        in->tank[i] = (struct tank_known){row[i], NAN};
        in->name[in->names++] = (struct tank_name){row[i].id, i, false};
        in->name[in->names++] = (struct tank_name){row[i].code, i, false};
        in->name[in->names++] = (struct tank_name){row[i].name, i, false};
    }
    in->tanks = rows.count;
    sort_names(in);
    return 0;
}

static int open_tanks(struct readings_import *in, struct fault *fault)
{
    struct store *store = in->import.garden->store;
    struct db *db = store_read(store, fault);
    int failed = !db || read_tanks(in, db, fault);

    store_done(store, db);
    return failed ? -1 : 0;
}

static const char *find_tank(struct readings_import *in, const char *cell, struct tank_known **tank)
{
    struct tank_name wanted = {.name = cell}, *found;

    if (!*cell)
        return "a tank is missing";
    found = bsearch(&wanted, in->name, in->names, sizeof wanted, by_name);
    if (!found)
        return "there is no such tank";
    if (found->twice)
        return "several tanks are called so; use the short code";
    *tank = &in->tank[found->tank];
    return NULL;
}

static int look_up_height(struct readings_import *in, struct tank_known *tank, struct fault *fault)
{
    struct store *store = in->import.garden->store;
    struct db *db;
    struct vessel_row vessel;
    ARENA_HELD arena = {0};
    int found;

    if (!isnan(tank->height_mm))
        return 0;
    db = store_read(store, fault);
    found = db ? vessels_by_key(db, tank->row.vessel_key, &vessel, &arena, fault) : -1;
    store_done(store, db);
    if (found == 1)
        tank->height_mm = vessel.height_mm;
    return found == 1 ? 0 : -1;
}

/* ---- one row ---- */

static void tell_cell(struct readings_import *in, int64_t column, const char *what, void (*tell)(struct job *, int64_t, const char *, const char *))
{
    const char *heading = column >= 1 && column <= CSV_CELLS_MOST ? in->heading[column - 1] : NULL;
    char number[24];

    snprintf(number, sizeof number, "%lld", (long long)column);
    tell(in->job, in->reader.row, heading && *heading ? heading : number, what);
}

static void wrong_cell(struct readings_import *in, int64_t column, const char *what)
{
    tell_cell(in, column, what, job_wrong_cell);
}

static void remark_cell(struct readings_import *in, int64_t column, const char *what)
{
    tell_cell(in, column, what, job_remark_cell);
}

static const char *cell_of(const struct readings_import *in, int64_t column)
{
    return column ? csv_unguard(csv_cell(&in->reader, (size_t)column - 1)) : "";
}

#define QUARTER_S 900

/* What the wall clock says, as an instant by the garden's zone. */
static enum clock_shown instant_of(struct readings_import *in, const struct past_moment *moment, int64_t *at_ms)
{
    int32_t quarter = moment->second / QUARTER_S;

    if (moment->offset_known) {
        *at_ms = moment->day * DAY_MS + ((int64_t)moment->second - moment->offset_s) * 1000;
        return CLOCK_ONCE;
    }
    if (!in->last.known || in->last.day != moment->day || in->last.quarter != quarter) {
        in->last.day = moment->day;
        in->last.quarter = quarter;
        in->last.shown = clock_wall(in->zone, moment->day, quarter * QUARTER_S, &in->last.ms);
        in->last.known = true;
    }
    *at_ms = in->last.ms + (int64_t)(moment->second % QUARTER_S) * 1000;
    return in->last.shown;
}

static bool read_moment(struct readings_import *in, int64_t *at_ms)
{
    struct past_moment moment;
    const char *wrong = past_moment(cell_of(in, in->ask.columns.at), cell_of(in, in->ask.columns.time), in->ask.columns.date, &moment);

    if (!wrong) {
        enum clock_shown shown = instant_of(in, &moment, at_ms);

        if (shown == CLOCK_TWICE)
            remark_cell(in, in->ask.columns.at, "the garden's clocks showed this time twice that day; it is taken as the first");
        wrong = shown == CLOCK_NEVER ? "the garden's clocks were put forward and never showed this time: mend it, or write its offset behind it, as +01:00"
                : *at_ms > in->now_ms + AHEAD_MS ? "lies ahead: nobody reads what is still to come"
                                                   : NULL;
    }
    if (wrong)
        wrong_cell(in, in->ask.columns.at, wrong);
    return !wrong;
}

static bool read_values(struct readings_import *in, struct sheet_row *row)
{
    bool any = false, good = true;

    for (int q = 0; q < PAST_QUANTITIES; q++) {
        int64_t column = in->ask.columns.value[q];
        const char *wrong;

        row->value[q] = NAN;
        if (!column)
            continue;
        wrong = past_value(&in->ask.columns, (enum past_quantity)q, cell_of(in, column), &row->value[q]);
        if (wrong)
            wrong_cell(in, column, wrong);
        good &= !wrong;
        any |= !isnan(row->value[q]);
    }
    if (good && !any)
        wrong_cell(in, in->ask.columns.value[PAST_WATERLINE] ? in->ask.columns.value[PAST_WATERLINE] : in->ask.columns.at, "the row has no reading");
    return good && any;
}

/* The waterline against the vessel; an air gap is turned into one. */
static int fit_vessel(struct readings_import *in, struct tank_known *tank, struct sheet_row *row, bool *good, struct fault *fault)
{
    if (isnan(row->value[PAST_WATERLINE]))
        return 0;
    if (look_up_height(in, tank, fault))
        return -1;
    if (row->value[PAST_WATERLINE] > tank->height_mm) {
        wrong_cell(in, in->ask.columns.value[PAST_WATERLINE], "the vessel is not so high");
        *good = false;
    } else if (in->ask.columns.air_gap) {
        row->value[PAST_WATERLINE] = tank->height_mm - row->value[PAST_WATERLINE];
    }
    return 0;
}

static bool is_blank(const struct csv_reader *reader)
{
    for (size_t i = 0; i < reader->cells; i++)
        if (*csv_cell(reader, i))
            return false;
    return true;
}

static const char *check_note(const char *note)
{
    if (strlen(note) > 2000)
        return "is longer than 2,000 bytes";
    for (; *note; note++)
        if (((unsigned char)*note < 0x20 && *note != '\n' && *note != '\t') || *note == 0x7f)
            return "must not hold control characters";
    return NULL;
}

static int take_row(struct readings_import *in, struct fault *fault)
{
    struct sheet_row row = {.row = in->reader.row};
    struct tank_known *tank = NULL;
    const char *wrong, *note = cell_of(in, in->ask.columns.note);
    bool good;

    if (is_blank(&in->reader))
        return 0;
    in->rows++;
    wrong = find_tank(in, in->ask.columns.tank ? cell_of(in, in->ask.columns.tank) : in->ask.tank, &tank);
    if (wrong)
        wrong_cell(in, in->ask.columns.tank, wrong);
    good = read_moment(in, &row.at_ms) & read_values(in, &row) & !wrong;
    wrong = check_note(note);
    if (wrong)
        wrong_cell(in, in->ask.columns.note, wrong);
    good &= !wrong;
    if (tank && fit_vessel(in, tank, &row, &good, fault))
        return -1;
    if (!good || job_faults(in->job))
        return 0;
    row.tank_key = tank->row.key;
    row.note = *note ? note : NULL;
    return sheet_add(in->sheet, &row, fault);
}

static int keep_headings(struct readings_import *in, struct fault *fault)
{
    for (size_t i = 0; i < in->reader.cells; i++) {
        in->heading[i] = arena_text(&in->arena, csv_unguard(csv_cell(&in->reader, i)));
        if (!in->heading[i])
            return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    }
    return 0;
}

static int cancelled(struct fault *fault)
{
    return fault_add(fault, FAULT_CONFLICT, "", "it was cancelled; nothing was kept");
}

static int read_table(struct readings_import *in, struct fault *fault)
{
    int more;

    while ((more = csv_read_row(&in->reader)) != 0) {
        if (more < 0) {
            wrong_cell(in, (int64_t)in->reader.wrong_cell + 1, in->reader.wrong);
        } else if (in->reader.row <= in->ask.heading_rows) {
            if (in->reader.row == in->ask.heading_rows && keep_headings(in, fault))
                return -1;
        } else if (take_row(in, fault)) {
            return -1;
        }
        if (in->reader.row % LOOK_EVERY == 0) {
            job_progress(in->job, in->reader.read, in->rows);
            if (job_cancelled(in->job))
                return cancelled(fault);
        }
    }
    job_progress(in->job, in->reader.read, in->rows);
    if (!in->rows)
        job_wrong_cell(in->job, in->reader.row, "", "the table has no rows");
    if (in->ask.as == 0 && in->rows > LOG_ROWS_MOST)
        job_wrong_cell(in->job, LOG_ROWS_MOST, "", "the log takes at most 20,000 rows at once: more are a logger's, bring them in as a sensor's");
    return 0;
}

/* ---- keeping ---- */

/* An id that the row itself gives: the moment in front, so that ids sort by age (RFC 9562, 2024, section 5.8: version 8), then a hash
 * of all it says. */
static void id_of(const char *tank, const struct sheet_row *row, char id[37])
{
    unsigned char bytes[16];
    char said[256];
    crypto_generichash_state state;

    snprintf(said, sizeof said, "reading %s %lld %.6g %.6g %.6g %.6g ", tank, (long long)row->at_ms, row->value[0], row->value[1], row->value[2], row->value[3]);
    crypto_generichash_init(&state, NULL, 0, sizeof bytes);
    crypto_generichash_update(&state, (const unsigned char *)said, strlen(said));
    if (row->note)
        crypto_generichash_update(&state, (const unsigned char *)row->note, strlen(row->note));
    crypto_generichash_final(&state, bytes, sizeof bytes);
    for (int i = 0; i < 6; i++)
        bytes[i] = (unsigned char)(row->at_ms >> (40 - 8 * i));
    bytes[6] = (unsigned char)((bytes[6] & 0x0f) | 0x80);
    bytes[8] = (unsigned char)((bytes[8] & 0x3f) | 0x80);
    uuid_text(bytes, id);
}

static const char *uid_of(const struct readings_import *in, int64_t key)
{
    for (size_t i = 0; i < in->tanks; i++) /* asked once a tank: rows come in order */
        if (in->tank[i].row.key == key)
            return in->tank[i].row.id;
    return "";
}

static int keep_in_log(struct db *db, struct readings_import *in, const struct sheet_row *row, const char *tank, struct fault *fault)
{
    ARENA_HELD arena = {0};
    struct entry entry = entry_blank(), there;
    char id[37];
    int found;

    id_of(tank, row, id);
    found = entries_one(db, id, &there, &arena, fault);
    if (found)
        return found < 0 ? -1 : 0;
    entry.id = id;
    entry.tank_key = row->tank_key;
    entry.kind = ENTRY_READING;
    entry.at_ms = row->at_ms;
    entry.received_ms = in->now_ms;
    entry.clock_off_ms = STORE_NO_INT;
    entry.note = row->note;
    entry.waterline_mm = row->value[PAST_WATERLINE];
    entry.ec_ms_cm = row->value[PAST_EC];
    entry.ph = row->value[PAST_PH];
    entry.temperature_c = row->value[PAST_TEMPERATURE];
    entry.member_key = in->who.member ? in->who.member : STORE_NO_INT;
    entry.device_key = in->who.device ? in->who.device : STORE_NO_INT;
    entry.sensor_key = STORE_NO_INT;
    in->kept++;
    return entries_add(db, &entry, fault);
}

/* The moment counts as the one it was received at: the table vouches for its clock. */
static int keep_sensed(struct db *db, struct readings_import *in, const struct sheet_row *row, struct fault *fault)
{
    struct sensed reading = {.tank_key = row->tank_key, .sensor_key = in->sensor_key, .import = in->number, .at_ms = row->at_ms, .received_ms = row->at_ms,
                             .waterline_mm = row->value[PAST_WATERLINE], .ec_ms_cm = row->value[PAST_EC], .ph = row->value[PAST_PH],
                             .temperature_c = row->value[PAST_TEMPERATURE]};
    bool known;

    if (readings_keep(db, &reading, 0, &known, fault))
        return -1;
    in->kept += !known;
    return 0;
}

/* People's rows: few, and the log has no other way; in one job. */
static int keep_log(struct db *db, void *context, struct fault *fault)
{
    struct readings_import *in = context;
    struct sheet_row row;
    int64_t tank_key = STORE_NO_INT, seen = 0;
    const char *tank = NULL;
    int more;

    in->kept = 0;
    while ((more = sheet_next(in->sheet, &row, fault)) == 1) {
        if (row.tank_key != tank_key) {
            tank_key = row.tank_key;
            tank = uid_of(in, tank_key);
            if (tanks_touch(db, tank_key, fault))
                return -1;
        }
        if (keep_in_log(db, in, &row, tank, fault))
            return -1;
        if (++seen % LOOK_EVERY == 0) {
            job_kept(in->job, in->kept);
            if (job_cancelled(in->job))
                return cancelled(fault);
        }
    }
    return more;
}

/* A logger's, a slice a job: rows come by tank and moment, so a slice is a stretch of time of one tank, or of a few. */
static int keep_slice(struct db *db, void *context, struct fault *fault)
{
    struct readings_import *in = context;
    struct sheet_row row;
    int64_t tank_key = STORE_NO_INT, from_ms = 0, to_ms = 0;

    for (int rows = 0; rows < READINGS_SLICE; rows++) {
        in->more = sheet_next(in->sheet, &row, fault);
        if (in->more != 1)
            break;
        if (row.tank_key != tank_key) {
            if (tank_key != STORE_NO_INT && sensed_import_slice(db, tank_key, from_ms, to_ms, fault))
                return -1;
            tank_key = row.tank_key;
            from_ms = row.at_ms;
        }
        to_ms = row.at_ms;
        if (keep_sensed(db, in, &row, fault))
            return -1;
    }
    if (in->more < 0)
        return -1;
    return tank_key != STORE_NO_INT ? sensed_import_slice(db, tank_key, from_ms, to_ms, fault) : 0;
}

static int keep_slices(struct readings_import *in, struct fault *fault)
{
    struct store *store = in->import.garden->store;

    do {
        if (job_cancelled(in->job))
            return cancelled(fault);
        if (store_write_quietly(store, keep_slice, in, fault)) /* nobody sees it yet */
            return -1;
        job_kept(in->job, in->kept);
    } while (in->more == 1);
    return readings_import_end(in->import.garden, fault);
}

static int keep_logger(struct readings_import *in, struct fault *fault)
{
    if (readings_import_begin(in->import.garden, in->ask.sensor, in->now_ms, &in->number, &in->sensor_key, fault))
        return -1;
    if (!keep_slices(in, fault))
        return 0;
    readings_import_undo(in->import.garden, NULL); /* where the disk is full, after the next start */
    return -1;
}

static int import_readings_work(struct job *job, void *context, struct fault *fault)
{
    struct readings_import *in = context;

    in->job = job;
    in->sheet = sheet_open(in->import.garden->store, fault);
    if (!in->sheet || open_tanks(in, fault) || read_table(in, fault))
        return -1;
    if (job_faults(job))
        return fault_add(fault, FAULT_INPUT, "", "nothing was kept: mend what is listed and send it again");
    if (in->ask.check)
        return 0;
    sheet_rewind(in->sheet);
    if (in->ask.as == 1 ? keep_logger(in, fault) : store_write(in->import.garden->store, keep_log, in, fault)) {
        job_kept(job, 0);
        return -1;
    }
    job_kept(job, in->kept);
    return 0;
}

static void end(void *context)
{
    struct readings_import *in = context;

    sheet_end(in->sheet);
    csv_read_end(&in->reader);
    if (in->import.from)
        fclose(in->import.from);
    arena_end(&in->arena);
    free(in);
}

/* POST /api/v1/imports/readings */
int import_readings_post(struct request *request, struct reply *reply, struct fault *fault)
{
    struct readings_import *in = calloc(1, sizeof *in);
    const struct readings_ask *ask = request->asked;

    if (!in)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    in->ask = *ask;
    in->ask.tank = arena_text(&in->arena, ask->tank);
    in->ask.sensor = arena_text(&in->arena, ask->sensor);
    in->ask.columns.decimal_comma = ask->decimal == 1;
    in->ask.columns.air_gap = ask->air_gap != 0;
    in->ask.columns.value[PAST_WATERLINE] = ask->air_gap ? ask->air_gap : ask->waterline;
    in->who = request->who;
    in->now_ms = request->now_ms;
    csv_read_begin(&in->reader, request->body_file, separator_marks[ask->separator]);
    return import_start(request, reply, ask->check ? "readings, looked at" : "readings", import_readings_work, end, &in->import, fault);
}

/* ---- what a table seems to be ---- */

#define LOOK_ROWS 40
#define LOOK_SHOWN 8

struct look_column {
    const char *heading;
    int kind;
};
struct look_row {
    struct list cells; /* const char * */
};
struct look {
    int separator, decimal, date;
    bool date_sure;
    int64_t heading_rows;
    struct list columns, rows;
};

static const char *const kinds[] = {"none", "at", "time", "tank", "waterline", "air_gap", "ec", "ph", "temperature", "note", NULL};
static const struct field cell_fields[] = {{NULL, FIELD_TEXT, FIELD_REQUIRED, 0, .about = "A cell."}};
static const struct shape cell_shape = {.size = sizeof(const char *), .field = cell_fields, .count = 1};
static const struct field row_fields[] = {{NULL, FIELD_LIST, FIELD_REQUIRED, 0, .shape = &cell_shape, .about = "A row's cells."}};
static const struct shape row_shape = {.size = sizeof(struct look_row), .field = row_fields, .count = 1};
#define AT(member) offsetof(struct look_column, member)
static const struct field column_fields[] = {
    {"heading", FIELD_TEXT, FIELD_REQUIRED, AT(heading), .about = "As it stands there."},
    {"kind", FIELD_CHOICE, FIELD_REQUIRED, AT(kind), .words = kinds, .about = "What it seems to tell."},
};
#undef AT
static const struct shape column_shape = {.name = "TableColumn", .size = sizeof(struct look_column), .field = column_fields, .count = 2};
#define AT(member) offsetof(struct look, member)
static const struct field look_fields[] = {
    {"separator", FIELD_CHOICE, FIELD_REQUIRED, AT(separator), .words = separators, .about = "What stands between cells."},
    {"decimal", FIELD_CHOICE, FIELD_REQUIRED, AT(decimal), .words = decimals, .about = "The decimal mark."},
    {"date", FIELD_CHOICE, FIELD_REQUIRED | FIELD_NULLABLE, AT(date), .words = dates, .about = "The order of year, month and day; null: no column has dates that can be read."},
    {"date_sure", FIELD_BOOL, FIELD_REQUIRED, AT(date_sure), .about = "false: the dates looked at can be read in more than one way."},
    {"heading_rows", FIELD_INTEGER, FIELD_REQUIRED, AT(heading_rows), .about = "Rows before the first reading."},
    {"columns", FIELD_LIST, FIELD_REQUIRED, AT(columns), .shape = &column_shape, .about = "In order."},
    {"rows", FIELD_LIST, FIELD_REQUIRED, AT(rows), .shape = &row_shape, .about = "The first ones, without the headings."},
};
#undef AT
const struct shape import_look_shape = {.name = "TableLookedAt", .size = sizeof(struct look), .field = look_fields, .count = COUNT(look_fields)};

/* The rows as far as they came: the last may have been cut off, and is left out where others are there. */
static int read_first(struct csv_reader *reader, struct look_row *row, size_t *count, struct arena *arena, struct fault *fault)
{
    int more;

    for (*count = 0; *count < LOOK_ROWS && (more = csv_read_row(reader)) != 0;) {
        const char **cell;

        if (more < 0) {
            if (*count)
                break;
            return fault_add(fault, FAULT_INPUT, "", "row %lld: %s", (long long)reader->row, reader->wrong);
        }
        cell = arena_list(arena, &row[*count].cells, reader->cells, sizeof *cell);
        for (size_t i = 0; cell && i < reader->cells; i++)
            if (!(cell[i] = arena_text(arena, csv_unguard(csv_cell(reader, i)))))
                cell = NULL;
        if (!cell)
            return fault_add(fault, FAULT_MEMORY, "", "out of memory");
        ++*count;
    }
    return *count ? 0 : fault_add(fault, FAULT_INPUT, "", "the table is empty");
}

static size_t column_cells(const struct look_row *row, size_t from, size_t count, size_t column, const char *cells[LOOK_ROWS])
{
    size_t found = 0;

    for (size_t r = from; r < count; r++)
        if (column < row[r].cells.count)
            cells[found++] = ((const char *const *)row[r].cells.item)[column];
    return found;
}

/* Headings say what a column tells; where none does for the date, the first that reads as dates. */
static int guess_columns(struct look *look, const struct look_row *row, size_t count, struct arena *arena, struct fault *fault)
{
    const char *const *heading = row[0].cells.item;
    const char *cells[LOOK_ROWS];
    struct look_column *column = arena_list(arena, &look->columns, row[0].cells.count, sizeof *column);
    bool seen[COUNT(kinds)] = {false};
    size_t commas = 0, columns = row[0].cells.count;
    int at = -1;

    if (!column)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    for (size_t c = 0; c < columns; c++) {
        size_t n = column_cells(row, (size_t)look->heading_rows, count, c, cells);
        enum past_kind kind = look->heading_rows ? past_guess_column(heading[c]) : PAST_KIND_NONE;
        bool sure;
        int date = past_guess_date(cells, n, &sure);

        if (kind == PAST_KIND_TIME && date >= 0)
            kind = PAST_KIND_AT; /* "time" over dates with times */
        if (date >= 0 && at < 0 && (kind == PAST_KIND_AT || kind == PAST_KIND_NONE)) {
            kind = PAST_KIND_AT;
            at = (int)c;
            look->date = date;
            look->date_sure = sure;
        }
        commas += past_guess_comma(cells, n);
        if (kind != PAST_KIND_NONE && seen[kind])
            kind = PAST_KIND_NONE; /* the first of a kind */
        seen[kind] = true;
        column[c] = (struct look_column){look->heading_rows ? heading[c] : "", (int)kind};
    }
    look->decimal = commas > 0;
    return 0;
}

/* A first row without a digit-led cell is a heading. */
static bool is_heading(const struct look_row *row)
{
    const char *const *cell = row->cells.item;

    for (size_t i = 0; i < row->cells.count; i++)
        if (cell[i][0] >= '0' && cell[i][0] <= '9')
            return false;
    return true;
}

struct look_ask {
    int separator;
};
static const struct field look_ask_fields[] = {
    {"separator", FIELD_CHOICE, 0, offsetof(struct look_ask, separator), .words = separators, .standard = -1, .about = "What stands between cells; found out where left out."}};
const struct shape import_look_ask_shape = {.size = sizeof(struct look_ask), .field = look_ask_fields, .count = 1};

/* POST /api/v1/imports/readings/look: the first part of a table is enough. */
int import_look_post(struct request *request, struct reply *reply, struct fault *fault)
{
    struct csv_reader reader;
    struct look_row row[LOOK_ROWS];
    struct look look = {.date = -1};
    const struct look_ask *asked = request->asked;
    char first[8192], mark;
    size_t count, length = fread(first, 1, sizeof first, request->body_file);
    int failed;

    rewind(request->body_file);
    mark = asked->separator >= 0 ? separator_marks[asked->separator] : csv_guess_separator(first, length);
    look.separator = mark == ',' ? 0 : mark == ';' ? 1 : 2;
    csv_read_begin(&reader, request->body_file, mark);
    failed = read_first(&reader, row, &count, request->arena, fault);
    csv_read_end(&reader);
    if (failed)
        return -1;
    look.heading_rows = is_heading(&row[0]);
    if (guess_columns(&look, row, count, request->arena, fault))
        return -1;
    look.rows = (struct list){row + look.heading_rows, count - (size_t)look.heading_rows};
    if (look.rows.count > LOOK_SHOWN)
        look.rows.count = LOOK_SHOWN;
    return reply_json(reply, 200, shape_write(&import_look_shape, &look), fault);
}
