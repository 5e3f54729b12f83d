/* tank_log.h - the part of a tank's log that still decides how it stands.
 *
 * A tank that is five years old has a thousand entries, and with a sensor a million readings. What was before the last clean-out
 * changes nothing any more; readings before the last fill but one change nothing either; and of a sensor one reading a day
 * and one before each deed say all that the rest does. Reading a tank costs the same in every year.
 */
#ifndef TIDEMARK_TANK_LOG_H
#define TIDEMARK_TANK_LOG_H

#include "store/entries.h"

struct tank_log_ask {
    int64_t tank_key;
    int64_t since_ms; /* from here on all flags of people's entries shall come out as by the whole log; INT64_MAX: the end matters alone */
    int64_t to_ms;    /* entries before this moment; INT64_MAX: all */
};

/* The entries to fold (garden/tank_state.h), oldest first: struct entry. Sensors' readings are among them as sensed_entry tells them. */
int tank_log_read(struct db *db, const struct tank_log_ask *ask, struct list *entries, struct arena *arena, struct fault *fault);

/* The deeds that decide what was put in and taken from a moment on (INT64_MIN + 1: always), oldest first, with the last waterlines that were
 * read up to levels_ms before each harvest: from the last clean-out before that moment, which leaves nothing behind. */
int tank_log_deeds(struct db *db, int64_t tank_key, int64_t from_ms, int64_t levels_ms, struct list *entries, struct arena *arena, struct fault *fault);

#endif
