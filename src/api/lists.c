/* lists.c - pages of short lists. */
#include "api/lists.h"

#include <stdlib.h>
#include <string.h>

#include "api/entries.h"

#define AT(member) offsetof(struct list_ask, member)
static const struct field ask_fields[] = {
    {"after", FIELD_TEXT, 0, AT(after), 1, 80, .about = "Cursor from the page before."},
    {"limit", FIELD_INTEGER, 0, AT(limit), 1, 500, .standard = 500, .about = "Most items to answer."},
};
#undef AT
const struct shape list_ask_shape = {.size = sizeof(struct list_ask), .field = ask_fields, .count = 2};

int list_page(const struct list *all, size_t size, size_t id_at, const struct list_ask *ask, struct list_answer *answer,
              struct fault *fault)
{
    size_t first = 0, count;
    const char *item = all->item;

    if (ask->after) {
        while (first < all->count && strcmp(*(const char *const *)(const void *)(item + first * size + id_at), ask->after) != 0)
            first++;
        if (first == all->count)
            return fault_add(fault, FAULT_INPUT, "/after", "is no cursor of this list");
        first++;
    }
    count = all->count - first;
    if (count > (size_t)ask->limit)
        count = (size_t)ask->limit;
    *answer = (struct list_answer){{(char *)all->item + first * size, count}, NULL};
    if (first + count < all->count)
        answer->next = *(const char *const *)(const void *)(item + (first + count - 1) * size + id_at);
    return 0;
}

bool list_page_enough(const struct list *newest, bool all, size_t size, size_t id_at, const struct list_ask *ask, struct list_answer *answer,
                      int *failed, struct fault *fault)
{
    *failed = list_page(newest, size, id_at, ask, answer, all ? fault : NULL);
    return all || (!*failed && answer->next);
}

static int read_cursor(const char *after, int64_t *key, struct fault *fault)
{
    char *end;

    *key = 0;
    if (!after)
        return 0;
    *key = strtoll(after, &end, 10);
    return *end || end == after ? fault_add(fault, FAULT_INPUT, "/after", "is not a cursor from this list") : 0;
}

int list_rows(struct request *request, rows_reader *read, size_t size, size_t key_at, struct list *rows, const char **next,
              struct fault *fault)
{
    const struct entries_ask *ask = request->asked;
    struct store *store = request->service->garden->store;
    struct db *db;
    int64_t after;
    int failed;

    *next = NULL;
    if (read_cursor(ask->after, &after, fault))
        return -1;
    db = store_read(store, fault);
    if (!db)
        return -1;
    failed = read(request, db, after, ask->limit + 1, rows, fault);
    store_done(store, db);
    if (failed || rows->count <= (size_t)ask->limit)
        return failed;
    rows->count = (size_t)ask->limit;
    memcpy(&after, (const char *)rows->item + (rows->count - 1) * size + key_at, sizeof after);
    *next = arena_format(request->arena, "%lld", (long long)after);
    return *next ? 0 : fault_add(fault, FAULT_MEMORY, "", "out of memory");
}

bool patch_names(const struct request *request, const char *member)
{
    return json_object_get(request->document, member) != NULL;
}
