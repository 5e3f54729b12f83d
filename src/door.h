/* door.h - one daemon a garden file, and a door for whoever runs it.
 *
 * Two programs that write the same garden file can harm it, so the first one locks it. What `tidemarkd --pair` wants
 * while a daemon runs, it asks of that daemon through a local socket that only the same user and root may use.
 */
#ifndef TIDEMARK_DOOR_H
#define TIDEMARK_DOOR_H

#include <stddef.h>

#include "calc/fault.h"

#define DOOR_NAME 64
#define DOOR_TEXT 8192

/* Locks the garden file for the rest of this process, making an empty one where there is none; name becomes that of
 * its door. FAULT_CONFLICT: another program has it. Call it once, before the file is opened: closing what was
 * opened here later would drop SQLite's own locks. */
int door_lock(const char *garden, char name[DOOR_NAME], struct fault *fault);

/* Answers at the door in a thread of its own until door_close. answer writes a text of at most room bytes. */
struct door;
typedef void door_answer(void *context, const char *asked, char *text, size_t room);
struct door *door_open(const char *name, door_answer *answer, void *context);
void door_close(struct door *door);

/* Asks at the door of a running daemon. */
int door_ask(const char *name, const char *asked, char text[DOOR_TEXT], struct fault *fault);

#endif
