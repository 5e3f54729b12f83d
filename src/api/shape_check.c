/* shape_check.c - holding an answer against its shape. */
#include <string.h>

#include "api/shape_inside.h"

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
        return shape_refuse(reading, "is none of the forms");
    }
    if (shape->count == 1 && !shape->field[0].name)
        return check_value(reading, &shape->field[0], document);
    if (shape->tuple) {
        if (json_array_size(document) != shape->count)
            return shape_refuse(reading, "has another length");
        for (size_t i = 0; i < shape->count; i++)
            failed |= check_value(reading, &shape->field[i], json_array_get(document, i));
        return failed;
    }
    if (!json_is_object(document))
        return shape_refuse(reading, "must be an object");
    failed = shape_refuse_unknown(reading, shape, document);
    for (size_t i = 0; i < shape->count; i++) {
        const struct field *field = &shape->field[i];
        const json_t *value = json_object_get(document, field->name);
        size_t back = shape_step_in(&reading->path, field->name);

        if (field->flags & FIELD_BODY_ONLY)
            failed |= value ? shape_refuse(reading, "is for bodies only") : 0;
        else if (!value)
            failed |= (field->flags & FIELD_REQUIRED) ? shape_refuse(reading, "is missing") : 0;
        else if (json_is_null(value))
            failed |= (field->flags & FIELD_NULLABLE) || field->kind == FIELD_JSON ? 0 : shape_refuse(reading, "must not be null");
        else
            failed |= check_value(reading, field, value);
        shape_step_back(&reading->path, back);
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
        return shape_read_number(reading, &(struct field){.kind = FIELD_NUMBER}, value, &number);
    case FIELD_INTEGER:
        return shape_read_integer(reading, &(struct field){.kind = FIELD_INTEGER}, value, &whole);
    case FIELD_BOOL:
        return json_is_boolean(value) ? 0 : shape_refuse(reading, "must be true or false");
    case FIELD_TEXT:
        return json_is_string(value) ? 0 : shape_refuse(reading, "must be a text");
    case FIELD_CHOICE:
        return shape_read_choice(reading, field, value, &choice);
    case FIELD_DATE:
        return json_is_string(value) && shape_read_date(json_string_value(value), &day) == 0 ? 0 : shape_refuse(reading, "must be a date");
    case FIELD_INSTANT:
        return json_is_string(value) && shape_read_instant(json_string_value(value), &whole) == 0 ? 0 : shape_refuse(reading, "must be a moment");
    case FIELD_OBJECT:
    case FIELD_ONE_OF:
        return check_document(reading, field->shape, value);
    case FIELD_LIST:
        if (!json_is_array(value))
            return shape_refuse(reading, "must be a list");
        for (size_t i = 0; i < json_array_size(value); i++) {
            size_t back = shape_step_to(&reading->path, i);

            failed |= check_document(reading, field->shape, json_array_get(value, i));
            shape_step_back(&reading->path, back);
        }
        return failed;
    case FIELD_MAP:
        if (!json_is_object(value))
            return shape_refuse(reading, "must be an object of numbers");
        json_object_foreach((json_t *)value, name, item) {
            size_t i = 0;

            while (field->words[i] && strcmp(field->words[i], name) != 0)
                i++;
            failed |= field->words[i] && json_is_number(item) ? 0 : shape_refuse(reading, "must hold numbers by known names");
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
