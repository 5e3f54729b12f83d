/* members.c - members, their devices, invites and sensors in the file. */
#include "store/members.h"

#include <string.h>

#include "store/rows.h"

#define MEMBER_COLUMNS "SELECT key, uid, name, role, joined_ms, removed_ms FROM member "
#define DEVICE_COLUMNS \
    "SELECT d.key, d.uid, d.member, m.uid, m.name, m.role, d.name, d.token_hash, d.paired_ms, d.last_used_ms, d.revoked_ms, " \
    "m.removed_ms FROM device d JOIN member m ON m.key = d.member "
#define INVITE_COLUMNS \
    "SELECT i.key, i.uid, i.token_hash, i.member, m.uid, i.name, i.role, i.made_by, i.made_ms, i.expires_ms, i.used_ms, " \
    "i.revoked_ms FROM invite i LEFT JOIN member m ON m.key = i.member "
#define SENSOR_COLUMNS "SELECT key, uid, name, key_hash, made_ms, last_used_ms, revoked_ms FROM sensor "
#define SEEN "key IS NOT (SELECT spare FROM sensed_import WHERE one = 1)" /* all but that of an import under way */

enum {
    MEMBER_ADD, MEMBER_ONE, MEMBER_BY_KEY, MEMBER_LIST, MEMBER_CHANGE, MEMBER_COUNT,
    DEVICE_ADD, DEVICE_ONE, DEVICE_BY_HASH, DEVICE_LIST, DEVICE_LIST_OF, DEVICE_COUNT, DEVICE_REVOKE, DEVICE_TOUCH,
    INVITE_ADD, INVITE_ONE, INVITE_BY_HASH, INVITE_LIST, INVITE_USE, INVITE_REVOKE, INVITE_REVOKE_HOSTS,
    SENSOR_ADD, SENSOR_ONE, SENSOR_BY_HASH, SENSOR_LIST, SENSOR_REVOKE, SENSOR_REKEY, SENSOR_TOUCH, SENSOR_ALLOW, SENSOR_MAY, SENSOR_TANKS
};

