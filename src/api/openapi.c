/* openapi.c - the OpenAPI 3.1 document, made from the route table and the shapes. */
#include <ctype.h>
#include <stdio.h>
#include <string.h>

#include "api/routes.h"
#include "api/who.h"

static const char *const access_words[] = {
    [ACCESS_ANYONE] = "Anyone may ask.",
    [ACCESS_AT_HOME] = "Any member may ask, and anyone on the machine itself.",
    [ACCESS_SENSOR] = "A sensor's key for the tank, or a grower.",
    [ACCESS_VISITOR] = "Visitors and above.",
    [ACCESS_GROWER] = "Growers and above.",
    [ACCESS_KEEPER] = "Keepers only.",
};

/* "post /api/v1/calc/vessel" gives "postCalcVessel". */
static void operation_id(const struct route *route, char *text, size_t size)
{
    const char *from = strncmp(route->path, "/api/v1", 7) == 0 ? route->path + 7 : route->path;
    size_t length = 0;
    bool capital = true;

    for (const char *c = route->method; *c && length + 1 < size; c++)
        text[length++] = (char)tolower((unsigned char)*c);
    for (; *from && length + 1 < size; from++) {
        if (!isalnum((unsigned char)*from)) {
            capital = true;
            continue;
        }
        text[length++] = (char)(capital ? toupper((unsigned char)*from) : *from);
        capital = false;
    }
    text[length] = '\0';
}

static json_t *content(const char *type, json_t *schema)
{
    return json_pack("{s:{s:o}}", type, "schema", schema);
}

static void add_path_parts(const char *path, json_t *parameters)
{
    for (const char *open = strchr(path, '{'); open; open = strchr(open + 1, '{')) {
        char name[64];

        snprintf(name, sizeof name, "%.*s", (int)strcspn(open + 1, "}"), open + 1);
        json_array_append_new(parameters, json_pack("{s:s,s:s,s:b,s:{s:s}}", "name", name, "in", "path", "required", 1, "schema",
                                                    "type", "string"));
    }
}

static void add_query(const struct shape *asks, json_t *parameters, json_t *named)
{
    json_t *schema = asks ? shape_schema(asks, named, false) : NULL;
    const char *name;
    json_t *value;

    json_object_foreach(json_object_get(schema, "properties"), name, value)
        json_array_append_new(parameters, json_pack("{s:s,s:s,s:O}", "name", name, "in", "query", "schema", value));
    json_decref(schema);
}

static json_t *answers(const struct route *route, json_t *named)
{
    json_t *good = json_pack("{s:s}", "description", "Done.");
    json_t *problem = json_pack("{s:s,s:o}", "description", "A problem document (RFC 9457).", "content",
                                content("application/problem+json", json_pack("{s:s}", "$ref", "#/components/schemas/Problem")));

    if (route->gives)
        json_object_set_new(good, "content", content("application/json", shape_schema(route->gives, named, true)));
    return json_pack("{s:o,s:o}", "2XX", good, "default", problem);
}

/* Any of the members; none is required. */
static json_t *patch_body(const struct shape *shape, json_t *named)
{
    json_t *schema, *whole = shape_schema(shape, named, false);
    char name[96];

    snprintf(name, sizeof name, "%sBody", shape->name);
    schema = json_deep_copy(json_object_get(named, name));
    json_decref(whole);
    json_object_del(schema, "required");
    return json_pack("{s:b,s:o}", "required", 1, "content", content("application/json", schema));
}

/* A file of any length, which is no document of the API: told by its media types alone. */
static json_t *file_body(const char *types)
{
    json_t *content = json_object();
    char type[64];

    for (size_t length; *types; types += length + strspn(types + length, " ")) {
        length = strcspn(types, " ");
        snprintf(type, sizeof type, "%.*s", (int)length, types);
        json_object_set_new(content, type, json_pack("{s:{}}", "schema"));
    }
    return json_pack("{s:b,s:o}", "required", 1, "content", content);
}

