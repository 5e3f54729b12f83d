/* lists.h - short lists that are answered whole: asking for a page of one, and cutting it. */
#ifndef TIDEMARK_API_LISTS_H
#define TIDEMARK_API_LISTS_H

#include "api/request.h"
#include "api/shape.h"

struct list_ask {
    const char *after;
    int64_t limit;
};
extern const struct shape list_ask_shape;

struct list_answer {
    struct list items;
    const char *next;
};

/* Both fields of such an answer; items are documents of item_shape. */
#define LIST_ANSWER_FIELDS(item_shape, order)                                                                                   \
    {                                                                                                                           \
        {"items", FIELD_LIST, FIELD_REQUIRED, offsetof(struct list_answer, items), .shape = &(item_shape), .about = order},      \
        {"next", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE, offsetof(struct list_answer, next), .about = "Cursor of the next page."} \
    }

/* The page of all that was asked for. Items are size bytes each and have their id, a const char *, at offset id_at.
 * FAULT_INPUT at "/after" for a cursor that none of them has. */
int list_page(const struct list *all, size_t size, size_t id_at, const struct list_ask *ask, struct list_answer *answer,
              struct fault *fault);

/* Whether a patch names this member, with null or with something else. */
bool patch_names(const struct request *request, const char *member);

#endif
