/* portable.c - what leaves the garden file, by table. */
#include "store/portable.h"

#include <stdio.h>
#include <string.h>

#include "store/connection.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

/* ---- words: those of the documents of the API ---- */

static const char *const places[] = {"open_air", "under_cover", "lamps", NULL};
static const char *const lengths[] = {"mm", "cm", "in", NULL};
static const char *const volumes[] = {"l", "us_gal", "imp_gal", NULL};
static const char *const temperatures[] = {"c", "f", NULL};
static const char *const masses[] = {"g", "oz", NULL};
static const char *const languages[] = {"en", "de", NULL};
static const char *const shows[] = {"nothing", "crop", NULL};
static const char *const roles[] = {"visitor", "grower", "keeper", NULL};
static const char *const shapes[] = {"box", "round", "poured", NULL};
static const char *const patterns[] = {"square", "staggered", "best", NULL};
static const char *const water_methods[] = {"laboratory", "supplier", "strips", "meter", NULL};
static const char *const kinds[] = {"fill", "top-up", "reading", "planting", "harvest", "clean-out", "note", NULL};
static const char *const methods[] = {"dipstick", "by_eye", "sensor", NULL};
static const char *const acids[] = {"nitric", "phosphoric", "sulfuric", "citric", NULL};
static const char *const starts[] = {"sown", "pricked_out", "transplanted", NULL};
static const char *const hows[] = {"whole", "cut", NULL};
static const char *const stages[] = {"seedling", "growing", "finishing", NULL};
static const char *const later_kinds[] = {"move", "loss", NULL};
static const char *const lost_to[] = {"rot", "wilted", "pests", "bolted", "broken", "other", NULL};
static const char *const went[] = {"planted_soil", "kept", "sewer", "other", NULL};
static const char *const round_acts[] = {"take", "skip", "done", "free", "end", NULL};

/* Keys of labels, targets and crops. */
static const char *const label_parts[] = {"n_no3", "n_nh4", "n_urea", "p2o5", "p", "k2o", "k", "cao", "ca", "mgo", "mg", "so3", "s", "fe", "mn", "zn", "b", "cu", "mo", "na", "cl", NULL};
static const char *const elements[] = {"n", "n_nh4_max", "p", "k", "ca", "mg", "s", "fe", "mn", "zn", "b", "cu", "mo", "na", "cl", "si", NULL};
static const char *const quantities[] = {"ec_ms_cm", "ph", "spacing_mm", "days_to_harvest", "yield_g", "solution_l", "further_cuts", "base_c", "air_c", "best_c", NULL};
static const char *const standards[] = {"kcl_0_01_mol_l", "kcl_0_1_mol_l", NULL};

/* ---- columns; bounds are those of the API's documents ---- */

#define TEXT(name, needed, most) {name, name, PORTABLE_TEXT, needed, 0, most, NULL, 0, NULL}
#define WORD(name, words) {name, name, PORTABLE_TEXT, true, 0, 32, words, 0, NULL}
#define AS_TEXT(name, column, needed, most) {name, column, PORTABLE_TEXT, needed, 0, most, NULL, 0, NULL}
#define WHOLE(name, column, needed, least, most) {name, column, PORTABLE_INTEGER, needed, least, most, NULL, 0, NULL}
#define REAL(name, needed, least, most) {name, name, PORTABLE_REAL, needed, least, most, NULL, 0, NULL}
#define INSTANT(name, column, needed) {name, column, PORTABLE_INSTANT, needed, 0, 0, NULL, 0, NULL}
#define DAY(name, column, needed) {name, column, PORTABLE_DAY, needed, 0, 0, NULL, 0, NULL}
#define YES(name) {name, name, PORTABLE_BOOL, true, 0, 0, NULL, 0, NULL}
#define CHOICE(name, needed, words, first) {name, name, PORTABLE_CHOICE, needed, 0, 0, words, first, NULL}
#define UUID(name, column, needed) {name, column, PORTABLE_UUID, needed, 0, 0, NULL, 0, NULL}
#define REF(name, needed, of) {name, name, PORTABLE_REF, needed, 0, 0, NULL, 0, of}
#define PACKED(name, column, a_unit, least, most) {name, column, PORTABLE_PACKED, false, least, most, NULL, a_unit, NULL}

