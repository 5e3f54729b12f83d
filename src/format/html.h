/* html.h - writing a page piece by piece; what people typed never becomes markup. */
#ifndef TIDEMARK_HTML_H
#define TIDEMARK_HTML_H

#include <stdbool.h>
#include <stddef.h>

struct html {
    char *text; /* malloc'ed, ended by NUL; NULL until something is written */
    size_t length, room;
    bool failed; /* out of memory: the text is not whole */
};

/* Markup as it is. */
void html_raw(struct html *html, const char *markup);

/* Markup with %s for texts, which are escaped, and %% for a percent sign; nothing else. */
void html_add(struct html *html, const char *markup, ...);

void html_free(struct html *html);

#endif
