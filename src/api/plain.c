/* plain.c - Today, a tank and its forms without script. The same log, the same words, the garden's own units. */
#include "api/plain.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "api/said.h"
#include "api/words.h"
#include "calc/units.h"
#include "format/html.h"
#include "garden/clock.h"
#include "garden/log.h"
#include "garden/putoffs.h"
#include "garden/standing.h"

struct page {
    struct request *request;
    struct fault *fault;
    struct html html;
    const struct garden_row *garden;
    int32_t today;
    struct list putoffs; /* struct putoff_row: in force today */
};

/* ---- words and numbers ---- */

static const char *say(struct page *page, const char *key, const struct word_value *values)
{
    const char *text = words_say(page->request->service->words, page->garden->language, key, values, page->request->arena);

    return text == key ? arena_text(page->request->arena, key) : text; /* a word that is missing stands for itself, after key is gone */
}

static const char *word(struct page *page, const char *key)
{
    return say(page, key, NULL);
}

static const enum unit length_units[] = {UNIT_MM, UNIT_CM, UNIT_IN};
static const enum unit volume_units[] = {UNIT_L, UNIT_US_GAL, UNIT_IMP_GAL};
static const enum unit temperature_units[] = {UNIT_C, UNIT_F};
static const enum unit mass_units[] = {UNIT_G, UNIT_OZ};

static enum unit unit_of(const struct page *page, enum units_quantity quantity)
{
    switch (quantity) {
    case UNITS_LENGTH: return length_units[page->garden->length_unit];
    case UNITS_VOLUME: return volume_units[page->garden->volume_unit];
    case UNITS_TEMPERATURE: return temperature_units[page->garden->temperature_unit];
    default: return mass_units[page->garden->mass_unit];
    }
}

static const char *unit_word(struct page *page, enum units_quantity quantity)
{
    char key[32];

    snprintf(key, sizeof key, "unit.%s", unit_key[unit_of(page, quantity)]);
    return word(page, key);
}

/* German writes a decimal comma. */
static const char *number(struct page *page, double value, int decimals)
{
    char *text = arena_format(page->request->arena, "%.*f", decimals, value);

    if (!text)
        return "?";
    if (page->garden->language == 1 && strchr(text, '.'))
        *strchr(text, '.') = ',';
    return text;
}

static const char *shown(struct page *page, enum units_quantity quantity, double value)
{
    enum unit unit = unit_of(page, quantity);
    int decimals = unit == UNIT_MM ? 0 : unit == UNIT_IN ? 2 : 1;
    const char *text = arena_format(page->request->arena, "%s %s", number(page, units_from_base(unit, value), decimals),
                                    unit_word(page, quantity));

    return text ? text : "?";
}

static const char *day_text(struct page *page, int32_t day)
{
    char date[16];
    const char *text;

    if (day == page->today)
        return word(page, "day.today");
    if (day == page->today + 1)
        return word(page, "day.tomorrow");
    text = arena_text(page->request->arena, shape_date(date, day));
    return text ? text : "?";
}

/* ---- what a tank asks for ---- */

/* In which quantity a reason's value, low and high are. */
static int quantity_of(int reason)
{
    switch (reason) {
    case ADVICE_BELOW_LOW:
    case ADVICE_OVERDUE_READING:
    case ADVICE_ABOVE_CEILING:
    case ADVICE_UNEXPLAINED_RISE:
        return UNITS_LENGTH;
    case ADVICE_WARM:
        return UNITS_TEMPERATURE;
    default:
        return -1; /* EC and pH are numbers as they stand */
    }
}

static const char *value_text(struct page *page, int reason, double value)
{
    int quantity = quantity_of(reason);

    return quantity < 0 ? number(page, value, 1) : shown(page, (enum units_quantity)quantity, value);
}

static const char *when_text(struct page *page, const struct outlook_dates *when)
{
    struct word_value values[] = {{"from", NULL}, {"to", NULL}, {NULL, NULL}};

    if (when->p10 == DAYS_NONE)
        return NULL;
    values[0].value = day_text(page, when->p10);
    if (when->p90 == DAYS_NONE)
        return say(page, "when.from", values);
    values[1].value = day_text(page, when->p90);
    if (when->p10 == when->p90)
        return say(page, "when.on", (struct word_value[]){{"day", values[0].value}, {NULL, NULL}});
    return say(page, "when.between", values);
}

