/* people.c - members, the devices they paired, invites, sensors. */
#include "garden/people.h"

#include <sodium.h>
#include <stdio.h>
#include <string.h>

#include "calc/days.h"
#include "garden/clock.h"
#include "garden/garden.h"
#include "garden/people_cache.h"
#include "garden/resend.h"
#include "store/gardens.h"
#include "store/tanks.h"

#define DAY ((int64_t)86400000)

static int no_memory(struct fault *fault)
{
    return fault_add(fault, FAULT_MEMORY, "", "out of memory");
}

static char *new_id(struct arena *arena, struct fault *fault)
{
    char *id = arena_take(arena, 37);

    if (id)
        clock_uuid(id);
    else
        no_memory(fault);
    return id;
}

/* Names are shown to others: something to read, nothing that moves the cursor. */
static int check_name(const char *name, const char *at, struct fault *fault)
{
    size_t length = strlen(name);

    if (length == 0 || length > PEOPLE_NAME_MOST || name[strspn(name, " ")] == '\0')
        return fault_add(fault, FAULT_INPUT, at, "needs 1 to %d bytes to read", PEOPLE_NAME_MOST);
    for (const char *c = name; *c; c++)
        if ((unsigned char)*c < 0x20 || *c == 0x7f)
            return fault_add(fault, FAULT_INPUT, at, "must hold no control characters");
    return 0;
}

static int check_role(int role, const char *at, struct fault *fault)
{
    return role >= ROLE_VISITOR && role <= ROLE_KEEPER
               ? 0
               : fault_add(fault, FAULT_INPUT, at, "must be keeper, grower or visitor");
}

/* ---- who asks ---- */

/* What noting a use needs. */
struct touch {
    struct who who;
    int64_t at_ms;
};

static int touch(struct db *db, void *context, struct fault *fault)
{
    const struct touch *touched = context;

    return touched->who.sensor ? sensors_touch(db, touched->who.sensor, touched->at_ms, fault)
                               : devices_touch(db, touched->who.device, touched->at_ms, fault);
}

static int find_device(struct db *db, const unsigned char *hash, struct who *who, int64_t *used_ms, struct arena *arena,
                       struct fault *fault)
{
    struct device_row device;
    int found = devices_by_hash(db, hash, &device, arena, fault);

    if (found == 1 && device.revoked_ms == STORE_NO_INT && device.member_removed_ms == STORE_NO_INT &&
        clock_now_ms() - device.last_used_ms < DEVICE_IDLE_DAYS * DAY &&
        sodium_memcmp(hash, device.hash, MEMBER_HASH) == 0) {
        *who = (struct who){.role = (enum role)device.role, .member = device.member_key, .device = device.key,
                            .member_id = device.member, .name = device.member_name, .device_id = device.id};
        *used_ms = device.last_used_ms;
    }
    return found < 0 ? -1 : 0;
}

static int find_sensor(struct db *db, const unsigned char *hash, struct who *who, int64_t *used_ms, struct arena *arena,
                       struct fault *fault)
{
    struct sensor_row sensor;
    int found = sensors_by_hash(db, hash, &sensor, arena, fault);

    if (found == 1 && sensor.revoked_ms == STORE_NO_INT && sodium_memcmp(hash, sensor.hash, MEMBER_HASH) == 0) {
        *who = (struct who){.role = ROLE_SENSOR, .sensor = sensor.key};
        *used_ms = sensor.last_used_ms;
    }
    return found < 0 ? -1 : 0;
}

typedef int finder(struct db *db, const unsigned char *hash, struct who *who, int64_t *used_ms, struct arena *arena, struct fault *fault);

static int find(struct garden *garden, const char *token, finder *look, struct who *who, struct arena *arena, struct fault *fault)
{
    unsigned char hash[MEMBER_HASH];
    struct touch touched = {.at_ms = clock_now_ms()};
    int64_t used_ms = STORE_NO_INT;
    uint64_t round;
    bool due;

    *who = (struct who){.role = ROLE_NONE};
    if (!token_read(token, hash))
        return 0;
    if (!people_recall(garden->people, hash, touched.at_ms, who, &due, &round, arena)) {
        struct db *db = store_read(garden->store, fault);
        int failed = db ? look(db, hash, who, &used_ms, arena, fault) : -1;

        store_done(garden->store, db);
        if (failed)
            return -1;
        if (who->role != ROLE_NONE)
            people_remember(garden->people, hash, who, used_ms, touched.at_ms, round, &due);
    }
    if ((who->sensor != 0) != (look == find_sensor)) /* remembered from the other side: a key is no device's token */
        *who = (struct who){.role = ROLE_NONE};
    touched.who = *who;
    who->due = who->role != ROLE_NONE && due;
    if (who->due)
        store_write(garden->store, touch, &touched, NULL); /* a full disk must not end the reading */
    return 0;
}

