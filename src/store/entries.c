/* entries.c - the log in the file. */
#include "store/entries.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "store/corrections.h"
#include "store/sensed.h"

/* One list of columns for every way to ask, so that one function reads them all. */
#define ENTRY_COLUMNS ENTRY_LIST "FROM entry e " ENTRY_JOINS
#define ENTRY_LIST \
    "SELECT e.id, e.tank, t.uid, coalesce(e.later_kind, e.kind), e.at_ms, e.received_ms, e.clock_off_ms, e.note, e.amends, e.withdraws, " \
    "e.waterline_mm, e.volume_l, e.ec_ms_cm, e.ph, e.temperature_c, e.method, e.water, e.target, e.acid, e.acid_ml, " \
    "e.crop, e.plants, e.sown_day, e.start, e.how, e.weight_g, e.bunches, e.kept_fraction, e.quality, " \
    "e.to_tank, e.reason, e.replaces, e.hung_day, e.cuts, e.cut_day, e.steps, e.went_to, e.follows, " \
    "e.member, m.uid, m.name, e.device, d.uid, d.name, e.sensor, s.uid, s.name, " \
    "(SELECT a.id FROM entry a WHERE a.amends = e.id ORDER BY a.received_ms DESC, a.id DESC LIMIT 1), " \
    "(SELECT w.id FROM entry w WHERE w.withdraws = e.id ORDER BY w.received_ms DESC, w.id DESC LIMIT 1) "
#define ENTRY_JOINS \
    "JOIN tank t ON t.key = e.tank LEFT JOIN member m ON m.key = e.member LEFT JOIN device d ON d.key = e.device " \
    "LEFT JOIN sensor s ON s.key = e.sensor "

enum { ADD, ADD_SALT, ADD_CUP, ONE, OF_TANK, DEEDS, DEEDS_IN, READINGS_IN, READING_BEFORE, CLEAN_OUTS, FILLS, LEVELS_BEFORE, PAGE_OF_TANK, PAGE, FOLLOWING, SALTS, CUPS };

const struct query entries_queries[] = {
    [ADD] = {"entry_add",
             "INSERT INTO entry (id, tank, kind, at_ms, received_ms, clock_off_ms, member, device, sensor, note, amends, withdraws, "
             "waterline_mm, volume_l, ec_ms_cm, ph, temperature_c, method, water, target, acid, acid_ml, crop, plants, sown_day, start, "
             "how, weight_g, bunches, kept_fraction, quality, later_kind, to_tank, reason, replaces, hung_day, cuts, cut_day, steps, went_to, follows) "
             "VALUES (:id, :tank, :kind, :at_ms, :received_ms, :clock_off_ms, :member, :device, :sensor, :note, :amends, :withdraws, "
             ":waterline_mm, :volume_l, :ec_ms_cm, :ph, :temperature_c, :method, :water, :target, :acid, :acid_ml, :crop, :plants, "
             ":sown_day, :start, :how, :weight_g, :bunches, :kept_fraction, :quality, :later_kind, :to_tank, :reason, :replaces, "
             ":hung_day, :cuts, :cut_day, :steps, :went_to, :follows)"},
    [ADD_SALT] = {"entry_add_salt", "INSERT INTO entry_salt (entry, place, salt, grams) VALUES (:entry, :place, :salt, :grams)"},
    [ADD_CUP] = {"entry_add_cup", "INSERT INTO entry_cup (entry, cup, to_cup) VALUES (:entry, :cup, :to_cup)"},
    [ONE] = {"entry_one", ENTRY_COLUMNS "WHERE e.id = :id"},
    [OF_TANK] = {"entries_of_tank", ENTRY_COLUMNS "WHERE e.tank = :tank ORDER BY e.at_ms, e.id"},
    /* By this index or not at all: the other one leads past every reading. */
    [DEEDS] = {"entries_deeds", ENTRY_LIST "FROM entry e INDEXED BY entry_deeds " ENTRY_JOINS "WHERE e.tank = :tank AND e.kind <> 2 ORDER BY e.at_ms, e.id"},
    [DEEDS_IN] = {"entries_deeds_in", ENTRY_LIST "FROM entry e INDEXED BY entry_deeds " ENTRY_JOINS
                                                 "WHERE e.tank = :tank AND e.kind <> 2 AND e.at_ms >= :from_ms AND e.at_ms < :to_ms ORDER BY e.at_ms, e.id"},
    [READINGS_IN] = {"entries_readings_in", ENTRY_COLUMNS "WHERE e.tank = :tank AND e.kind = 2 AND e.at_ms >= :from_ms AND e.at_ms < :to_ms "
                                                          "ORDER BY e.at_ms, e.id"},
    [READING_BEFORE] = {"entries_reading_before", ENTRY_COLUMNS "WHERE e.tank = :tank AND e.kind = 2 AND e.at_ms >= :from_ms AND e.at_ms < :to_ms "
                                                                "ORDER BY e.at_ms DESC, e.id DESC LIMIT 4"},
    [CLEAN_OUTS] = {"entries_clean_outs", "SELECT id, at_ms FROM entry INDEXED BY entry_clean_outs WHERE tank = :tank AND kind = 5 "
                                          "AND at_ms >= :from_ms AND at_ms < :to_ms ORDER BY at_ms DESC, id DESC LIMIT :limit"},
    [FILLS] = {"entries_fills", "SELECT id, at_ms FROM entry INDEXED BY entry_deeds WHERE tank = :tank AND kind <> 2 AND kind = 0 "
                                "AND at_ms >= :from_ms AND at_ms < :to_ms AND EXISTS (SELECT 1 FROM entry_salt s WHERE s.entry = entry.id) "
                                "ORDER BY at_ms DESC, id DESC LIMIT :limit"},
    [LEVELS_BEFORE] = {"entries_levels_before",
                       ENTRY_COLUMNS "WHERE e.tank = :tank AND e.at_ms BETWEEN :from_ms AND :to_ms AND e.kind = 2 AND "
                                     "e.waterline_mm IS NOT NULL ORDER BY e.at_ms DESC, e.id DESC LIMIT 4"},
    [PAGE_OF_TANK] = {"entries_page_of_tank", ENTRY_COLUMNS "WHERE e.tank = :tank AND (e.at_ms, e.id) < (:before_ms, :before_id) "
                                                            "ORDER BY e.at_ms DESC, e.id DESC LIMIT :limit"},
    [PAGE] = {"entries_page", ENTRY_COLUMNS "WHERE (e.at_ms, e.id) < (:before_ms, :before_id) "
                                            "ORDER BY e.at_ms DESC, e.id DESC LIMIT :limit"},
    [FOLLOWING] = {"entries_following", ENTRY_COLUMNS "WHERE e.follows = :id ORDER BY e.at_ms, e.id"},
    [SALTS] = {"entry_salts", "SELECT salt, grams FROM entry_salt WHERE entry = :entry ORDER BY place"},
    [CUPS] = {"entry_cups", "SELECT cup, to_cup FROM entry_cup WHERE entry = :entry ORDER BY cup"},
};
const size_t entries_queries_count = sizeof entries_queries / sizeof *entries_queries;

