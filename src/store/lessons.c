/* lessons.c - what finished fills taught, in the file. */
#include "store/lessons.h"

#include "store/entries.h"

enum { PUT, OF_CROP };

const struct query lessons_queries[] = {
    [PUT] = {"lesson_put", "INSERT OR REPLACE INTO lesson (fill, crop, ended_ms, vigour, pace, readings) "
                           "VALUES (:fill, :crop, :ended_ms, :vigour, :pace, :readings)"},
    [OF_CROP] = {"lessons_of_crop", "SELECT ended_ms, vigour, pace, readings FROM lesson WHERE crop = :crop "
                                    "ORDER BY ended_ms DESC LIMIT :limit"},
};
const size_t lessons_queries_count = sizeof lessons_queries / sizeof *lessons_queries;

int lessons_put(struct db *db, const struct lesson *lesson, struct fault *fault)
{
    STMT_HELD *put = stmt_take(db, &lessons_queries[PUT], fault);
    unsigned char fill[16];

    if (!put)
        return -1;
    if (uuid_bytes(lesson->fill, fill) == 0)
        stmt_blob(put, ":fill", fill, sizeof fill);
    stmt_text(put, ":crop", lesson->crop);
    stmt_int(put, ":ended_ms", lesson->ended_ms);
    stmt_real(put, ":vigour", lesson->vigour);
    stmt_real(put, ":pace", lesson->pace);
    stmt_int(put, ":readings", lesson->readings);
    return stmt_run(put, fault);
}

int lessons_of_crop(struct db *db, const char *crop, int64_t limit, struct list *lessons, struct arena *arena, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &lessons_queries[OF_CROP], fault);
    struct lesson *lesson = arena_take(arena, ((size_t)limit + 1) * sizeof *lesson);
    int more;

    if (!stmt || !lesson)
        return stmt ? fault_add(fault, FAULT_MEMORY, "", "out of memory") : -1;
    stmt_text(stmt, ":crop", crop);
    stmt_int(stmt, ":limit", limit);
    *lessons = (struct list){lesson, 0};
    while ((more = stmt_step(stmt, fault)) == 1)
        lesson[lessons->count++] = (struct lesson){.ended_ms = stmt_get_int(stmt, 0),
                                                   .vigour = stmt_get_real(stmt, 1),
                                                   .pace = stmt_get_real(stmt, 2),
                                                   .readings = stmt_get_int(stmt, 3)};
    return more;
}
