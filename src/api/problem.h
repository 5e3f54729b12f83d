/* problem.h - faults as problem documents (RFC 9457, 2023). */
#ifndef TIDEMARK_PROBLEM_H
#define TIDEMARK_PROBLEM_H

#include "api/request.h"

/* The status that answers a fault. */
unsigned problem_status(enum fault_code code);

/* Makes *reply the problem document of a fault, whatever it was before: in the language that the request asks for (RFC 9457,
 * section 3.1.3), which may be NULL for English. */
void problem_reply(const struct request *request, struct reply *reply, const struct fault *fault);

/* One without a fault behind it: of HTTP itself (404, 405, 413, 415, 421, 429). detail may be NULL. */
void problem_reply_status(const struct request *request, struct reply *reply, unsigned status, const char *detail);

#endif