int uuid_bytes(const char *text, unsigned char bytes[16])
{
    size_t digits = 0;

    if (!text || strlen(text) != 36)
        return -1;
    for (size_t i = 0; i < 36; i++) {
        int c = (unsigned char)text[i], value;

        if (i == 8 || i == 13 || i == 18 || i == 23) {
            if (c != '-')
                return -1;
            continue;
        }
        if (!isxdigit(c))
            return -1;
        value = c <= '9' ? c - '0' : (c | 32) - 'a' + 10;
        bytes[digits / 2] = (unsigned char)(digits % 2 ? bytes[digits / 2] | value : value << 4);
        digits++;
    }
    return 0;
}

void uuid_text(const unsigned char bytes[16], char text[37])
{
    static const char digit[] = "0123456789abcdef";
    char *to = text;

    for (size_t i = 0; i < 16; i++) {
        if (i == 4 || i == 6 || i == 8 || i == 10)
            *to++ = '-';
        *to++ = digit[bytes[i] >> 4];
        *to++ = digit[bytes[i] & 15];
    }
    *to = '\0';
}

struct entry entry_blank(void)
{
    return (struct entry){.kind = ENTRY_NOTE,
                          .clock_off_ms = STORE_NO_INT,
                          .sent_ms = STORE_NO_INT,
                          .waterline_mm = NAN,
                          .air_gap_mm = NAN,
                          .volume_l = NAN,
                          .ec_ms_cm = NAN,
                          .ph = NAN,
                          .temperature_c = NAN,
                          .method = ENTRY_NONE,
                          .acid = {ENTRY_NONE, NAN},
                          .count = STORE_NO_INT,
                          .sown_day = INT32_MIN,
                          .start = ENTRY_NONE,
                          .how = ENTRY_NONE,
                          .weight_g = NAN,
                          .bunches = STORE_NO_INT,
                          .kept_fraction = NAN,
                          .quality = STORE_NO_INT,
                          .reason = ENTRY_NONE,
                          .hung_day = INT32_MIN,
                          .cuts = STORE_NO_INT,
                          .cut_day = INT32_MIN,
                          .went_to = ENTRY_NONE,
                          .tank_key = STORE_NO_INT,
                          .member_key = STORE_NO_INT,
                          .device_key = STORE_NO_INT,
                          .sensor_key = STORE_NO_INT};
}

