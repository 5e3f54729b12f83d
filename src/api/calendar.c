/* calendar.c - the calendar of days to come, and its feeds. */
#include "api/calendar.h"

#include <stdio.h>
#include <string.h>

#include "api/link.h"
#include "api/lists.h"
#include "api/words.h"
#include "calc/days.h"
#include "format/ical.h"
#include "garden/calendar.h"
#include "garden/feeds.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

/* ---- the calendar ---- */

static const char *say(struct request *request, const struct calendar *calendar, const char *key, const struct word_value *values)
{
    return words_say(request->service->words, calendar->garden.language, key, values, request->arena);
}

/* As of when, where that is not now. */
static const char *as_of(struct request *request, const struct calendar *calendar, const struct calendar_item *item)
{
    char day[16];

    return say(request, calendar, "calendar.as_of", (struct word_value[]){{"day", shape_date(day, item->as_of)}, {NULL, NULL}});
}

/* How sure it is: a day in a calendar looks surer than it is. */
static const char *describe(struct request *request, const struct calendar *calendar, const struct calendar_item *item)
{
    char likely[16], early[16] = "", late[16] = "";
    bool early_known = item->when.p10 != DAYS_NONE, late_known = item->when.p90 != DAYS_NONE;
    const char *sure, *behind;

    if (early_known)
        shape_date(early, item->when.p10);
    if (late_known)
        shape_date(late, item->when.p90);
    sure = say(request, calendar, early_known && late_known ? "calendar.between" : early_known ? "calendar.from" : "calendar.likely",
               (struct word_value[]){{"likely", shape_date(likely, item->when.p50)}, {"early", early}, {"late", late}, {NULL, NULL}});
    behind = item->behind ? as_of(request, calendar, item) : NULL;
    return behind && sure ? arena_format(request->arena, "%s %s", sure, behind) : item->behind ? NULL : sure;
}

/* Alarms, in seconds from the day's beginning: water is carried the evening before, a harvest and a round are for the morning. Ours. */
#define EVENING_BEFORE (-6 * 3600)
#define MORNING (7 * 3600)

/* Today's, where nobody plans rounds. */
static int fill_round(struct request *request, const struct calendar *calendar, const struct calendar_item *item, struct ical_event *event,
                      struct fault *fault)
{
    char day[16], tanks[24];

    snprintf(tanks, sizeof tanks, "%lld", (long long)item->tanks);
    *event = (struct ical_event){.uid = arena_format(request->arena, "round-%s@%s", shape_date(day, item->first), calendar->garden.id),
                                 .first = item->first,
                                 .last = item->last,
                                 .summary = say(request, calendar, "calendar.round", (struct word_value[]){{"n", tanks}, {NULL, NULL}}),
                                 .description = item->behind ? as_of(request, calendar, item) : NULL,
                                 .url = api_link(request, "/round.html", fault),
                                 .alarm_s = MORNING};
    return event->uid && event->summary && event->url && (event->description || !item->behind) ? 0 : fault_add(fault, FAULT_MEMORY, "", "out of memory");
}

/* A planned round is named by its place and its round day, so that it is the same event when it is put off. */
static int fill_planned_round(struct request *request, const struct calendar *calendar, const struct calendar_item *item,
                              struct ical_event *event, struct fault *fault)
{
    struct arena *arena = request->arena;
    char day[16];
    const char *planned = shape_date(day, item->planned);
    const char *path = item->tank ? arena_format(arena, "/round.html?area=%s", item->tank) : "/round.html";
    const struct word_value values[] = {{"area", item->name ? item->name : ""}, {"day", planned}, {NULL, NULL}};

    *event = (struct ical_event){.uid = arena_format(arena, "round-%s%s%s@%s", planned, item->tank ? "-" : "", item->tank ? item->tank : "", calendar->garden.id),
                                 .first = item->first,
                                 .last = item->last,
                                 .summary = say(request, calendar, item->tank ? "calendar.round.area" : "calendar.round.whole", values),
                                 .description = item->planned == item->first ? NULL : say(request, calendar, "calendar.round.moved", values),
                                 .url = path ? api_link(request, path, fault) : NULL,
                                 .alarm_s = MORNING};
    return event->uid && event->summary && event->url ? 0 : fault_add(fault, FAULT_MEMORY, "", "out of memory");
}

