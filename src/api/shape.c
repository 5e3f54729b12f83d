/* shape.c - documents by table: reading, writing, holding against. */
#include "api/shape.h"

#include <assert.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "calc/days.h"

#define TEXT_MOST 500
#define LIST_MOST 500

/* Where we are in the document, as a JSON Pointer that grows and shrinks. */
struct path {
    char text[64];
    size_t length;
};

/* Appends one step, escaped as RFC 6901 (2013) has it; what does not fit is left out. Returns the length to go back to. */
static size_t step_in(struct path *path, const char *name)
{
    size_t before = path->length;

    if (path->length + 1 < sizeof path->text)
        path->text[path->length++] = '/';
    for (; *name && path->length + 2 < sizeof path->text; name++) {
        if (*name == '~' || *name == '/') {
            path->text[path->length++] = '~';
            path->text[path->length++] = *name == '~' ? '0' : '1';
        } else {
            path->text[path->length++] = *name;
        }
    }
    path->text[path->length] = '\0';
    return before;
}

static size_t step_to(struct path *path, size_t index)
{
    char number[24];

    snprintf(number, sizeof number, "%zu", index);
    return step_in(path, number);
}

static void step_back(struct path *path, size_t length)
{
    path->length = length;
    path->text[length] = '\0';
}

struct reading {
    struct arena *arena;
    struct fault *fault;
    struct path path;
};

static int refuse(struct reading *reading, const char *what)
{
    return fault_add(reading->fault, FAULT_INPUT, reading->path.text, "%s", what);
}

static void *member_of(void *base, const struct field *field)
{
    return (char *)base + field->offset;
}

static const void *member_in(const void *base, const struct field *field)
{
    return (const char *)base + field->offset;
}

/* ---- moments and days as text ---- */

static bool digits(const char *text, int count, int *value)
{
    *value = 0;
    for (int i = 0; i < count; i++) {
        if (text[i] < '0' || text[i] > '9')
            return false;
        *value = *value * 10 + (text[i] - '0');
    }
    return true;
}

int shape_read_date(const char *text, int32_t *day)
{
    struct civil civil;

    if (strlen(text) != 10 || text[4] != '-' || text[7] != '-' || !digits(text, 4, &civil.year) ||
        !digits(text + 5, 2, &civil.month) || !digits(text + 8, 2, &civil.day))
        return -1;
    return days_from_civil(civil, day) ? 0 : -1;
}

/* ".123" to milliseconds; finer digits are cut off. Returns what follows, or NULL. */
static const char *read_fraction(const char *text, int *ms)
{
    int scale = 100;

    *ms = 0;
    if (*text != '.')
        return text;
    if (text[1] < '0' || text[1] > '9')
        return NULL;
    for (text++; *text >= '0' && *text <= '9'; text++, scale /= 10)
        *ms += (*text - '0') * scale;
    return text;
}

/* "Z", "+02:00", "-00:30" to minutes. */
static bool read_offset(const char *text, int *minutes)
{
    int hours, rest;

    *minutes = 0;
    if (strcmp(text, "Z") == 0 || strcmp(text, "z") == 0)
        return true;
    if ((*text != '+' && *text != '-') || strlen(text) != 6 || text[3] != ':' || !digits(text + 1, 2, &hours) ||
        !digits(text + 4, 2, &rest) || hours > 23 || rest > 59)
        return false;
    *minutes = (hours * 60 + rest) * (*text == '-' ? -1 : 1);
    return true;
}

int shape_read_instant(const char *text, int64_t *ms)
{
    char date[11];
    int32_t day;
    int hour, minute, second, fraction, offset;
    const char *rest;

    if (strlen(text) < 20 || (text[10] != 'T' && text[10] != 't'))
        return -1;
    memcpy(date, text, 10);
    date[10] = '\0';
    if (shape_read_date(date, &day) || text[13] != ':' || text[16] != ':' || !digits(text + 11, 2, &hour) ||
        !digits(text + 14, 2, &minute) || !digits(text + 17, 2, &second) || hour > 23 || minute > 59 || second > 59)
        return -1;
    rest = read_fraction(text + 19, &fraction);
    if (!rest || !read_offset(rest, &offset))
        return -1;
    *ms = (int64_t)day * DAYS_MS + (((int64_t)hour * 60 + minute - offset) * 60 + second) * 1000 + fraction;
    return 0;
}