static void give(struct word_value *values, size_t *count, const char *name, const char *value)
{
    if (value)
        values[(*count)++] = (struct word_value){name, value};
}

static const char *strength_text(struct page *page, const struct advice_with *with)
{
    char key[32];

    if (!with->strength || strcmp(with->strength, "nothing") == 0)
        return NULL;
    snprintf(key, sizeof key, "strength.%s", with->strength);
    return say(page, key, (struct word_value[]){{"share", number(page, isnan(with->share) ? 100 : with->share * 100, 0)}, {NULL, NULL}});
}

/* The longest sentence for whose places there are values. */
static const char *advice_sentence(struct page *page, const struct advice *advice)
{
    static const char *const longer[] = {".when.add", ".when", ".add", ".with", ""};
    const struct advice_with *with = &advice->with;
    const char *strength = strength_text(page, with);
    struct word_value values[12] = {{NULL, NULL}};
    size_t count = 0;
    char key[64];

    give(values, &count, "strength", strength);
    give(values, &count, "litres", strength && !isnan(with->litres) ? shown(page, UNITS_VOLUME, with->litres) : NULL);
    give(values, &count, "to_mm", isnan(with->to_mm) ? NULL : shown(page, UNITS_LENGTH, with->to_mm));
    give(values, &count, "days", isnan(with->days) ? NULL : number(page, with->days, 0));
    give(values, &count, "value", isnan(with->value) ? NULL : value_text(page, advice->reason, with->value));
    give(values, &count, "low", isnan(with->low) ? NULL : value_text(page, advice->reason, with->low));
    give(values, &count, "high", isnan(with->high) ? NULL : value_text(page, advice->reason, with->high));
    give(values, &count, "when", when_text(page, &advice->when));
    values[count] = (struct word_value){NULL, NULL};
    for (size_t i = 0; i < sizeof longer / sizeof *longer; i++) {
        snprintf(key, sizeof key, "reason.%s%s", advice_reason_names[advice->reason], longer[i]);
        if (words_can_say(page->request->service->words, page->garden->language, key, values))
            return say(page, key, values);
    }
    return word(page, key);
}

/* What a tank asks for, each in this markup; what was put off is left out and counted. */
static size_t tell_advice(struct page *page, int64_t tank_key, const struct advice *advice, size_t count, const char *markup)
{
    size_t off = 0;

    for (size_t i = 0; i < count; i++)
        if (putoff_of(&page->putoffs, tank_key, &advice[i], page->today))
            off++;
        else
            html_add(&page->html, markup, advice_sentence(page, &advice[i]));
    return off;
}

static void tell_off(struct page *page, size_t off)
{
    if (off)
        html_add(&page->html, "<p>%s</p>", say(page, off == 1 ? "plain.off.one" : "plain.off.other",
                                               (struct word_value[]){{"n", number(page, (double)off, 0)}, {NULL, NULL}}));
}

/* ---- the frame ---- */

static void begin(struct page *page, const char *title)
{
    static const char *const languages[] = {"en", "de"};

    html_add(&page->html,
             "<!doctype html><html lang=\"%s\"><head><meta charset=\"utf-8\"><meta name=\"viewport\" "
             "content=\"width=device-width, initial-scale=1\"><title>%s</title><link rel=\"stylesheet\" href=\"/style.css\"></head>"
             "<body class=\"plain\"><main><h1>%s</h1>",
             languages[page->garden->language], title, title);
}

static int finish(struct page *page, struct reply *reply, unsigned status)
{
    html_raw(&page->html, "</main></body></html>\n");
    if (page->html.failed) {
        html_free(&page->html);
        return fault_add(page->fault, FAULT_MEMORY, "", "out of memory");
    }
    reply->status = status;
    reply->bytes = page->html.text;
    reply->length = page->html.length;
    reply->type = "text/html; charset=utf-8";
    return 0;
}

/* ---- Today ---- */

