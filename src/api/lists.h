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

/* Newest first a page needs the end of a stretch alone. So many are asked for at first, then four times as many, until the page is
 * full or these are all: then true, with what list_page says. */
#define LIST_NEWEST(ask) ((ask)->limit + 1)
bool list_page_enough(const struct list *newest, bool all, size_t size, size_t id_at, const struct list_ask *ask, struct list_answer *answer,
                      int *failed, struct fault *fault);

/* A page of rows that the store hands out by key: limit + 1 are asked for, so that the last tells whether there are more.
 * rows are size bytes each with their int64_t key at offset key_at; *next is the cursor, NULL at the end. The route asks for
 * page_ask_shape. FAULT_INPUT at "/after" for what is no cursor.
 */
typedef int rows_reader(struct request *request, struct db *db, int64_t after_key, int64_t limit, struct list *rows, struct fault *fault);
int list_rows(struct request *request, rows_reader *read, size_t size, size_t key_at, struct list *rows, const char **next,
              struct fault *fault);

/* Whether a patch names this member, with null or with something else. */
bool patch_names(const struct request *request, const char *member);

#endif