char *shape_date(char text[16], int32_t day)
{
    struct civil civil = days_to_civil(day);

    snprintf(text, 16, "%04u-%02u-%02u", (unsigned)civil.year % 10000u, (unsigned)civil.month % 100u, (unsigned)civil.day % 100u);
    return text;
}

char *shape_instant(char text[32], int64_t ms)
{
    char date[16];
    int32_t day = days_of_instant(ms);
    unsigned rest = (unsigned)(ms - (int64_t)day * DAYS_MS), s = rest / 1000;

    snprintf(text, 32, "%s%c%02u:%02u:%02u", shape_date(date, day), 'T', s / 3600, s / 60 % 60, s % 60);
    if (rest % 1000)
        snprintf(text + strlen(text), 8, ".%03u", rest % 1000);
    strcat(text, "Z");
    return text;
}

/* ---- what stands there when nothing is given ---- */

static void set_absent(const struct shape *shape, void *base);

static void set_absent_field(const struct field *field, void *base)
{
    void *to = member_of(base, field);

    switch (field->kind) {
    case FIELD_NUMBER:
        *(double *)to = field->standard;
        break;
    case FIELD_INTEGER:
        *(int64_t *)to = (int64_t)field->standard;
        break;
    case FIELD_BOOL:
        *(bool *)to = field->standard != 0;
        break;
    case FIELD_CHOICE:
        *(int *)to = (int)field->standard;
        break;
    case FIELD_DATE:
        *(int32_t *)to = FIELD_NO_DATE;
        break;
    case FIELD_INSTANT:
        *(int64_t *)to = FIELD_NO_INSTANT;
        break;
    case FIELD_MAP:
        for (size_t i = 0; field->words[i]; i++)
            ((double *)to)[i] = NAN;
        break;
    case FIELD_OBJECT:
        set_absent(field->shape, to);
        break;
    default: /* texts, lists and borrowed JSON are zero already */
        break;
    }
}

static void set_absent(const struct shape *shape, void *base)
{
    for (size_t i = 0; i < shape->count; i++)
        set_absent_field(&shape->field[i], base);
}

/* ---- reading ---- */

static int read_shape(struct reading *reading, const struct shape *shape, const json_t *document, void *into);

static int read_number(struct reading *reading, const struct field *field, const json_t *value, double *to)
{
    double number = json_number_value(value);

    if (!json_is_number(value))
        return refuse(reading, "must be a number");
    if (!isfinite(number))
        return refuse(reading, "must be a finite number");
    if ((field->least != 0 || field->most != 0) && !(number >= field->least && number <= field->most))
        return fault_add(reading->fault, FAULT_INPUT, reading->path.text, "must be from %g to %g, was %g", field->least,
                         field->most, number);
    *to = number;
    return 0;
}

static int read_integer(struct reading *reading, const struct field *field, const json_t *value, int64_t *to)
{
    double number;

    if (read_number(reading, field, value, &number))
        return -1;
    if (number != floor(number) || fabs(number) > 9007199254740992.0)
        return refuse(reading, "must be a whole number");
    *to = json_is_integer(value) ? json_integer_value(value) : (int64_t)number;
    return 0;
}

static int read_text(struct reading *reading, const struct field *field, const json_t *value, const char **to)
{
    size_t length = json_string_length(value), least = (size_t)field->least,
           most = field->most > 0 ? (size_t)field->most : TEXT_MOST;
    const char *text = json_string_value(value);

    if (!text)
        return refuse(reading, "must be a text");
    if (length < least || length > most)
        return least == most
                   ? fault_add(reading->fault, FAULT_INPUT, reading->path.text, "must be %zu bytes long", most)
                   : fault_add(reading->fault, FAULT_INPUT, reading->path.text, "must be %zu to %zu bytes long", least, most);
    for (size_t i = 0; i < length; i++)
        if (((unsigned char)text[i] < 0x20 && text[i] != '\n' && text[i] != '\t') || text[i] == 0x7f)
            return refuse(reading, "must not hold control characters");
    *to = arena_text(reading->arena, text);
    return *to ? 0 : fault_add(reading->fault, FAULT_MEMORY, "", "out of memory");
}

