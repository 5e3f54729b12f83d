/* photos.h - pictures of what entries tell: who may add one, what is kept of it, who sees it.
 *
 * A photo belongs to one entry and goes where that goes: amended, it is shown with the entry that stands in its place; taken back,
 * it is shown to nobody but who sent it and keepers. Position, device and the rest that a phone writes into a picture are
 * taken out here, whatever the page did (format/jpeg.h).
 *
 * It may show a person, so it can be removed for good by who added it and by keepers: then the file no longer has it, though copies
 * made before do until they are pruned.
 */
#ifndef TIDEMARK_GARDEN_PHOTOS_H
#define TIDEMARK_GARDEN_PHOTOS_H

#include "garden/garden.h"
#include "garden/people.h"
#include "store/photos.h"

#define PHOTOS_OF_ENTRY 8 /* ours */

/* What is asked of a photo beyond its row. */
struct photo {
    struct photo_row row;
    const char *shown_with; /* the entry that stands in the place of its own; NULL: taken back */
};

/* Keeps a picture of length bytes: row.id (or NULL), row.entry and row.received_ms set. Sent twice it is kept once.
 * Faults: FAULT_INPUT at "/id", "/entry", "/jpeg"; FAULT_CONFLICT for an id that shows something else, or that was removed; FAULT_DENIED for another
 * member's entry by one who is no keeper.
 */
int garden_photo_add(struct garden *garden, const struct who *who, struct photo *photo, const unsigned char *jpeg, size_t length,
                     bool *stored_before, struct arena *arena, struct fault *fault);

/* One with its picture; FAULT_ABSENT. */
int garden_photo_one(struct garden *garden, const struct who *who, const char *id, struct photo *photo, unsigned char **jpeg,
                     struct arena *arena, struct fault *fault);

/* Removes one for good; again is the same. FAULT_ABSENT; FAULT_DENIED where another member added it, for one who is no keeper. */
int garden_photo_remove(struct garden *garden, const struct who *who, const char *id, int64_t now_ms, struct fault *fault);

/* A page of those whose entry was not taken back: struct photo. *last_key is that of the last row looked at, 0 at the end. */
int garden_photos_page(struct garden *garden, const struct photo_page *page, struct list *photos, int64_t *last_key, struct arena *arena,
                       struct fault *fault);

#endif
