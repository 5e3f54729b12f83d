/* portable.h - what leaves the garden file and comes back: one table that tells, for each table of the file, which columns go,
 * under which name and within which bounds. The export writes by it, the import reads by it, and a test holds it against the
 * schema: a column is told here, or left out here by name.
 *
 * Keys never leave the file: a row names another by its uid.
 */
#ifndef TIDEMARK_STORE_PORTABLE_H
#define TIDEMARK_STORE_PORTABLE_H

#include "store/arena.h"
#include "store/store.h"

enum portable_kind {
    /*                 in the file                  in a document                        */
    PORTABLE_TEXT,    /* TEXT                       text                                 */
    PORTABLE_INTEGER, /* INTEGER, bits `first` of it where not 0     whole number        */
    PORTABLE_REAL,    /* REAL                       number                               */
    PORTABLE_INSTANT, /* INTEGER, ms since 1970     RFC 3339, UTC                        */
    PORTABLE_DAY,     /* INTEGER, days since 1970   "2026-05-01"                         */
    PORTABLE_BOOL,    /* INTEGER, 0 or 1            true, false                          */
    PORTABLE_CHOICE,  /* INTEGER, `first` and on    one of words                         */
    PORTABLE_UUID,    /* BLOB of 16 bytes           UUID                                 */
    PORTABLE_REF,     /* INTEGER, a key of `of`     the uid of that row                  */
    PORTABLE_PACKED,  /* INTEGER, `first` a unit    number                               */
    PORTABLE_JPEG     /* BLOB                       base64                               */
};

struct portable_column {
    const char *name, *column;
    enum portable_kind kind;
    bool needed;
    double least, most; /* numbers: the range; texts and bytes: how long */
    const char *const *words; /* CHOICE; TEXT: only one of these */
    int first;
    const char *of;
};

struct portable_table {
    const char *name, *table;
    const struct portable_column *column;
    size_t count;
    const char *where, *order;        /* SQL; NULL: all rows, by key */
    const char *made, *made_of;       /* columns that an import makes up, and by what: "token_hash", "randomblob(32)" */
    const char *left;                 /* columns that stay here, apart by blanks; why stands beside it */
    size_t grouped;                   /* so many leading columns stand once for many rows: {..., "rows": [[...], ...]} */
    const char *about;
};

/* In an order in which each names only rows of those before it, or of itself. */
extern const struct portable_table portable_tables[];
extern const size_t portable_tables_count;

/* Tables that stay here whole, ended by NULL. */
extern const char *const portable_left[];

#define PORTABLE_COLUMNS 48

/* A row after the other, in columns as portable_table has them: PORTABLE_REF is a text, what is not told is NULL. NULL with a
 * fault; ended by sqlite3_finalize. */
sqlite3_stmt *portable_rows(struct db *db, const struct portable_table *table, struct fault *fault);

/* How many rows there are, for whoever waits. */
int portable_count(struct db *db, const struct portable_table *table, int64_t *count, struct fault *fault);

/* Whether nothing portable is in the file but members and settings: 1, 0, -1. */
int portable_empty(struct db *db, struct fault *fault);

#endif
