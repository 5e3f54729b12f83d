/* shape_schema.c - shapes as JSON Schema (2020-12), for openapi.json. */
#include <stdio.h>
#include <string.h>

#include "api/shape_inside.h"

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
