/* standing_pack.c - one pass over a short standing that measures, writes or reads. Numbers are eight bytes, lowest first. */
#include "garden/standing_pack.h"

#include <stdlib.h>
#include <string.h>

#define PACK_VERSION 2 /* another one whenever the members below change */
#define ADVICE_MOST 64

/* Who adds a member must hand it on below, and count the version up. */
_Static_assert(sizeof(struct advice) == 8 + 8 + sizeof(struct outlook_dates) + 4 + sizeof(struct advice_with) + 8, "struct advice has new members");
_Static_assert(sizeof(struct advice_with) == 7 * 8 + 4 * sizeof(char *), "struct advice_with has new members");
_Static_assert(sizeof(struct standing_last) == 4 * (8 + 8), "struct standing_last has new members");
_Static_assert(sizeof(struct standing_drawing) == 7 * 8 + 2 * 8, "struct standing_drawing has new members");

struct pass {
    unsigned char *to;         /* writing; NULL: measuring or reading */
    const unsigned char *from; /* reading; NULL: measuring or writing */
    size_t at, length;         /* of what is read */
    char *texts;               /* reading: where the next text goes */
    bool broken;
};

static void pass_bits(struct pass *pass, uint64_t *bits)
{
    if (pass->from) {
        *bits = 0;
        if (pass->length - pass->at < 8) {
            pass->broken = true;
            return;
        }
        for (size_t i = 0; i < 8; i++)
            *bits |= (uint64_t)pass->from[pass->at + i] << 8 * i;
    } else if (pass->to) {
        for (size_t i = 0; i < 8; i++)
            pass->to[pass->at + i] = (unsigned char)(*bits >> 8 * i);
    }
    pass->at += 8;
}

static void pass_real(struct pass *pass, double *value)
{
    uint64_t bits;

    memcpy(&bits, value, sizeof bits);
    pass_bits(pass, &bits);
    memcpy(value, &bits, sizeof bits);
}

static int64_t pass_whole(struct pass *pass, int64_t value)
{
    uint64_t bits = (uint64_t)value;

    pass_bits(pass, &bits);
    return (int64_t)bits;
}

/* Its length (-1: none), then its letters. */
static void pass_text(struct pass *pass, const char **text)
{
    int64_t length = pass_whole(pass, pass->from || !*text ? -1 : (int64_t)strlen(*text));

    if (pass->from)
        *text = NULL;
    if (length < 0 || pass->broken)
        return;
    if (pass->from) {
        if ((uint64_t)length > pass->length - pass->at) {
            pass->broken = true;
            return;
        }
        memcpy(pass->texts, pass->from + pass->at, (size_t)length);
        pass->texts[length] = '\0';
        *text = pass->texts;
        pass->texts += length + 1;
    } else if (pass->to) {
        memcpy(pass->to + pass->at, *text, (size_t)length);
    }
    pass->at += (size_t)length;
}

static void pass_dates(struct pass *pass, struct outlook_dates *dates)
{
    dates->p10 = (int32_t)pass_whole(pass, dates->p10);
    dates->p50 = (int32_t)pass_whole(pass, dates->p50);
    dates->p90 = (int32_t)pass_whole(pass, dates->p90);
}

/* A constant of the code, told by its name: another version may have it elsewhere, or not at all. */
static const char *named(struct pass *pass, const char *name, const char *const *names, size_t count, int *place)
{
    for (size_t i = 0; name && i < count; i++)
        if (strcmp(names[i], name) == 0) {
            *place = (int)i;
            return names[i];
        }
    pass->broken |= name != NULL;
    return NULL;
}

static void pass_advice(struct pass *pass, struct advice *advice)
{
    struct advice_with *with = &advice->with;
    double *const reals[] = {&advice->urgency, &with->litres, &with->to_mm, &with->share, &with->days, &with->value, &with->low, &with->high};
    const char *reason = pass->from ? NULL : advice_reason_names[advice->reason];
    int strength;

    pass_text(pass, &reason);
    if (pass->from && !named(pass, reason, advice_reason_names, ADVICE_REASONS, &advice->reason))
        pass->broken = true;
    for (size_t i = 0; i < sizeof reals / sizeof *reals; i++)
        pass_real(pass, reals[i]);
    pass_dates(pass, &advice->when);
    pass_text(pass, &with->strength);
    if (pass->from)
        with->strength = named(pass, with->strength, topup_strength_key, TOPUP_FULL + 1, &strength);
    pass_text(pass, &with->crop);
    pass_text(pass, &with->entry);
    pass_text(pass, &with->other);
    advice->act = (int)pass_whole(pass, advice->act);
}

static void pass_last(struct pass *pass, struct standing_last *last)
{
    struct observed *const each[] = {&last->waterline, &last->ec, &last->ph, &last->temperature};

    for (size_t i = 0; i < sizeof each / sizeof *each; i++) {
        pass_real(pass, &each[i]->value);
        each[i]->at_ms = pass_whole(pass, each[i]->at_ms);
    }
}

static void pass_head(struct pass *pass, struct standing_short *brief)
{
    struct standing_drawing *drawing = &brief->drawing;
    double *const reals[] = {&drawing->height_mm, &drawing->start_mm, &drawing->low_mm, &drawing->ceiling_mm, &drawing->waterline_mm, &drawing->floor_mm,
                             &drawing->rim_mm, &brief->use_l_day.p10, &brief->use_l_day.p50, &brief->use_l_day.p90, &brief->carries_to_harvest};

    for (size_t i = 0; i < sizeof reals / sizeof *reals; i++)
        pass_real(pass, reals[i]);
    drawing->cups = pass_whole(pass, drawing->cups);
    drawing->planted = pass_whole(pass, drawing->planted);
    pass_last(pass, &brief->last);
    pass_dates(pass, &brief->low_on);
    pass_dates(pass, &brief->harvest_on);
    brief->has_outlook = pass_whole(pass, brief->has_outlook) != 0;
    brief->filled = pass_whole(pass, brief->filled) != 0;
}

static void pass_all(struct pass *pass, struct standing_short *brief)
{
    pass_head(pass, brief);
    for (size_t i = 0; i < brief->advice_count && !pass->broken; i++)
        pass_advice(pass, &brief->advice[i]);
}

void *standing_pack(const struct standing_short *brief, size_t *length)
{
    struct standing_short *given = (struct standing_short *)(uintptr_t)brief; /* only read while it is written from */
    struct pass pass = {.at = 16};

    pass_all(&pass, given);
    *length = pass.at;
    pass = (struct pass){.to = malloc(*length)};
    if (!pass.to)
        return NULL;
    pass_whole(&pass, PACK_VERSION);
    pass_whole(&pass, (int64_t)brief->advice_count);
    pass_all(&pass, given);
    return pass.to;
}

struct standing_short *standing_unpack(const void *bytes, size_t length, size_t *size)
{
    struct pass pass = {.from = bytes, .length = length};
    struct standing_short *brief;
    int64_t version = pass_whole(&pass, 0), count = pass_whole(&pass, 0);

    if (pass.broken || version != PACK_VERSION || count < 0 || count > ADVICE_MOST)
        return NULL;
    *size = sizeof *brief + (size_t)count * (sizeof *brief->advice) + length; /* texts with their ends are shorter than their bytes */
    brief = calloc(1, *size);
    if (!brief)
        return NULL;
    brief->advice_count = (size_t)count;
    pass.texts = (char *)(brief->advice + count);
    pass_all(&pass, brief);
    if (pass.broken || pass.at != length) {
        free(brief);
        return NULL;
    }
    return brief;
}