static int list_tanks(struct page *page, struct db *db, const struct standing_place *place)
{
    struct request *request = page->request;
    struct standing_behind behind = STANDING_NONE_BEHIND;
    struct list rows;
    const struct tank_row *row;
    size_t off = 0;

    if (tanks_list(db, 0, INT32_MAX, &rows, request->arena, page->fault) ||
        putoffs_on(db, page->today, &page->putoffs, request->arena, page->fault))
        return -1;
    row = rows.item;
    html_raw(&page->html, "<ul>");
    for (size_t i = 0; i < rows.count; i++) {
        const struct standing_short *brief;

        if (row[i].retired)
            continue;
        if (standing_short_old(request->service->garden, db, place, &row[i], &brief, request->arena, page->fault))
            return -1;
        html_add(&page->html, "<li><a href=\"/plain/tank/%s\">%s</a>", row[i].code, row[i].name);
        if (standing_is_behind(&behind, brief, &row[i], place->today))
            html_add(&page->html, "<br>%s", say(page, "calendar.as_of", (struct word_value[]){{"day", day_text(page, brief->day)}, {NULL, NULL}}));
        off += tell_advice(page, row[i].key, brief->advice, brief->advice_count, "<br>%s");
        html_raw(&page->html, "</li>");
    }
    html_raw(&page->html, "</ul>");
    tell_off(page, off);
    return 0;
}

/* GET /plain */
int plain_today_get(struct request *request, struct reply *reply, struct fault *fault)
{
    struct store *store = request->service->garden->store;
    struct db *db = store_read(store, fault);
    struct standing_place place;
    struct page page = {.request = request, .fault = fault};
    int failed;

    if (!db)
        return -1;
    failed = standing_place(db, request->now_ms, &place, request->arena, fault);
    if (!failed) {
        page.garden = &place.garden;
        page.today = place.today;
        begin(&page, place.garden.name);
        failed = list_tanks(&page, db, &place);
    }
    store_done(store, db);
    if (failed) {
        html_free(&page.html);
        return -1;
    }
    return finish(&page, reply, 200);
}

/* ---- one tank and its forms ---- */

static void number_field(struct page *page, const char *name, const char *label_key, const char *unit)
{
    html_add(&page->html, "<p><label>%s%s%s%s <input name=\"%s\" inputmode=\"decimal\" autocomplete=\"off\"></label></p>",
             word(page, label_key), *unit ? " (" : "", unit, *unit ? ")" : "", name);
}

/* Each form carries the id of its entry: sent twice, it is kept once. */
static void begin_form(struct page *page, const char *tank, int kind)
{
    char id[37], key[32];

    clock_uuid(id);
    snprintf(key, sizeof key, "kind.%s", entry_kind_names[kind]);
    html_add(&page->html,
             "<details%s><summary>%s</summary><form method=\"post\" action=\"/plain/log\"><input type=\"hidden\" name=\"id\" "
             "value=\"%s\"><input type=\"hidden\" name=\"tank\" value=\"%s\"><input type=\"hidden\" name=\"kind\" value=\"%s\">",
             kind == ENTRY_READING ? " open" : "", word(page, key), id, tank, entry_kind_names[kind]);
}

static void end_form(struct page *page, int kind)
{
    char key[32];

    html_add(&page->html, "<p><label>%s <input name=\"note\" maxlength=\"500\"></label></p>", word(page, "log.note"));
    snprintf(key, sizeof key, "log.save.%s", entry_kind_names[kind]);
    html_add(&page->html, "<p><button>%s</button></p></form></details>", word(page, key));
}

static void measured_fields(struct page *page)
{
    number_field(page, "ec", "log.ec", word(page, "unit.ms_cm"));
    number_field(page, "ph", "log.ph", "");
    number_field(page, "temperature", "log.temperature", unit_word(page, UNITS_TEMPERATURE));
}

static void caution(struct page *page, const char *key)
{
    html_add(&page->html, "<p class=\"caution\"><strong>%s</strong> %s</p>", word(page, "caution"), word(page, key));
}