/* How whoever asks shows who they are; of the calculations: not at all, on the machine itself. */
static json_t *security(enum access access)
{
    switch (access) {
    case ACCESS_ANYONE:
        return json_array();
    case ACCESS_AT_HOME:
        return json_pack("[{},{s:[]},{s:[]}]", "device", "device-over-tls");
    case ACCESS_SENSOR:
        return json_pack("[{s:[]},{s:[]},{s:[]}]", "device", "device-over-tls", "sensor");
    default:
        return json_pack("[{s:[]},{s:[]}]", "device", "device-over-tls");
    }
}

static json_t *security_schemes(void)
{
    return json_pack("{s:{s:s,s:s,s:s,s:s},s:{s:s,s:s,s:s,s:s},s:{s:s,s:s,s:s}}", "device", "type", "apiKey", "in", "cookie", "name",
                     WHO_COOKIE, "description", "Of a paired device, over plain HTTP in the home network.", "device-over-tls", "type", "apiKey",
                     "in", "cookie", "name", WHO_SECURE_COOKIE, "description", "Of a paired device.", "sensor", "type", "http", "scheme",
                     "bearer", "description", "A sensor's key.");
}

static json_t *operation(const struct route *route, json_t *named)
{
    json_t *parameters = json_array(), *op;
    char id[96], text[400];

    operation_id(route, id, sizeof id);
    snprintf(text, sizeof text, "%s %s", route->about, access_words[route->access]);
    add_path_parts(route->path, parameters);
    add_query(route->asks, parameters, named);
    op = json_pack("{s:s,s:s,s:o,s:o,s:o}", "operationId", id, "description", text, "security", security(route->access), "parameters",
                   parameters, "responses", answers(route, named));
    if (route->takes)
        json_object_set_new(op, "requestBody",
                            json_pack("{s:b,s:o}", "required", 1, "content",
                                      content("application/json", shape_schema(route->takes, named, false))));
    if (route->spools)
        json_object_set_new(op, "requestBody", file_body(route->spools));
    if (route->patches)
        json_object_set_new(op, "requestBody", patch_body(route->patches, named));
    return op;
}

static json_t *problem_schema(void)
{
    return json_loads("{\"type\":\"object\",\"required\":[\"type\",\"title\",\"status\"],\"properties\":{"
                      "\"type\":{\"type\":\"string\"},\"title\":{\"type\":\"string\"},\"status\":{\"type\":\"integer\"},"
                      "\"detail\":{\"type\":\"string\"},\"errors\":{\"type\":\"array\",\"items\":{\"type\":\"object\","
                      "\"required\":[\"at\",\"detail\"],\"properties\":{\"at\":{\"type\":\"string\",\"description\":"
                      "\"JSON Pointer to the field at fault, empty for the whole.\"},\"detail\":{\"type\":\"string\"}}}}}}",
                      0, NULL);
}

json_t *routes_openapi(void)
{
    json_t *paths = json_object(), *named = json_object();

    json_object_set_new(named, "Problem", problem_schema());
    for (size_t i = 0; i < routes_count; i++) {
        json_t *path;
        char method[8];
        size_t length = 0;

        if (strncmp(routes[i].path, "/api/", 5) != 0)
            continue; /* pages are not part of the API */
        path = json_object_get(paths, routes[i].path);

        if (!path) {
            path = json_object();
            json_object_set_new(paths, routes[i].path, path);
        }
        for (const char *c = routes[i].method; *c && length + 1 < sizeof method; c++)
            method[length++] = (char)tolower((unsigned char)*c);
        method[length] = '\0';
        json_object_set_new(path, method, operation(&routes[i], named));
    }
    return json_pack("{s:s,s:{s:s,s:s,s:s},s:o,s:{s:o,s:o}}", "openapi", "3.1.0", "info", "title", "Tidemark", "version", VERSION,
                     "description", "A grow log for plants over still water, with the calculations for it.", "paths", paths,
                     "components", "schemas", named, "securitySchemes", security_schemes());
}