static bool same_text(const char *a, const char *b)
{
    return a == b || (a && b && strcmp(a, b) == 0);
}

static bool same_real(double a, double b)
{
    return (isnan(a) && isnan(b)) || a == b; /* stored and read back unchanged */
}

static bool same_lists(const struct entry *a, const struct entry *b)
{
    const struct entry_salt *salt_a = a->weighed.item, *salt_b = b->weighed.item;
    const int64_t *cup_a = a->cups.item, *cup_b = b->cups.item, *to_a = a->to_cups.item, *to_b = b->to_cups.item;
    const int *step_a = a->steps.item, *step_b = b->steps.item;

    if (a->weighed.count != b->weighed.count || a->cups.count != b->cups.count ||
        a->to_cups.count != b->to_cups.count || a->steps.count != b->steps.count)
        return false;
    for (size_t i = 0; i < a->weighed.count; i++)
        if (!same_text(salt_a[i].salt, salt_b[i].salt) || !same_real(salt_a[i].grams, salt_b[i].grams))
            return false;
    for (size_t i = 0; i < a->cups.count; i++)
        if (cup_a[i] != cup_b[i] || (i < a->to_cups.count && to_a[i] != to_b[i]))
            return false;
    for (size_t i = 0; i < a->steps.count; i++)
        if (step_a[i] != step_b[i])
            return false;
    return true;
}

bool entry_same(const struct entry *a, const struct entry *b)
{
    const double reals_a[] = {a->waterline_mm, a->volume_l, a->ec_ms_cm, a->ph,           a->temperature_c,
                              a->acid.ml,      a->weight_g, a->kept_fraction};
    const double reals_b[] = {b->waterline_mm, b->volume_l, b->ec_ms_cm, b->ph,           b->temperature_c,
                              b->acid.ml,      b->weight_g, b->kept_fraction};
    const int64_t ints_a[] = {a->kind,  a->at_ms, a->method, a->acid.acid, a->count,
                              a->start, a->how,   a->bunches, a->quality,  a->sown_day, a->tank_key,
                              a->reason, a->replaces, a->hung_day, a->cuts, a->cut_day, a->went_to};
    const int64_t ints_b[] = {b->kind,  b->at_ms, b->method, b->acid.acid, b->count,
                              b->start, b->how,   b->bunches, b->quality,  b->sown_day, b->tank_key,
                              b->reason, b->replaces, b->hung_day, b->cuts, b->cut_day, b->went_to};
    const char *const texts_a[] = {a->note, a->amends, a->withdraws, a->water, a->target, a->crop, a->to_tank};
    const char *const texts_b[] = {b->note, b->amends, b->withdraws, b->water, b->target, b->crop, b->to_tank};

    for (size_t i = 0; i < sizeof reals_a / sizeof *reals_a; i++)
        if (!same_real(reals_a[i], reals_b[i]))
            return false;
    for (size_t i = 0; i < sizeof texts_a / sizeof *texts_a; i++)
        if (!same_text(texts_a[i], texts_b[i]))
            return false;
    return memcmp(ints_a, ints_b, sizeof ints_a) == 0 && same_lists(a, b);
}

static void bind_uuid(sqlite3_stmt *stmt, const char *name, const char *text)
{
    unsigned char bytes[16];

    if (text && uuid_bytes(text, bytes) == 0)
        stmt_blob(stmt, name, bytes, sizeof bytes);
}

/* A choice is kept as its number, ENTRY_NONE as NULL. */
static void bind_choice(sqlite3_stmt *stmt, const char *name, int choice)
{
    stmt_int(stmt, name, choice == ENTRY_NONE ? STORE_NO_INT : choice);
}

/* One bit a step; NULL where none was told. */
static int64_t step_bits(const struct list *steps)
{
    const int *step = steps->item;
    int64_t bits = 0;

    for (size_t i = 0; i < steps->count; i++)
        bits |= (int64_t)1 << step[i];
    return bits ? bits : STORE_NO_INT;
}

