/* pair.c - using an invite: the page that its link opens posts the token here and gets the device's cookie. */
#include "api/invites.h"
#include "api/members.h"
#include "api/who.h"

#define AT(member) offsetof(struct pairing, member)
static const struct field pairing_fields[] = {
    {"token", FIELD_TEXT, FIELD_REQUIRED, AT(token), 1, 100, .about = "What stands behind the # of the link."},
    {"device_name", FIELD_TEXT, FIELD_REQUIRED, AT(device_name), 1, PEOPLE_NAME_MOST, .about = "What to call this device."},
    {"name", FIELD_TEXT, FIELD_NULLABLE, AT(name), 1, PEOPLE_NAME_MOST, .about = "What the others call you, where the invite does not say."},
};
#undef AT
const struct shape pairing_shape = {.name = "Pairing", .size = sizeof(struct pairing), .field = pairing_fields,
                                    .count = sizeof pairing_fields / sizeof *pairing_fields};

struct paired_answer {
    const char *member, *name, *device;
    int role;
};

#define AT(member) offsetof(struct paired_answer, member)
static const struct field paired_fields[] = {
    {"member", FIELD_TEXT, FIELD_REQUIRED, AT(member), .about = "Who you are now."},
    {"name", FIELD_TEXT, FIELD_REQUIRED, AT(name), .about = "What the others call you."},
    {"role", FIELD_CHOICE, FIELD_REQUIRED, AT(role), .words = role_words, .standard = -1, .about = "What you may do."},
    {"device", FIELD_TEXT, FIELD_REQUIRED, AT(device), .about = "This device's id."},
};
#undef AT
const struct shape paired_shape = {.name = "Paired", .size = sizeof(struct paired_answer), .field = paired_fields,
                                   .count = sizeof paired_fields / sizeof *paired_fields};

/* POST /api/v1/pair */
int pair_post(struct request *request, struct reply *reply, struct fault *fault)
{
    struct paired paired;
    struct paired_answer answer;

    /* Its present token would be lost with the cookie, and a keeper who opens a guest's invite by mistake shut out. */
    if (request->who.device)
        return fault_add(fault, FAULT_CONFLICT, "", "this device is paired already, as %s; sign it out first", request->who.name);
    if (people_pair(request->service->garden, request->given, &paired, request->arena, fault) ||
        who_set_cookie(request, reply, paired.token, fault))
        return -1;
    answer = (struct paired_answer){paired.who.member_id, paired.who.name, paired.who.device_id, (int)paired.who.role - ROLE_VISITOR};
    return reply_json(reply, 201, shape_write(&paired_shape, &answer), fault);
}
