/* corrections.c - amendments and withdrawals, followed to their end. */
#include "store/corrections.h"

#include <string.h>

/* Corrections of corrections, and corrections of one entry, looked at: more is a client gone wrong. */
#define DEPTH 8
#define BREADTH CORRECTIONS_MOST

enum { OF };

const struct query corrections_queries[] = {
    [OF] = {"corrections_of", "SELECT w.id, 1 FROM entry w WHERE w.withdraws = :id UNION ALL "
                              "SELECT a.id, 0 FROM entry a WHERE a.amends = :id"},
};
const size_t corrections_queries_count = sizeof corrections_queries / sizeof *corrections_queries;

struct correction {
    unsigned char id[16];
    bool withdraws;
};

/* Read whole before any is followed: the statement cannot be lent twice. */
static int read_corrections(struct db *db, const unsigned char id[16], struct correction *found, size_t *count, struct fault *fault)
{
    STMT_HELD *stmt = stmt_take(db, &corrections_queries[OF], fault);
    int more = 0;

    if (!stmt)
        return -1;
    stmt_blob(stmt, ":id", id, 16);
    for (*count = 0; *count < BREADTH && (more = stmt_step(stmt, fault)) == 1; ++*count) {
        memcpy(found[*count].id, sqlite3_column_blob(stmt, 0), 16);
        found[*count].withdraws = stmt_get_int(stmt, 1) != 0;
    }
    return more < 0 ? -1 : 0;
}

/* Whether it is withdrawn (amended too, where asked). */
static int corrected(struct db *db, const unsigned char id[16], bool amended_too, int depth, struct fault *fault)
{
    struct correction found[BREADTH];
    size_t count;

    if (depth > DEPTH)
        return 0;
    if (read_corrections(db, id, found, &count, fault))
        return -1;
    for (size_t i = 0; i < count; i++) {
        int gone;

        if (!found[i].withdraws && !amended_too)
            continue;
        gone = corrected(db, found[i].id, false, depth + 1, fault);
        if (gone <= 0)
            return gone < 0 ? -1 : 1;
    }
    return 0;
}

int entry_stands(struct db *db, const unsigned char id[16], struct fault *fault)
{
    int gone = corrected(db, id, true, 0, fault);

    return gone < 0 ? -1 : !gone;
}

int corrections_of(struct db *db, const unsigned char id[16], unsigned char found[CORRECTIONS_MOST][16], size_t *count, struct fault *fault)
{
    struct correction correction[BREADTH];

    if (read_corrections(db, id, correction, count, fault))
        return -1;
    for (size_t i = 0; i < *count; i++)
        memcpy(found[i], correction[i].id, 16);
    return 0;
}

static int in_place(struct db *db, const unsigned char id[16], unsigned char place[16], int depth, struct fault *fault)
{
    struct correction found[BREADTH];
    size_t count;
    int gone = corrected(db, id, false, 0, fault);

    if (gone || depth > DEPTH)
        return gone < 0 ? -1 : 0;
    if (read_corrections(db, id, found, &count, fault))
        return -1;
    for (size_t i = 0; i < count; i++) {
        int stands = found[i].withdraws ? 0 : in_place(db, found[i].id, place, depth + 1, fault);

        if (stands)
            return stands;
    }
    memcpy(place, id, 16);
    return 1;
}

int entry_in_place(struct db *db, const unsigned char id[16], unsigned char place[16], struct fault *fault)
{
    return in_place(db, id, place, 0, fault);
}