static void bind_entry(sqlite3_stmt *add, const struct entry *entry)
{
    bind_uuid(add, ":id", entry->id);
    stmt_int(add, ":tank", entry->tank_key);
    stmt_int(add, ":kind", entry->kind > ENTRY_NOTE ? ENTRY_NOTE : entry->kind);
    stmt_int(add, ":later_kind", entry->kind > ENTRY_NOTE ? entry->kind : STORE_NO_INT);
    stmt_int(add, ":at_ms", entry->at_ms);
    stmt_int(add, ":received_ms", entry->received_ms);
    stmt_int(add, ":clock_off_ms", entry->clock_off_ms);
    stmt_int(add, ":member", entry->member_key);
    stmt_int(add, ":device", entry->device_key);
    stmt_int(add, ":sensor", entry->sensor_key);
    stmt_text(add, ":note", entry->note);
    bind_uuid(add, ":amends", entry->amends);
    bind_uuid(add, ":withdraws", entry->withdraws);
    stmt_real(add, ":waterline_mm", entry->waterline_mm);
    stmt_real(add, ":volume_l", entry->volume_l);
    stmt_real(add, ":ec_ms_cm", entry->ec_ms_cm);
    stmt_real(add, ":ph", entry->ph);
    stmt_real(add, ":temperature_c", entry->temperature_c);
    bind_choice(add, ":method", entry->method);
    stmt_text(add, ":water", entry->water);
    stmt_text(add, ":target", entry->target);
    bind_choice(add, ":acid", entry->acid.acid);
    stmt_real(add, ":acid_ml", entry->acid.ml);
    stmt_text(add, ":crop", entry->crop);
    stmt_int(add, ":plants", entry->count);
    stmt_int(add, ":sown_day", entry->sown_day == INT32_MIN ? STORE_NO_INT : entry->sown_day);
    bind_choice(add, ":start", entry->start);
    bind_choice(add, ":how", entry->how);
    stmt_real(add, ":weight_g", entry->weight_g);
    stmt_int(add, ":bunches", entry->bunches);
    stmt_real(add, ":kept_fraction", entry->kept_fraction);
    stmt_int(add, ":quality", entry->quality);
    stmt_text(add, ":to_tank", entry->to_tank);
    bind_choice(add, ":reason", entry->reason);
    stmt_int(add, ":replaces", entry->replaces ? 1 : STORE_NO_INT);
    stmt_int(add, ":hung_day", entry->hung_day == INT32_MIN ? STORE_NO_INT : entry->hung_day);
    stmt_int(add, ":cuts", entry->cuts);
    stmt_int(add, ":cut_day", entry->cut_day == INT32_MIN ? STORE_NO_INT : entry->cut_day);
    stmt_int(add, ":steps", step_bits(&entry->steps));
    bind_choice(add, ":went_to", entry->went_to);
    bind_uuid(add, ":follows", entry->follows);
}

static int add_salts(struct db *db, const struct entry *entry, struct fault *fault)
{
    const struct entry_salt *salt = entry->weighed.item;

    for (size_t i = 0; i < entry->weighed.count; i++) {
        STMT_HELD *add = stmt_take(db, &entries_queries[ADD_SALT], fault);

        if (!add)
            return -1;
        bind_uuid(add, ":entry", entry->id);
        stmt_int(add, ":place", (int64_t)i);
        stmt_text(add, ":salt", salt[i].salt);
        stmt_real(add, ":grams", salt[i].grams);
        if (stmt_run(add, fault))
            return -1;
    }
    return 0;
}

static int add_cups(struct db *db, const struct entry *entry, struct fault *fault)
{
    const int64_t *cup = entry->cups.item, *to_cup = entry->to_cups.item;

    for (size_t i = 0; i < entry->cups.count; i++) {
        STMT_HELD *add = stmt_take(db, &entries_queries[ADD_CUP], fault);

        if (!add)
            return -1;
        bind_uuid(add, ":entry", entry->id);
        stmt_int(add, ":cup", cup[i]);
        stmt_int(add, ":to_cup", i < entry->to_cups.count ? to_cup[i] : STORE_NO_INT);
        if (stmt_run(add, fault))
            return -1;
    }
    return 0;
}

int entries_add(struct db *db, const struct entry *entry, struct fault *fault)
{
    STMT_HELD *add = stmt_take(db, &entries_queries[ADD], fault);

    if (!add)
        return -1;
    bind_entry(add, entry);
    if (stmt_run(add, fault))
        return -1;
    return add_salts(db, entry, fault) || add_cups(db, entry, fault) ? -1 : 0;
}

/* Reading the columns in their order. */
struct reader {
    sqlite3_stmt *stmt;
    struct arena *arena;
    int column;
    bool short_of_memory;
};

static int64_t next_int(struct reader *reader)
{
    return stmt_get_int(reader->stmt, reader->column++);
}

static int next_choice(struct reader *reader)
{
    int64_t value = next_int(reader);

    return value == STORE_NO_INT ? ENTRY_NONE : (int)value;
}

static double next_real(struct reader *reader)
{
    return stmt_get_real(reader->stmt, reader->column++);
}