static void water_form(struct page *page, const char *tank, int kind)
{
    const char *length = unit_word(page, UNITS_LENGTH);

    begin_form(page, tank, kind);
    if (kind == ENTRY_FILL)
        caution(page, "caution.weight.carry");
    if (kind == ENTRY_TOP_UP)
        caution(page, "caution.hose");
    if (kind == ENTRY_TOP_UP)
        number_field(page, "volume", "log.topup.volume", unit_word(page, UNITS_VOLUME));
    number_field(page, "waterline",
                 kind == ENTRY_TOP_UP ? "log.topup.after" : kind == ENTRY_FILL ? "log.fill.waterline" : "log.waterline", length);
    measured_fields(page);
    end_form(page, kind);
}

static void planting_form(struct page *page, const char *tank)
{
    begin_form(page, tank, ENTRY_PLANTING);
    html_add(&page->html, "<p><label>%s <select name=\"crop\">", word(page, "log.crop"));
    for (size_t i = 0; i < crops_count; i++) {
        char key[64];

        snprintf(key, sizeof key, "crop.%s", crops[i].id);
        html_add(&page->html, "<option value=\"%s\">%s</option>", crops[i].id,
                 words_can_say(page->request->service->words, page->garden->language, key, NULL) ? word(page, key) : crops[i].name);
    }
    html_raw(&page->html, "</select></label></p>");
    number_field(page, "count", "log.count", "");
    end_form(page, ENTRY_PLANTING);
}

static void harvest_form(struct page *page, const char *tank)
{
    begin_form(page, tank, ENTRY_HARVEST);
    html_add(&page->html,
             "<p><label>%s <select name=\"how\"><option value=\"whole\">%s</option><option value=\"cut\">%s</option></select></label></p>",
             word(page, "log.how"), word(page, "log.how.whole"), word(page, "log.how.cut"));
    number_field(page, "count", "log.count", "");
    number_field(page, "weight", "log.weight", unit_word(page, UNITS_MASS));
    caution(page, "caution.food");
    end_form(page, ENTRY_HARVEST);
}

static void cups_field(struct page *page, const char *name, const char *label_key)
{
    html_add(&page->html, "<p><label>%s (1, 2, 5) <input name=\"%s\" inputmode=\"numeric\" autocomplete=\"off\"></label></p>", word(page, label_key), name);
}

static void move_form(struct page *page, const char *tank)
{
    begin_form(page, tank, ENTRY_MOVE);
    cups_field(page, "cups", "log.move.cups");
    cups_field(page, "to_cups", "log.move.to");
    caution(page, "log.move.about");
    end_form(page, ENTRY_MOVE);
}

static void loss_form(struct page *page, const char *tank)
{
    begin_form(page, tank, ENTRY_LOSS);
    cups_field(page, "cups", "log.cups.gone");
    html_add(&page->html, "<p><label>%s <select name=\"reason\">", word(page, "log.reason"));
    for (size_t i = 0; entry_reason_names[i]; i++)
        html_add(&page->html, "<option value=\"%s\">%s</option>", entry_reason_names[i], word(page, arena_format(page->request->arena, "log.reason.%s", entry_reason_names[i])));
    html_raw(&page->html, "</select></label></p>");
    caution(page, "log.loss.about");
    end_form(page, ENTRY_LOSS);
}

static void clean_out_form(struct page *page, const char *tank)
{
    begin_form(page, tank, ENTRY_CLEAN_OUT);
    html_add(&page->html, "<p>%s</p>", word(page, "log.cleanout.about"));
    caution(page, "caution.spent");
    caution(page, "caution.weight.carry");
    end_form(page, ENTRY_CLEAN_OUT);
}

static void tell_state(struct page *page, const struct standing *standing)
{
    const struct tank_state *state = &standing->state;
    const struct advice *advice = standing->advice.item;

    html_raw(&page->html, "<dl>");
    if (!isnan(state->waterline.value))
        html_add(&page->html, "<dt>%s</dt><dd>%s, %s</dd>", word(page, "drawing.row.waterline"),
                 shown(page, UNITS_LENGTH, state->waterline.value), shown(page, UNITS_VOLUME, state->volume_l));
    if (!isnan(state->ceiling_mm) && state->filled)
        html_add(&page->html, "<dt>%s</dt><dd>%s</dd>", word(page, "drawing.row.ceiling"), shown(page, UNITS_LENGTH, state->ceiling_mm));
    if (!isnan(state->ec.value))
        html_add(&page->html, "<dt>%s</dt><dd>%s %s</dd>", word(page, "tank.ec"), number(page, state->ec.value, 2), word(page, "unit.ms_cm"));
    if (!isnan(state->ph.value))
        html_add(&page->html, "<dt>%s</dt><dd>%s</dd>", word(page, "tank.ph"), number(page, state->ph.value, 1));
    if (standing->outlook && when_text(page, &standing->outlook->low_on))
        html_add(&page->html, "<dt>%s</dt><dd>%s</dd>", word(page, "tank.low"), when_text(page, &standing->outlook->low_on));
    html_raw(&page->html, "</dl>");
    tell_off(page, tell_advice(page, standing->tank.key, advice, standing->advice.count, "<p>%s</p>"));
}

