/* arena.c - blocks in a list, handed out from the newest. */
#include "store/arena.h"

#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define BLOCK_SIZE ((size_t)16 << 10)

struct arena_block {
    struct arena_block *older;
    size_t size, used;
    _Alignas(max_align_t) unsigned char memory[];
};

static size_t rounded(size_t size)
{
    const size_t step = _Alignof(max_align_t);

    return (size + step - 1) / step * step;
}

void *arena_take(struct arena *arena, size_t size)
{
    struct arena_block *block = arena->blocks;
    void *memory;

    if (size > (arena->most ? arena->most : ARENA_MOST) - arena->used)
        return NULL;
    size = rounded(size ? size : 1);
    if (!block || block->size - block->used < size) {
        size_t room = size > BLOCK_SIZE ? size : BLOCK_SIZE;

        block = calloc(1, sizeof *block + room);
        if (!block)
            return NULL;
        block->size = room;
        block->older = arena->blocks;
        arena->blocks = block;
    }
    memory = block->memory + block->used;
    block->used += size;
    arena->used += size;
    return memory;
}

char *arena_text(struct arena *arena, const char *text)
{
    size_t size;
    char *copy;

    if (!text)
        return NULL;
    size = strlen(text) + 1;
    copy = arena_take(arena, size);
    return copy ? memcpy(copy, text, size) : NULL;
}

char *arena_format(struct arena *arena, const char *format, ...)
{
    va_list given;
    char *text;
    int length;

    va_start(given, format);
    length = vsnprintf(NULL, 0, format, given);
    va_end(given);
    if (length < 0)
        return NULL;
    text = arena_take(arena, (size_t)length + 1);
    if (!text)
        return NULL;
    va_start(given, format);
    vsnprintf(text, (size_t)length + 1, format, given);
    va_end(given);
    return text;
}

void *arena_grow(struct arena *arena, void *list, size_t count, size_t *room, size_t item_size)
{
    void *moved;

    if (count < *room)
        return list;
    *room = *room ? *room * 2 : 16;
    moved = arena_take(arena, *room * item_size);
    if (moved && count)
        memcpy(moved, list, count * item_size);
    return moved;
}

void *arena_list(struct arena *arena, struct list *list, size_t count, size_t size)
{
    *list = (struct list){arena_take(arena, count * size), count};
    return list->item;
}

void arena_end(struct arena *arena)
{
    while (arena->blocks) {
        struct arena_block *block = arena->blocks;

        arena->blocks = block->older;
        free(block);
    }
    arena->used = 0;
}
