/* people.h - who asks: members, their devices and roles. */
#ifndef TIDEMARK_PEOPLE_H
#define TIDEMARK_PEOPLE_H

#include <stdint.h>

/* What a member may do, each including the one before: look; log; everything. */
enum role { ROLE_NONE, ROLE_SENSOR, ROLE_VISITOR, ROLE_GROWER, ROLE_KEEPER };

struct who {
    enum role role;
    int64_t member; /* key in the garden file; 0: nobody */
    int64_t device; /* 0: asked from this machine without a device */
    const char *member_id, *name, *device_id; /* as others see them; NULL: nobody, no device */
};

#endif