#define ID AS_TEXT("id", "uid", true, 64)
#define NAME TEXT("name", true, 100)
#define LENGTH(name) REAL(name, false, 0, 100000)

static const struct portable_column garden[] = {
    AS_TEXT("id", "uid", true, 64), NAME, TEXT("time_zone", true, 64), REAL("latitude_deg", false, -90, 90), REAL("elevation_m", false, -450, 6000),
    CHOICE("place", true, places, 0), REAL("indoor_temperature_c", false, 0, 45), REAL("indoor_rh_percent", false, 5, 100),
    REAL("indoor_ppfd_umol", false, 0, 2000), REAL("indoor_hours", false, 0, 24), CHOICE("length_unit", true, lengths, 0),
    CHOICE("volume_unit", true, volumes, 0), CHOICE("temperature_unit", true, temperatures, 0), CHOICE("mass_unit", true, masses, 0),
    CHOICE("language", true, languages, 0), TEXT("public_url", false, 200), CHOICE("label_shows", true, shows, 0),
    INSTANT("made_at", "made_ms", true), REAL("lamp_w", false, 0, 100000), YES("records_members")};
static const struct portable_column months[] = {
    WHOLE("month", "month", true, 1, 12), REAL("tmin_c", true, -60, 50), REAL("tmax_c", true, -60, 60), REAL("rh_percent", false, 1, 100),
    REAL("wind_m_s", false, 0, 40), REAL("sunshine_h", false, 0, 24)};
static const struct portable_column weather[] = {
    DAY("date", "day", true), REAL("tmin_c", true, -90, 60), REAL("tmax_c", true, -90, 60), REAL("rh_percent", false, 0, 100),
    REAL("wind_m_s", false, 0, 60), REAL("sunshine_h", false, 0, 24), REAL("solar_mj_m2", false, 0, 45), REAL("rain_mm", false, 0, 2000)};
static const struct portable_column members[] = {ID, TEXT("name", true, 320), CHOICE("role", true, roles, 2), INSTANT("joined_at", "joined_ms", true),
                                                 INSTANT("removed_at", "removed_ms", false)};
static const struct portable_column devices[] = {ID, REF("member", true, "member"), TEXT("name", true, 320), INSTANT("paired_at", "paired_ms", true)};
static const struct portable_column areas[] = {ID, NAME, REF("within", false, "area"), REAL("walk_order", true, -1e6, 1e6)};
static const struct portable_column vessels[] = {
    ID, NAME, CHOICE("shape", true, shapes, 0), LENGTH("floor_l_mm"), LENGTH("floor_w_mm"), LENGTH("rim_l_mm"), LENGTH("rim_w_mm"),
    REAL("height_mm", true, 0, 100000), LENGTH("corner_mm"), LENGTH("lid_l_mm"), LENGTH("lid_w_mm"), LENGTH("lid_corner_mm"), LENGTH("hole_mm"),
    LENGTH("edge_mm"), LENGTH("spacing_mm"), CHOICE("pattern", false, patterns, 0), LENGTH("cup_height_mm"), LENGTH("cup_top_mm"),
    LENGTH("cup_bottom_mm"), REAL("cup_medium_fraction", false, 0, 1), REAL("start_mm", true, 0, 100000), REAL("low_mm", true, 0, 100000)};
static const struct portable_column points[] = {REF("vessel", true, "vessel"), WHOLE("place", "place", true, 0, 1000),
                                                REAL("waterline_mm", true, 0, 100000), REAL("volume_l", true, 0, 100000)};