static const char *next_text(struct reader *reader)
{
    const char *text = stmt_get_text(reader->stmt, reader->column++), *copy = arena_text(reader->arena, text);

    reader->short_of_memory |= text && !copy;
    return copy;
}

static const char *next_uuid(struct reader *reader)
{
    const unsigned char *bytes = sqlite3_column_blob(reader->stmt, reader->column);
    char text[37];
    const char *copy;

    if (sqlite3_column_bytes(reader->stmt, reader->column++) != 16)
        return NULL;
    uuid_text(bytes, text);
    copy = arena_text(reader->arena, text);
    reader->short_of_memory |= !copy;
    return copy;
}

static void next_steps(struct reader *reader, struct list *steps)
{
    int64_t bits = next_int(reader);
    int *step;

    if (bits == STORE_NO_INT)
        return;
    step = arena_take(reader->arena, ENTRY_STEPS * sizeof *step);
    reader->short_of_memory |= !step;
    *steps = (struct list){step, 0};
    for (int i = 0; step && i < ENTRY_STEPS; i++)
        if (bits >> i & 1)
            step[steps->count++] = i;
}

static int read_entry(sqlite3_stmt *stmt, struct entry *entry, struct arena *arena, struct fault *fault)
{
    struct reader r = {.stmt = stmt, .arena = arena};
    int64_t day;

    *entry = entry_blank();
    entry->id = next_uuid(&r);
    entry->tank_key = next_int(&r);
    entry->tank = next_text(&r);
    entry->kind = (int)next_int(&r);
    entry->at_ms = next_int(&r);
    entry->received_ms = next_int(&r);
    entry->clock_off_ms = next_int(&r);
    entry->note = next_text(&r);
    entry->amends = next_uuid(&r);
    entry->withdraws = next_uuid(&r);
    entry->waterline_mm = next_real(&r);
    entry->volume_l = next_real(&r);
    entry->ec_ms_cm = next_real(&r);
    entry->ph = next_real(&r);
    entry->temperature_c = next_real(&r);
    entry->method = next_choice(&r);
    entry->water = next_text(&r);
    entry->target = next_text(&r);
    entry->acid.acid = next_choice(&r);
    entry->acid.ml = next_real(&r);
    entry->crop = next_text(&r);
    entry->count = next_int(&r);
    day = next_int(&r);
    entry->sown_day = day == STORE_NO_INT ? INT32_MIN : (int32_t)day;
    entry->start = next_choice(&r);
    entry->how = next_choice(&r);
    entry->weight_g = next_real(&r);
    entry->bunches = next_int(&r);
    entry->kept_fraction = next_real(&r);
    entry->quality = next_int(&r);
    entry->to_tank = next_text(&r);
    entry->reason = next_choice(&r);
    entry->replaces = next_int(&r) == 1;
    day = next_int(&r);
    entry->hung_day = day == STORE_NO_INT ? INT32_MIN : (int32_t)day;
    entry->cuts = next_int(&r);
    day = next_int(&r);
    entry->cut_day = day == STORE_NO_INT ? INT32_MIN : (int32_t)day;
    next_steps(&r, &entry->steps);
    entry->went_to = next_choice(&r);
    entry->follows = next_uuid(&r);
    entry->member_key = next_int(&r);
    entry->member = next_text(&r);
    entry->member_name = next_text(&r);
    entry->device_key = next_int(&r);
    entry->device = next_text(&r);
    entry->device_name = next_text(&r);
    entry->sensor_key = next_int(&r);
    entry->sensor = next_text(&r);
    entry->sensor_name = next_text(&r);
    entry->amended_by = next_uuid(&r);
    entry->withdrawn_by = next_uuid(&r);
    return r.short_of_memory ? fault_add(fault, FAULT_MEMORY, "", "out of memory") : 0;
}

static int read_salts(struct db *db, struct entry *entry, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &entries_queries[SALTS], fault);
    size_t room = 0;
    int more;

    if (!stmt)
        return -1;
    bind_uuid(stmt, ":entry", entry->id);
    while ((more = stmt_step(stmt, fault)) == 1) {
        struct entry_salt *salt;

        entry->weighed.item = arena_grow(arena, entry->weighed.item, entry->weighed.count, &room, sizeof *salt);
        if (!entry->weighed.item)
            return fault_add(fault, FAULT_MEMORY, "", "out of memory");
        salt = (struct entry_salt *)entry->weighed.item + entry->weighed.count++;
        salt->salt = arena_text(arena, stmt_get_text(stmt, 0));
        salt->grams = stmt_get_real(stmt, 1);
        if (!salt->salt)
            return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    }
    return more;
}

