/* standin.h - a listener in this process, with an interface behind it that only tells what it was asked. */
#ifndef TIDEMARK_TESTS_STANDIN_H
#define TIDEMARK_TESTS_STANDIN_H

#include "http/listen.h"

extern struct listener *standin;

/* options may leave everything out but what the test is about; NULL: all. Ends the test when it does not start.
 * Pages: those that standin_page has written. Returns the port. */
unsigned standin_start(const struct listen_options *options);
void standin_stop(void);

/* Writes a page for the next start; name like "a/b.html". */
void standin_page(const char *name, const char *content);

/* How many requests reached the interface. */
extern _Atomic int standin_asked;

#endif
