/* members.h - members, their devices, invites and sensors, as the file keeps them.
 *
 * Of every token the file has only the hash, MEMBER_HASH bytes: who reads the file cannot act as anyone.
 */
#ifndef TIDEMARK_STORE_MEMBERS_H
#define TIDEMARK_STORE_MEMBERS_H

#include "store/arena.h"
#include "store/store.h"

#define MEMBER_HASH 32

/* Times are ms since 1970 UTC, STORE_NO_INT: not yet. Roles are those of garden/people.h. */
struct member_row {
    int64_t key;
    const char *id, *name;
    int role;
    int64_t joined_ms, removed_ms;
};

struct device_row {
    int64_t key;
    const char *id;
    int64_t member_key;
    const char *member, *member_name; /* read only */
    int role;                         /* the member's; read only */
    const char *name;
    unsigned char hash[MEMBER_HASH];  /* written, and read by devices_by_hash */
    int64_t paired_ms, last_used_ms, revoked_ms;
    int64_t member_removed_ms;        /* read only */
};

struct invite_row {
    int64_t key;
    const char *id;
    unsigned char hash[MEMBER_HASH];
    int64_t member_key;  /* STORE_NO_INT: for a new member */
    const char *member;  /* read only */
    const char *name;    /* of the new member, NULL: they say it themselves */
    int role;
    int64_t made_by_key; /* STORE_NO_INT: from the host itself */
    int64_t made_ms, expires_ms, used_ms, revoked_ms;
};

struct sensor_row {
    int64_t key;
    const char *id, *name;
    unsigned char hash[MEMBER_HASH];
    int64_t made_ms, last_used_ms, revoked_ms;
    struct list tanks; /* const char *, uids */
};

/* Adding sets the key. FAULT_CONFLICT when the id is there already. */
int members_add(struct db *db, struct member_row *member, struct fault *fault);
int devices_add(struct db *db, struct device_row *device, struct fault *fault);
int invites_add(struct db *db, struct invite_row *invite, struct fault *fault);
int sensors_add(struct db *db, struct sensor_row *sensor, struct fault *fault);

/* A sensor may post readings to this tank (its key) from now on. */
int sensors_allow(struct db *db, int64_t sensor_key, int64_t tank_key, struct fault *fault);

/* 1 found, 0 not there, -1 fault. Revoked, used and removed ones are found, too. */
int members_one(struct db *db, const char *id, struct member_row *member, struct arena *arena, struct fault *fault);
int members_by_key(struct db *db, int64_t key, struct member_row *member, struct arena *arena, struct fault *fault);
int devices_one(struct db *db, const char *id, struct device_row *device, struct arena *arena, struct fault *fault);
int devices_by_hash(struct db *db, const unsigned char *hash, struct device_row *device, struct arena *arena, struct fault *fault);
int invites_one(struct db *db, const char *id, struct invite_row *invite, struct arena *arena, struct fault *fault);
int invites_by_hash(struct db *db, const unsigned char *hash, struct invite_row *invite, struct arena *arena, struct fault *fault);
int sensors_one(struct db *db, const char *id, struct sensor_row *sensor, struct arena *arena, struct fault *fault);
int sensors_by_hash(struct db *db, const unsigned char *hash, struct sensor_row *sensor, struct arena *arena, struct fault *fault);

/* Those whose key is above after_key, at most limit. Devices of one member, or with STORE_NO_INT of all. */
int members_list(struct db *db, int64_t after_key, int64_t limit, struct list *members, struct arena *arena, struct fault *fault);
int devices_list(struct db *db, int64_t member_key, int64_t after_key, int64_t limit, struct list *devices, struct arena *arena,
                 struct fault *fault);
int invites_list(struct db *db, int64_t after_key, int64_t limit, struct list *invites, struct arena *arena, struct fault *fault);
int sensors_list(struct db *db, int64_t after_key, int64_t limit, struct list *sensors, struct arena *arena, struct fault *fault);

/* Writes name, role and removed_ms. */
int members_change(struct db *db, const struct member_row *member, struct fault *fault);

/* How many members of at least this role are not removed. */
int members_count(struct db *db, int role, int64_t *count, struct fault *fault);

/* How many devices with such members are not revoked. */
int devices_count(struct db *db, int role, int64_t *count, struct fault *fault);

int devices_revoke(struct db *db, int64_t key, int64_t at_ms, struct fault *fault);
int devices_touch(struct db *db, int64_t key, int64_t at_ms, struct fault *fault);

/* Uses an invite up, if it is neither used, revoked nor expired at that moment: 1 done, 0 too late, -1 fault. */
int invites_use(struct db *db, int64_t key, int64_t device_key, int64_t at_ms, struct fault *fault);
int invites_revoke(struct db *db, int64_t key, int64_t at_ms, struct fault *fault);

/* Revokes what the host itself made and nobody used. */
int invites_revoke_hosts(struct db *db, int64_t at_ms, struct fault *fault);

int sensors_revoke(struct db *db, int64_t key, int64_t at_ms, struct fault *fault);

/* Puts this hash in the place of the one it has: whoever shows the old key is nobody. */
int sensors_rekey(struct db *db, int64_t key, const unsigned char *hash, struct fault *fault);
int sensors_touch(struct db *db, int64_t key, int64_t at_ms, struct fault *fault);

/* Whether a sensor may post to a tank (by its key): 1, 0 or -1. */
int sensors_may(struct db *db, int64_t sensor_key, int64_t tank_key, struct fault *fault);

extern const struct query members_queries[];
extern const size_t members_queries_count;

#endif