static int read_cups(struct db *db, struct entry *entry, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &entries_queries[CUPS], fault);
    size_t room = 0, to_room = 0;
    int more;

    if (!stmt)
        return -1;
    bind_uuid(stmt, ":entry", entry->id);
    while ((more = stmt_step(stmt, fault)) == 1) {
        entry->cups.item = arena_grow(arena, entry->cups.item, entry->cups.count, &room, sizeof(int64_t));
        if (!entry->cups.item)
            return fault_add(fault, FAULT_MEMORY, "", "out of memory");
        ((int64_t *)entry->cups.item)[entry->cups.count++] = stmt_get_int(stmt, 0);
        if (entry->kind != ENTRY_MOVE)
            continue;
        entry->to_cups.item = arena_grow(arena, entry->to_cups.item, entry->to_cups.count, &to_room, sizeof(int64_t));
        if (!entry->to_cups.item)
            return fault_add(fault, FAULT_MEMORY, "", "out of memory");
        ((int64_t *)entry->to_cups.item)[entry->to_cups.count++] = stmt_get_int(stmt, 1);
    }
    return more;
}

/* Only some kinds have children; the others are not asked for them. */
static int read_children(struct db *db, struct entry *entry, struct arena *arena, struct fault *fault)
{
    switch (entry->kind) {
    case ENTRY_FILL:
    case ENTRY_TOP_UP:
        return read_salts(db, entry, arena, fault);
    case ENTRY_PLANTING:
    case ENTRY_HARVEST:
    case ENTRY_MOVE:
    case ENTRY_LOSS:
        return read_cups(db, entry, arena, fault);
    default:
        return 0;
    }
}

static int read_all(struct db *db, sqlite3_stmt *stmt, struct list *entries, struct arena *arena, struct fault *fault)
{
    size_t room = 0;
    int more;

    *entries = (struct list){NULL, 0};
    while ((more = stmt_step(stmt, fault)) == 1) {
        struct entry *entry;

        entries->item = arena_grow(arena, entries->item, entries->count, &room, sizeof *entry);
        if (!entries->item)
            return fault_add(fault, FAULT_MEMORY, "", "out of memory");
        entry = (struct entry *)entries->item + entries->count++;
        if (read_entry(stmt, entry, arena, fault) || read_children(db, entry, arena, fault))
            return -1;
    }
    return more;
}

int entries_one(struct db *db, const char *id, struct entry *entry, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &entries_queries[ONE], fault);
    int found;

    if (!stmt)
        return -1;
    bind_uuid(stmt, ":id", id);
    found = stmt_step(stmt, fault);
    if (found == 1 && (read_entry(stmt, entry, arena, fault) || read_children(db, entry, arena, fault)))
        return -1;
    return found;
}

int entries_of_tank(struct db *db, int64_t tank_key, struct list *entries, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &entries_queries[OF_TANK], fault);

    if (!stmt)
        return -1;
    stmt_int(stmt, ":tank", tank_key);
    return read_all(db, stmt, entries, arena, fault);
}

static int read_span(struct db *db, size_t query, const struct entries_span *span, struct list *entries, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &entries_queries[query], fault);

    if (!stmt)
        return -1;
    stmt_int(stmt, ":tank", span->tank_key);
    stmt_int(stmt, ":from_ms", span->from_ms);
    stmt_int(stmt, ":to_ms", span->to_ms);
    return read_all(db, stmt, entries, arena, fault);
}

int entries_deeds_in(struct db *db, const struct entries_span *span, struct list *entries, struct arena *arena, struct fault *fault)
{
    return read_span(db, DEEDS_IN, span, entries, arena, fault);
}

int entries_readings_in(struct db *db, const struct entries_span *span, struct list *entries, struct arena *arena, struct fault *fault)
{
    return read_span(db, READINGS_IN, span, entries, arena, fault);
}

int entries_reading_before(struct db *db, const struct entries_span *span, struct entry *reading, struct arena *arena, struct fault *fault)
{
    struct list found;
    const struct entry *one;

    if (read_span(db, READING_BEFORE, span, &found, arena, fault))
        return -1;
    one = found.item;
    for (size_t i = 0; i < found.count; i++)
        if (!one[i].amended_by && !one[i].withdrawn_by) {
            *reading = one[i];
            return 1;
        }
    return 0;
}

/* Deeds in which one that stands is looked for. */
#define NEWEST_MOST 16

struct moment {
    unsigned char id[16];
    int64_t at_ms;
};

