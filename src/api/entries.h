/* entries.h - the log's documents, shared by what shows entries. */
#ifndef TIDEMARK_API_ENTRIES_H
#define TIDEMARK_API_ENTRIES_H

#include "api/request.h"
#include "api/shape.h"

/* What is sent and what is answered: struct entry both ways. */
extern const struct shape entry_shape;

/* Puts the flags of a fold onto the entries they belong to, as texts. */
struct tank_state;
int entries_flag(struct list *entries, const struct tank_state *state, struct arena *arena, struct fault *fault);

/* A list answer: items and the cursor to the next page. */
struct entries_answer {
    struct list items; /* struct entry */
    const char *next;
};
extern const struct shape entries_answer_shape;

/* Asking for a page. */
struct entries_ask {
    const char *tank, *after;
    int64_t limit;
};
extern const struct shape entries_ask_shape;
extern const struct shape page_ask_shape; /* without the tank */

/* A page of one tank's log (tank_key) or of the whole garden's (STORE_NO_INT). */
int entries_answer_page(struct request *request, struct db *db, int64_t tank_key, const char *after, int64_t limit,
                        struct entries_answer *answer, struct fault *fault);

int entries_post(struct request *request, struct reply *reply, struct fault *fault);
int entries_get(struct request *request, struct reply *reply, struct fault *fault);
int entry_get(struct request *request, struct reply *reply, struct fault *fault);

#endif
