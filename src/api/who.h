/* who.h - from what a request carries to the member who asks. */
#ifndef TIDEMARK_WHO_H
#define TIDEMARK_WHO_H

#include "api/request.h"

/* Fills in request->who; nobody known is no fault (ROLE_NONE). -1 with a fault when the garden file cannot be read. */
int api_who(struct request *request, struct fault *fault);

#endif