static const struct portable_column vessel_cups[] = {REF("vessel", true, "vessel"), WHOLE("cup", "cup", true, 1, 512),
                                                     REAL("x_mm", true, 0, 100000), REAL("y_mm", true, 0, 100000)};
static const struct portable_column tanks[] = {
    ID, TEXT("code", true, 16), NAME, REF("area", false, "area"), REF("vessel", true, "vessel"), REAL("walk_order", true, -1e6, 1e6), YES("retired"), REAL("lamp_w", false, 0, 100000)};
static const struct portable_column sensors[] = {ID, TEXT("name", true, 320), INSTANT("made_at", "made_ms", true), INSTANT("revoked_at", "revoked_ms", false)};
static const struct portable_column sensor_tanks[] = {REF("sensor", true, "sensor"), REF("tank", true, "tank")};
static const struct portable_column salts[] = {
    ID, NAME, REAL("price_per_kg", false, 0, 100000), REAL("stock_g", false, 0, 1e7), INSTANT("stock_at", "stock_ms", false),
    DAY("opened_on", "opened_day", false), TEXT("caution", false, 500)};
static const struct portable_column salt_parts[] = {REF("salt", true, "salt"), WORD("part", label_parts), REAL("percent", true, 0, 100)};
static const struct portable_column waters[] = {
    ID, NAME, DAY("analysed_on", "analysed_day", false), CHOICE("method", false, water_methods, 0), REAL("ph", false, 0, 14),
    REAL("alkalinity_mg_caco3_l", false, 0, 2000), REAL("hardness_mg_caco3_l", false, 0, 5000), REAL("ec_ms_cm", false, 0, 20),
    REAL("ca_mg_l", false, 0, 2000), REAL("mg_mg_l", false, 0, 2000), REAL("na_mg_l", false, 0, 5000), REAL("k_mg_l", false, 0, 1000),
    REAL("nh4_mg_l", false, 0, 200), REAL("cl_mg_l", false, 0, 10000), REAL("so4_mg_l", false, 0, 5000), REAL("no3_mg_l", false, 0, 1000),
    REAL("po4_mg_l", false, 0, 200), REAL("si_mg_l", false, 0, 200), REAL("b_mg_l", false, 0, 50)};
static const struct portable_column targets[] = {ID, NAME, TEXT("source", false, 300), CHOICE("stage", false, stages, 0)};
static const struct portable_column target_parts[] = {REF("target", true, "target"), WORD("part", elements), REAL("mg_l", true, 0, 5000)};
static const struct portable_column crops[] = {ID, TEXT("name", false, 60), TEXT("resembles", false, 40), TEXT("fitness", false, 200)};
static const struct portable_column crop_ranges[] = {REF("crop", true, "crop"), WORD("quantity", quantities), REAL("low", true, -1e6, 1e6),
                                                     REAL("high", true, -1e6, 1e6), TEXT("source", false, 300)};
static const struct portable_column meters[] = {
    ID, TEXT("meter", true, 60), INSTANT("at", "at_ms", true), REF("member", false, "member"), CHOICE("standard", true, standards, 0),
    REAL("reading_ms_cm", true, 0, 200), REAL("temperature_c", true, 5, 35), YES("compensated")};