const struct query members_queries[] = {
    [MEMBER_ADD] = {"member_add", "INSERT INTO member (uid, name, role, joined_ms) VALUES (:uid, :name, :role, :joined_ms)"},
    [MEMBER_ONE] = {"member_one", MEMBER_COLUMNS "WHERE uid = :uid"},
    [MEMBER_BY_KEY] = {"member_by_key", MEMBER_COLUMNS "WHERE key = :key"},
    [MEMBER_LIST] = {"member_list", MEMBER_COLUMNS "WHERE key > :after ORDER BY key LIMIT :limit"},
    [MEMBER_CHANGE] = {"member_change", "UPDATE member SET name = :name, role = :role, removed_ms = :removed_ms WHERE key = :key"},
    [MEMBER_COUNT] = {"member_count", "SELECT count(*) FROM member WHERE role >= :role AND removed_ms IS NULL"},

    [DEVICE_ADD] = {"device_add",
                    "INSERT INTO device (uid, member, name, token_hash, paired_ms, last_used_ms) "
                    "VALUES (:uid, :member, :name, :hash, :paired_ms, :paired_ms)"},
    [DEVICE_ONE] = {"device_one", DEVICE_COLUMNS "WHERE d.uid = :uid"},
    [DEVICE_BY_HASH] = {"device_by_hash", DEVICE_COLUMNS "WHERE d.token_hash = :hash"},
    [DEVICE_LIST] = {"device_list", DEVICE_COLUMNS "WHERE d.key > :after ORDER BY d.key LIMIT :limit"},
    [DEVICE_LIST_OF] = {"device_list_of", DEVICE_COLUMNS "WHERE d.member = :member AND d.key > :after ORDER BY d.key LIMIT :limit"},
    [DEVICE_COUNT] = {"device_count",
                      "SELECT count(*) FROM device d JOIN member m ON m.key = d.member "
                      "WHERE m.role >= :role AND m.removed_ms IS NULL AND d.revoked_ms IS NULL"},
    [DEVICE_REVOKE] = {"device_revoke", "UPDATE device SET revoked_ms = :at_ms WHERE key = :key AND revoked_ms IS NULL"},
    [DEVICE_TOUCH] = {"device_touch", "UPDATE device SET last_used_ms = :at_ms WHERE key = :key"},

    [INVITE_ADD] = {"invite_add",
                    "INSERT INTO invite (uid, token_hash, member, name, role, made_by, made_ms, expires_ms) "
                    "VALUES (:uid, :hash, :member, :name, :role, :made_by, :made_ms, :expires_ms)"},
    [INVITE_ONE] = {"invite_one", INVITE_COLUMNS "WHERE i.uid = :uid"},
    [INVITE_BY_HASH] = {"invite_by_hash", INVITE_COLUMNS "WHERE i.token_hash = :hash"},
    [INVITE_LIST] = {"invite_list", INVITE_COLUMNS "WHERE i.key > :after ORDER BY i.key LIMIT :limit"},
    [INVITE_USE] = {"invite_use",
                    "UPDATE invite SET used_ms = :at_ms, used_device = :device "
                    "WHERE key = :key AND used_ms IS NULL AND revoked_ms IS NULL AND expires_ms > :at_ms"},
    [INVITE_REVOKE] = {"invite_revoke", "UPDATE invite SET revoked_ms = :at_ms WHERE key = :key AND used_ms IS NULL AND revoked_ms IS NULL"},
    [INVITE_REVOKE_HOSTS] = {"invite_revoke_hosts",
                             "UPDATE invite SET revoked_ms = :at_ms WHERE made_by IS NULL AND used_ms IS NULL AND revoked_ms IS NULL"},

    [SENSOR_ADD] = {"sensor_add", "INSERT INTO sensor (uid, name, key_hash, made_ms) VALUES (:uid, :name, :hash, :made_ms)"},
    [SENSOR_ONE] = {"sensor_one", SENSOR_COLUMNS "WHERE uid = :uid AND " SEEN},
    [SENSOR_BY_HASH] = {"sensor_by_hash", SENSOR_COLUMNS "WHERE key_hash = :hash"},
    [SENSOR_LIST] = {"sensor_list", SENSOR_COLUMNS "WHERE key > :after AND " SEEN " ORDER BY key LIMIT :limit"},
    [SENSOR_REVOKE] = {"sensor_revoke", "UPDATE sensor SET revoked_ms = :at_ms WHERE key = :key AND revoked_ms IS NULL"},
    [SENSOR_REKEY] = {"sensor_rekey", "UPDATE sensor SET key_hash = :hash, last_used_ms = NULL WHERE key = :key"},
    [SENSOR_TOUCH] = {"sensor_touch", "UPDATE sensor SET last_used_ms = :at_ms WHERE key = :key"},
    [SENSOR_ALLOW] = {"sensor_allow", "INSERT OR IGNORE INTO sensor_tank (sensor, tank) VALUES (:sensor, :tank)"},
    [SENSOR_MAY] = {"sensor_may", "SELECT 1 FROM sensor_tank WHERE sensor = :sensor AND tank = :tank"},
    [SENSOR_TANKS] = {"sensor_tanks",
                      "SELECT t.uid FROM sensor_tank s JOIN tank t ON t.key = s.tank WHERE s.sensor = :sensor ORDER BY s.tank"},
};
const size_t members_queries_count = sizeof members_queries / sizeof *members_queries;

/* ---- reading rows ---- */

static void read_hash(const struct row *row, int column, unsigned char hash[MEMBER_HASH])
{
    const void *bytes = sqlite3_column_blob(row->stmt, column);

    memset(hash, 0, MEMBER_HASH);
    if (bytes && sqlite3_column_bytes(row->stmt, column) == MEMBER_HASH)
        memcpy(hash, bytes, MEMBER_HASH);
}

static void read_member(struct row *row, void *into)
{
    struct member_row *member = into;

    *member = (struct member_row){
        .key = stmt_get_int(row->stmt, 0),
        .id = row_text(row, 1),
        .name = row_text(row, 2),
        .role = (int)stmt_get_int(row->stmt, 3),
        .joined_ms = stmt_get_int(row->stmt, 4),
        .removed_ms = stmt_get_int(row->stmt, 5),
    };
}

static void read_device(struct row *row, void *into)
{
    struct device_row *device = into;

    *device = (struct device_row){
        .key = stmt_get_int(row->stmt, 0),
        .id = row_text(row, 1),
        .member_key = stmt_get_int(row->stmt, 2),
        .member = row_text(row, 3),
        .member_name = row_text(row, 4),
        .role = (int)stmt_get_int(row->stmt, 5),
        .name = row_text(row, 6),
        .paired_ms = stmt_get_int(row->stmt, 8),
        .last_used_ms = stmt_get_int(row->stmt, 9),
        .revoked_ms = stmt_get_int(row->stmt, 10),
        .member_removed_ms = stmt_get_int(row->stmt, 11),
    };
    read_hash(row, 7, device->hash);
}