int people_by_token(struct garden *garden, const char *token, struct who *who, struct arena *arena, struct fault *fault)
{
    return find(garden, token, find_device, who, arena, fault);
}

int people_by_key(struct garden *garden, const char *key, struct who *who, struct arena *arena, struct fault *fault)
{
    return find(garden, key, find_sensor, who, arena, fault);
}

int people_keeper_paired(struct garden *garden, bool *paired, struct fault *fault)
{
    struct db *db;
    uint64_t round;
    int64_t count = 0;
    int failed;

    if (people_recall_keeper(garden->people, paired, &round))
        return 0;
    db = store_read(garden->store, fault);
    failed = db ? devices_count(db, ROLE_KEEPER, &count, fault) : -1;
    store_done(garden->store, db);
    if (failed)
        return -1;
    *paired = count > 0;
    people_remember_keeper(garden->people, *paired, round);
    return 0;
}

/* Every write to people goes through here: what is remembered of them ends with its commit. */
static int write_people(struct garden *garden, store_job *job, void *context, struct fault *fault)
{
    int result = store_write(garden->store, job, context, fault);

    people_forget(garden->people);
    return result;
}

/* ---- invites ---- */

struct inviting {
    const struct who *who; /* NULL: the host itself */
    const struct invite_asked *asked;
    struct invite_row row;
    struct arena *arena;
};

/* The member that an invite is for must be there; its role is the member's. */
static int invite_member(struct db *db, struct inviting *inviting, struct fault *fault)
{
    struct member_row member;
    int found = members_one(db, inviting->asked->member, &member, inviting->arena, fault);

    if (found < 0)
        return -1;
    if (found == 0 || member.removed_ms != STORE_NO_INT)
        return fault_add(fault, FAULT_INPUT, "/member", "there is no such member");
    if (inviting->row.role && inviting->row.role != member.role)
        return fault_add(fault, FAULT_INPUT, "/role", "a further device has the role of its member");
    inviting->row.member_key = member.key;
    inviting->row.role = member.role;
    return 0;
}

static int add_invite(struct db *db, void *context, struct fault *fault)
{
    struct inviting *inviting = context;

    if (inviting->asked->member && invite_member(db, inviting, fault))
        return -1;
    return invites_add(db, &inviting->row, fault);
}

static int start_invite(struct inviting *inviting, struct invite_made *made, struct fault *fault)
{
    int64_t now = clock_now_ms();

    inviting->row = (struct invite_row){.id = new_id(inviting->arena, fault),
                                        .member_key = STORE_NO_INT,
                                        .name = inviting->asked->name,
                                        .role = inviting->asked->role,
                                        .made_by_key = inviting->who && inviting->who->member ? inviting->who->member : STORE_NO_INT,
                                        .made_ms = now,
                                        .expires_ms = now + INVITE_DAYS * DAY};
    if (!inviting->row.id)
        return -1;
    token_make(made->token, inviting->row.hash);
    made->id = inviting->row.id;
    made->expires_ms = inviting->row.expires_ms;
    return 0;
}

int people_invite(struct garden *garden, const struct who *who, const struct invite_asked *asked, struct invite_made *made,
                  struct arena *arena, struct fault *fault)
{
    struct inviting inviting = {.who = who, .asked = asked, .arena = arena};

    if (asked->member && asked->name)
        return fault_add(fault, FAULT_INPUT, "/name", "the member has a name already");
    if (!asked->member && check_role(asked->role, "/role", fault))
        return -1;
    if (asked->name && check_name(asked->name, "/name", fault))
        return -1;
    if (start_invite(&inviting, made, fault))
        return -1;
    return write_people(garden, add_invite, &inviting, fault);
}

/* The member of that name who is a keeper, if there is one: another of that name does not become one by it. */
static int find_keeper(struct db *db, struct inviting *inviting, struct fault *fault)
{
    struct list members;
    const struct member_row *member;

    if (members_list(db, 0, 10000, &members, inviting->arena, fault))
        return -1;
    member = members.item;
    for (size_t i = 0; i < members.count; i++)
        if (member[i].role == ROLE_KEEPER && member[i].removed_ms == STORE_NO_INT &&
            strcmp(member[i].name, inviting->asked->name) == 0) {
            inviting->row.member_key = member[i].key;
            inviting->row.name = NULL;
            return 0;
        }
    return 0;
}

