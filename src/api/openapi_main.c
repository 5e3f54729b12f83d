/* openapi_main.c - prints openapi.json; run at build time, so that the document cannot drift from the code. */
#include <stdio.h>

#include "api/routes.h"

int main(void)
{
    json_t *document = routes_openapi();
    int failed = !document || json_dumpf(document, stdout, JSON_INDENT(1) | JSON_SORT_KEYS | JSON_REAL_PRECISION(12));

    json_decref(document);
    return failed || putchar('\n') == EOF ? 1 : 0;
}