/* Read whole before any is asked about: that takes the same connection. */
static int read_newest(struct db *db, size_t query, const struct entries_span *span, size_t limit, struct moment *found, size_t *count, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &entries_queries[query], fault);
    int more;

    if (!stmt)
        return -1;
    stmt_int(stmt, ":tank", span->tank_key);
    stmt_int(stmt, ":from_ms", span->from_ms);
    stmt_int(stmt, ":to_ms", span->to_ms);
    stmt_int(stmt, ":limit", (int64_t)limit);
    for (*count = 0; (more = stmt_step(stmt, fault)) == 1; ++*count) {
        memcpy(found[*count].id, sqlite3_column_blob(stmt, 0), 16);
        found[*count].at_ms = stmt_get_int(stmt, 1);
    }
    return more;
}

/* The newest of those a query finds that stands: as a rule that is the first, and to read on costs more in every year. */
static int newest_standing(struct db *db, size_t query, const struct entries_span *span, unsigned char id[16], int64_t *at_ms, struct fault *fault)
{
    struct moment found[NEWEST_MOST];
    size_t count, looked_at = 0;

    for (size_t limit = 1; limit; limit = limit < NEWEST_MOST ? NEWEST_MOST : 0) {
        if (read_newest(db, query, span, limit, found, &count, fault))
            return -1;
        for (; looked_at < count; looked_at++) {
            int stands = entry_stands(db, found[looked_at].id, fault);

            if (stands < 0)
                return -1;
            if (!stands)
                continue;
            memcpy(id, found[looked_at].id, 16);
            *at_ms = found[looked_at].at_ms;
            return 1;
        }
        if (count < limit)
            break;
    }
    return 0;
}

int entries_clean_out(struct db *db, const struct entries_span *span, int64_t *at_ms, struct fault *fault)
{
    unsigned char id[16];

    return newest_standing(db, CLEAN_OUTS, span, id, at_ms, fault);
}

int entries_weighed_fill(struct db *db, const struct entries_span *span, struct entry *fill, struct arena *arena, struct fault *fault)
{
    unsigned char id[16];
    char text[37];
    int64_t at_ms;
    int found = newest_standing(db, FILLS, span, id, &at_ms, fault);

    if (found != 1)
        return found;
    uuid_text(id, text);
    return entries_one(db, text, fill, arena, fault);
}

/* The last few waterlines that were read in a stretch of time and not corrected, added to a list. */
static int add_levels(struct db *db, int64_t tank_key, int64_t from_ms, int64_t to_ms, struct list *entries, size_t *room,
                      struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &entries_queries[LEVELS_BEFORE], fault);
    struct list found;
    const struct entry *level;

    if (!stmt)
        return -1;
    stmt_int(stmt, ":tank", tank_key);
    stmt_int(stmt, ":from_ms", from_ms);
    stmt_int(stmt, ":to_ms", to_ms);
    if (read_all(db, stmt, &found, arena, fault))
        return -1;
    level = found.item;
    for (size_t i = 0; i < found.count; i++) {
        if (level[i].amended_by || level[i].withdrawn_by)
            continue;
        entries->item = arena_grow(arena, entries->item, entries->count, room, sizeof *level);
        if (!entries->item)
            return fault_add(fault, FAULT_MEMORY, "", "out of memory");
        ((struct entry *)entries->item)[entries->count++] = level[i];
    }
    return 0;
}

/* What a sensor told last in that stretch. */
static int add_sensed(struct db *db, int64_t tank_key, int64_t from_ms, int64_t to_ms, struct list *entries, size_t *room, struct arena *arena,
                      struct fault *fault)
{
    static const struct sensed_step whole[] = {{INT64_MAX, INT64_MAX}};
    const struct sensed_ask ask = {.tank_key = tank_key, .from_ms = from_ms, .to_ms = to_ms, .steps = whole};
    struct list found;

    if (sensed_thinned(db, &ask, &found, arena, fault))
        return -1;
    if (!found.count)
        return 0;
    entries->item = arena_grow(arena, entries->item, entries->count, room, sizeof(struct entry));
    if (!entries->item)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    return sensed_entry((const struct sensed *)found.item + found.count - 1, (struct entry *)entries->item + entries->count++, arena, fault);
}

static int oldest_first(const void *a, const void *b)
{
    const struct entry *x = a, *y = b;

    return x->at_ms != y->at_ms ? (x->at_ms > y->at_ms) - (x->at_ms < y->at_ms) : strcmp(x->id, y->id);
}

/* Two harvests of one day have the same reading before them: it counts once. */
static void drop_doubles(struct list *entries)
{
    struct entry *entry = entries->item;
    size_t kept = 0;

    for (size_t i = 0; i < entries->count; i++)
        if (!kept || strcmp(entry[kept - 1].id, entry[i].id) != 0)
            entry[kept++] = entry[i];
    entries->count = kept;
}

