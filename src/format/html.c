/* html.c - a text that grows. */
#include "format/html.h"

#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

static void put(struct html *html, const char *bytes, size_t count)
{
    if (html->length + count + 1 > html->room) {
        size_t room = (html->length + count + 1) * 2;
        char *grown = realloc(html->text, room);

        if (!grown) {
            html->failed = true;
            return;
        }
        html->text = grown;
        html->room = room;
    }
    memcpy(html->text + html->length, bytes, count);
    html->length += count;
    html->text[html->length] = '\0';
}

void html_raw(struct html *html, const char *markup)
{
    put(html, markup, strlen(markup));
}

static void put_escaped(struct html *html, const char *text)
{
    for (; *text; text++) {
        switch (*text) {
        case '&': html_raw(html, "&amp;"); break;
        case '<': html_raw(html, "&lt;"); break;
        case '>': html_raw(html, "&gt;"); break;
        case '"': html_raw(html, "&quot;"); break;
        case '\'': html_raw(html, "&#39;"); break;
        default: put(html, text, 1);
        }
    }
}

void html_add(struct html *html, const char *markup, ...)
{
    va_list texts;
    const char *at;

    va_start(texts, markup);
    while ((at = strchr(markup, '%'))) {
        put(html, markup, (size_t)(at - markup));
        if (at[1] == 's')
            put_escaped(html, va_arg(texts, const char *));
        else
            put(html, "%", 1);
        markup = at + 2;
    }
    html_raw(html, markup);
    va_end(texts);
}

void html_free(struct html *html)
{
    free(html->text);
    *html = (struct html){0};
}
