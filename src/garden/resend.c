/* resend.c - ids and comparisons for documents that may come twice. */
#include "garden/resend.h"

#include <math.h>
#include <string.h>

#include "garden/clock.h"
#include "store/entries.h"

int resend_give_id(const char **id, struct arena *arena, struct fault *fault)
{
    unsigned char bytes[16];
    char text[37];

    if (!*id)
        clock_uuid(text);
    else if (uuid_bytes(*id, bytes))
        return fault_add(fault, FAULT_INPUT, "/id", "must be a UUID");
    else
        uuid_text(bytes, text); /* sent in capitals it is the same */
    *id = arena_text(arena, text);
    return *id ? 0 : fault_add(fault, FAULT_MEMORY, "", "out of memory");
}

bool resend_same_text(const char *a, const char *b)
{
    return a == b || (a && b && strcmp(a, b) == 0);
}

bool resend_same_real(double a, double b)
{
    /* Stored and read back unchanged; or it went out in an answer or a table, which write twelve digits, and came back. */
    return (isnan(a) && isnan(b)) || fabs(a - b) <= 1e-11 * fabs(a);
}

int resend_conflict(struct fault *fault)
{
    return fault_add(fault, FAULT_CONFLICT, "/id", "this id is there already, with other content");
}