static const struct portable_column entries[] = {
    UUID("id", "id", true), REF("tank", true, "tank"), CHOICE("kind", true, kinds, 0), INSTANT("at", "at_ms", true), INSTANT("received_at", "received_ms", true),
    WHOLE("clock_off_ms", "clock_off_ms", false, -1e15, 1e15), REF("member", false, "member"), REF("device", false, "device"), REF("sensor", false, "sensor"),
    TEXT("note", false, 2000), UUID("amends", "amends", false), UUID("withdraws", "withdraws", false), REAL("waterline_mm", false, 0, 3000),
    REAL("volume_l", false, 0, 5000), REAL("ec_ms_cm", false, 0, 20), REAL("ph", false, 0, 14), REAL("temperature_c", false, -5, 60),
    CHOICE("method", false, methods, 0), TEXT("water", false, 64), TEXT("target", false, 64), CHOICE("acid", false, acids, 0),
    REAL("acid_ml", false, 0, 5000), TEXT("crop", false, 64), WHOLE("count", "plants", false, 1, 512), DAY("sown_on", "sown_day", false),
    CHOICE("start", false, starts, 0), CHOICE("how", false, hows, 0), REAL("weight_g", false, 0, 100000), WHOLE("bunches", "bunches", false, 0, 10000),
    REAL("kept_fraction", false, 0, 1), WHOLE("quality", "quality", false, 1, 5),
    CHOICE("later_kind", false, later_kinds, 7), TEXT("to_tank", false, 64), CHOICE("reason", false, lost_to, 0),
    WHOLE("replaces", "replaces", false, 0, 1), DAY("hung_on", "hung_day", false), WHOLE("cuts", "cuts", false, 0, 50),
    DAY("cut_on", "cut_day", false), UUID("follows", "follows", false), WHOLE("steps", "steps", false, 0, 127), CHOICE("went_to", false, went, 0)};
static const struct portable_column entry_salts[] = {UUID("entry", "entry", true), WHOLE("place", "place", true, 0, 1000), TEXT("salt", true, 64),
                                                     REAL("grams", true, 0, 100000)};
static const struct portable_column entry_cups[] = {UUID("entry", "entry", true), WHOLE("cup", "cup", true, 1, 512), WHOLE("to_cup", "to_cup", false, 1, 512)};
static const struct portable_column lessons[] = {UUID("fill", "fill", true), TEXT("crop", true, 64), INSTANT("ended_at", "ended_ms", true),
                                                 REAL("vigour", true, 0, 1000), REAL("pace", true, 0, 1000), WHOLE("readings", "readings", true, 0, 1e9)};
static const struct portable_column doubts[] = {
    ID, REF("tank", true, "tank"), REF("sensor", false, "sensor"), INSTANT("from", "from_ms", true), INSTANT("to", "to_ms", true), TEXT("why", false, 2000),
    REF("member", false, "member"), INSTANT("told_at", "told_ms", true), INSTANT("lifted_at", "lifted_ms", false)};
static const struct portable_column putoffs[] = {
    ID, REF("tank", true, "tank"), TEXT("reason", true, 64), WHOLE("days", "days", true, 1, 14), DAY("from", "from_day", true), DAY("until", "until_day", true),
    REAL("urgency", false, -1e6, 1e6), REAL("value", false, -1e6, 1e6), TEXT("entry", false, 64), REF("member", false, "member"),
    INSTANT("told_at", "told_ms", true), INSTANT("lifted_at", "lifted_ms", false)};
static const struct portable_column readings[] = {
    REF("tank", true, "tank"), REF("sensor", true, "sensor"), WHOLE("at_ms", "at_ms", true, -1e15, 1e15), WHOLE("again", "again", true, 0, 4095),
    WHOLE("late_s", "late_s", true, -1e12, 1e12),
    {"odd", "odd", PORTABLE_INTEGER, true, 0, 255, NULL, 255, NULL}, /* without the number of an import */
    PACKED("waterline_mm", "waterline", 10, 0, 3000),
    PACKED("ec_ms_cm", "ec", 1000, 0, 20), PACKED("ph", "ph", 100, 0, 14), PACKED("temperature_c", "temperature", 100, -5, 60)};

static const struct portable_column duties[] = {
    ID, REF("member", true, "member"), REF("tank", false, "tank"), REF("area", false, "area"), DAY("from", "from_day", true), DAY("to", "to_day", true),
    INSTANT("given_back_at", "given_back_ms", false)};
static const struct portable_column rounds[] = {ID, DAY("day", "day", true), REF("area", false, "area"), TEXT("area_name", false, 100),
                                                INSTANT("made_at", "made_ms", true), REF("member", false, "member")};