static int read_choice(struct reading *reading, const struct field *field, const json_t *value, int *to)
{
    const char *text = json_string_value(value);
    char all[160] = "";

    for (int i = 0; text && field->words[i]; i++)
        if (strcmp(text, field->words[i]) == 0) {
            *to = i;
            return 0;
        }
    for (size_t i = 0; field->words[i]; i++)
        snprintf(all + strlen(all), sizeof all - strlen(all), "%s%s", i ? ", " : "", field->words[i]);
    return fault_add(reading->fault, FAULT_INPUT, reading->path.text, "must be one of: %s", all);
}

static int read_map(struct reading *reading, const struct field *field, const json_t *value, double *to)
{
    const char *name;
    json_t *item;
    int failed = 0;

    if (!json_is_object(value))
        return refuse(reading, "must be an object of numbers");
    json_object_foreach((json_t *)value, name, item) {
        size_t back = step_in(&reading->path, name), i = 0;

        while (field->words[i] && strcmp(field->words[i], name) != 0)
            i++;
        if (!field->words[i])
            failed = refuse(reading, "is not known here");
        else if (!json_is_null(item))
            failed |= read_number(reading, field, item, &to[i]);
        step_back(&reading->path, back);
    }
    return failed;
}

/* Rules report below their own document. */
static int run_rule(struct reading *reading, const struct shape *shape, const void *read)
{
    struct fault broken = {0};

    if (!shape->rule || shape->rule(read, &broken) == 0)
        return 0;
    return fault_under(reading->fault, reading->path.text, &broken);
}

/* Which members would have made it one of the forms. */
static int refuse_forms(struct reading *reading, const struct shape *shape)
{
    char all[160] = "";

    for (size_t i = 0; shape->variants[i]; i++)
        for (size_t f = 0, named = 0; f < shape->variants[i]->count; f++)
            if (shape->variants[i]->field[f].flags & FIELD_REQUIRED)
                snprintf(all + strlen(all), sizeof all - strlen(all), "%s%s", named++ ? ", " : i ? "; or " : "",
                         shape->variants[i]->field[f].name);
    return fault_add(reading->fault, FAULT_INPUT, reading->path.text, "must have: %s", all);
}

static int read_one_of(struct reading *reading, const struct shape *shape, const json_t *value, void *to)
{
    const char *tag = shape->tag ? json_string_value(json_object_get(value, shape->tag)) : NULL;
    char all[128] = "";
    size_t back;

    if (!json_is_object(value))
        return refuse(reading, "must be an object");
    for (int i = 0; shape->variants[i]; i++) {
        const struct shape *variant = shape->variants[i];
        bool chosen = !shape->tag;

        if (shape->tag)
            chosen = tag && strcmp(tag, shape->tag_values[i]) == 0;
        for (size_t f = 0; !shape->tag && f < variant->count; f++)
            chosen = chosen && (!(variant->field[f].flags & FIELD_REQUIRED) || json_object_get(value, variant->field[f].name));
        if (chosen) {
            *(int *)to = i;
            return read_shape(reading, variant, value, to) || run_rule(reading, shape, to) ? -1 : 0;
        }
        if (shape->tag)
            snprintf(all + strlen(all), sizeof all - strlen(all), "%s%s", i ? ", " : "", shape->tag_values[i]);
    }
    if (!shape->tag)
        return refuse_forms(reading, shape);
    back = step_in(&reading->path, shape->tag);
    fault_add(reading->fault, FAULT_INPUT, reading->path.text, "must be one of: %s", all);
    step_back(&reading->path, back);
    return -1;
}

static int read_item(struct reading *reading, const struct shape *shape, const json_t *value, void *to);