static int add_host_invite(struct db *db, void *context, struct fault *fault)
{
    struct inviting *inviting = context;

    if (invites_revoke_hosts(db, inviting->row.made_ms, fault))
        return -1;
    if (inviting->asked->name && find_keeper(db, inviting, fault))
        return -1;
    return invites_add(db, &inviting->row, fault);
}

int people_host_invite(struct garden *garden, const char *name, struct invite_made *made, struct arena *arena, struct fault *fault)
{
    const struct invite_asked asked = {.name = name, .role = ROLE_KEEPER};
    struct inviting inviting = {.asked = &asked, .arena = arena};

    if ((name && check_name(name, "", fault)) || start_invite(&inviting, made, fault))
        return -1;
    return write_people(garden, add_host_invite, &inviting, fault);
}

/* ---- pairing ---- */

struct pairing_job {
    const struct pairing *pairing;
    struct paired *paired;
    unsigned char hash[MEMBER_HASH];
    struct device_row device;
    int64_t now_ms;
    struct arena *arena;
};

static int too_late(struct fault *fault)
{
    return fault_add(fault, FAULT_ABSENT, "/token", "this invite is not valid: unknown, used, revoked or older than %d days", INVITE_DAYS);
}

static int add_member(struct db *db, struct pairing_job *job, const struct invite_row *invite, struct member_row *member,
                      struct fault *fault)
{
    const char *name = invite->name ? invite->name : job->pairing->name;

    *member = (struct member_row){.id = new_id(job->arena, fault),
                                  .name = name ? name : invite->role == ROLE_KEEPER ? "Keeper" : "Member",
                                  .role = invite->role,
                                  .joined_ms = job->now_ms};
    return member->id ? members_add(db, member, fault) : -1;
}

static int pair(struct db *db, void *context, struct fault *fault)
{
    struct pairing_job *job = context;
    struct invite_row invite;
    struct member_row member;
    int found = invites_by_hash(db, job->hash, &invite, job->arena, fault);

    if (found < 0)
        return -1;
    if (found == 0 || invite.used_ms != STORE_NO_INT || invite.revoked_ms != STORE_NO_INT || invite.expires_ms <= job->now_ms)
        return too_late(fault);
    if (invite.member_key != STORE_NO_INT) {
        if (members_by_key(db, invite.member_key, &member, job->arena, fault) != 1)
            return -1;
        if (member.removed_ms != STORE_NO_INT)
            return too_late(fault);
    } else if (add_member(db, job, &invite, &member, fault)) {
        return -1;
    }
    job->device.member_key = member.key;
    if (devices_add(db, &job->device, fault) || invites_use(db, invite.key, job->device.key, job->now_ms, fault) != 1)
        return -1;
    job->paired->who = (struct who){.role = (enum role)member.role, .member = member.key, .device = job->device.key,
                                    .member_id = member.id, .name = member.name, .device_id = job->device.id};
    return 0;
}

int people_pair(struct garden *garden, const struct pairing *pairing, struct paired *paired, struct arena *arena, struct fault *fault)
{
    struct pairing_job job = {.pairing = pairing, .paired = paired, .now_ms = clock_now_ms(), .arena = arena};

    if (check_name(pairing->device_name, "/device_name", fault) | (pairing->name ? check_name(pairing->name, "/name", fault) : 0))
        return -1;
    if (!token_read(pairing->token, job.hash))
        return too_late(fault);
    job.device = (struct device_row){.id = new_id(arena, fault), .name = pairing->device_name, .paired_ms = job.now_ms};
    if (!job.device.id)
        return -1;
    token_make(paired->token, job.device.hash);
    return write_people(garden, pair, &job, fault);
}

/* ---- taking away ---- */

struct revoking {
    const struct who *who;
    const char *id;
};

static int absent(const char *what, struct fault *fault)
{
    return fault_add(fault, FAULT_ABSENT, "", "there is no such %s", what);
}

static int revoke_device(struct db *db, void *context, struct fault *fault)
{
    const struct revoking *revoking = context;
    ARENA_HELD arena = {0};
    struct device_row device;
    int found = devices_one(db, revoking->id, &device, &arena, fault);

    if (found < 0)
        return -1;
    if (found == 0)
        return absent("device", fault);
    if (revoking->who->role != ROLE_KEEPER && device.member_key != revoking->who->member)
        return fault_add(fault, FAULT_DENIED, "", "only a keeper revokes another member's device");
    return devices_revoke(db, device.key, clock_now_ms(), fault);
}