static const struct portable_column round_stops[] = {
    REF("round", true, "round"), WHOLE("place", "place", true, 1, 1e6), REF("tank", true, "tank"), TEXT("reason", true, 64), WHOLE("act", "act", true, -1, 63),
    WHOLE("also", "also", true, 0, 1e9), DAY("when_p10", "when_p10", false), DAY("when_p50", "when_p50", false), DAY("when_p90", "when_p90", false),
    REAL("days", false, -1e6, 1e6), REAL("value", false, -1e6, 1e6), REAL("low", false, -1e6, 1e6), REAL("high", false, -1e6, 1e6), TEXT("crop", false, 64),
    REAL("litres", false, 0, 1e6), REAL("to_mm", false, 0, 1e6), REAL("share", false, 0, 1000), TEXT("strength", false, 32), YES("grams_known"),
    REAL("acid_ml", false, 0, 1e6), WHOLE("cautions", "cautions", true, 0, 1e9)};
static const struct portable_column round_salts[] = {REF("round", true, "round"), WHOLE("place", "place", true, 1, 1e6), TEXT("salt", true, 64),
                                                     REAL("grams", true, 0, 100000)};
static const struct portable_column acts[] = {
    REF("round", true, "round"), WHOLE("seq", "seq", true, 0, 1e9), AS_TEXT("id", "uid", true, 64), CHOICE("what", true, round_acts, 0),
    WHOLE("place", "place", true, 0, 1e6), INSTANT("at", "at_ms", true), REF("member", false, "member")};

static const struct portable_column round_days[] = {REF("area", false, "area"), WHOLE("weekdays", "weekdays", true, 1, 127)};
static const struct portable_column round_putoffs[] = {
    ID, REF("area", false, "area"), DAY("day", "day", true), WHOLE("days", "days", true, 1, 14), DAY("until", "until_day", true), REF("member", false, "member"),
    INSTANT("told_at", "told_ms", true)};

static const struct portable_column photos[] = {
    UUID("id", "id", true), UUID("entry", "entry", true), REF("tank", true, "tank"), CHOICE("kind", true, kinds, 0), REF("member", false, "member"),
    REF("device", false, "device"), INSTANT("received_at", "received_ms", true), WHOLE("width_px", "width_px", true, 1, 4096),
    WHOLE("height_px", "height_px", true, 1, 4096), {"jpeg", "jpeg", PORTABLE_JPEG, true, 1, 500000, NULL, 0, NULL}};

static const struct portable_column successions[] = {
    ID, NAME, TEXT("crop", true, 64), WHOLE("count", "plants", true, 1, 10000), WHOLE("every_days", "every_days", true, 1, 60), DAY("from", "first_day", true),
    DAY("to", "last_day", true), WHOLE("seedling_days", "seedling_days", true, 0, 90), WHOLE("topup_days", "topup_days", true, 0, 60),
    INSTANT("made_at", "made_ms", true), REF("member", false, "member"), YES("ended")};
static const struct portable_column succession_tanks[] = {REF("succession", true, "succession"), REF("tank", true, "tank")};
static const struct portable_column succession_steps[] = {
    REF("succession", true, "succession"), WHOLE("place", "place", true, 1, 1e6), DAY("plant_on", "plant_day", true), DAY("harvest_on", "harvest_day", true),
    WHOLE("plants", "plants", true, 1, 10000)};