static int read_list(struct reading *reading, const struct field *field, const json_t *value, struct list *to)
{
    size_t count = json_array_size(value), least = (size_t)field->least, most = field->most > 0 ? (size_t)field->most : LIST_MOST;
    int failed = 0;

    if (!json_is_array(value))
        return refuse(reading, "must be a list");
    if (count < least || count > most)
        return fault_add(reading->fault, FAULT_INPUT, reading->path.text, "must have %zu to %zu items", least, most);
    to->item = count ? arena_take(reading->arena, count * field->shape->size) : NULL;
    if (count && !to->item)
        return fault_add(reading->fault, FAULT_MEMORY, "", "out of memory");
    to->count = count;
    for (size_t i = 0; i < count; i++) {
        size_t back = step_to(&reading->path, i);

        failed |= read_item(reading, field->shape, json_array_get(value, i), (char *)to->item + i * field->shape->size);
        step_back(&reading->path, back);
    }
    return failed;
}

static int read_value(struct reading *reading, const struct field *field, const json_t *value, void *to)
{
    const char *text = json_string_value(value);

    switch (field->kind) {
    case FIELD_NUMBER:
        return read_number(reading, field, value, to);
    case FIELD_INTEGER:
        return read_integer(reading, field, value, to);
    case FIELD_BOOL:
        *(bool *)to = json_is_true(value);
        return json_is_boolean(value) ? 0 : refuse(reading, "must be true or false");
    case FIELD_TEXT:
        return read_text(reading, field, value, to);
    case FIELD_CHOICE:
        return read_choice(reading, field, value, to);
    case FIELD_DATE:
        return text && shape_read_date(text, to) == 0 ? 0 : refuse(reading, "must be a date such as 2026-05-01");
    case FIELD_INSTANT:
        return text && shape_read_instant(text, to) == 0 ? 0 : refuse(reading, "must be a moment such as 2026-05-01T07:30:00Z");
    case FIELD_OBJECT:
    case FIELD_ONE_OF:
        return read_item(reading, field->shape, value, to);
    case FIELD_LIST:
        return read_list(reading, field, value, to);
    case FIELD_MAP:
        return read_map(reading, field, value, to);
    case FIELD_JSON:
        *(const json_t **)to = value;
        return 0;
    }
    assert(!"every kind is read");
    return -1;
}

/* A list's item: a document, or a plain value where the shape has one field without a name. */
static int read_item(struct reading *reading, const struct shape *shape, const json_t *value, void *to)
{
    if (shape->variants)
        return read_one_of(reading, shape, value, to);
    if (shape->count == 1 && !shape->field[0].name)
        return read_value(reading, &shape->field[0], value, member_of(to, &shape->field[0]));
    return read_shape(reading, shape, value, to);
}

static int read_tuple(struct reading *reading, const struct shape *shape, const json_t *value, void *into)
{
    int failed = 0;

    if (!json_is_array(value) || json_array_size(value) != shape->count)
        return fault_add(reading->fault, FAULT_INPUT, reading->path.text, "must be a list of %zu values", shape->count);
    for (size_t i = 0; i < shape->count; i++) {
        size_t back = step_to(&reading->path, i);

        failed |= read_value(reading, &shape->field[i], json_array_get(value, i), member_of(into, &shape->field[i]));
        step_back(&reading->path, back);
    }
    return failed;
}

static int read_member(struct reading *reading, const struct field *field, const json_t *document, void *into)
{
    const json_t *value = json_object_get(document, field->name);
    size_t back = step_in(&reading->path, field->name);
    int failed = 0;

    if (!value && (field->flags & FIELD_REQUIRED) && !(field->flags & FIELD_ANSWER_ONLY))
        failed = refuse(reading, "is required");
    else if (value && (field->flags & FIELD_ANSWER_ONLY))
        failed = refuse(reading, "is told by the garden, not by you");
    else if (json_is_null(value) && !(field->flags & FIELD_NULLABLE) && field->kind != FIELD_JSON)
        failed = refuse(reading, "must not be null");
    else if (value && !(json_is_null(value) && field->kind != FIELD_JSON)) {
        failed = read_value(reading, field, value, member_of(into, field));
        if (field->given)
            *(bool *)((char *)into + field->given) = true;
    }
    step_back(&reading->path, back);
    return failed;
}

static bool known(const struct shape *shape, const char *name)
{
    for (size_t i = 0; i < shape->count; i++)
        if (strcmp(shape->field[i].name, name) == 0)
            return true;
    return false;
}

