/* photos.h - pictures of what entries tell, as the file keeps them. */
#ifndef TIDEMARK_STORE_PHOTOS_H
#define TIDEMARK_STORE_PHOTOS_H

#include "store/arena.h"
#include "store/store.h"

#define PHOTO_BYTES_MOST 500000

struct photo_row {
    int64_t key;
    const char *id, *entry; /* UUIDs, lower case */
    const char *tank;       /* uid */
    int kind;               /* enum entry_kind, of the entry */
    int64_t tank_key, member_key, device_key; /* STORE_NO_INT where there is none */
    const char *member, *member_name;
    int64_t received_ms, width_px, height_px, bytes;
};

/* Adds one with its keys set. FAULT_CONFLICT when the id is there already. */
int photo_rows_add(struct db *db, const struct photo_row *photo, const void *jpeg, struct fault *fault);

/* 1 found, 0 not there, -1 fault. *jpeg lives in the arena, photo->bytes long; NULL: the picture is not wanted. */
int photo_rows_one(struct db *db, const char *id, struct photo_row *photo, unsigned char **jpeg, struct arena *arena, struct fault *fault);

/* Deletes one and keeps its id as removed. */
int photo_rows_remove(struct db *db, const struct photo_row *photo, int64_t now_ms, struct fault *fault);

/* Whether one of this id was removed: 1, 0, -1 fault. */
int photo_rows_removed(struct db *db, const char *id, struct fault *fault);

/* How many an entry has, or -1. */
int64_t photo_rows_of_entry(struct db *db, const char *entry, struct fault *fault);

/* What tells whether a tank's photos changed: how many, and the newest one's id, NULL where there is none. */
int photo_rows_glance(struct db *db, int64_t tank_key, int64_t *count, const char **newest, struct arena *arena, struct fault *fault);

/* Newest first, below before_key, at most limit: struct photo_row, without pictures. tank_key STORE_NO_INT: of all tanks;
 * kind -1: of all kinds. */
struct photo_page {
    int64_t tank_key, before_key, limit;
    int kind;
};
int photo_rows_page(struct db *db, const struct photo_page *page, struct list *photos, struct arena *arena, struct fault *fault);

extern const struct query photos_queries[];
extern const size_t photos_queries_count;

#endif
