/* people.h - members, the devices they paired, invites, sensors; and who asks.
 *
 * Nobody has a password. An invite is a token that works once, within seven days; opening it gives the device a
 * token of its own, which it shows with each request. Tokens are 256 bits of the kernel's randomness; the
 * file has their hashes only. What a keeper takes away is gone with the next request.
 * All functions are safe from any thread.
 */
#ifndef TIDEMARK_PEOPLE_H
#define TIDEMARK_PEOPLE_H

#include <stdbool.h>
#include <stdint.h>

#include "calc/fault.h"
#include "store/arena.h"
#include "garden/token.h"
#include "store/members.h"

struct garden;

/* What a member may do, each including the one before: look; log; everything. */
enum role { ROLE_NONE, ROLE_SENSOR, ROLE_VISITOR, ROLE_GROWER, ROLE_KEEPER };

struct who {
    enum role role;
    int64_t member; /* key in the garden file; 0: nobody */
    int64_t device; /* 0: asked from this machine without a device */
    int64_t sensor; /* 0: no sensor */
    const char *member_id, *name, *device_id; /* as others see them; NULL: nobody, no device */
    bool due; /* not seen for a while: its use was noted just now */
};

#define INVITE_DAYS 7 /* ours */

/* A device that was not used for so long is shut out; browsers keep its cookie no longer anyway. */
#define DEVICE_IDLE_DAYS 400

/* Names that people give to members, devices and sensors: bytes of UTF-8, which is 80 characters of any kind. */
#define PEOPLE_NAME_MOST 320

/* What people.c remembers of those who asked lately. */
struct people *people_new(void);
void people_free(struct people *people);

/* Who shows this token, as a device or as a sensor; who->role ROLE_NONE: nobody that we know (any more).
 * Notes now and then that the device was used. Returns 0, or -1 when the file could not be read. */
int people_by_token(struct garden *garden, const char *token, struct who *who, struct arena *arena, struct fault *fault);
int people_by_key(struct garden *garden, const char *key, struct who *who, struct arena *arena, struct fault *fault);

/* Whether any keeper has a device: until then whoever sits at this machine is one. */
int people_keeper_paired(struct garden *garden, bool *paired, struct fault *fault);

/* An invite for a new member (member NULL) or for a further device of one. role 0: that of the member.
 * Faults: FAULT_ABSENT for an unknown or removed member, FAULT_INPUT with pointers "/member", "/name", "/role". */
struct invite_asked {
    const char *member; /* id */
    const char *name;
    int role;
};
struct invite_made {
    const char *id;
    char token[TOKEN_TEXT];
    int64_t expires_ms;
};
int people_invite(struct garden *garden, const struct who *who, const struct invite_asked *asked, struct invite_made *made,
                  struct arena *arena, struct fault *fault);

/* From the host itself, for a keeper: for the member of that name, or a new one (name NULL: they say it when they pair).
 * What the host made before and nobody used is revoked. */
int people_host_invite(struct garden *garden, const char *name, struct invite_made *made, struct arena *arena, struct fault *fault);

/* Uses an invite up and pairs the device. However many try at once, one succeeds.
 * FAULT_ABSENT for every other: no telling an unknown token from a used one. */
struct pairing {
    const char *token, *device_name;
    const char *name; /* the new member's, where the invite names none */
};
struct paired {
    char token[TOKEN_TEXT]; /* the device's own */
    struct who who;
};
int people_pair(struct garden *garden, const struct pairing *pairing, struct paired *paired, struct arena *arena, struct fault *fault);

/* Takes away. Unknown ids are FAULT_ABSENT; a device of somebody else is FAULT_DENIED for all but keepers. */
int people_revoke_device(struct garden *garden, const struct who *who, const char *id, struct fault *fault);
int people_revoke_invite(struct garden *garden, const char *id, struct fault *fault);
int people_revoke_sensor(struct garden *garden, const char *id, struct fault *fault);

/* A member without a device. id NULL: one is made; sent twice (id) it is kept once. joined_day DAYS_NONE: today; removed: one who
 * left, and whom the log still names. Faults point to "/id", "/name", "/role", "/joined_on". */
struct member_told {
    const char *id, *name;
    int role;
    int32_t joined_day;
    bool removed;
};
int people_member_add(struct garden *garden, const struct member_told *told, struct member_row *added, bool *stored_before,
                      struct arena *arena, struct fault *fault);

/* Changes what is given (name NULL, role 0, removed -1: as it is). Removing ends all of the member's devices.
 * FAULT_CONFLICT when no keeper would be left. */
struct member_change {
    const char *name;
    int role, removed;
};
int people_member_change(struct garden *garden, const char *id, const struct member_change *change, struct member_row *changed,
                         struct arena *arena, struct fault *fault);

/* A sensor that may post readings to these tanks (const char *, ids or codes) and nothing else; key is shown once. */
int people_sensor_add(struct garden *garden, const char *name, const struct list *tanks, struct sensor_row *added,
                      char key[TOKEN_TEXT], struct arena *arena, struct fault *fault);

/* Gives a sensor another key; with the old one nobody comes in from then on. Needed where a key leaked, and after an import,
 * which brings sensors without theirs. FAULT_ABSENT; FAULT_CONFLICT for one that was shut out. */
int people_sensor_rekey(struct garden *garden, const char *id, struct sensor_row *sensor, char key[TOKEN_TEXT], struct arena *arena,
                        struct fault *fault);

/* Whether this sensor may post to this tank (by its key): 1, 0, -1. */
int people_sensor_may(struct garden *garden, const struct who *who, int64_t tank_key, struct fault *fault);

#endif
