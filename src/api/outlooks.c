/* outlooks.c - what a tank will do, as a document. */
#include "api/outlooks.h"

#include <math.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))

/* ---- spreads and dates ---- */

#define AT(member) offsetof(struct outlook_dates, member)
static const struct field dates_fields[] = {
    {"p10", FIELD_DATE, FIELD_REQUIRED | FIELD_NULLABLE, AT(p10), .about = "One in ten is earlier; null: beyond the horizon."},
    {"p50", FIELD_DATE, FIELD_REQUIRED | FIELD_NULLABLE, AT(p50), .about = "As likely before as after."},
    {"p90", FIELD_DATE, FIELD_REQUIRED | FIELD_NULLABLE, AT(p90), .about = "One in ten is later."},
};
#undef AT
const struct shape dates_shape = {.name = "Dates", .size = sizeof(struct outlook_dates), .field = dates_fields, .count = 3};

#define AT(member) offsetof(struct outlook_spread, member)
static const struct field spread_fields[] = {
    {"p10", FIELD_NUMBER, FIELD_REQUIRED, AT(p10), .standard = NAN, .about = "One in ten is less."},
    {"p50", FIELD_NUMBER, FIELD_REQUIRED, AT(p50), .standard = NAN, .about = "As likely less as more."},
    {"p90", FIELD_NUMBER, FIELD_REQUIRED, AT(p90), .standard = NAN, .about = "One in ten is more."},
};
#undef AT
const struct shape spread_shape = {.name = "Spread", .size = sizeof(struct outlook_spread), .field = spread_fields, .count = 3};

/* ---- the outlook ---- */

struct surprise_document {
    int64_t at_ms;
    const char *why;
    double by_mm;
};

#define AT(member) offsetof(struct outlook_waterline, member)
static const struct field waterline_fields[] = {
    {"date", FIELD_DATE, FIELD_REQUIRED, AT(day), .about = "At the end of this day."},
    {"p10_mm", FIELD_NUMBER, FIELD_REQUIRED, AT(p10_mm), .standard = NAN, .about = "The lower waterline, mm."},
    {"p50_mm", FIELD_NUMBER, FIELD_REQUIRED, AT(p50_mm), .standard = NAN, .about = "mm."},
    {"p90_mm", FIELD_NUMBER, FIELD_REQUIRED, AT(p90_mm), .standard = NAN, .about = "The higher waterline, mm."},
};
#undef AT
static const struct shape waterline_shape = {.name = "ComingWaterline", .size = sizeof(struct outlook_waterline),
                                             .field = waterline_fields, .count = 4};

#define AT(member) offsetof(struct surprise_document, member)
static const struct field surprise_fields[] = {
    {"at", FIELD_INSTANT, FIELD_REQUIRED, AT(at_ms), .about = "The reading's moment."},
    {"why", FIELD_TEXT, FIELD_REQUIRED, AT(why), .about = "unexplained_rise, unexplained_fall, typing_slip, above_rim or addition_differs."},
    {"by_mm", FIELD_NUMBER, FIELD_REQUIRED, AT(by_mm), .standard = NAN, .about = "How far from what was expected, mm."},
};
#undef AT
static const struct shape surprise_shape = {.name = "Surprise", .size = sizeof(struct surprise_document), .field = surprise_fields, .count = 3};

static const struct field learned_fields[] = {
    {"vigour", FIELD_NUMBER, FIELD_REQUIRED, 0, .standard = NAN, .about = "Thirst against what the crop usually has, 1: the same."},
    {"pace", FIELD_NUMBER, FIELD_REQUIRED, sizeof(double), .standard = NAN, .about = "Speed of growth, the same way."},
};
static const struct shape learned_shape = {.name = "Learned", .size = 2 * sizeof(double), .field = learned_fields, .count = 2};

