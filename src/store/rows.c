/* rows.c - taking rows through a noun's reader. */
#include "store/rows.h"

#include "store/entries.h"

const char *row_text(struct row *row, int column)
{
    const char *text = stmt_get_text(row->stmt, column), *copy = arena_text(row->arena, text);

    row->failed |= text && !copy;
    return copy;
}

const char *row_uuid(struct row *row, int column)
{
    const unsigned char *bytes = sqlite3_column_blob(row->stmt, column);
    char text[37], *copy;

    if (!bytes)
        return NULL;
    uuid_text(bytes, text);
    copy = arena_text(row->arena, text);
    row->failed |= !copy;
    return copy;
}

static int no_memory(struct fault *fault)
{
    return fault_add(fault, FAULT_MEMORY, "", "out of memory");
}

int rows_one(sqlite3_stmt *stmt, row_reader *read, void *into, struct arena *arena, struct fault *fault)
{
    struct row row = {stmt, arena, false};
    int found = stmt_step(stmt, fault);

    if (found == 1)
        read(&row, into);
    return row.failed ? no_memory(fault) : found;
}

int rows_all(sqlite3_stmt *stmt, row_reader *read, size_t size, struct list *rows, struct arena *arena, struct fault *fault)
{
    struct row row = {stmt, arena, false};
    size_t room = 0;
    int more;

    *rows = (struct list){NULL, 0};
    while ((more = stmt_step(stmt, fault)) == 1) {
        rows->item = arena_grow(arena, rows->item, rows->count, &room, size);
        if (rows->item)
            read(&row, (char *)rows->item + size * rows->count++);
        if (!rows->item || row.failed)
            return no_memory(fault);
    }
    return more;
}

int rows_fill(struct db *db, row_filler *fill, size_t size, const struct list *rows, struct arena *arena, struct fault *fault)
{
    for (size_t i = 0; i < rows->count; i++)
        if (fill(db, (char *)rows->item + size * i, arena, fault))
            return -1;
    return 0;
}
