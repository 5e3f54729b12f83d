/* who.c - who asks. */
#include "api/who.h"

int api_who(struct request *request, struct fault *fault)
{
    (void)fault;
    request->who = (struct who){.role = ROLE_NONE};
    if (request->from_loopback && request->service->loopback_is_keeper)
        request->who.role = ROLE_KEEPER;
    return 0;
}
