/* link.h - addresses that leave the daemon: in invites, labels, calendars. */
#ifndef TIDEMARK_API_LINK_H
#define TIDEMARK_API_LINK_H

#include "api/request.h"

/* The garden's address with path behind it, in the arena: by option, by the garden's setting, else as this request
 * reached us. NULL with a fault. */
const char *api_link(struct request *request, const char *path, struct fault *fault);

#endif
