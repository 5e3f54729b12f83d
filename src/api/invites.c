/* invites.c - invites over HTTP. The token is in the link's fragment, which no browser sends: it stays out of every log. */
#include "api/invites.h"

#include <stdlib.h>

#include "api/entries.h"
#include "api/link.h"
#include "api/lists.h"
#include "api/members.h"
#include "format/qr.h"
#include "garden/clock.h"

/* ---- documents ---- */

struct invite_sent {
    const char *member, *name;
    int role;
};

#define AT(member) offsetof(struct invite_sent, member)
static const struct field sent_fields[] = {
    {"member", FIELD_TEXT, FIELD_NULLABLE, AT(member), 1, 64, .about = "For a further device of this member; left out for a new member."},
    {"name", FIELD_TEXT, FIELD_NULLABLE, AT(name), 1, PEOPLE_NAME_MOST, .about = "Of the new member; left out, they say it themselves."},
    {"role", FIELD_CHOICE, FIELD_NULLABLE, AT(role), .words = role_words, .standard = -1, .about = "Of the new member; a further device has its member's."},
};
#undef AT
const struct shape invite_sent_shape = {.name = "InviteAsked", .size = sizeof(struct invite_sent), .field = sent_fields,
                                        .count = sizeof sent_fields / sizeof *sent_fields};

struct invite_answer {
    const char *id, *link, *qr_svg;
    int64_t expires_at;
};

#define AT(member) offsetof(struct invite_answer, member)
static const struct field made_fields[] = {
    {"id", FIELD_TEXT, FIELD_REQUIRED, AT(id), .about = "The invite's id."},
    {"link", FIELD_TEXT, FIELD_REQUIRED, AT(link), .about = "Whoever opens it first is in; shown this once."},
    {"qr_svg", FIELD_TEXT, FIELD_REQUIRED, AT(qr_svg), .about = "The link as a QR code, an SVG element."},
    {"expires_at", FIELD_INSTANT, FIELD_REQUIRED, AT(expires_at), .about = "Until when it can be used."},
};
#undef AT
const struct shape invite_made_shape = {.name = "InviteMade", .size = sizeof(struct invite_answer), .field = made_fields,
                                        .count = sizeof made_fields / sizeof *made_fields};

static const char *const states[] = {"open", "used", "expired", "revoked", NULL};

struct invite_document {
    const char *id, *member, *name;
    int role, state;
    int64_t made_at, expires_at, used_at;
};

#define AT(member) offsetof(struct invite_document, member)
static const struct field invite_fields[] = {
    {"id", FIELD_TEXT, FIELD_REQUIRED, AT(id), .about = "The invite's id."},
    {"member", FIELD_TEXT, FIELD_NULLABLE, AT(member), .about = "Whose further device it is for; null: a new member."},
    {"name", FIELD_TEXT, FIELD_NULLABLE, AT(name), .about = "Of the new member."},
    {"role", FIELD_CHOICE, FIELD_REQUIRED, AT(role), .words = role_words, .standard = -1, .about = "What it lets them do."},
    {"state", FIELD_CHOICE, FIELD_REQUIRED, AT(state), .words = states, .standard = -1, .about = "Whether it can still be used."},
    {"made_at", FIELD_INSTANT, FIELD_REQUIRED, AT(made_at), .about = "When it was made."},
    {"expires_at", FIELD_INSTANT, FIELD_REQUIRED, AT(expires_at), .about = "Until when it can be used."},
    {"used_at", FIELD_INSTANT, FIELD_NULLABLE, AT(used_at), .about = "When it was used."},
};
#undef AT
static const struct shape invite_shape = {.name = "Invite", .size = sizeof(struct invite_document), .field = invite_fields,
                                          .count = sizeof invite_fields / sizeof *invite_fields, .about = "An invite, without its link."};

static const struct field answer_fields[] = LIST_ANSWER_FIELDS(invite_shape, "By age.");
const struct shape invites_answer_shape = {.name = "Invites", .size = sizeof(struct list_answer), .field = answer_fields, .count = 2};

/* ---- handlers ---- */

/* The QR code of the link, in the arena. */
static const char *draw(struct request *request, const char *link, struct fault *fault)
{
    struct qr *qr = arena_take(request->arena, sizeof *qr);
    char *svg, *kept;

    if (!qr) {
        fault_add(fault, FAULT_MEMORY, "", "out of memory");
        return NULL;
    }
    if (qr_make(link, qr, fault))
        return NULL;
    svg = qr_svg(qr, "Invite");
    kept = arena_text(request->arena, svg);
    free(svg);
    if (!kept)
        fault_add(fault, FAULT_MEMORY, "", "out of memory");
    return kept;
}

/* POST /api/v1/invites */
int invites_post(struct request *request, struct reply *reply, struct fault *fault)
{
    const struct invite_sent *given = request->given;
    const struct invite_asked asked = {given->member, given->name, given->role < 0 ? 0 : given->role + ROLE_VISITOR};
    struct invite_made made;
    struct invite_answer answer;
    const char *path;

    if (people_invite(request->service->garden, &request->who, &asked, &made, request->arena, fault))
        return -1;
    path = arena_format(request->arena, "/pair.html#%s", made.token);
    answer = (struct invite_answer){.id = made.id, .expires_at = made.expires_ms, .link = path ? api_link(request, path, fault) : NULL};
    if (!answer.link)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    answer.qr_svg = draw(request, answer.link, fault);
    return answer.qr_svg ? reply_json(reply, 201, shape_write(&invite_made_shape, &answer), fault) : -1;
}

static int state_of(const struct invite_row *row)
{
    if (row->used_ms != STORE_NO_INT)
        return 1;
    if (row->revoked_ms != STORE_NO_INT)
        return 3;
    return row->expires_ms <= clock_now_ms() ? 2 : 0;
}

static int read_invites(struct request *request, struct db *db, int64_t after_key, int64_t limit, struct list *rows, struct fault *fault)
{
    return invites_list(db, after_key, limit, rows, request->arena, fault);
}

/* GET /api/v1/invites */
int invites_get(struct request *request, struct reply *reply, struct fault *fault)
{
    struct list rows;
    const struct invite_row *row;
    struct invite_document *documents;
    struct list_answer answer;

    if (list_rows(request, read_invites, sizeof *row, offsetof(struct invite_row, key), &rows, &answer.next, fault))
        return -1;
    row = rows.item;
    documents = arena_take(request->arena, (rows.count + 1) * sizeof *documents);
    if (!documents)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    for (size_t i = 0; i < rows.count; i++)
        documents[i] = (struct invite_document){.id = row[i].id,
                                                .member = row[i].member,
                                                .name = row[i].name,
                                                .role = row[i].role - ROLE_VISITOR,
                                                .state = state_of(&row[i]),
                                                .made_at = row[i].made_ms,
                                                .expires_at = row[i].expires_ms,
                                                .used_at = row[i].used_ms};
    answer.items = (struct list){documents, rows.count};
    return reply_json(reply, 200, shape_write(&invites_answer_shape, &answer), fault);
}

/* DELETE /api/v1/invites/{invite} */
int invite_delete(struct request *request, struct reply *reply, struct fault *fault)
{
    if (people_revoke_invite(request->service->garden, request->part[0], fault))
        return -1;
    reply->status = 204;
    return 0;
}