static int revoke_invite(struct db *db, void *context, struct fault *fault)
{
    const struct revoking *revoking = context;
    ARENA_HELD arena = {0};
    struct invite_row invite;
    int found = invites_one(db, revoking->id, &invite, &arena, fault);

    if (found < 0)
        return -1;
    return found ? invites_revoke(db, invite.key, clock_now_ms(), fault) : absent("invite", fault);
}

static int revoke_sensor(struct db *db, void *context, struct fault *fault)
{
    const struct revoking *revoking = context;
    ARENA_HELD arena = {0};
    struct sensor_row sensor;
    int found = sensors_one(db, revoking->id, &sensor, &arena, fault);

    if (found < 0)
        return -1;
    return found ? sensors_revoke(db, sensor.key, clock_now_ms(), fault) : absent("sensor", fault);
}

int people_revoke_device(struct garden *garden, const struct who *who, const char *id, struct fault *fault)
{
    return write_people(garden, revoke_device, &(struct revoking){who, id}, fault);
}

int people_revoke_invite(struct garden *garden, const char *id, struct fault *fault)
{
    return write_people(garden, revoke_invite, &(struct revoking){NULL, id}, fault);
}

int people_revoke_sensor(struct garden *garden, const char *id, struct fault *fault)
{
    return write_people(garden, revoke_sensor, &(struct revoking){NULL, id}, fault);
}

/* ---- members ---- */

struct member_job {
    const struct member_told *told;
    struct member_row *row;
    struct arena *arena;
    int64_t now_ms;
    bool stored_before;
};

/* A day is told, a moment is kept: noon, which lies in that day whatever the clocks do. */
static int find_joined(const struct member_job *job, const char *zone, int64_t *joined_ms, struct fault *fault)
{
    int32_t today = clock_day(zone, job->now_ms), day = job->told->joined_day;

    *joined_ms = job->now_ms;
    if (day == DAYS_NONE || day == today)
        return 0;
    if (day > today)
        return fault_add(fault, FAULT_INPUT, "/joined_on", "lies ahead");
    clock_wall(zone, day, 12 * 3600, joined_ms);
    return 0;
}

static int store_member(struct db *db, void *context, struct fault *fault)
{
    struct member_job *job = context;
    const struct member_told *told = job->told;
    struct member_row *row = job->row, there;
    struct garden_row garden;
    int found = members_one(db, row->id, &there, job->arena, fault);

    if (found < 0 || gardens_read(db, &garden, job->arena, fault) != 1)
        return -1;
    if (found) {
        job->stored_before = strcmp(there.name, row->name) == 0 && there.role == row->role && told->removed == (there.removed_ms != STORE_NO_INT) &&
                             (told->joined_day == DAYS_NONE || told->joined_day == clock_day(garden.time_zone, there.joined_ms));
        *row = there;
        return job->stored_before ? 0 : resend_conflict(fault);
    }
    if (find_joined(job, garden.time_zone, &row->joined_ms, fault) || members_add(db, row, fault))
        return -1;
    if (!told->removed)
        return 0;
    row->removed_ms = job->now_ms;
    return members_change(db, row, fault);
}

int people_member_add(struct garden *garden, const struct member_told *told, struct member_row *added, bool *stored_before,
                      struct arena *arena, struct fault *fault)
{
    struct member_job job = {.told = told, .row = added, .arena = arena, .now_ms = clock_now_ms()};

    *added = (struct member_row){.id = told->id, .name = told->name, .role = told->role};
    if (check_name(told->name, "/name", fault) | check_role(told->role, "/role", fault) | resend_give_id(&added->id, arena, fault))
        return -1;
    if (write_people(garden, store_member, &job, fault))
        return -1;
    *stored_before = job.stored_before;
    return 0;
}

struct changing {
    const char *id;
    const struct member_change *change;
    struct member_row *row;
    struct arena *arena;
};

static int end_devices(struct db *db, int64_t member_key, struct arena *arena, struct fault *fault)
{
    struct list devices;
    const struct device_row *device;

    if (devices_list(db, member_key, 0, 10000, &devices, arena, fault))
        return -1;
    device = devices.item;
    for (size_t i = 0; i < devices.count; i++)
        if (devices_revoke(db, device[i].key, clock_now_ms(), fault))
            return -1;
    return 0;
}

