/* demo.h - the invented garden. */
#ifndef TIDEMARK_DEMO_H
#define TIDEMARK_DEMO_H

#include "api/request.h"

/* Fills a new garden with an invented one: its settings, people, vessels, tanks and two seasons of log, each sent as a
 * member's phone would send it. Days count back from today. Returns 0, or -1 with what was refused.
 */
int demo_load(struct service *service, struct fault *fault);

#endif
