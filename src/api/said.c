/* said.c - sentences of the daemon by their patterns. */
#include "api/said.h"

#include <ctype.h>
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "api/words.h"

#define PLACES 9      /* {1} to {9} */
#define DEPTH_MOST 4  /* a value may be a sentence of ours itself */
#define LENGTH_MOST 1000

struct pattern {
    const char *english, *other;
    size_t letters; /* outside its places: of two patterns that fit, the one with more of them was meant */
};

struct said {
    json_t *german; /* owns the texts */
    struct pattern *pattern;
    size_t count;
};

struct span {
    const char *from;
    size_t length;
};

static bool is_place(const char *at)
{
    return at[0] == '{' && at[1] >= '1' && at[1] <= '0' + PLACES && at[2] == '}';
}

static int by_letters(const void *a, const void *b)
{
    const struct pattern *one = a, *other = b;

    if (is_place(one->english) != is_place(other->english)) /* a place at the start takes in anything */
        return is_place(one->english) ? 1 : -1;
    return one->letters < other->letters ? 1 : one->letters > other->letters ? -1 : strcmp(one->english, other->english);
}

struct said *said_load(const char *www, struct fault *fault)
{
    struct said *said = calloc(1, sizeof *said);
    json_error_t why = {.text = "not an object"};
    char path[4096];
    const char *key;
    json_t *text;

    snprintf(path, sizeof path, "%s/words/de-said.json", www);
    if (said)
        said->german = json_load_file(path, JSON_REJECT_DUPLICATES, &why);
    if (said && json_is_object(said->german))
        said->pattern = calloc(json_object_size(said->german), sizeof *said->pattern);
    if (!said || !said->pattern) {
        fault_add(fault, FAULT_STORE, "", "%.120s: %s", why.text, path);
        said_free(said);
        return NULL;
    }
    json_object_foreach (said->german, key, text) {
        struct pattern *pattern = &said->pattern[said->count++];

        *pattern = (struct pattern){key, json_string_value(text) ? json_string_value(text) : key, 0};
        for (const char *at = key; *at; at += is_place(at) ? 3 : 1)
            pattern->letters += !is_place(at);
    }
    qsort(said->pattern, said->count, sizeof *said->pattern, by_letters);
    return said;
}

void said_free(struct said *said)
{
    if (!said)
        return;
    free(said->pattern);
    json_decref(said->german);
    free(said);
}

/* Whether text is made by pattern; what stands in its places. A place holds one letter at least, as few as will do. */
static bool fits(const char *pattern, const char *text, struct span *value)
{
    for (; *pattern && !is_place(pattern); pattern++, text++)
        if (*pattern != *text)
            return false;
    if (!*pattern)
        return !*text;
    for (size_t length = 1; text[length - 1]; length++)
        if (fits(pattern + 3, text + length, value)) {
            value[pattern[1] - '1'] = (struct span){text, length};
            return true;
        }
    return false;
}

static bool is_number(const char *text)
{
    text += *text == '-';
    if (!isdigit((unsigned char)*text))
        return false;
    text += strspn(text, "0123456789");
    if (*text == '.' && isdigit((unsigned char)text[1]))
        text += 1 + strspn(text + 1, "0123456789");
    return !*text;
}

static const char *say(const struct said *said, const char *english, struct arena *arena, int depth);

static const char *say_value(const struct said *said, const struct span *value, struct arena *arena, int depth)
{
    char *text = arena_format(arena, "%.*s", (int)value->length, value->from);

    if (!text)
        return "";
    if (is_number(text)) {
        char *point = strchr(text, '.');

        if (point)
            *point = ',';
        return text;
    }
    return say(said, text, arena, depth + 1);
}

static const char *filled(const struct said *said, const struct pattern *pattern, const struct span *value, struct arena *arena, int depth)
{
    char *text = arena_text(arena, "");

    for (const char *at = pattern->other; text && *at;) {
        size_t plain = 0;

        while (at[plain] && !is_place(at + plain))
            plain++;
        text = arena_format(arena, "%s%.*s%s", text, (int)plain, at, at[plain] ? say_value(said, &value[at[plain + 1] - '1'], arena, depth) : "");
        at += at[plain] ? plain + 3 : plain;
    }
    return text;
}

/* english itself where nothing fits. */
static const char *say(const struct said *said, const char *english, struct arena *arena, int depth)
{
    for (size_t i = 0; depth <= DEPTH_MOST && i < said->count; i++) {
        struct span value[PLACES] = {{"", 0}};

        if (fits(said->pattern[i].english, english, value)) {
            const char *text = filled(said, &said->pattern[i], value, arena, depth);

            return text ? text : english;
        }
    }
    return english;
}

const char *said_in(const struct said *said, int language, const char *english, struct arena *arena)
{
    const char *text, *end, *first, *rest;

    if (!said || language == 0 || !english || strlen(english) > LENGTH_MOST)
        return english;
    /* Two sentences that were joined are said one by one; a pattern of several sentences has none for its first alone. */
    end = strstr(english, ". ");
    first = end ? arena_format(arena, "%.*s", (int)(end + 1 - english), english) : NULL;
    text = first ? say(said, first, arena, 0) : NULL;
    rest = text != first ? said_in(said, language, end + 2, arena) : NULL;
    if (rest && rest != end + 2)
        return arena_format(arena, "%s %s", text, rest);
    return say(said, english, arena, 0);
}

int said_language(const char *accept_language)
{
    static const char *const known[] = {"en", "de"};

    for (const char *at = accept_language; at && *at; at += strcspn(at, ","), at += *at == ',') {
        at += strspn(at, " ");
        for (int i = 0; i < 2; i++)
            if (strncasecmp(at, known[i], 2) == 0 && !isalnum((unsigned char)at[2]))
                return i;
    }
    return 0;
}

const char *said_to(const struct request *request, const char *english)
{
    return said_in(words_said(request->service->words), said_language(request->accept_language), english, request->arena);
}

/* One member or item; `one` is NULL where there is nothing. Returns what should stand there instead, or NULL. */
static json_t *say_member(const struct request *request, const struct field *field, json_t *one, bool *found)
{
    size_t i;
    json_t *item;

    if (field->kind == FIELD_TEXT && (field->flags & FIELD_SAID)) {
        *found = true;
        return json_is_string(one) ? json_string(said_to(request, json_string_value(one))) : NULL;
    }
    if (field->kind == FIELD_OBJECT)
        *found |= said_document(request, field->shape, one);
    if (field->kind != FIELD_LIST)
        return NULL;
    *found |= said_document(request, field->shape, NULL); /* an empty list, too, answers by language */
    json_array_foreach (one, i, item) {
        if (field->shape->count == 1 && !field->shape->field[0].name) {
            json_t *told = say_member(request, &field->shape->field[0], item, found);

            if (told)
                json_array_set_new(one, i, told);
        } else {
            said_document(request, field->shape, item);
        }
    }
    return NULL;
}

bool said_document(const struct request *request, const struct shape *shape, json_t *document)
{
    bool found = false;

    for (size_t i = 0; shape && !shape->variants && !shape->tuple && i < shape->count; i++) {
        const struct field *field = &shape->field[i];
        json_t *told = say_member(request, field, field->name ? json_object_get(document, field->name) : NULL, &found);

        if (told)
            json_object_set_new(document, field->name, told);
    }
    return found;
}