static int fill_duty(struct request *request, const struct calendar *calendar, const struct calendar_item *item, struct ical_event *event,
                     struct fault *fault)
{
    *event = (struct ical_event){.uid = arena_format(request->arena, "%s-duty@%s", item->tank, calendar->garden.id),
                                 .first = item->first,
                                 .last = item->last,
                                 .summary = say(request, calendar, "calendar.duty", (struct word_value[]){{"name", item->who}, {"what", item->name}, {NULL, NULL}}),
                                 .url = api_link(request, "/", fault),
                                 .alarm_s = MORNING};
    return event->uid && event->summary && event->url ? 0 : fault_add(fault, FAULT_MEMORY, "", "out of memory");
}

/* What a succession asks for; what is late stands on today. */
static int fill_season(struct request *request, const struct calendar *calendar, const struct calendar_item *item,
                       struct ical_event *event, struct fault *fault)
{
    bool sow = item->what == CALENDAR_SOW;
    const char *path = arena_format(request->arena, "/season.html?id=%s", item->tank), *plants = arena_format(request->arena, "%lld", (long long)item->tanks);

    *event = (struct ical_event){.uid = arena_format(request->arena, "%s-%s-%zu@%s", item->tank, sow ? "sow" : "plant", item->step, calendar->garden.id),
                                 .first = item->first,
                                 .last = item->last,
                                 .summary = say(request, calendar, sow ? "calendar.sow" : "calendar.plant",
                                                (struct word_value[]){{"name", item->name}, {"plants", plants ? plants : ""}, {NULL, NULL}}),
                                 .description = describe(request, calendar, item),
                                 .url = path ? api_link(request, path, fault) : NULL,
                                 .alarm_s = MORNING};
    return event->uid && event->summary && event->description && event->url ? 0 : fault_add(fault, FAULT_MEMORY, "", "out of memory");
}

static int fill_event(struct request *request, const struct calendar *calendar, const struct calendar_item *item,
                      struct ical_event *event, struct fault *fault)
{
    bool low = item->what == CALENDAR_LOW;
    const char *path;

    if (item->what == CALENDAR_ROUND && item->planned != DAYS_NONE)
        return fill_planned_round(request, calendar, item, event, fault);
    if (item->what == CALENDAR_ROUND)
        return fill_round(request, calendar, item, event, fault);
    if (item->what == CALENDAR_SOW || item->what == CALENDAR_PLANT)
        return fill_season(request, calendar, item, event, fault);
    if (item->what == CALENDAR_DUTY)
        return fill_duty(request, calendar, item, event, fault);
    path = arena_format(request->arena, "/t/%s", item->code);
    *event = (struct ical_event){.uid = arena_format(request->arena, "%s-%s@%s", item->tank, low ? "low" : "harvest", calendar->garden.id),
                                 .first = item->first,
                                 .last = item->last,
                                 .summary = say(request, calendar, low ? "calendar.low" : "calendar.harvest", (struct word_value[]){{"name", item->name}, {NULL, NULL}}),
                                 .description = describe(request, calendar, item),
                                 .url = path ? api_link(request, path, fault) : NULL,
                                 .alarm_s = low ? EVENING_BEFORE : MORNING};
    return event->uid && event->summary && event->description && event->url ? 0 : fault_add(fault, FAULT_MEMORY, "", "out of memory");
}

/* The stamp is the day's beginning: asked twice a day, an unchanged calendar is unchanged. */
static int answer_calendar(struct request *request, struct reply *reply, struct fault *fault)
{
    struct calendar calendar;
    const struct calendar_item *item;
    struct ical_event *events;

    if (garden_calendar(request->service->garden, request->now_ms, &calendar, request->arena, fault))
        return -1;
    events = arena_take(request->arena, (calendar.items.count + 1) * sizeof *events);
    if (!events)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    item = calendar.items.item;
    for (size_t i = 0; i < calendar.items.count; i++)
        if (fill_event(request, &calendar, &item[i], &events[i], fault))
            return -1;
    reply->bytes = ical_write(calendar.garden.name, events, calendar.items.count, calendar.today * DAYS_MS, fault);
    if (!reply->bytes)
        return -1;
    reply->length = strlen(reply->bytes);
    reply->type = "text/calendar; charset=utf-8";
    return 0;
}

/* GET /api/v1/calendar.ics */
int calendar_get(struct request *request, struct reply *reply, struct fault *fault)
{
    return answer_calendar(request, reply, fault);
}

