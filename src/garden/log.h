/* log.h - what may stand in the log, and putting it there. */
#ifndef TIDEMARK_GARDEN_LOG_H
#define TIDEMARK_GARDEN_LOG_H

#include "garden/garden.h"
#include "garden/people.h"
#include "store/entries.h"

/* Logs one entry as sent: id, tank (uid or code), kind, at_ms, received_ms and the kind's own fields set, all else blank.
 * Sent twice it is kept once: *stored_before tells. *stored is the entry as the log has it.
 * Faults: FAULT_INPUT with pointers into the entry's document; FAULT_CONFLICT for an id that says something else;
 * FAULT_DENIED for another member's entry amended or withdrawn by one who is no keeper.
 */
int garden_log(struct garden *garden, const struct who *who, const struct entry *entry, struct entry *stored, bool *stored_before,
               struct arena *arena, struct fault *fault);

/* The part of its checks that holds of an entry whenever it is looked at: fields and kind, and that what it names is there. Not its
 * waterline and cups: the vessel may have been changed since. */
int garden_log_check(struct db *db, const struct entry *entry, struct arena *arena, struct fault *fault);

/* Names of the kinds as documents say them, ended by NULL; in the order of enum entry_kind. */
extern const char *const entry_kind_names[];
extern const char *const entry_reason_names[]; /* enum entry_reason */

#endif
