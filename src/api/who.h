/* who.h - from what a request carries to the member who asks, and back: the cookie.
 *
 * A device shows its token in a cookie, a sensor its key as a bearer. Asked from this machine without either, whoever sits
 * at it is a keeper until a keeper has paired a device, or always with --demo.
 */
#ifndef TIDEMARK_WHO_H
#define TIDEMARK_WHO_H

#include "api/request.h"

/* Fills in request->who; nobody known is no fault (ROLE_NONE). -1 with a fault when the garden file cannot be read. */
int api_who(struct request *request, struct fault *fault);

#define WHO_COOKIE "tidemark"
#define WHO_SECURE_COOKIE "__Host-tidemark" /* over TLS: no other host and no plain HTTP can set it */

/* Puts the device's token into the answer's cookie, for 400 days (more no browser keeps); NULL ends it. */
int who_set_cookie(struct request *request, struct reply *reply, const char *token, struct fault *fault);

/* The same once more for a device that was not seen for a while: one in use never runs out. */
int who_renew_cookie(struct request *request, struct reply *reply);

#endif