/* GET /api/v1/calendar/{key}: for programs that show no cookie. Some want the name to end as a calendar's does. */
int calendar_feed_get(struct request *request, struct reply *reply, struct fault *fault)
{
    const char *part = request->part[0], *end = strstr(part, ".ics");
    const char *key = arena_format(request->arena, "%.*s", end ? (int)(end - part) : (int)strlen(part), part);
    int may = key ? garden_feed_may(request->service->garden, key, request->now_ms, request->arena, fault)
                  : fault_add(fault, FAULT_MEMORY, "", "out of memory");

    if (may != 1)
        return may ? -1 : fault_add(fault, FAULT_ABSENT, "", "there is no such feed");
    return answer_calendar(request, reply, fault);
}

/* ---- its feeds ---- */

struct feed_sent {
    const char *name;
};
static const struct field sent_fields[] = {
    {"name", FIELD_TEXT, FIELD_REQUIRED, offsetof(struct feed_sent, name), 1, PEOPLE_NAME_MOST, .about = "Which calendar it is for."}};
const struct shape feed_sent_shape = {.name = "FeedAsked", .size = sizeof(struct feed_sent), .field = sent_fields, .count = 1};

struct feed_made {
    const char *id, *name, *link;
};
#define AT(member) offsetof(struct feed_made, member)
static const struct field made_fields[] = {
    {"id", FIELD_TEXT, FIELD_REQUIRED, AT(id), .about = "The feed's id."},
    {"name", FIELD_TEXT, FIELD_REQUIRED, AT(name), .about = "Which calendar it is for."},
    {"link", FIELD_TEXT, FIELD_REQUIRED, AT(link), .about = "Whoever has it can read the calendar; shown this once."},
};
#undef AT
const struct shape feed_made_shape = {.name = "FeedMade", .size = sizeof(struct feed_made), .field = made_fields, .count = COUNT(made_fields)};

#define AT(member) offsetof(struct feed_row, member)
static const struct field feed_fields[] = {
    {"id", FIELD_TEXT, FIELD_REQUIRED, AT(id), .about = "The feed's id."},
    {"name", FIELD_TEXT, FIELD_REQUIRED, AT(name), .about = "Which calendar it is for."},
    {"member", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE, AT(member), .about = "Whose it is; null: made on the garden's own machine."},
    {"made_at", FIELD_INSTANT, FIELD_REQUIRED, AT(made_ms), .about = "When it was made."},
    {"last_used_at", FIELD_INSTANT, FIELD_REQUIRED | FIELD_NULLABLE, AT(last_used_ms), .about = "To about a day."},
    {"revoked_at", FIELD_INSTANT, FIELD_REQUIRED | FIELD_NULLABLE, AT(revoked_ms), .about = "null: it can be read."},
};
#undef AT
static const struct shape feed_shape = {.name = "Feed", .size = sizeof(struct feed_row), .field = feed_fields, .count = COUNT(feed_fields),
                                        .about = "An address for a calendar program."};

static const struct field answer_fields[] = LIST_ANSWER_FIELDS(feed_shape, "By age.");
const struct shape feeds_answer_shape = {.name = "Feeds", .size = sizeof(struct list_answer), .field = answer_fields, .count = 2};

/* GET /api/v1/feeds */
int feeds_get(struct request *request, struct reply *reply, struct fault *fault)
{
    struct list all;
    struct list_answer answer;

    if (garden_feeds(request->service->garden, &request->who, &all, request->arena, fault) ||
        list_page(&all, sizeof(struct feed_row), offsetof(struct feed_row, id), request->asked, &answer, fault))
        return -1;
    return reply_json(reply, 200, shape_write(&feeds_answer_shape, &answer), fault);
}

/* POST /api/v1/feeds */
int feeds_post(struct request *request, struct reply *reply, struct fault *fault)
{
    const struct feed_sent *sent = request->given;
    struct feed_row feed;
    struct feed_made made;
    char key[TOKEN_TEXT];
    const char *path;

    if (garden_feed_add(request->service->garden, &request->who, sent->name, request->now_ms, &feed, key, request->arena, fault))
        return -1;
    path = arena_format(request->arena, "/api/v1/calendar/%s.ics", key);
    made = (struct feed_made){feed.id, feed.name, path ? api_link(request, path, fault) : NULL};
    if (!made.link)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    return reply_json(reply, 201, shape_write(&feed_made_shape, &made), fault);
}

/* DELETE /api/v1/feeds/{feed} */
int feed_delete(struct request *request, struct reply *reply, struct fault *fault)
{
    if (garden_feed_revoke(request->service->garden, &request->who, request->part[0], request->now_ms, request->arena, fault))
        return -1;
    reply->status = 204;
    return 0;
}
