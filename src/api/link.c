/* link.c - addresses that leave the daemon. */
#include "api/link.h"

#include <string.h>

const char *api_link(struct request *request, const char *path, struct fault *fault)
{
    const char *base = request->service->public_url, *link;
    struct garden_row row;
    size_t length;

    if (!base) {
        if (garden_settings(request->service->garden, &row, request->arena, fault))
            return NULL;
        base = row.public_url;
    }
    if (!base)
        base = arena_format(request->arena, "%s://%s", request->secure ? "https" : "http", request->host ? request->host : "localhost");
    length = base ? strlen(base) : 0;
    while (length && base[length - 1] == '/')
        length--;
    link = base ? arena_format(request->arena, "%.*s%s", (int)length, base, path) : NULL;
    if (!link)
        fault_add(fault, FAULT_MEMORY, "", "out of memory");
    return link;
}