int entries_deeds(struct db *db, int64_t tank_key, int64_t before_ms, struct list *entries, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &entries_queries[DEEDS], fault);

    if (!stmt)
        return -1;
    stmt_int(stmt, ":tank", tank_key);
    return read_all(db, stmt, entries, arena, fault) ? -1 : entries_add_levels(db, tank_key, before_ms, entries, arena, fault);
}

int entries_add_levels(struct db *db, int64_t tank_key, int64_t before_ms, struct list *entries, struct arena *arena, struct fault *fault)
{
    size_t deeds = entries->count, room = deeds; /* full: the first reading moves the list */

    for (size_t i = 0; i < deeds; i++) {
        const struct entry *deed = (const struct entry *)entries->item + i;

        int64_t at_ms = deed->at_ms; /* the list may move */

        if (deed->kind == ENTRY_HARVEST && (add_levels(db, tank_key, at_ms - before_ms, at_ms, entries, &room, arena, fault) ||
                                            add_sensed(db, tank_key, at_ms - before_ms, at_ms, entries, &room, arena, fault)))
            return -1;
    }
    if (entries->count > deeds) {
        qsort(entries->item, entries->count, sizeof(struct entry), oldest_first);
        drop_doubles(entries);
    }
    return 0;
}

int entries_following(struct db *db, const char *id, struct list *entries, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &entries_queries[FOLLOWING], fault);

    if (!stmt)
        return -1;
    bind_uuid(stmt, ":id", id);
    return read_all(db, stmt, entries, arena, fault);
}

static const char *kept_text(const char *text, struct arena *arena, bool *failed)
{
    const char *copy = arena_text(arena, text);

    *failed |= text && !copy;
    return copy;
}

static struct list kept_list(const struct list *list, size_t size, struct arena *arena, bool *failed)
{
    void *copy = list->count ? arena_take(arena, list->count * size) : NULL;

    *failed |= list->count && !copy;
    if (copy)
        memcpy(copy, list->item, list->count * size);
    return (struct list){copy, copy ? list->count : 0};
}

int entry_copy(struct entry *to, const struct entry *from, struct arena *arena, struct fault *fault)
{
    struct entry copy = *from;
    const char **texts[] = {&copy.id, &copy.tank, &copy.note, &copy.amends, &copy.withdraws, &copy.water, &copy.target, &copy.crop,
                            &copy.member, &copy.member_name, &copy.device, &copy.device_name, &copy.amended_by, &copy.withdrawn_by};
    bool failed = false;

    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++)
        *texts[i] = kept_text(*texts[i], arena, &failed);
    copy.sensor = kept_text(copy.sensor, arena, &failed);
    copy.sensor_name = kept_text(copy.sensor_name, arena, &failed);
    copy.to_tank = kept_text(copy.to_tank, arena, &failed);
    copy.follows = kept_text(copy.follows, arena, &failed);
    copy.to_cups = kept_list(&from->to_cups, sizeof(int64_t), arena, &failed);
    copy.steps = kept_list(&from->steps, sizeof(int), arena, &failed);
    copy.cups = kept_list(&from->cups, sizeof(int64_t), arena, &failed);
    copy.weighed = kept_list(&from->weighed, sizeof(struct entry_salt), arena, &failed);
    for (size_t i = 0; i < copy.weighed.count; i++) {
        struct entry_salt *salt = (struct entry_salt *)copy.weighed.item + i;

        salt->salt = kept_text(salt->salt, arena, &failed);
    }
    copy.flags = (struct list){NULL, 0};
    *to = copy;
    return failed ? fault_add(fault, FAULT_MEMORY, "", "out of memory") : 0;
}

int entries_page(struct db *db, const struct entries_page *page, struct list *entries, struct arena *arena, struct fault *fault)
{
    static const unsigned char last[16] = {255, 255, 255, 255, 255, 255, 255, 255, 255, 255, 255, 255, 255, 255, 255, 255};
    bool one_tank = page->tank_key != STORE_NO_INT;
    STMT_HELD *stmt = stmt_take(db, &entries_queries[one_tank ? PAGE_OF_TANK : PAGE], fault);

    if (!stmt)
        return -1;
    if (one_tank)
        stmt_int(stmt, ":tank", page->tank_key);
    stmt_int(stmt, ":before_ms", page->before_ms);
    if (page->before_id)
        bind_uuid(stmt, ":before_id", page->before_id);
    else
        stmt_blob(stmt, ":before_id", last, sizeof last);
    stmt_int(stmt, ":limit", page->limit);
    return read_all(db, stmt, entries, arena, fault);
}