static void read_invite(struct row *row, void *into)
{
    struct invite_row *invite = into;

    *invite = (struct invite_row){
        .key = stmt_get_int(row->stmt, 0),
        .id = row_text(row, 1),
        .member_key = stmt_get_int(row->stmt, 3),
        .member = row_text(row, 4),
        .name = row_text(row, 5),
        .role = (int)stmt_get_int(row->stmt, 6),
        .made_by_key = stmt_get_int(row->stmt, 7),
        .made_ms = stmt_get_int(row->stmt, 8),
        .expires_ms = stmt_get_int(row->stmt, 9),
        .used_ms = stmt_get_int(row->stmt, 10),
        .revoked_ms = stmt_get_int(row->stmt, 11),
    };
    read_hash(row, 2, invite->hash);
}

static void read_sensor(struct row *row, void *into)
{
    struct sensor_row *sensor = into;

    *sensor = (struct sensor_row){
        .key = stmt_get_int(row->stmt, 0),
        .id = row_text(row, 1),
        .name = row_text(row, 2),
        .made_ms = stmt_get_int(row->stmt, 4),
        .last_used_ms = stmt_get_int(row->stmt, 5),
        .revoked_ms = stmt_get_int(row->stmt, 6),
    };
    read_hash(row, 3, sensor->hash);
}

static int one_by_id(struct db *db, size_t query, const char *id, row_reader *read, void *row, struct arena *arena,
                     struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &members_queries[query], fault);

    if (!stmt)
        return -1;
    stmt_text(stmt, ":uid", id);
    return rows_one(stmt, read, row, arena, fault);
}

static int one_by_hash(struct db *db, size_t query, const unsigned char *hash, row_reader *read, void *row, struct arena *arena,
                       struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &members_queries[query], fault);

    if (!stmt)
        return -1;
    stmt_blob(stmt, ":hash", hash, MEMBER_HASH);
    return rows_one(stmt, read, row, arena, fault);
}

static int list_after(struct db *db, size_t query, int64_t after_key, int64_t limit, row_reader *read, size_t size,
                      struct list *rows, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &members_queries[query], fault);

    if (!stmt)
        return -1;
    stmt_int(stmt, ":after", after_key);
    stmt_int(stmt, ":limit", limit);
    return rows_all(stmt, read, size, rows, arena, fault);
}

static int run_at(struct db *db, size_t query, int64_t key, int64_t at_ms, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &members_queries[query], fault);

    if (!stmt)
        return -1;
    stmt_int(stmt, ":key", key);
    stmt_int(stmt, ":at_ms", at_ms);
    return stmt_run(stmt, fault);
}

static int count_role(struct db *db, size_t query, int role, int64_t *count, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &members_queries[query], fault);

    if (!stmt)
        return -1;
    stmt_int(stmt, ":role", role);
    if (stmt_step(stmt, fault) != 1)
        return -1;
    *count = stmt_get_int(stmt, 0);
    return 0;
}

/* ---- members ---- */

int members_add(struct db *db, struct member_row *member, struct fault *fault)
{
    STMT_HELD *add = stmt_take(db, &members_queries[MEMBER_ADD], fault);

    if (!add)
        return -1;
    stmt_text(add, ":uid", member->id);
    stmt_text(add, ":name", member->name);
    stmt_int(add, ":role", member->role);
    stmt_int(add, ":joined_ms", member->joined_ms);
    if (stmt_run(add, fault))
        return -1;
    member->key = db_last_id(db);
    member->removed_ms = STORE_NO_INT;
    return 0;
}

int members_one(struct db *db, const char *id, struct member_row *member, struct arena *arena, struct fault *fault)
{
    return one_by_id(db, MEMBER_ONE, id, read_member, member, arena, fault);
}

int members_by_key(struct db *db, int64_t key, struct member_row *member, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &members_queries[MEMBER_BY_KEY], fault);

    if (!stmt)
        return -1;
    stmt_int(stmt, ":key", key);
    return rows_one(stmt, read_member, member, arena, fault);
}

int members_list(struct db *db, int64_t after_key, int64_t limit, struct list *members, struct arena *arena, struct fault *fault)
{
    return list_after(db, MEMBER_LIST, after_key, limit, read_member, sizeof(struct member_row), members, arena, fault);
}