static int refuse_unknown(struct reading *reading, const struct shape *shape, const json_t *document)
{
    const char *name;
    json_t *value;
    int failed = 0;

    json_object_foreach((json_t *)document, name, value) {
        size_t back;

        if (known(shape, name))
            continue;
        back = step_in(&reading->path, name);
        failed = refuse(reading, "is not known here");
        step_back(&reading->path, back);
    }
    return failed;
}

static int read_shape(struct reading *reading, const struct shape *shape, const json_t *document, void *into)
{
    int failed;

    set_absent(shape, into);
    if (shape->tuple)
        failed = read_tuple(reading, shape, document, into);
    else if (!json_is_object(document))
        return refuse(reading, "must be an object");
    else {
        failed = refuse_unknown(reading, shape, document);
        for (size_t i = 0; i < shape->count; i++)
            failed |= read_member(reading, &shape->field[i], document, into);
    }
    return failed || run_rule(reading, shape, into) ? -1 : 0;
}

int shape_read(const struct shape *shape, const json_t *document, void *into, struct arena *arena, struct fault *fault)
{
    struct reading reading = {.arena = arena, .fault = fault};

    memset(into, 0, shape->size);
    return read_item(&reading, shape, document, into) ? -1 : 0;
}

/* ---- writing ---- */

/* Whether nothing stands there: then the member is left out, or null. */
static bool absent(const struct field *field, const void *base)
{
    const void *from = member_in(base, field);

    if (field->given)
        return !*(const bool *)((const char *)base + field->given);
    switch (field->kind) {
    case FIELD_NUMBER:
        return isnan(*(const double *)from);
    case FIELD_INTEGER:
        return *(const int64_t *)from == INT64_MIN;
    case FIELD_TEXT:
    case FIELD_JSON:
        return *(const void *const *)from == NULL;
    case FIELD_CHOICE:
        return *(const int *)from < 0;
    case FIELD_DATE:
        return *(const int32_t *)from == FIELD_NO_DATE;
    case FIELD_INSTANT:
        return *(const int64_t *)from == FIELD_NO_INSTANT;
    case FIELD_OBJECT: /* an object without something that it must have is none */
        for (size_t i = 0; i < field->shape->count; i++)
            if ((field->shape->field[i].flags & FIELD_REQUIRED) && !(field->shape->field[i].flags & FIELD_NULLABLE) &&
                absent(&field->shape->field[i], from))
                return true;
        return false;
    case FIELD_LIST:
        return !(field->flags & (FIELD_REQUIRED | FIELD_ANSWER_ONLY)) && ((const struct list *)from)->count == 0;
    default:
        return false;
    }
}

static json_t *write_list(const struct shape *shape, const struct list *list)
{
    json_t *array = json_array();

    for (size_t i = 0; array && i < list->count; i++)
        if (json_array_append_new(array, shape_write(shape, (const char *)list->item + i * shape->size))) {
            json_decref(array);
            return NULL;
        }
    return array;
}

static json_t *write_map(const struct field *field, const double *numbers)
{
    json_t *object = json_object();

    for (size_t i = 0; object && field->words[i]; i++)
        if (!isnan(numbers[i]) && json_object_set_new(object, field->words[i], json_real(numbers[i]))) {
            json_decref(object);
            return NULL;
        }
    return object;
}

static json_t *write_value(const struct field *field, const void *from)
{
    char text[32];

    switch (field->kind) {
    case FIELD_NUMBER:
        return json_real(*(const double *)from);
    case FIELD_INTEGER:
        return json_integer(*(const int64_t *)from);
    case FIELD_BOOL:
        return json_boolean(*(const bool *)from);
    case FIELD_TEXT:
        return json_string(*(const char *const *)from);
    case FIELD_CHOICE:
        return json_string(field->words[*(const int *)from]);
    case FIELD_DATE:
        return json_string(shape_date(text, *(const int32_t *)from));
    case FIELD_INSTANT:
        return json_string(shape_instant(text, *(const int64_t *)from));
    case FIELD_OBJECT:
    case FIELD_ONE_OF:
        return shape_write(field->shape, from);
    case FIELD_LIST:
        return write_list(field->shape, from);
    case FIELD_MAP:
        return write_map(field, from);
    case FIELD_JSON:
        return json_incref(*(json_t *const *)from);
    }
    return NULL;
}

