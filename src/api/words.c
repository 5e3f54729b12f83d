/* words.c - texts by key and language. */
#include "api/words.h"

#include <errno.h>
#include <jansson.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "api/said.h"

#define LANGUAGES 2

static const char *const languages[LANGUAGES] = {"en", "de"};

struct words {
    json_t *texts[LANGUAGES];
    struct said *said;
};

struct words *words_load(const char *www, struct fault *fault)
{
    struct words *words = calloc(1, sizeof *words);

    for (int i = 0; words && i < LANGUAGES; i++) {
        char path[4096];
        json_error_t why = {.text = "not an object"};
        FILE *file;

        snprintf(path, sizeof path, "%s/words/%s.json", www, languages[i]);
        /* Opened here, because Jansson's own report of a missing file ends before its reason when the path is long. */
        file = fopen(path, "r");
        if (!file)
            snprintf(why.text, sizeof why.text, "%s", strerror(errno));
        else {
            words->texts[i] = json_loadf(file, JSON_REJECT_DUPLICATES, &why);
            fclose(file);
        }
        if (!json_is_object(words->texts[i])) {
            fault_add(fault, FAULT_STORE, "", "%.120s: %s", why.text, path);
            words_free(words);
            return NULL;
        }
    }
    if (words && !(words->said = said_load(www, fault))) {
        words_free(words);
        return NULL;
    }
    return words;
}

const struct said *words_said(const struct words *words)
{
    return words ? words->said : NULL;
}

void words_free(struct words *words)
{
    if (!words)
        return;
    for (int i = 0; i < LANGUAGES; i++)
        json_decref(words->texts[i]);
    said_free(words->said);
    free(words);
}

static const char *text_of(const struct words *words, int language, const char *key)
{
    const char *text = NULL;

    if (words && language >= 0 && language < LANGUAGES)
        text = json_string_value(json_object_get(words->texts[language], key));
    if (!text && words)
        text = json_string_value(json_object_get(words->texts[0], key));
    return text;
}

static const char *value_of(const struct word_value *values, const char *name, size_t length)
{
    for (; values && values->name; values++)
        if (strlen(values->name) == length && strncmp(values->name, name, length) == 0)
            return values->value;
    return NULL;
}

bool words_can_say(const struct words *words, int language, const char *key, const struct word_value *values)
{
    const char *text = text_of(words, language, key);

    if (!text)
        return false;
    while ((text = strchr(text, '{'))) {
        size_t length = strcspn(++text, "}");

        if (!value_of(values, text, length))
            return false;
        text += length;
    }
    return true;
}

const char *words_say(const struct words *words, int language, const char *key, const struct word_value *values, struct arena *arena)
{
    const char *text = text_of(words, language, key), *from;
    size_t size = 1;
    char *said, *to;

    if (!text)
        return key;
    for (from = text; *from; from++)
        size++;
    for (const struct word_value *value = values; value && value->name; value++)
        size += 4 * strlen(value->value); /* a text names a place four times at most */
    said = to = arena_take(arena, size);
    if (!said)
        return key;
    for (from = text; *from;) {
        size_t length = *from == '{' ? strcspn(from + 1, "}") : 0;
        const char *value = length ? value_of(values, from + 1, length) : NULL;

        if (value && (size_t)(to - said) + strlen(value) + strlen(from) < size) {
            to = stpcpy(to, value);
            from += length + 2;
        } else {
            *to++ = *from++;
        }
    }
    *to = '\0';
    return said;
}
