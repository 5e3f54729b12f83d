/* form.h - names and values as a query string or a form without script sends them, made into the same document as JSON. */
#ifndef TIDEMARK_API_FORM_H
#define TIDEMARK_API_FORM_H

#include "api/shape.h"

/* "a=1&b=two" as {"a": 1, "b": "two"}: application/x-www-form-urlencoded (URL Standard, section 5). What shape calls a number,
 * a whole number or true and false becomes one where it is written as JSON writes it; everything else stays a text, for the
 * reader to refuse. Each name may come once.
 *
 * The caller owns the document. NULL with a fault: FAULT_INPUT for what is not well encoded, not UTF-8, or named twice.
 */
json_t *form_document(const struct shape *shape, const char *text, size_t length, struct arena *arena, struct fault *fault);

#endif