int members_change(struct db *db, const struct member_row *member, struct fault *fault)
{
    STMT_HELD *change = stmt_take(db, &members_queries[MEMBER_CHANGE], fault);

    if (!change)
        return -1;
    stmt_int(change, ":key", member->key);
    stmt_text(change, ":name", member->name);
    stmt_int(change, ":role", member->role);
    stmt_int(change, ":removed_ms", member->removed_ms);
    return stmt_run(change, fault);
}

int members_count(struct db *db, int role, int64_t *count, struct fault *fault)
{
    return count_role(db, MEMBER_COUNT, role, count, fault);
}

/* ---- devices ---- */

int devices_add(struct db *db, struct device_row *device, struct fault *fault)
{
    STMT_HELD *add = stmt_take(db, &members_queries[DEVICE_ADD], fault);

    if (!add)
        return -1;
    stmt_text(add, ":uid", device->id);
    stmt_int(add, ":member", device->member_key);
    stmt_text(add, ":name", device->name);
    stmt_blob(add, ":hash", device->hash, MEMBER_HASH);
    stmt_int(add, ":paired_ms", device->paired_ms);
    if (stmt_run(add, fault))
        return -1;
    device->key = db_last_id(db);
    device->last_used_ms = device->paired_ms;
    device->revoked_ms = device->member_removed_ms = STORE_NO_INT;
    return 0;
}

int devices_one(struct db *db, const char *id, struct device_row *device, struct arena *arena, struct fault *fault)
{
    return one_by_id(db, DEVICE_ONE, id, read_device, device, arena, fault);
}

int devices_by_hash(struct db *db, const unsigned char *hash, struct device_row *device, struct arena *arena, struct fault *fault)
{
    return one_by_hash(db, DEVICE_BY_HASH, hash, read_device, device, arena, fault);
}

int devices_list(struct db *db, int64_t member_key, int64_t after_key, int64_t limit, struct list *devices, struct arena *arena,
                 struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &members_queries[member_key == STORE_NO_INT ? DEVICE_LIST : DEVICE_LIST_OF], fault);

    if (!stmt)
        return -1;
    if (member_key != STORE_NO_INT)
        stmt_int(stmt, ":member", member_key);
    stmt_int(stmt, ":after", after_key);
    stmt_int(stmt, ":limit", limit);
    return rows_all(stmt, read_device, sizeof(struct device_row), devices, arena, fault);
}

int devices_count(struct db *db, int role, int64_t *count, struct fault *fault)
{
    return count_role(db, DEVICE_COUNT, role, count, fault);
}

int devices_revoke(struct db *db, int64_t key, int64_t at_ms, struct fault *fault)
{
    return run_at(db, DEVICE_REVOKE, key, at_ms, fault);
}

int devices_touch(struct db *db, int64_t key, int64_t at_ms, struct fault *fault)
{
    return run_at(db, DEVICE_TOUCH, key, at_ms, fault);
}

/* ---- invites ---- */

int invites_add(struct db *db, struct invite_row *invite, struct fault *fault)
{
    STMT_HELD *add = stmt_take(db, &members_queries[INVITE_ADD], fault);

    if (!add)
        return -1;
    stmt_text(add, ":uid", invite->id);
    stmt_blob(add, ":hash", invite->hash, MEMBER_HASH);
    stmt_int(add, ":member", invite->member_key);
    stmt_text(add, ":name", invite->name);
    stmt_int(add, ":role", invite->role);
    stmt_int(add, ":made_by", invite->made_by_key);
    stmt_int(add, ":made_ms", invite->made_ms);
    stmt_int(add, ":expires_ms", invite->expires_ms);
    if (stmt_run(add, fault))
        return -1;
    invite->key = db_last_id(db);
    invite->used_ms = invite->revoked_ms = STORE_NO_INT;
    return 0;
}

int invites_one(struct db *db, const char *id, struct invite_row *invite, struct arena *arena, struct fault *fault)
{
    return one_by_id(db, INVITE_ONE, id, read_invite, invite, arena, fault);
}

int invites_by_hash(struct db *db, const unsigned char *hash, struct invite_row *invite, struct arena *arena, struct fault *fault)
{
    return one_by_hash(db, INVITE_BY_HASH, hash, read_invite, invite, arena, fault);
}

int invites_list(struct db *db, int64_t after_key, int64_t limit, struct list *invites, struct arena *arena, struct fault *fault)
{
    return list_after(db, INVITE_LIST, after_key, limit, read_invite, sizeof(struct invite_row), invites, arena, fault);
}