static json_t *write_tuple(const struct shape *shape, const void *from)
{
    json_t *array = json_array();

    for (size_t i = 0; array && i < shape->count; i++)
        if (json_array_append_new(array, write_value(&shape->field[i], member_in(from, &shape->field[i])))) {
            json_decref(array);
            return NULL;
        }
    return array;
}

static json_t *write_object(const struct shape *shape, const void *from)
{
    json_t *object = json_object();

    for (size_t i = 0; object && i < shape->count; i++) {
        const struct field *field = &shape->field[i];
        bool none = absent(field, from);

        if ((field->flags & FIELD_BODY_ONLY) || (none && !(field->flags & FIELD_NULLABLE)))
            continue;
        if (json_object_set_new(object, field->name, none ? json_null() : write_value(field, member_in(from, field)))) {
            json_decref(object);
            return NULL;
        }
    }
    return object;
}

json_t *shape_write(const struct shape *shape, const void *from)
{
    if (shape->variants)
        return shape_write(shape->variants[*(const int *)from], from);
    if (shape->tuple)
        return write_tuple(shape, from);
    if (shape->count == 1 && !shape->field[0].name)
        return write_value(&shape->field[0], member_in(from, &shape->field[0]));
    return write_object(shape, from);
}

int shape_patch(const struct shape *shape, void *current, const json_t *patch, struct arena *arena, struct fault *fault)
{
    json_t *whole = shape_write(shape, current);
    void *read = arena_take(arena, shape->size);
    int failed;

    if (!whole || !read || !json_is_object(patch)) {
        json_decref(whole);
        return whole && read ? fault_add(fault, FAULT_INPUT, "", "must be an object") : fault_add(fault, FAULT_MEMORY, "", "out of memory");
    }
    for (size_t i = 0; i < shape->count; i++)
        if (shape->field[i].flags & FIELD_ANSWER_ONLY)
            json_object_del(whole, shape->field[i].name);
    failed = json_object_update(whole, (json_t *)patch) ? fault_add(fault, FAULT_MEMORY, "", "out of memory")
                                                        : shape_read(shape, whole, read, arena, fault);
    json_decref(whole);
    if (!failed)
        memcpy(current, read, shape->size);
    return failed;
}

/* ---- holding an answer against its shape ---- */

static int check_value(struct reading *reading, const struct field *field, const json_t *value);

static int check_document(struct reading *reading, const struct shape *shape, const json_t *document)
{
    int failed = 0;

    if (shape->variants) {
        const char *tag = shape->tag ? json_string_value(json_object_get(document, shape->tag)) : NULL;

        for (size_t i = 0; shape->variants[i]; i++) {
            struct fault none = {0};
            struct reading trial = {.fault = &none};

            if (shape->tag ? tag && strcmp(tag, shape->tag_values[i]) == 0 : !check_document(&trial, shape->variants[i], document))
                return check_document(reading, shape->variants[i], document);
        }
        return refuse(reading, "is none of the forms");
    }
    if (shape->count == 1 && !shape->field[0].name)
        return check_value(reading, &shape->field[0], document);
    if (shape->tuple) {
        if (json_array_size(document) != shape->count)
            return refuse(reading, "has another length");
        for (size_t i = 0; i < shape->count; i++)
            failed |= check_value(reading, &shape->field[i], json_array_get(document, i));
        return failed;
    }
    if (!json_is_object(document))
        return refuse(reading, "must be an object");
    failed = refuse_unknown(reading, shape, document);
    for (size_t i = 0; i < shape->count; i++) {
        const struct field *field = &shape->field[i];
        const json_t *value = json_object_get(document, field->name);
        size_t back = step_in(&reading->path, field->name);

        if (field->flags & FIELD_BODY_ONLY)
            failed |= value ? refuse(reading, "is for bodies only") : 0;
        else if (!value)
            failed |= (field->flags & FIELD_REQUIRED) ? refuse(reading, "is missing") : 0;
        else if (json_is_null(value))
            failed |= (field->flags & FIELD_NULLABLE) || field->kind == FIELD_JSON ? 0 : refuse(reading, "must not be null");
        else
            failed |= check_value(reading, field, value);
        step_back(&reading->path, back);
    }
    return failed;
}