static int read_tank(struct page *page, const char *id, struct standing_place *place, struct standing *standing)
{
    struct request *request = page->request;
    struct store *store = request->service->garden->store;
    struct db *db = store_read(store, page->fault);
    struct tank_row row;
    int found, failed = -1;

    if (!db)
        return -1;
    found = tanks_one(db, id, &row, request->arena, page->fault);
    if (found == 0)
        fault_add(page->fault, FAULT_ABSENT, "", "there is no such tank");
    else if (found == 1)
        failed = standing_place(db, request->now_ms, place, request->arena, page->fault) ||
                 standing_make(db, place, &row, standing, request->arena, page->fault) ||
                 putoffs_on(db, place->today, &page->putoffs, request->arena, page->fault);
    store_done(store, db);
    page->garden = &place->garden;
    page->today = place->today;
    return failed ? -1 : 0;
}

/* refused: what was wrong with a form that came back. */
static int tell_tank(struct request *request, struct reply *reply, const char *id, const struct fault *refused, struct fault *fault)
{
    struct standing_place place;
    struct standing *standing = arena_take(request->arena, sizeof *standing);
    struct page page = {.request = request, .fault = fault};

    if (!standing)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    if (read_tank(&page, id, &place, standing))
        return -1;
    begin(&page, standing->tank.name);
    html_add(&page.html, "<p><a href=\"/plain\">%s</a></p>", word(&page, "nav.today"));
    for (size_t i = 0; refused && i < refused->count; i++)
        html_add(&page.html, "<p class=\"caution\" role=\"alert\">%s %s: %s</p>", word(&page, "log.refused"), refused->item[i].at,
                 said_in(words_said(request->service->words), page.garden->language, refused->item[i].detail, request->arena));
    tell_state(&page, standing);
    if (request->who.role >= ROLE_GROWER) {
        water_form(&page, standing->tank.code, ENTRY_READING);
        water_form(&page, standing->tank.code, ENTRY_TOP_UP);
        water_form(&page, standing->tank.code, ENTRY_FILL);
        planting_form(&page, standing->tank.code);
        harvest_form(&page, standing->tank.code);
        move_form(&page, standing->tank.code);
        loss_form(&page, standing->tank.code);
        clean_out_form(&page, standing->tank.code);
        begin_form(&page, standing->tank.code, ENTRY_NOTE);
        end_form(&page, ENTRY_NOTE);
    }
    return finish(&page, reply, refused ? 422 : 200);
}

/* GET /plain/tank/{tank} */
int plain_tank_get(struct request *request, struct reply *reply, struct fault *fault)
{
    return tell_tank(request, reply, request->part[0], NULL, fault);
}

/* ---- logging ---- */

struct plain_form {
    const char *id, *tank, *note, *crop;
    int kind, how;
    const char *waterline, *volume, *ec, *ph, *temperature, *count, *weight;
    const char *cups, *to_cups;
    int reason;
};

static const char *const hows[] = {"whole", "cut", NULL};

