/* log.h - one line an event, to stderr.
 *
 * "2026-05-01T07:30:00Z refused 421 from 192.168.1.9: ...". What came from outside is escaped, so that no
 * text can begin a line of its own. Callers keep secrets out: no token, no cookie, no query string.
 * More than LOG_MOST lines a second are left out and counted: a flood must not fill the disk.
 */
#ifndef TIDEMARK_LOG_H
#define TIDEMARK_LOG_H

#include <stdarg.h>
#include <stddef.h>

#define LOG_MOST 50

void log_event(const char *event, const char *format, ...) __attribute__((format(printf, 2, 3)));
void log_event_v(const char *event, const char *format, va_list arguments) __attribute__((format(printf, 2, 0)));

/* text with control characters, backslashes and all beyond ASCII as \xNN, cut where it does not fit. */
void log_escape(char *to, size_t room, const char *text);

#endif
