/* fault.c - filling in the error type. */
#include "calc/fault.h"

#include <stdarg.h>
#include <stdio.h>

int fault_add(struct fault *fault, enum fault_code code, const char *at, const char *format, ...)
{
    va_list given;
    struct fault_item *item;

    if (!fault)
        return -1;
    if (fault->code == FAULT_NONE)
        fault->code = code;
    if (fault->count == FAULT_ITEMS) {
        fault->more++;
        return -1;
    }
    item = &fault->item[fault->count++];
    snprintf(item->at, sizeof item->at, "%s", at);
    va_start(given, format);
    vsnprintf(item->detail, sizeof item->detail, format, given);
    va_end(given);
    return -1;
}

int fault_under(struct fault *fault, const char *under, const struct fault *inner)
{
    char at[sizeof inner->item[0].at * 2];

    for (size_t i = 0; i < inner->count; i++) {
        snprintf(at, sizeof at, "%s%s", under, inner->item[i].at);
        fault_add(fault, inner->code, at, "%s", inner->item[i].detail);
    }
    return -1;
}
