/* arena.h - memory that lives as long as one request and is freed at one stroke.
 *
 * Not for sharing between threads. What comes from an arena is never freed by itself.
 */
#ifndef TIDEMARK_ARENA_H
#define TIDEMARK_ARENA_H

#include <stddef.h>

struct arena {
    struct arena_block *blocks; /* newest first */
    size_t used;                /* bytes handed out so far */
    size_t most;                /* bytes it will hand out; 0: ARENA_MOST */
};

#define ARENA_MOST ((size_t)64 << 20)

/* Zeroed memory, aligned for any type, or NULL when out of memory or over `most`. */
void *arena_take(struct arena *arena, size_t size);

/* A copy of text, or NULL; text may be NULL and gives NULL. */
char *arena_text(struct arena *arena, const char *text);

/* printf into the arena. */
char *arena_format(struct arena *arena, const char *format, ...) __attribute__((format(printf, 2, 3)));

/* Room for one more item in a list that grows: returns the list, moved when it had to be.
 * *room is the present capacity (0 with list NULL at the start).
 */
void *arena_grow(struct arena *arena, void *list, size_t count, size_t *room, size_t item_size);

/* Frees everything; the arena can be used again. */
void arena_end(struct arena *arena);

/* Items one after the other, all of one size. */
struct list {
    void *item;
    size_t count;
};

/* Room for count items of size bytes each: *list has them, zeroed. Returns the first, or NULL. */
void *arena_list(struct arena *arena, struct list *list, size_t count, size_t size);

#define ARENA_HELD __attribute__((cleanup(arena_end))) struct arena

#endif