#define OF(columns) .column = columns, .count = COUNT(columns)
const struct portable_table portable_tables[] = {
    {"garden", "garden", OF(garden), .order = "one", .made = "one", .made_of = "1", .about = "The settings."},
    {"months", "garden_month", OF(months), .order = "month", .about = "Climate normals of the place."},
    {"weather", "weather", OF(weather), .order = "day", .about = "The weather as it was."},
    {"members", "member", OF(members), .about = "Who the log names."},
    /* Only those that the log names: whoever brings an export in has a device of their own. Its token stays secret, so nobody has it after. */
    {"devices", "device", OF(devices), .where = "key IN (SELECT device FROM entry UNION SELECT device FROM photo)", .made = "token_hash, revoked_ms", .made_of = "randomblob(32), 0",
     .left = "token_hash last_used_ms revoked_ms", .about = "Devices that the log names, without what pairs them."},
    {"areas", "area", OF(areas), .order = "within IS NOT NULL, key", .about = "Named places."},
    {"vessels", "vessel", OF(vessels), .about = "Shapes that hold water."},
    {"vessel_points", "vessel_point", OF(points), .order = "vessel, place", .about = "What was poured to reach each waterline."},
    {"vessel_cups", "vessel_cup", OF(vessel_cups), .order = "vessel, cup", .about = "Where the cups hang."},
    {"tanks", "tank", OF(tanks), .left = "changed" /* counts for caches */, .about = "Vessels in use."},
    {"sensors", "sensor", OF(sensors), .where = "key IS NOT (SELECT spare FROM sensed_import WHERE one = 1)" /* of an import under way */, .made = "key_hash", .made_of = "randomblob(32)", .left = "key_hash last_used_ms",
     .about = "Programs that post readings, without their keys."},
    {"sensor_tanks", "sensor_tank", OF(sensor_tanks), .order = "sensor, tank", .about = "Which sensor may post where."},
    {"salts", "salt", OF(salts), .about = "Own bags, and what was noted of built-in salts."},
    {"salt_parts", "salt_part", OF(salt_parts), .order = "salt, part", .about = "Their labels, percent of mass."},
    {"waters", "water", OF(waters), .about = "Source waters."},
    {"targets", "target", OF(targets), .about = "Own targets."},
    {"target_parts", "target_part", OF(target_parts), .order = "target, part", .about = "Their figures, mg/L."},
    {"crops", "crop", OF(crops), .about = "Own crops, and what was changed of built-in ones."},
    {"crop_ranges", "crop_range", OF(crop_ranges), .order = "crop, quantity", .about = "Their figures."},
    {"meters", "meter_check", OF(meters), .about = "Checks of meters."},
    {"entries", "entry", OF(entries), .order = "id", .about = "The log, corrections among it."},
    {"entry_salts", "entry_salt", OF(entry_salts), .order = "entry, place", .about = "What fills and top-ups weighed."},
    {"entry_cups", "entry_cup", OF(entry_cups), .order = "entry, cup", .about = "The cups that plantings and harvests name."},
    {"lessons", "lesson", OF(lessons), .order = "fill", .about = "What finished fills taught."},
    {"duties", "duty", OF(duties), .about = "Whose a tank or an area is for a while."},
    {"rounds", "round", OF(rounds), .about = "Rounds."},
    {"round_stops", "round_stop", OF(round_stops), .order = "round, place", .about = "What was told for each stop."},
    {"round_salts", "round_salt", OF(round_salts), .order = "round, place, salt", .about = "Salts weighed beforehand for a stop."},
    {"round_acts", "round_act", OF(acts), .order = "round, seq", .about = "What people did on a round."},
    {"round_days", "round_days", OF(round_days), .about = "Weekdays on which a round is walked, as bits from Monday (1) on."},
    {"round_putoffs", "round_putoff", OF(round_putoffs), .about = "Planned rounds that people put off."},
    {"successions", "succession", OF(successions), .about = "Successions that people keep."},
    {"succession_tanks", "succession_tank", OF(succession_tanks), .order = "succession, tank", .about = "In which tanks."},
    {"succession_steps", "succession_step", OF(succession_steps), .order = "succession, place", .about = "Their steps as planned."},
    {"photos", "photo", OF(photos), .about = "Pictures of what entries tell."},
    {"doubts", "doubt", OF(doubts), .about = "Stretches of a sensor's readings that people do not believe."},
    {"putoffs", "putoff", OF(putoffs), .about = "Matters that people put off."},
    {"readings", "sensed", OF(readings), .where = "odd < 256 OR odd >> 8 IS NOT (SELECT under_way FROM sensed_import WHERE one = 1)",
     .order = "tank, at_ms, sensor, again", .grouped = 2, .about = "Readings of sensors, odd ones too."},
};
const size_t portable_tables_count = COUNT(portable_tables);