#define AT(member) offsetof(struct plain_form, member)
#define TYPED(name) {#name, FIELD_TEXT, 0, AT(name), 0, 24, .about = "As typed, in the garden's unit."}
static const struct field form_fields[] = {
    {"id", FIELD_TEXT, FIELD_REQUIRED, AT(id), 36, 36, .about = "Of the entry to be."},
    {"tank", FIELD_TEXT, FIELD_REQUIRED, AT(tank), 1, 64, .about = "The tank's code."},
    {"kind", FIELD_CHOICE, FIELD_REQUIRED, AT(kind), .words = entry_kind_names, .standard = -1, .about = "What was done."},
    {"note", FIELD_TEXT, 0, AT(note), 0, 500, .about = "Words."},
    {"crop", FIELD_TEXT, 0, AT(crop), 0, 64, .about = "By id."},
    {"how", FIELD_CHOICE, 0, AT(how), .words = hows, .standard = -1, .about = "Of a harvest."},
    {"cups", FIELD_TEXT, 0, AT(cups), 0, 200, .about = "Numbers of cups, as typed: 1, 2, 5."},
    {"to_cups", FIELD_TEXT, 0, AT(to_cups), 0, 200, .about = "Of a move: where each of cups went."},
    {"reason", FIELD_CHOICE, 0, AT(reason), .words = entry_reason_names, .standard = -1, .about = "Of a loss."},
    TYPED(waterline), TYPED(volume), TYPED(ec), TYPED(ph), TYPED(temperature), TYPED(count), TYPED(weight),
};
#undef AT
const struct shape plain_log_shape = {.size = sizeof(struct plain_form), .field = form_fields, .count = sizeof form_fields / sizeof *form_fields};

/* A number as people write it: one decimal mark, comma or point; both at once can mean two things and are refused. */
static double typed(const char *text, const char *at, struct fault *fault)
{
    char plain[25];
    char *comma, *end;
    double value;

    if (!text || !*text)
        return NAN;
    snprintf(plain, sizeof plain, "%s", text);
    comma = strchr(plain, ',');
    if (comma && strchr(plain, '.')) {
        fault_add(fault, FAULT_INPUT, at, "comma and point in one number can mean two things");
        return NAN;
    }
    if (comma)
        *comma = '.';
    value = strspn(plain, "-.0123456789 ") == strlen(plain) ? strtod(plain, &end) : (double)NAN;
    if (isnan(value) || end[strspn(end, " ")]) {
        fault_add(fault, FAULT_INPUT, at, "is not a number");
        return NAN;
    }
    return value;
}

static void within(double value, double least, double most, const char *at, struct fault *fault)
{
    if (!isnan(value) && !(value >= least && value <= most))
        fault_add(fault, FAULT_INPUT, at, "must be from %g to %g", least, most);
}

/* "1, 2 5" as a list of cups. */
static struct list typed_cups(struct page *page, const char *text, const char *at, struct fault *fault)
{
    struct list cups = {NULL, 0};
    size_t room = 0;

    while (text && *(text += strspn(text, " ,;"))) {
        char *end;
        long cup = strtol(text, &end, 10);

        cups.item = arena_grow(page->request->arena, cups.item, cups.count, &room, sizeof(int64_t));
        if (!cups.item || end == text || cup < 1 || cup > 512 || (*end && !strchr(" ,;", *end))) {
            fault_add(fault, cups.item ? FAULT_INPUT : FAULT_MEMORY, at, cups.item ? "must be numbers of cups, like 1, 2, 5" : "out of memory");
            return (struct list){NULL, 0};
        }
        ((int64_t *)cups.item)[cups.count++] = cup;
        text = end;
    }
    return cups;
}