static int change_member(struct db *db, void *context, struct fault *fault)
{
    struct changing *changing = context;
    const struct member_change *change = changing->change;
    struct member_row *member = changing->row;
    int found = members_one(db, changing->id, member, changing->arena, fault);
    int64_t keepers = 0;
    bool was_keeper;

    if (found < 0)
        return -1;
    if (found == 0)
        return absent("member", fault);
    was_keeper = member->role == ROLE_KEEPER && member->removed_ms == STORE_NO_INT;
    if (change->name)
        member->name = change->name;
    if (change->role)
        member->role = change->role;
    if (change->removed == 0)
        member->removed_ms = STORE_NO_INT;
    else if (change->removed == 1 && member->removed_ms == STORE_NO_INT)
        member->removed_ms = clock_now_ms();
    if (members_change(db, member, fault) || members_count(db, ROLE_KEEPER, &keepers, fault))
        return -1;
    if (keepers == 0 && was_keeper) /* a demo, asked from this machine alone, may have none */
        return fault_add(fault, FAULT_CONFLICT, change->removed == 1 ? "/removed" : "/role", "the last keeper stays");
    if (tanks_touch(db, STORE_NO_INT, fault)) /* their pages name who logged what */
        return -1;
    return member->removed_ms != STORE_NO_INT ? end_devices(db, member->key, changing->arena, fault) : 0;
}

int people_member_change(struct garden *garden, const char *id, const struct member_change *change, struct member_row *changed,
                         struct arena *arena, struct fault *fault)
{
    struct changing changing = {id, change, changed, arena};

    if ((change->name && check_name(change->name, "/name", fault)) || (change->role && check_role(change->role, "/role", fault)))
        return -1;
    return write_people(garden, change_member, &changing, fault);
}

/* ---- sensors ---- */

struct sensor_job {
    struct sensor_row *row;
    const struct list *tanks;
    struct arena *arena;
};

static int add_sensor(struct db *db, void *context, struct fault *fault)
{
    struct sensor_job *job = context;
    const char *const *name = job->tanks->item;
    const char **id = arena_take(job->arena, (job->tanks->count + 1) * sizeof *id);
    struct tank_row tank;
    char at[32];

    if (!id)
        return no_memory(fault);
    if (sensors_add(db, job->row, fault))
        return -1;
    for (size_t i = 0; i < job->tanks->count; i++) {
        int found = tanks_one(db, name[i], &tank, job->arena, fault);

        if (found == 0) {
            snprintf(at, sizeof at, "/tanks/%zu", i);
            fault_add(fault, FAULT_INPUT, at, "there is no such tank");
        }
        if (found != 1 || sensors_allow(db, job->row->key, tank.key, fault))
            return -1;
        id[i] = tank.id;
    }
    job->row->tanks = (struct list){id, job->tanks->count};
    return 0;
}

int people_sensor_add(struct garden *garden, const char *name, const struct list *tanks, struct sensor_row *added,
                      char key[TOKEN_TEXT], struct arena *arena, struct fault *fault)
{
    struct sensor_job job = {added, tanks, arena};

    if (check_name(name, "/name", fault))
        return -1;
    if (!tanks->count)
        return fault_add(fault, FAULT_INPUT, "/tanks", "names at least one tank");
    *added = (struct sensor_row){.id = new_id(arena, fault), .name = name, .made_ms = clock_now_ms()};
    if (!added->id)
        return -1;
    token_make(key, added->hash);
    return write_people(garden, add_sensor, &job, fault);
}

struct rekeying {
    const char *id;
    struct sensor_row *row;
    unsigned char hash[MEMBER_HASH];
    struct arena *arena;
};

static int rekey_sensor(struct db *db, void *context, struct fault *fault)
{
    struct rekeying *rekeying = context;
    int found = sensors_one(db, rekeying->id, rekeying->row, rekeying->arena, fault);

    if (found != 1)
        return found ? -1 : absent("sensor", fault);
    if (rekeying->row->revoked_ms != STORE_NO_INT)
        return fault_add(fault, FAULT_CONFLICT, "", "this sensor was shut out; add it anew");
    rekeying->row->last_used_ms = STORE_NO_INT;
    return sensors_rekey(db, rekeying->row->key, rekeying->hash, fault);
}

int people_sensor_rekey(struct garden *garden, const char *id, struct sensor_row *sensor, char key[TOKEN_TEXT], struct arena *arena,
                        struct fault *fault)
{
    struct rekeying rekeying = {.id = id, .row = sensor, .arena = arena};

    token_make(key, rekeying.hash);
    return write_people(garden, rekey_sensor, &rekeying, fault);
}

int people_sensor_may(struct garden *garden, const struct who *who, int64_t tank_key, struct fault *fault)
{
    struct db *db = store_read(garden->store, fault);
    int may = db ? sensors_may(db, who->sensor, tank_key, fault) : -1;

    store_done(garden->store, db);
    return may;
}
