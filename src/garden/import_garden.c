/* import_garden.c - what holds of a whole garden that is brought in. */
#include "garden/import_garden.h"

#include <math.h>
#include <string.h>

#include "garden/clock.h"
#include "garden/log.h"
#include "store/areas.h"
#include "store/entries.h"

#define PAGE 500

struct checking {
    struct db *db;
    bool (*go_on)(void *context);
    import_wrong *wrong;
    void *context;
};

static void tell_all(struct checking *checking, const char *list, const char *id, const struct fault *found)
{
    for (size_t i = 0; i < found->count; i++)
        checking->wrong(checking->context, list, id, found->item[i].at, found->item[i].detail);
}

/* Of a check that only looks: its own faults are the document's, others end the import. */
static int sort_out(struct checking *checking, const char *list, const char *id, const struct fault *found, struct fault *fault)
{
    if (found->code && found->code != FAULT_INPUT && found->code != FAULT_CONFLICT)
        return fault_under(fault, "", found);
    tell_all(checking, list, id, found);
    return 0;
}

static int check_settings(struct checking *checking, struct fault *fault)
{
    ARENA_HELD arena = {0};
    struct garden_row garden;
    int there = gardens_read(checking->db, &garden, &arena, fault), indoor;

    if (there < 0)
        return -1;
    if (!there) {
        checking->wrong(checking->context, "garden", "", "", "the settings are missing");
        return 0;
    }
    if (!clock_zone_known(garden.time_zone))
        checking->wrong(checking->context, "garden", garden.id, "/time_zone", "must be an IANA zone such as Europe/Lisbon");
    if (garden.public_url && strncmp(garden.public_url, "http://", 7) != 0 && strncmp(garden.public_url, "https://", 8) != 0)
        checking->wrong(checking->context, "garden", garden.id, "/public_url", "must begin with http:// or https://");
    indoor = !isnan(garden.indoor_temperature_c) + !isnan(garden.indoor_rh_percent) + !isnan(garden.indoor_ppfd_umol) + !isnan(garden.indoor_hours);
    if (indoor != 0 && indoor != 4)
        checking->wrong(checking->context, "garden", garden.id, "/indoor_temperature_c", "of the climate under lamps all four values are told, or none");
    if (garden.months.count != 0 && garden.months.count != 12)
        checking->wrong(checking->context, "months", "", "", "there must be twelve, or none");
    return 0;
}

static int check_vessels(struct checking *checking, struct fault *fault)
{
    int64_t after = 0;

    for (;;) {
        ARENA_HELD arena = {0};
        struct list rows;
        struct vessel_row *row;

        if (vessels_list(checking->db, after, PAGE, &rows, &arena, fault))
            return -1;
        if (!rows.count)
            return 0;
        row = rows.item;
        for (size_t i = 0; i < rows.count; i++) {
            struct fault found = {0};

            after = row[i].key;
            garden_vessel_complete(&row[i], &arena, &found);
            if (sort_out(checking, "vessels", row[i].id, &found, fault))
                return -1;
        }
    }
}

static int check_areas(struct checking *checking, struct fault *fault)
{
    ARENA_HELD arena = {0};
    struct list all;
    const struct area_row *area;

    if (area_rows_list(checking->db, &all, &arena, fault))
        return -1;
    area = all.item;
    for (size_t i = 0; i < all.count; i++)
        if (area[i].within && area[i].areas > 0)
            checking->wrong(checking->context, "areas", area[i].id, "/within", "other areas lie in this one; areas go two deep");
    return 0;
}

static int check_entries(struct checking *checking, struct fault *fault)
{
    struct entries_page page = {.tank_key = STORE_NO_INT, .before_ms = INT64_MAX, .limit = PAGE};
    char before[37];

    while (checking->go_on(checking->context)) {
        ARENA_HELD arena = {0};
        struct list entries;
        const struct entry *entry;

        if (entries_page(checking->db, &page, &entries, &arena, fault))
            return -1;
        if (!entries.count)
            return 0;
        entry = entries.item;
        for (size_t i = 0; i < entries.count; i++) {
            struct fault found = {0};

            garden_log_check(checking->db, &entry[i], &arena, &found);
            if (sort_out(checking, "entries", entry[i].id, &found, fault))
                return -1;
        }
        page.before_ms = entry[entries.count - 1].at_ms;
        page.before_id = strcpy(before, entry[entries.count - 1].id);
    }
    return 0;
}

int import_garden_check(struct db *db, bool (*go_on)(void *context), import_wrong *wrong, void *context, struct fault *fault)
{
    struct checking checking = {.db = db, .go_on = go_on, .wrong = wrong, .context = context};

    return check_settings(&checking, fault) || check_vessels(&checking, fault) || check_areas(&checking, fault) ||
                   check_entries(&checking, fault)
               ? -1
               : 0;
}
