/* entries.h - the log. Append-only: what is here is never changed. */
#ifndef TIDEMARK_STORE_ENTRIES_H
#define TIDEMARK_STORE_ENTRIES_H

#include "store/arena.h"
#include "store/store.h"

enum entry_kind { ENTRY_FILL, ENTRY_TOP_UP, ENTRY_READING, ENTRY_PLANTING, ENTRY_HARVEST, ENTRY_CLEAN_OUT, ENTRY_NOTE, ENTRY_MOVE, ENTRY_LOSS };
#define ENTRY_KINDS (ENTRY_LOSS + 1)

enum entry_method { METHOD_DIPSTICK, METHOD_BY_EYE, METHOD_SENSOR };
enum entry_start { START_SOWN, START_PRICKED_OUT, START_TRANSPLANTED };
enum entry_how { HOW_WHOLE, HOW_CUT };
enum entry_reason { LOST_ROT, LOST_WILTED, LOST_PESTS, LOST_BOLTED, LOST_BROKEN, LOST_OTHER };
enum entry_step { STEP_EMPTIED, STEP_DEBRIS, STEP_SCRUBBED, STEP_DISINFECTED, STEP_RINSED, STEP_DRIED, STEP_CUPS };
#define ENTRY_STEPS (STEP_CUPS + 1)
enum entry_went { WENT_PLANTED_SOIL, WENT_KEPT, WENT_SEWER, WENT_OTHER };

#define ENTRY_NONE (-1) /* a choice that was not made */

struct entry_salt {
    const char *salt; /* uid or slug */
    double grams;
};

/* One entry. Texts are NULL, numbers NAN, whole numbers STORE_NO_INT, days INT32_MIN, choices ENTRY_NONE where not given. */
struct entry {
    const char *id;   /* UUID, lower case */
    const char *tank; /* uid; in what a member sends the short code will do */
    int kind;
    int64_t at_ms, received_ms;
    int64_t sent_ms;      /* what the sender's clock said when it sent this; not kept */
    int64_t clock_off_ms; /* received minus sent, or minus at where that lies ahead; kept where it is more than ten minutes */
    const char *note, *amends, *withdraws;

    double waterline_mm; /* above the vessel's floor; after it, for a fill and a top-up */
    double air_gap_mm;   /* as sent instead of the waterline; not kept */
    double volume_l;     /* put in */
    double ec_ms_cm, ph, temperature_c;
    int method;

    const char *water, *target; /* uids */
    struct list weighed;        /* struct entry_salt */
    struct entry_acid {
        int acid; /* nitric, phosphoric, sulfuric, citric */
        double ml;
    } acid;

    const char *crop;
    int64_t count; /* plants */
    struct list cups; /* int64_t, from 1 */
    struct list to_cups; /* int64_t, from 1: where each of cups was moved */
    const char *to_tank; /* uid, NULL: within the tank; in what a member sends the short code will do */
    int reason;          /* of a loss */
    bool replaces;       /* what hung in the cups was taken out knowingly */
    int32_t hung_day;    /* in a cup since then; INT32_MIN: since this entry */
    int64_t cuts;        /* before this entry */
    int32_t cut_day;     /* the last of them; INT32_MIN: not told */
    struct list steps;   /* int, each once, in their order: of a clean-out */
    int went_to;
    int32_t sown_day;
    int start;

    int how;
    double weight_g;
    int64_t bunches;
    double kept_fraction;
    int64_t quality;

    /* What only the store knows. */
    int64_t tank_key, member_key, device_key, sensor_key; /* keys are STORE_NO_INT where there is none */
    const char *member, *member_name, *device, *device_name, *sensor, *sensor_name;
    const char *amended_by, *withdrawn_by; /* the newest that does */
    const char *follows;  /* the entry at another tank because of which the garden wrote this one */
    struct list flags;                     /* const char *; filled in by the garden */
};

/* An entry in which nothing is given. */
struct entry entry_blank(void);

/* Whether both say the same: all that a member can send. */
bool entry_same(const struct entry *a, const struct entry *b);

/* Adds one with its tank_key, member_key and device_key set. FAULT_CONFLICT when the id is there already. */
int entries_add(struct db *db, const struct entry *entry, struct fault *fault);

/* One by its id: 1 found, 0 not there, -1 fault. */
int entries_one(struct db *db, const char *id, struct entry *entry, struct arena *arena, struct fault *fault);

/* All of a tank, oldest first (by at, then id), for the fold: struct entry. */
int entries_of_tank(struct db *db, int64_t tank_key, struct list *entries, struct arena *arena, struct fault *fault);

/* All of a tank but its readings, oldest first; and of those the last waterlines that were read up to before_ms before each
 * harvest. What fills cost and harvests gave rests on these, however often a sensor reads. */
int entries_deeds(struct db *db, int64_t tank_key, int64_t before_ms, struct list *entries, struct arena *arena, struct fault *fault);

/* To deeds, oldest first, the last waterlines that were read up to before_ms before each harvest among them. */
int entries_add_levels(struct db *db, int64_t tank_key, int64_t before_ms, struct list *entries, struct arena *arena, struct fault *fault);

/* A stretch of a tank's log: the moments from_ms <= at < to_ms. */
struct entries_span {
    int64_t tank_key, from_ms, to_ms;
};

/* The deeds, or the readings, of such a stretch, oldest first. */
int entries_deeds_in(struct db *db, const struct entries_span *span, struct list *entries, struct arena *arena, struct fault *fault);
int entries_readings_in(struct db *db, const struct entries_span *span, struct list *entries, struct arena *arena, struct fault *fault);

/* The last clean-out of the stretch that was neither withdrawn nor amended: 1 with its moment, 0 none, -1 fault. */
int entries_clean_out(struct db *db, const struct entries_span *span, int64_t *at_ms, struct fault *fault);

/* The last fill of the stretch that stands and was weighed: 1 found, 0 none, -1 fault. */
int entries_weighed_fill(struct db *db, const struct entries_span *span, struct entry *fill, struct arena *arena, struct fault *fault);

/* The newest reading of the stretch that was neither withdrawn nor amended: 1 found, 0 none among the last few, -1 fault. */
int entries_reading_before(struct db *db, const struct entries_span *span, struct entry *reading, struct arena *arena, struct fault *fault);

/* One that lives as long as arena, whatever from lives in; without its flags. */
int entry_copy(struct entry *to, const struct entry *from, struct arena *arena, struct fault *fault);

/* A page of the log, newest first: of one tank (or STORE_NO_INT: of all), older than (before_ms, before_id).
 * Begin with INT64_MAX and NULL. */
struct entries_page {
    int64_t tank_key, before_ms;
    const char *before_id;
    int64_t limit;
};
int entries_page(struct db *db, const struct entries_page *page, struct list *entries, struct arena *arena, struct fault *fault);

/* What the garden wrote at other tanks because of this entry: struct entry. */
int entries_following(struct db *db, const char *id, struct list *entries, struct arena *arena, struct fault *fault);

/* UUID text to 16 bytes; -1 when it is none. And back. */
int uuid_bytes(const char *text, unsigned char bytes[16]);
void uuid_text(const unsigned char bytes[16], char text[37]);

extern const struct query entries_queries[];
extern const size_t entries_queries_count;

#endif
