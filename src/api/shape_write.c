/* shape_write.c - documents by table: writing and changing them. */
#include <math.h>
#include <string.h>

#include "api/shape.h"

static const void *member_in(const void *base, const struct field *field)
{
    return (const char *)base + field->offset;
}

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
