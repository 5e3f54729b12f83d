/* who.c - who asks. */
#include "api/who.h"

#include <string.h>
#include <strings.h>

/* Browsers keep __Host- only when it came over TLS, with Secure and without a domain; over plain HTTP they drop it silently. */
#define COOKIE_S (DEVICE_IDLE_DAYS * 86400)

/* The value of one cookie, or NULL; in the arena. */
static const char *cookie_of(struct request *request, const char *name)
{
    size_t length = strlen(name);

    for (const char *at = request->cookie; at && *at; at += strcspn(at, ";"), at += *at == ';') {
        at += strspn(at, " ");
        if (strncmp(at, name, length) == 0 && at[length] == '=')
            return arena_format(request->arena, "%.*s", (int)strcspn(at + length + 1, "; "), at + length + 1);
    }
    return NULL;
}

static const char *token_of(struct request *request)
{
    const char *token = request->secure ? cookie_of(request, WHO_SECURE_COOKIE) : NULL;

    return token ? token : cookie_of(request, WHO_COOKIE);
}

int api_who(struct request *request, struct fault *fault)
{
    struct garden *garden = request->service->garden;
    const char *token = token_of(request);
    bool paired;

    request->who = (struct who){.role = ROLE_NONE};
    if (request->authorization) /* told in so many words: nothing else is tried */
        return strncasecmp(request->authorization, "Bearer ", 7) == 0
                   ? people_by_key(garden, request->authorization + 7, &request->who, request->arena, fault)
                   : 0;
    if (token && people_by_token(garden, token, &request->who, request->arena, fault))
        return -1;
    if (request->who.role != ROLE_NONE || !request->from_loopback)
        return 0;
    if (!request->service->loopback_is_keeper) {
        if (people_keeper_paired(garden, &paired, fault))
            return -1;
        if (paired)
            return 0;
    }
    request->who.role = ROLE_KEEPER;
    return 0;
}

int who_set_cookie(struct request *request, struct reply *reply, const char *token, struct fault *fault)
{
    const char *cookie =
        arena_format(request->arena, "%s=%s; Path=/; HttpOnly; SameSite=Strict; Max-Age=%d%s", request->secure ? WHO_SECURE_COOKIE : WHO_COOKIE,
                     token ? token : "", token ? COOKIE_S : 0, request->secure ? "; Secure" : "");

    if (!cookie)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    return reply_header(request, reply, "Set-Cookie", cookie, fault);
}

int who_renew_cookie(struct request *request, struct reply *reply)
{
    const char *token = request->who.device && request->who.due ? token_of(request) : NULL;

    return token ? who_set_cookie(request, reply, token, NULL) : 0;
}
