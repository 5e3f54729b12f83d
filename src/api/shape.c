/* shape.c - documents by table: reading them. */
#include "api/shape.h"

#include <assert.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "api/shape_inside.h"

/* Appends one step, escaped as RFC 6901 (2013) has it; what does not fit is left out. Returns the length to go back to. */
size_t shape_step_in(struct path *path, const char *name)
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

size_t shape_step_to(struct path *path, size_t index)
{
    char number[24];

    snprintf(number, sizeof number, "%zu", index);
    return shape_step_in(path, number);
}

void shape_step_back(struct path *path, size_t length)
{
    path->length = length;
    path->text[length] = '\0';
}


int shape_refuse(struct reading *reading, const char *what)
{
    return fault_add(reading->fault, FAULT_INPUT, reading->path.text, "%s", what);
}

static void *member_of(void *base, const struct field *field)
{
    return (char *)base + field->offset;
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

int shape_read_number(struct reading *reading, const struct field *field, const json_t *value, double *to)
{
    double number = json_number_value(value);

    if (!json_is_number(value))
        return shape_refuse(reading, "must be a number");
    if (!isfinite(number))
        return shape_refuse(reading, "must be a finite number");
    if ((field->least != 0 || field->most != 0) && !(number >= field->least && number <= field->most))
        return fault_add(reading->fault, FAULT_INPUT, reading->path.text, "must be from %g to %g, was %g", field->least,
                         field->most, number);
    *to = number;
    return 0;
}

int shape_read_integer(struct reading *reading, const struct field *field, const json_t *value, int64_t *to)
{
    double number;

    if (shape_read_number(reading, field, value, &number))
        return -1;
    if (number != floor(number) || fabs(number) > 9007199254740992.0)
        return shape_refuse(reading, "must be a whole number");
    *to = json_is_integer(value) ? json_integer_value(value) : (int64_t)number;
    return 0;
}

static int read_text(struct reading *reading, const struct field *field, const json_t *value, const char **to)
{
    size_t length = json_string_length(value), least = (size_t)field->least,
           most = field->most > 0 ? (size_t)field->most : TEXT_MOST;
    const char *text = json_string_value(value);

    if (!text)
        return shape_refuse(reading, "must be a text");
    if (length < least || length > most)
        return least == most
                   ? fault_add(reading->fault, FAULT_INPUT, reading->path.text, "must be %zu bytes long", most)
                   : fault_add(reading->fault, FAULT_INPUT, reading->path.text, "must be %zu to %zu bytes long", least, most);
    for (size_t i = 0; i < length; i++)
        if (((unsigned char)text[i] < 0x20 && text[i] != '\n' && text[i] != '\t') || text[i] == 0x7f)
            return shape_refuse(reading, "must not hold control characters");
    *to = arena_text(reading->arena, text);
    return *to ? 0 : fault_add(reading->fault, FAULT_MEMORY, "", "out of memory");
}

int shape_read_choice(struct reading *reading, const struct field *field, const json_t *value, int *to)
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
        return shape_refuse(reading, "must be an object of numbers");
    json_object_foreach((json_t *)value, name, item) {
        size_t back = shape_step_in(&reading->path, name), i = 0;

        while (field->words[i] && strcmp(field->words[i], name) != 0)
            i++;
        if (!field->words[i])
            failed = shape_refuse(reading, "is not known here");
        else if (!json_is_null(item))
            failed |= shape_read_number(reading, field, item, &to[i]);
        shape_step_back(&reading->path, back);
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
        return shape_refuse(reading, "must be an object");
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
    back = shape_step_in(&reading->path, shape->tag);
    fault_add(reading->fault, FAULT_INPUT, reading->path.text, "must be one of: %s", all);
    shape_step_back(&reading->path, back);
    return -1;
}

static int read_item(struct reading *reading, const struct shape *shape, const json_t *value, void *to);

static int read_list(struct reading *reading, const struct field *field, const json_t *value, struct list *to)
{
    size_t count = json_array_size(value), least = (size_t)field->least, most = field->most > 0 ? (size_t)field->most : LIST_MOST;
    int failed = 0;

    if (!json_is_array(value))
        return shape_refuse(reading, "must be a list");
    if (count < least || count > most)
        return fault_add(reading->fault, FAULT_INPUT, reading->path.text, "must have %zu to %zu items", least, most);
    to->item = count ? arena_take(reading->arena, count * field->shape->size) : NULL;
    if (count && !to->item)
        return fault_add(reading->fault, FAULT_MEMORY, "", "out of memory");
    to->count = count;
    for (size_t i = 0; i < count; i++) {
        size_t back = shape_step_to(&reading->path, i);

        failed |= read_item(reading, field->shape, json_array_get(value, i), (char *)to->item + i * field->shape->size);
        shape_step_back(&reading->path, back);
    }
    return failed;
}

static int read_value(struct reading *reading, const struct field *field, const json_t *value, void *to)
{
    const char *text = json_string_value(value);

    switch (field->kind) {
    case FIELD_NUMBER:
        return shape_read_number(reading, field, value, to);
    case FIELD_INTEGER:
        return shape_read_integer(reading, field, value, to);
    case FIELD_BOOL:
        *(bool *)to = json_is_true(value);
        return json_is_boolean(value) ? 0 : shape_refuse(reading, "must be true or false");
    case FIELD_TEXT:
        return read_text(reading, field, value, to);
    case FIELD_CHOICE:
        return shape_read_choice(reading, field, value, to);
    case FIELD_DATE:
        return text && shape_read_date(text, to) == 0 ? 0 : shape_refuse(reading, "must be a date such as 2026-05-01");
    case FIELD_INSTANT:
        return text && shape_read_instant(text, to) == 0 ? 0 : shape_refuse(reading, "must be a moment such as 2026-05-01T07:30:00Z");
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
        size_t back = shape_step_to(&reading->path, i);

        failed |= read_value(reading, &shape->field[i], json_array_get(value, i), member_of(into, &shape->field[i]));
        shape_step_back(&reading->path, back);
    }
    return failed;
}

static int read_member(struct reading *reading, const struct field *field, const json_t *document, void *into)
{
    const json_t *value = json_object_get(document, field->name);
    size_t back = shape_step_in(&reading->path, field->name);
    int failed = 0;

    if (!value && (field->flags & FIELD_REQUIRED) && !(field->flags & FIELD_ANSWER_ONLY))
        failed = shape_refuse(reading, "is required");
    else if (value && (field->flags & FIELD_ANSWER_ONLY))
        failed = shape_refuse(reading, "is told by the garden, not by you");
    else if (json_is_null(value) && !(field->flags & FIELD_NULLABLE) && field->kind != FIELD_JSON)
        failed = shape_refuse(reading, "must not be null");
    else if (value && !(json_is_null(value) && field->kind != FIELD_JSON)) {
        failed = read_value(reading, field, value, member_of(into, field));
        if (field->given)
            *(bool *)((char *)into + field->given) = true;
    }
    shape_step_back(&reading->path, back);
    return failed;
}

static bool known(const struct shape *shape, const char *name)
{
    for (size_t i = 0; i < shape->count; i++)
        if (strcmp(shape->field[i].name, name) == 0)
            return true;
    return false;
}

int shape_refuse_unknown(struct reading *reading, const struct shape *shape, const json_t *document)
{
    const char *name;
    json_t *value;
    int failed = 0;

    json_object_foreach((json_t *)document, name, value) {
        size_t back;

        if (known(shape, name))
            continue;
        back = shape_step_in(&reading->path, name);
        failed = shape_refuse(reading, "is not known here");
        shape_step_back(&reading->path, back);
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
        return shape_refuse(reading, "must be an object");
    else {
        failed = shape_refuse_unknown(reading, shape, document);
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
