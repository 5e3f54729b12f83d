/* health.c - a read of the garden file, for whoever watches the daemon. */
#include "api/health.h"

struct health {
    const char *status, *version;
};

#define AT(member) offsetof(struct health, member)
static const struct field health_fields[] = {
    {"status", FIELD_TEXT, FIELD_REQUIRED, AT(status), .about = "ok: the garden file answers."},
    {"version", FIELD_TEXT, FIELD_REQUIRED, AT(version), .about = "Of the daemon."},
};
#undef AT
const struct shape health_shape = {.name = "Health", .size = sizeof(struct health), .field = health_fields, .count = 2};

/* GET /healthz */
int health_get(struct request *request, struct reply *reply, struct fault *fault)
{
    struct garden_row garden;
    struct health health = {"ok", VERSION};

    if (garden_settings(request->service->garden, &garden, request->arena, fault))
        return -1;
    return reply_json(reply, 200, shape_write(&health_shape, &health), fault);
}