int invites_use(struct db *db, int64_t key, int64_t device_key, int64_t at_ms, struct fault *fault)
{
    STMT_HELD *use = stmt_take(db, &members_queries[INVITE_USE], fault);

    if (!use)
        return -1;
    stmt_int(use, ":key", key);
    stmt_int(use, ":device", device_key);
    stmt_int(use, ":at_ms", at_ms);
    if (stmt_run(use, fault))
        return -1;
    return db_changes(db) == 1;
}

int invites_revoke(struct db *db, int64_t key, int64_t at_ms, struct fault *fault)
{
    return run_at(db, INVITE_REVOKE, key, at_ms, fault);
}

int invites_revoke_hosts(struct db *db, int64_t at_ms, struct fault *fault)
{
    STMT_HELD *revoke = stmt_take(db, &members_queries[INVITE_REVOKE_HOSTS], fault);

    if (!revoke)
        return -1;
    stmt_int(revoke, ":at_ms", at_ms);
    return stmt_run(revoke, fault);
}

/* ---- sensors ---- */

int sensors_add(struct db *db, struct sensor_row *sensor, struct fault *fault)
{
    STMT_HELD *add = stmt_take(db, &members_queries[SENSOR_ADD], fault);

    if (!add)
        return -1;
    stmt_text(add, ":uid", sensor->id);
    stmt_text(add, ":name", sensor->name);
    stmt_blob(add, ":hash", sensor->hash, MEMBER_HASH);
    stmt_int(add, ":made_ms", sensor->made_ms);
    if (stmt_run(add, fault))
        return -1;
    sensor->key = db_last_id(db);
    sensor->last_used_ms = sensor->revoked_ms = STORE_NO_INT;
    return 0;
}

int sensors_allow(struct db *db, int64_t sensor_key, int64_t tank_key, struct fault *fault)
{
    STMT_HELD *allow = stmt_take(db, &members_queries[SENSOR_ALLOW], fault);

    if (!allow)
        return -1;
    stmt_int(allow, ":sensor", sensor_key);
    stmt_int(allow, ":tank", tank_key);
    return stmt_run(allow, fault);
}

int sensors_may(struct db *db, int64_t sensor_key, int64_t tank_key, struct fault *fault)
{
    STMT_HELD *may = stmt_take(db, &members_queries[SENSOR_MAY], fault);

    if (!may)
        return -1;
    stmt_int(may, ":sensor", sensor_key);
    stmt_int(may, ":tank", tank_key);
    return stmt_step(may, fault);
}

static void read_tank_id(struct row *row, void *into)
{
    const char **id = into;

    *id = row_text(row, 0);
}

static int fill_tanks(struct db *db, void *row, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &members_queries[SENSOR_TANKS], fault);
    struct sensor_row *sensor = row;

    if (!stmt)
        return -1;
    stmt_int(stmt, ":sensor", sensor->key);
    return rows_all(stmt, read_tank_id, sizeof(const char *), &sensor->tanks, arena, fault);
}

int sensors_one(struct db *db, const char *id, struct sensor_row *sensor, struct arena *arena, struct fault *fault)
{
    int found = one_by_id(db, SENSOR_ONE, id, read_sensor, sensor, arena, fault);

    return found == 1 && fill_tanks(db, sensor, arena, fault) ? -1 : found;
}

int sensors_by_hash(struct db *db, const unsigned char *hash, struct sensor_row *sensor, struct arena *arena, struct fault *fault)
{
    return one_by_hash(db, SENSOR_BY_HASH, hash, read_sensor, sensor, arena, fault);
}

int sensors_list(struct db *db, int64_t after_key, int64_t limit, struct list *sensors, struct arena *arena, struct fault *fault)
{
    if (list_after(db, SENSOR_LIST, after_key, limit, read_sensor, sizeof(struct sensor_row), sensors, arena, fault))
        return -1;
    return rows_fill(db, fill_tanks, sizeof(struct sensor_row), sensors, arena, fault);
}

int sensors_revoke(struct db *db, int64_t key, int64_t at_ms, struct fault *fault)
{
    return run_at(db, SENSOR_REVOKE, key, at_ms, fault);
}

int sensors_rekey(struct db *db, int64_t key, const unsigned char *hash, struct fault *fault)
{
    STMT_HELD *rekey = stmt_take(db, &members_queries[SENSOR_REKEY], fault);

    if (!rekey)
        return -1;
    stmt_int(rekey, ":key", key);
    stmt_blob(rekey, ":hash", hash, MEMBER_HASH);
    return stmt_run(rekey, fault);
}

int sensors_touch(struct db *db, int64_t key, int64_t at_ms, struct fault *fault)
{
    return run_at(db, SENSOR_TOUCH, key, at_ms, fault);
}