static int entry_of(struct page *page, const struct plain_form *form, struct entry *entry, struct fault *fault)
{
    double count = typed(form->count, "/count", fault);

    *entry = entry_blank();
    entry->id = form->id;
    entry->tank = form->tank;
    entry->kind = form->kind;
    entry->at_ms = entry->received_ms = page->request->now_ms;
    entry->note = form->note && *form->note ? form->note : NULL;
    entry->crop = form->crop && *form->crop ? form->crop : NULL;
    entry->how = form->how;
    entry->reason = form->kind == ENTRY_LOSS ? form->reason : ENTRY_NONE;
    entry->cups = typed_cups(page, form->cups, "/cups", fault);
    entry->to_cups = typed_cups(page, form->to_cups, "/to_cups", fault);
    entry->waterline_mm = units_to_base(unit_of(page, UNITS_LENGTH), typed(form->waterline, "/waterline_mm", fault));
    entry->volume_l = units_to_base(unit_of(page, UNITS_VOLUME), typed(form->volume, "/volume_l", fault));
    entry->temperature_c = units_to_base(unit_of(page, UNITS_TEMPERATURE), typed(form->temperature, "/temperature_c", fault));
    entry->weight_g = units_to_base(unit_of(page, UNITS_MASS), typed(form->weight, "/weight_g", fault));
    entry->ec_ms_cm = typed(form->ec, "/ec_ms_cm", fault);
    entry->ph = typed(form->ph, "/ph", fault);
    within(entry->waterline_mm, 0, 3000, "/waterline_mm", fault);
    within(entry->volume_l, 0.01, 5000, "/volume_l", fault);
    within(entry->ec_ms_cm, 0, 20, "/ec_ms_cm", fault);
    within(entry->ph, 0, 14, "/ph", fault);
    within(entry->temperature_c, -5, 60, "/temperature_c", fault);
    within(entry->weight_g, 0, 100000, "/weight_g", fault);
    within(count, 1, 512, "/count", fault);
    if (!isnan(count) && count == floor(count))
        entry->count = (int64_t)count;
    return fault->count ? -1 : 0;
}

/* A form sent twice carries the same id, but the clock has gone on: it keeps the moment of the first. */
static int keep_moment(struct request *request, struct entry *entry, struct fault *fault)
{
    struct store *store = request->service->garden->store;
    struct db *db = store_read(store, fault);
    struct entry stored;
    int found;

    if (!db)
        return -1;
    found = entries_one(db, entry->id, &stored, request->arena, fault);
    store_done(store, db);
    if (found == 1)
        entry->at_ms = stored.at_ms;
    return found < 0 ? -1 : 0;
}

/* POST /plain/log: logs one entry and goes back to the tank; a form that cannot be used comes back with the reason. */
int plain_log_post(struct request *request, struct reply *reply, struct fault *fault)
{
    const struct plain_form *form = request->given;
    struct garden_row garden;
    struct page page = {.request = request, .garden = &garden};
    struct fault refused = {0};
    struct entry entry, stored;
    bool stored_before;
    const char *back;

    if (garden_settings(request->service->garden, &garden, request->arena, fault))
        return -1;
    if (entry_of(&page, form, &entry, &refused) || keep_moment(request, &entry, &refused) ||
        garden_log(request->service->garden, &request->who, &entry, &stored, &stored_before, request->arena, &refused)) {
        if (refused.code == FAULT_INPUT)
            return tell_tank(request, reply, form->tank, &refused, fault);
        *fault = refused;
        return -1;
    }
    back = arena_format(request->arena, "/plain/tank/%s", form->tank);
    reply->status = 303;
    return back ? reply_header(request, reply, "Location", back, fault) : fault_add(fault, FAULT_MEMORY, "", "out of memory");
}

/* ---- a scanned label ---- */

static int stranger(struct request *request, struct reply *reply, const struct standing *standing, struct page *page)
{
    const struct cup_state *cup = standing->state.cups.item;

    (void)request;
    if (page->garden->label_shows == 0)
        return fault_add(page->fault, FAULT_ABSENT, "", "this label is for members of the garden");
    begin(page, standing->tank.name);
    for (size_t i = 0; i < standing->state.cups.count; i++)
        if (cup[i].crop) {
            char key[64];

            snprintf(key, sizeof key, "crop.%s", cup[i].crop);
            html_add(&page->html, "<p>%s</p>", word(page, key));
            break;
        }
    return finish(page, reply, 200);
}

/* GET /t/{code}: a member goes on to the tank's page; a stranger sees what the garden chose to show. */
int label_get(struct request *request, struct reply *reply, struct fault *fault)
{
    struct standing_place place;
    struct standing *standing = arena_take(request->arena, sizeof *standing);
    struct page page = {.request = request, .fault = fault};
    const char *on;

    if (!standing)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    if (read_tank(&page, request->part[0], &place, standing))
        return -1;
    if (request->who.role < ROLE_VISITOR)
        return stranger(request, reply, standing, &page);
    on = arena_format(request->arena, "/tank.html?id=%s", standing->tank.id);
    reply->status = 302;
    return on ? reply_header(request, reply, "Location", on, fault) : fault_add(fault, FAULT_MEMORY, "", "out of memory");
}
