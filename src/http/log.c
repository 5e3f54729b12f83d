/* log.c - one line an event, to stderr. */
#include "http/log.h"

#include <pthread.h>
#include <stdbool.h>
#include <stdio.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

void log_escape(char *to, size_t room, const char *text)
{
    static const char hex[] = "0123456789abcdef";
    size_t at = 0;

    for (const unsigned char *c = (const unsigned char *)text; *c; c++) {
        bool plain = *c >= 0x20 && *c < 0x7f && *c != '\\';

        if (at + (plain ? 1 : 4) >= room)
            break;
        if (plain) {
            to[at++] = (char)*c;
        } else {
            to[at++] = '\\';
            to[at++] = 'x';
            to[at++] = hex[*c >> 4];
            to[at++] = hex[*c & 15];
        }
    }
    to[at] = '\0';
}

/* Whether a line may still be written in this second; *left_out is how many could not in the last one. */
static bool may_write(time_t now, unsigned *left_out)
{
    static pthread_mutex_t lock = PTHREAD_MUTEX_INITIALIZER;
    static time_t second;
    static unsigned written, skipped;
    bool may;

    *left_out = 0;
    pthread_mutex_lock(&lock);
    if (now != second) {
        *left_out = skipped;
        second = now;
        written = skipped = 0;
    }
    may = written < LOG_MOST;
    if (may)
        written++;
    else
        skipped++;
    pthread_mutex_unlock(&lock);
    return may;
}

/* One write for the whole line, so that lines of two threads do not mix. */
static void write_line(const char *line, size_t length)
{
    while (length > 0) {
        ssize_t done = write(STDERR_FILENO, line, length);

        if (done <= 0)
            return; /* nobody reads the log: nothing to be done */
        line += done;
        length -= (size_t)done;
    }
}

void log_event_v(const char *event, const char *format, va_list arguments)
{
    char text[512], escaped[1024], stamp[32], line[1200];
    time_t now = time(NULL);
    struct tm utc;
    unsigned left_out;
    int length;

    if (!may_write(now, &left_out))
        return;
    vsnprintf(text, sizeof text, format, arguments);
    text[strcspn(text, "\n")] = '\0'; /* the library ends its messages with one */
    log_escape(escaped, sizeof escaped, text);
    strftime(stamp, sizeof stamp, "%Y-%m-%dT%H:%M:%SZ", gmtime_r(&now, &utc));
    if (left_out) {
        length = snprintf(line, sizeof line, "%s log %u lines left out\n", stamp, left_out);
        write_line(line, (size_t)length);
    }
    length = snprintf(line, sizeof line, "%s %s %s\n", stamp, event, escaped);
    write_line(line, (size_t)length);
}

void log_event(const char *event, const char *format, ...)
{
    va_list arguments;

    va_start(arguments, format);
    log_event_v(event, format, arguments);
    va_end(arguments);
}
