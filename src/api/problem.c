/* problem.c - the one place that knows what a fault means in HTTP. */
#include "api/problem.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "api/said.h"

#define LONGEST_SAID 512 /* a fault's sentence in another language; what is longer is cut */
#define COUNT(array) (sizeof(array) / sizeof *(array))

static const struct {
    unsigned status;
    const char *type, *title;
} problems[] = {
    [FAULT_NONE] = {500, "/problems/unknown", "Something went wrong here"},
    [FAULT_INPUT] = {422, "/problems/input", "Something in the request cannot be used"},
    [FAULT_ABSENT] = {404, "/problems/absent", "There is no such thing"},
    [FAULT_CONFLICT] = {409, "/problems/conflict", "This does not fit what is there already"},
    [FAULT_DENIED] = {403, "/problems/denied", "This is not yours to do"},
    [FAULT_STORE] = {500, "/problems/store", "The garden file could not be read or written"},
    [FAULT_FULL] = {507, "/problems/full", "The disk is full"},
    [FAULT_MEMORY] = {503, "/problems/memory", "Out of memory; try again"},
};
_Static_assert(COUNT(problems) == FAULT_CODES, "every fault has its problem");

static const struct {
    unsigned status;
    const char *title;
} statuses[] = {
    {400, "This request cannot be understood"}, {401, "This device is not paired with the garden"},
    {403, "This is not yours to do"},           {404, "There is no such address"},
    {405, "This address does not take that"},   {408, "The request took too long"},
    {411, "The length of the body is missing"}, {413, "The body is too large"},
    {414, "The address is too long"},           {415, "The body is not of the type that is taken here"},
    {421, "This host name is not known here"},  {429, "Too many requests; wait a little"},
    {431, "The headers are too large"},         {500, "Something went wrong here"},
};

unsigned problem_status(enum fault_code code)
{
    return problems[code].status;
}

/* Text that stands when there is no memory for a better one. */
static const char last_resort[] =
    "{\"type\":\"/problems/memory\",\"title\":\"Out of memory; try again\",\"status\":503}";

/* Takes over document. */
static void set(struct reply *reply, unsigned status, json_t *document)
{
    reply_end(reply);
    *reply = (struct reply){.status = status, .type = "application/problem+json"};
    reply->bytes = document ? json_dumps(document, JSON_COMPACT | JSON_REAL_PRECISION(12)) : NULL;
    json_decref(document);
    if (!reply->bytes) {
        reply->status = 503;
        reply->bytes = malloc(sizeof last_resort);
        if (reply->bytes)
            memcpy(reply->bytes, last_resort, sizeof last_resort);
    }
    reply->length = reply->bytes ? strlen(reply->bytes) : 0;
}

/* A sentence or a pointer that was cut to fit may end within a character: JSON cannot hold that. */
static json_t *readable(const struct request *request, const char *english)
{
    const char *text = request ? said_to(request, english) : english;
    json_t *string = json_string(text);
    char plain[sizeof(struct fault_item)];
    size_t i = 0;

    if (string)
        return string;
    for (; text[i] && i + 1 < sizeof plain; i++)
        plain[i] = (char)((unsigned char)text[i] < 0x80 ? text[i] : '?');
    plain[i] = '\0';
    return json_string(plain);
}

/* The first fault in one sentence, which also stands where no field is shown beside it: with the field it is about. */
static json_t *first_detail(const struct request *request, const struct fault *fault)
{
    const struct fault_item *item = fault->item;
    char text[sizeof item->at + LONGEST_SAID];

    if (!fault->count || !item->at[0] || !item->at[1])
        return readable(request, fault->count ? item->detail : problems[fault->code].title);
    snprintf(text, sizeof text, "%s: %s", item->at + 1, request ? said_to(request, item->detail) : item->detail);
    return readable(NULL, text);
}

void problem_reply(const struct request *request, struct reply *reply, const struct fault *fault)
{
    json_t *errors = json_array();

    for (size_t i = 0; i < fault->count; i++)
        json_array_append_new(errors, json_pack("{s:o,s:o}", "at", readable(NULL, fault->item[i].at), "detail",
                                                 readable(request, fault->item[i].detail)));
    if (fault->more) {
        char rest[64];

        snprintf(rest, sizeof rest, "and %zu more of the kind", fault->more);
        json_array_append_new(errors, json_pack("{s:s,s:s}", "at", "", "detail", request ? said_to(request, rest) : rest));
    }
    set(reply, problems[fault->code].status,
        json_pack("{s:s,s:s,s:i,s:o,s:o}", "type", problems[fault->code].type, "title",
                  request ? said_to(request, problems[fault->code].title) : problems[fault->code].title, "status",
                  (int)problems[fault->code].status, "detail", first_detail(request, fault), "errors", errors));
}

void problem_reply_status(const struct request *request, struct reply *reply, unsigned status, const char *detail)
{
    const char *title = "Something went wrong here";

    for (size_t i = 0; i < COUNT(statuses); i++)
        if (statuses[i].status == status)
            title = statuses[i].title;
    if (!detail)
        detail = title;
    set(reply, status,
        json_pack("{s:s,s:s,s:i,s:s,s:[]}", "type", "about:blank", "title", request ? said_to(request, title) : title, "status",
                  (int)status, "detail", request ? said_to(request, detail) : detail, "errors"));
}
