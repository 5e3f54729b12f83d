/* form.c - a query string or a form as a document. */
#include "api/form.h"

#include <string.h>

static int hex(char c)
{
    if (c >= '0' && c <= '9')
        return c - '0';
    c = (char)(c | 32);
    return c >= 'a' && c <= 'f' ? c - 'a' + 10 : -1;
}

/* One name or value; NULL when it cannot be decoded. A NUL in it would cut the text short: it is refused. */
static char *decoded(struct arena *arena, const char *from, size_t length)
{
    char *text = arena_take(arena, length + 1), *to = text;

    for (size_t i = 0; text && i < length; i++, to++) {
        if (from[i] == '%') {
            if (i + 2 >= length || hex(from[i + 1]) < 0 || hex(from[i + 2]) < 0)
                return NULL;
            *to = (char)(hex(from[i + 1]) << 4 | hex(from[i + 2]));
            i += 2;
        } else {
            *to = from[i] == '+' ? ' ' : from[i];
        }
        if (!*to)
            return NULL;
    }
    return text;
}

static const struct field *field_named(const struct shape *shape, const char *name)
{
    for (size_t i = 0; i < shape->count; i++)
        if (strcmp(shape->field[i].name, name) == 0)
            return &shape->field[i];
    return NULL;
}

/* NULL where it is not UTF-8. Numbers are read by the reader of JSON, so that "0x10", "nan" and " 1" are none. */
static json_t *value_of(const struct field *field, const char *text)
{
    enum field_kind kind = field ? field->kind : FIELD_TEXT;

    if ((kind == FIELD_NUMBER || kind == FIELD_INTEGER) && strchr("-0123456789", *text)) {
        json_t *number = json_loads(text, JSON_DECODE_ANY, NULL);

        if (json_is_number(number) && !strpbrk(text, " \t\r\n"))
            return number;
        json_decref(number);
    }
    if (kind == FIELD_BOOL && (strcmp(text, "true") == 0 || strcmp(text, "false") == 0))
        return json_boolean(*text == 't');
    return json_string(text);
}

static int add_pair(const struct shape *shape, const char *pair, size_t length, json_t *document, struct arena *arena, struct fault *fault)
{
    const char *equals = memchr(pair, '=', length);
    size_t split = equals ? (size_t)(equals - pair) : length;
    char *name = decoded(arena, pair, split), *value = decoded(arena, pair + split + (equals != NULL), length - split - (equals != NULL));
    json_t *item;

    if (!name || !value)
        return fault_add(fault, FAULT_INPUT, "", "is not well encoded");
    if (json_object_get(document, name))
        return fault_add(fault, FAULT_INPUT, "", "%.100s is given twice", name);
    item = value_of(field_named(shape, name), value);
    if (!item || json_object_set_new(document, name, item))
        return fault_add(fault, FAULT_INPUT, "", "is not UTF-8");
    return 0;
}

json_t *form_document(const struct shape *shape, const char *text, size_t length, struct arena *arena, struct fault *fault)
{
    json_t *document = json_object();

    if (!document)
        fault_add(fault, FAULT_MEMORY, "", "out of memory");
    for (size_t at = 0; document && at < length;) {
        const char *end = memchr(text + at, '&', length - at);
        size_t pair = end ? (size_t)(end - text) - at : length - at;

        if (pair && add_pair(shape, text + at, pair, document, arena, fault)) {
            json_decref(document);
            return NULL;
        }
        at += pair + 1;
    }
    return document;
}