#define AT(member) offsetof(struct outlook_answer, member)
static const struct field outlook_fields[] = {
    {"low_on", FIELD_OBJECT, FIELD_REQUIRED, AT(low_on), .shape = &dates_shape, .about = "When it runs low."},
    {"use_l_day", FIELD_OBJECT, FIELD_REQUIRED, AT(use_l_day), .shape = &spread_shape, .about = "Water use of the coming week, L a day."},
    {"carries_to_harvest", FIELD_NUMBER, FIELD_REQUIRED | FIELD_NULLABLE, AT(carries_to_harvest), .standard = NAN, .about = "Probability that the fill lasts until harvest; null: nothing planted."},
    {"harvest_on", FIELD_OBJECT, FIELD_REQUIRED | FIELD_NULLABLE, AT(harvest_on), .shape = &dates_shape, .about = "Of what is harvested next.", .given = AT(harvest_given)},
    {"waterline", FIELD_LIST, FIELD_REQUIRED, AT(waterline), .shape = &waterline_shape, .about = "Day by day from today."},
    {"learned", FIELD_OBJECT, FIELD_REQUIRED, AT(learned), .shape = &learned_shape, .about = "What its own waterlines taught."},
    {"surprises", FIELD_LIST, FIELD_REQUIRED, AT(surprises), .shape = &surprise_shape, .about = "Readings that do not fit."},
    {"waterline_now_mm", FIELD_NUMBER, FIELD_REQUIRED, AT(waterline_now_mm), .standard = NAN, .about = "Thought to stand in the tank today, mm."},
};
#undef AT
const struct shape outlook_shape = {.name = "Outlook", .size = sizeof(struct outlook_answer), .field = outlook_fields,
                                    .count = COUNT(outlook_fields), .about = "What a tank will do."};

static double to_hundredths(double mm)
{
    return round(mm * 100) / 100;
}

/* Waterlines to a hundredth of a mm: finer digits say nothing and are half of the answer. */
static struct list waterlines_of(const struct outlook *outlook, struct arena *arena)
{
    struct outlook_waterline *line = arena_take(arena, (outlook->waterline_count + 1) * sizeof *line);

    for (size_t i = 0; line && i < outlook->waterline_count; i++)
        line[i] = (struct outlook_waterline){outlook->waterline[i].day, to_hundredths(outlook->waterline[i].p10_mm),
                                             to_hundredths(outlook->waterline[i].p50_mm), to_hundredths(outlook->waterline[i].p90_mm)};
    return (struct list){line, line ? outlook->waterline_count : 0};
}

struct outlook_answer *outlook_answer_of(const struct outlook *outlook, struct arena *arena)
{
    struct outlook_answer *answer = arena_take(arena, sizeof *answer);
    struct surprise_document *surprises = arena_take(arena, (outlook->surprise_count + 1) * sizeof *surprises);
    struct list waterlines = waterlines_of(outlook, arena);

    if (!answer || !surprises || (!waterlines.item && outlook->waterline_count))
        return NULL;
    for (size_t i = 0; i < outlook->surprise_count; i++)
        surprises[i] = (struct surprise_document){outlook->surprise[i].at_ms, outlook_surprise_key[outlook->surprise[i].why],
                                                  outlook->surprise[i].by_mm};
    *answer = (struct outlook_answer){.low_on = outlook->low_on,
                                      .harvest_on = outlook->harvest_on,
                                      .harvest_given = outlook->harvest_on.p50 != DAYS_NONE,
                                      .use_l_day = outlook->use_l_day,
                                      .carries_to_harvest = outlook->carries_to_harvest,
                                      .waterline_now_mm = outlook->waterline_now_mm,
                                      .waterline = waterlines,
                                      .learned = {outlook->vigour, outlook->pace},
                                      .surprises = {surprises, outlook->surprise_count}};
    return answer;
}

json_t *outlook_document(const struct outlook *outlook, struct arena *arena)
{
    const struct outlook_answer *answer = outlook_answer_of(outlook, arena);

    return answer ? shape_write(&outlook_shape, answer) : NULL;
}