static int check_value(struct reading *reading, const struct field *field, const json_t *value)
{
    double number;
    int64_t whole;
    int choice;
    const char *name;
    json_t *item;
    int failed = 0;
    int32_t day;

    switch (field->kind) {
    case FIELD_NUMBER: /* bounds are for bodies; an answer may lie outside */
        return read_number(reading, &(struct field){.kind = FIELD_NUMBER}, value, &number);
    case FIELD_INTEGER:
        return read_integer(reading, &(struct field){.kind = FIELD_INTEGER}, value, &whole);
    case FIELD_BOOL:
        return json_is_boolean(value) ? 0 : refuse(reading, "must be true or false");
    case FIELD_TEXT:
        return json_is_string(value) ? 0 : refuse(reading, "must be a text");
    case FIELD_CHOICE:
        return read_choice(reading, field, value, &choice);
    case FIELD_DATE:
        return json_is_string(value) && shape_read_date(json_string_value(value), &day) == 0 ? 0 : refuse(reading, "must be a date");
    case FIELD_INSTANT:
        return json_is_string(value) && shape_read_instant(json_string_value(value), &whole) == 0 ? 0 : refuse(reading, "must be a moment");
    case FIELD_OBJECT:
    case FIELD_ONE_OF:
        return check_document(reading, field->shape, value);
    case FIELD_LIST:
        if (!json_is_array(value))
            return refuse(reading, "must be a list");
        for (size_t i = 0; i < json_array_size(value); i++) {
            size_t back = step_to(&reading->path, i);

            failed |= check_document(reading, field->shape, json_array_get(value, i));
            step_back(&reading->path, back);
        }
        return failed;
    case FIELD_MAP:
        if (!json_is_object(value))
            return refuse(reading, "must be an object of numbers");
        json_object_foreach((json_t *)value, name, item) {
            size_t i = 0;

            while (field->words[i] && strcmp(field->words[i], name) != 0)
                i++;
            failed |= field->words[i] && json_is_number(item) ? 0 : refuse(reading, "must hold numbers by known names");
        }
        return failed;
    case FIELD_JSON:
        return 0;
    }
    return -1;
}

int shape_check(const struct shape *shape, const json_t *document, struct fault *fault)
{
    struct reading reading = {.fault = fault};

    return check_document(&reading, shape, document) ? -1 : 0;
}

/* ---- the schema ---- */

static json_t *schema_value(const struct field *field, json_t *named, bool answer);

static void about(json_t *schema, const char *text)
{
    if (text)
        json_object_set_new(schema, "description", json_string(text));
}

static json_t *words_of(const char *const *words)
{
    json_t *list = json_array();

    for (size_t i = 0; words[i]; i++)
        json_array_append_new(list, json_string(words[i]));
    return list;
}

static json_t *schema_object(const struct shape *shape, json_t *named, bool answer)
{
    json_t *properties = json_object(), *required = json_array(), *schema;

    for (size_t i = 0; i < shape->count; i++) {
        const struct field *field = &shape->field[i];
        json_t *value;

        if (field->flags & (answer ? FIELD_BODY_ONLY : FIELD_ANSWER_ONLY))
            continue;
        value = schema_value(field, named, answer);
        if (field->flags & FIELD_NULLABLE)
            value = json_pack("{s:[o,{s:s}]}", "anyOf", value, "type", "null");
        about(value, field->about);
        json_object_set_new(properties, field->name, value);
        if (field->flags & FIELD_REQUIRED)
            json_array_append_new(required, json_string(field->name));
    }
    schema = json_pack("{s:s,s:o,s:o,s:b}", "type", "object", "properties", properties, "required", required,
                       "additionalProperties", 0);
    about(schema, shape->about);
    return schema;
}

static json_t *schema_tuple(const struct shape *shape, json_t *named, bool answer)
{
    json_t *items = json_array();

    for (size_t i = 0; i < shape->count; i++)
        json_array_append_new(items, schema_value(&shape->field[i], named, answer));
    return json_pack("{s:s,s:o,s:i,s:i}", "type", "array", "prefixItems", items, "minItems", (int)shape->count, "maxItems",
                     (int)shape->count);
}

