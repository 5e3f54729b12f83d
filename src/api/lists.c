/* lists.c - pages of short lists. */
#include "api/lists.h"

#include <string.h>

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

bool patch_names(const struct request *request, const char *member)
{
    return json_object_get(request->document, member) != NULL;
}