const char *const portable_left[] = {
    "invite",   /* secrets of people who have not come yet */
    "feed",     /* secret addresses */
    "standing", /* worked out of the rest */
    "sensed_import", "sensed_import_slice", /* under way for seconds */
    "mix",      /* under way for minutes; what comes of it is in the log */
    "mix_step",
    "photo_removed", /* a phone that sends one again does so within days, to the same garden */
    NULL};

/* ---- reading ---- */

/* What fits into text is added; the longest of these queries takes a third of it. */
static void add(char *text, size_t room, const char *part)
{
    size_t length = strlen(text);

    snprintf(text + length, room - length, "%s", part);
}

sqlite3_stmt *portable_rows(struct db *db, const struct portable_table *table, struct fault *fault)
{
    char sql[8192] = "SELECT ";
    sqlite3_stmt *stmt = NULL;

    for (size_t i = 0; i < table->count; i++) {
        const struct portable_column *column = &table->column[i];
        char part[160];

        if (column->kind == PORTABLE_REF)
            snprintf(part, sizeof part, "%s(SELECT uid FROM %s WHERE key = t.%s)", i ? ", " : "", column->of, column->column);
        else if (column->kind == PORTABLE_INTEGER && column->first)
            snprintf(part, sizeof part, "%st.%s & %d", i ? ", " : "", column->column, column->first);
        else
            snprintf(part, sizeof part, "%st.%s", i ? ", " : "", column->column);
        add(sql, sizeof sql, part);
    }
    add(sql, sizeof sql, " FROM ");
    add(sql, sizeof sql, table->table);
    add(sql, sizeof sql, " t");
    if (table->where) {
        add(sql, sizeof sql, " WHERE ");
        add(sql, sizeof sql, table->where);
    }
    add(sql, sizeof sql, " ORDER BY ");
    add(sql, sizeof sql, table->order ? table->order : "key");
    if (sqlite3_prepare_v2(db->sqlite, sql, -1, &stmt, NULL) != SQLITE_OK) {
        db_fault(db->sqlite, fault);
        return NULL;
    }
    return stmt;
}

static int ask(struct db *db, const char *sql, int64_t *number, struct fault *fault)
{
    sqlite3_stmt *stmt = NULL;
    int failed = 0;

    if (sqlite3_prepare_v2(db->sqlite, sql, -1, &stmt, NULL) != SQLITE_OK || sqlite3_step(stmt) != SQLITE_ROW)
        failed = db_fault(db->sqlite, fault);
    else
        *number = sqlite3_column_int64(stmt, 0);
    sqlite3_finalize(stmt);
    return failed;
}

int portable_count(struct db *db, const struct portable_table *table, int64_t *count, struct fault *fault)
{
    char sql[256];

    snprintf(sql, sizeof sql, "SELECT count(*) FROM %s%s%s", table->table, table->where ? " WHERE " : "", table->where ? table->where : "");
    return ask(db, sql, count, fault);
}

/* Settings and people there are in a new garden, too. */
static bool in_new_garden(const char *table)
{
    static const char *const tables[] = {"garden", "garden_month", "member", "device"};
    bool found = false;

    for (size_t i = 0; i < COUNT(tables); i++)
        found |= strcmp(tables[i], table) == 0;
    return found;
}

int portable_empty(struct db *db, struct fault *fault)
{
    for (size_t i = 0; i < portable_tables_count; i++) {
        const char *table = portable_tables[i].table;
        char sql[128];
        int64_t there;

        if (in_new_garden(table))
            continue;
        snprintf(sql, sizeof sql, "SELECT EXISTS (SELECT 1 FROM %s)", table);
        if (ask(db, sql, &there, fault))
            return -1;
        if (there)
            return 0;
    }
    return 1;
}