static json_t *schema_variants(const struct shape *shape, json_t *named, bool answer)
{
    json_t *any = json_array();

    for (size_t i = 0; shape->variants[i]; i++) {
        json_t *variant = schema_object(shape->variants[i], named, answer);

        if (shape->tag)
            json_object_set_new(json_object_get(variant, "properties"), shape->tag, json_pack("{s:s}", "const", shape->tag_values[i]));
        json_array_append_new(any, variant);
    }
    return json_pack("{s:o}", "anyOf", any);
}

json_t *shape_schema(const struct shape *shape, json_t *named, bool answer)
{
    char name[96];
    json_t *schema;

    if (shape->name) {
        snprintf(name, sizeof name, "%s%s", shape->name, answer ? "" : "Body");
        if (!json_object_get(named, name)) {
            json_object_set_new(named, name, json_object()); /* taken before its parts ask for it again */
            if (shape->variants)
                schema = schema_variants(shape, named, answer);
            else
                schema = shape->tuple ? schema_tuple(shape, named, answer) : schema_object(shape, named, answer);
            json_object_set_new(named, name, schema);
        }
        return json_pack("{s:s+}", "$ref", "#/components/schemas/", name);
    }
    if (shape->variants)
        return schema_variants(shape, named, answer);
    if (shape->tuple)
        return schema_tuple(shape, named, answer);
    if (shape->count == 1 && !shape->field[0].name)
        return schema_value(&shape->field[0], named, answer);
    return schema_object(shape, named, answer);
}

/* Bounds are for bodies; an answer may lie outside. */
static json_t *schema_number(const char *type, const struct field *field, bool answer)
{
    json_t *schema = json_pack("{s:s}", "type", type);

    if (!answer && (field->least != 0 || field->most != 0)) {
        json_object_set_new(schema, "minimum", json_real(field->least));
        json_object_set_new(schema, "maximum", json_real(field->most));
    }
    return schema;
}

static json_t *schema_value(const struct field *field, json_t *named, bool answer)
{
    json_t *schema = NULL;

    switch (field->kind) {
    case FIELD_NUMBER:
    case FIELD_INTEGER:
        return schema_number(field->kind == FIELD_NUMBER ? "number" : "integer", field, answer);
    case FIELD_BOOL:
        return json_pack("{s:s}", "type", "boolean");
    case FIELD_TEXT:
        schema = json_pack("{s:s}", "type", "string");
        if (!answer) { /* JSON Schema counts characters: never more than bytes */
            json_object_set_new(schema, "maxLength", json_integer(field->most > 0 ? (json_int_t)field->most : TEXT_MOST));
            if (field->least == 1)
                json_object_set_new(schema, "minLength", json_integer(1));
        }
        return schema;
    case FIELD_CHOICE:
        return json_pack("{s:s,s:o}", "type", "string", "enum", words_of(field->words));
    case FIELD_DATE:
        return json_pack("{s:s,s:s}", "type", "string", "format", "date");
    case FIELD_INSTANT:
        return json_pack("{s:s,s:s}", "type", "string", "format", "date-time");
    case FIELD_OBJECT:
    case FIELD_ONE_OF:
        return shape_schema(field->shape, named, answer);
    case FIELD_LIST:
        schema = json_pack("{s:s,s:o}", "type", "array", "items", shape_schema(field->shape, named, answer));
        if (!answer) {
            json_object_set_new(schema, "minItems", json_integer((json_int_t)field->least));
            json_object_set_new(schema, "maxItems", json_integer(field->most > 0 ? (json_int_t)field->most : LIST_MOST));
        }
        return schema;
    case FIELD_MAP:
        schema = schema_number("number", field, answer);
        if (!answer) /* null: as if it were left out */
            schema = json_pack("{s:[o,{s:s}]}", "anyOf", schema, "type", "null");
        return json_pack("{s:s,s:o,s:{s:o}}", "type", "object", "additionalProperties", schema, "propertyNames", "enum",
                         words_of(field->words));
    case FIELD_JSON:
        return json_object();
    }
    return schema;
}
