/* Every route that takes a body refuses a bad one: as a problem document that names the field, with nothing written.
 *
 * The bad bodies are made from the route's own shape and one good body (bodies.json): each field in turn gets each wrong type,
 * leaves its range, is left out, doubled or joined by one that nobody knows. A new route is covered by its row and an example.
 */
#include <check.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "bodies.h"
#include "runner.h"

static struct caller caller;
static size_t sent;

static void open_new(void)
{
    caller_open(&caller, "bad-bodies");
}

static void close_it(void)
{
    caller_close(&caller);
}

/* ---- sending one bad body ---- */

/* An address of its own each time: attempts to pair are counted by address. */
static const char *next_peer(void)
{
    static char peer[32];
    static unsigned n;

    n++;
    snprintf(peer, sizeof peer, "10.%u.%u.%u", n >> 16 & 255, n >> 8 & 255, n & 255);
    return peer;
}

/* at: the pointer that must be named, or the one above it where `or_above`; NULL: any. */
static void expect_refused(const struct example *example, const char *body, size_t length, const char *at, bool or_above)
{
    json_t *problem = caller_ask(&caller, &(struct asking){.method = example->route->method, .path = example->path, .body = body, .length = length,
                                                           .peer = next_peer()});
    char above[200] = "";
    int shown = length > 2000 ? 2000 : (int)length;

    sent++;
    ck_assert_msg(caller.status >= 400 && caller.status < 500, "%s %s: %u for %.*s, wanted a fault at %s", example->route->method, example->path,
                  caller.status, shown, body, at ? at : "(any)");
    ck_assert_str_eq(caller.type, "application/problem+json");
    ck_assert_msg(json_is_object(problem), "%s", caller.bytes);
    ck_assert_int_eq(json_integer_value(json_object_get(problem, "status")), (int)caller.status);
    ck_assert_uint_gt(strlen(text_of(problem, "title")), 0);
    ck_assert_msg(json_array_size(json_object_get(problem, "errors")) > 0 || caller.status != 422, "%s", caller.bytes);
    if (at && strlen(at) < 60) { /* longer pointers are cut */
        snprintf(above, sizeof above, "%.*s", (int)(strrchr(at, '/') ? strrchr(at, '/') - at : 0), at);
        ck_assert_msg(problem_at(problem, at) || (or_above && problem_at(problem, above)), "%s %s: no fault at %s for %.*s: %s",
                      example->route->method, example->path, at, shown, body, caller.bytes);
    }
    json_decref(problem);
}

static void expect_document_refused(const struct example *example, const json_t *document, const char *at, bool or_above)
{
    char *text = json_dumps(document, JSON_ENCODE_ANY);

    ck_assert_ptr_nonnull(text);
    expect_refused(example, text, strlen(text), at, or_above);
    free(text);
}

/* The document with what stands for `mark` (with its quotes) replaced by words that JSON cannot hold. */
static void expect_text_refused(const struct example *example, const json_t *document, const char *mark, const char *words)
{
    char *text = json_dumps(document, 0), *at = strstr(text, mark);
    size_t size = strlen(text) + strlen(words) + 1;
    char *made = malloc(size);

    ck_assert_ptr_nonnull(at);
    snprintf(made, size, "%.*s%s%s", (int)(at - text), text, words, at + strlen(mark));
    expect_refused(example, made, strlen(made), NULL, false);
    free(made);
    free(text);
}

/* ---- one field, all that can be wrong with it ---- */

/* Where in the body we are. */
struct place {
    const struct example *example;
    json_t *inside; /* the object or array that holds the value */
    const char *name; /* of the member; NULL: an item */
    size_t index;
    char at[200];
    bool null_is_fine, merged; /* merged: null takes a member away (PATCH) */
};

/* Takes over value. */
static void put(const struct place *place, json_t *value)
{
    if (place->name)
        json_object_set_new(place->inside, place->name, value);
    else
        json_array_set_new(place->inside, place->index, value);
}

static json_t *what_stands(const struct place *place)
{
    return place->name ? json_object_get(place->inside, place->name) : json_array_get(place->inside, place->index);
}

static void refuse_value(const struct place *place, json_t *value, const char *deeper)
{
    json_t *before = json_incref(what_stands(place));
    char at[260];

    ck_assert_ptr_nonnull(value);
    snprintf(at, sizeof at, "%s%s", place->at, deeper);
    put(place, value);
    expect_document_refused(place->example, place->example->body, at, false);
    if (before)
        put(place, before);
    else
        json_object_del(place->inside, place->name);
}

static void refuse_words(const struct place *place, const char *words)
{
    json_t *before = json_incref(what_stands(place));

    put(place, json_string("~mark~"));
    expect_text_refused(place->example, place->example->body, "\"~mark~\"", words);
    if (before)
        put(place, before);
    else
        json_object_del(place->inside, place->name);
}

static json_t *nulls(size_t count)
{
    json_t *list = json_array();

    while (count--)
        json_array_append_new(list, json_null());
    return list;
}

static json_t *long_text(size_t length)
{
    char *text = calloc(length + 1, 1);
    json_t *value;

    memset(text, 'x', length);
    value = json_string(text);
    free(text);
    return value;
}

enum type { NUMBER, TEXT, BOOL, ARRAY, OBJECT, TYPES };

static json_t *of_type(enum type type)
{
    switch (type) {
    case NUMBER:
        return json_integer(7);
    case TEXT:
        return json_string("no such thing");
    case BOOL:
        return json_true();
    case ARRAY:
        return json_array();
    default:
        return json_object();
    }
}

static void refuse_types_but(const struct place *place, enum type fine)
{
    for (int type = 0; type < TYPES; type++)
        if (type != (int)fine)
            refuse_value(place, of_type((enum type)type), "");
    if (!place->null_is_fine)
        refuse_value(place, json_null(), "");
}

static void refuse_number(const struct place *place, const struct field *field)
{
    static const char *const words[] = {"NaN", "1e999", "-1e999", "Infinity", "0x10", "1,5", "+1", "01", "1.", ".5"};

    refuse_types_but(place, NUMBER);
    for (size_t i = 0; i < COUNT(words); i++)
        refuse_words(place, words[i]);
    if (field->kind == FIELD_INTEGER)
        refuse_value(place, json_real(1.5), "");
    if (field->least == 0 && field->most == 0)
        return;
    refuse_value(place, json_real(field->least - 1e-3 * fmax(1, fabs(field->least))), "");
    refuse_value(place, json_real(field->most + 1e-3 * fmax(1, fabs(field->most))), "");
    refuse_value(place, json_real(-1e300), "");
    refuse_value(place, json_real(1e300), "");
}

static void refuse_text(const struct place *place, const struct field *field)
{
    refuse_types_but(place, TEXT);
    refuse_value(place, long_text((field->most > 0 ? (size_t)field->most : 500) + 1), "");
    refuse_value(place, json_string("bell\a"), "");
    if (field->least > 0)
        refuse_value(place, json_string(""), "");
}

static void refuse_map(const struct place *place, const struct field *field)
{
    char deeper[80];

    refuse_types_but(place, OBJECT);
    refuse_value(place, json_pack("{s:i}", "no-such-name", 1), "/no-such-name");
    for (size_t i = 0; field->words[i]; i++) {
        if (strpbrk(field->words[i], "/~"))
            continue;
        snprintf(deeper, sizeof deeper, "/%s", field->words[i]);
        refuse_value(place, json_pack("{s:s}", field->words[i], "1"), deeper);
        if (field->most > 0)
            refuse_value(place, json_pack("{s:f}", field->words[i], field->most * 1.01), deeper);
        if (field->least != 0 || field->most != 0)
            refuse_value(place, json_pack("{s:f}", field->words[i], field->least - 1), deeper);
    }
}

static void walk(const struct place *place, const struct shape *shape);
static void refuse_field(const struct place *place, const struct field *field);

/* Of an array: its first item, or each item of a tuple. */
static void walk_items(const struct place *place, const struct shape *shape)
{
    json_t *list = what_stands(place);
    size_t count = shape->tuple ? shape->count : 1;

    for (size_t i = 0; i < count && i < json_array_size(list); i++) {
        struct place item = {.example = place->example, .inside = list, .index = i};

        snprintf(item.at, sizeof item.at, "%.170s/%zu", place->at, i);
        if (shape->tuple || (shape->count == 1 && !shape->field[0].name)) {
            refuse_field(&item, &shape->field[shape->tuple ? i : 0]);
        } else {
            refuse_types_but(&item, OBJECT);
            walk(&item, shape);
        }
    }
    /* Items of several forms: each that is there is walked. */
    for (size_t i = count; shape->variants && i < json_array_size(list); i++) {
        struct place item = {.example = place->example, .inside = list, .index = i};

        snprintf(item.at, sizeof item.at, "%.170s/%zu", place->at, i);
        walk(&item, shape);
    }
}

static void refuse_field(const struct place *place, const struct field *field)
{
    switch (field->kind) {
    case FIELD_NUMBER:
    case FIELD_INTEGER:
        refuse_number(place, field);
        break;
    case FIELD_BOOL:
        refuse_types_but(place, BOOL);
        break;
    case FIELD_TEXT:
        refuse_text(place, field);
        break;
    case FIELD_CHOICE:
    case FIELD_DATE:
    case FIELD_INSTANT:
        refuse_types_but(place, TYPES);
        refuse_value(place, json_string("2026-02-30"), "");
        refuse_value(place, json_string(""), "");
        break;
    case FIELD_OBJECT:
    case FIELD_ONE_OF:
        if (field->shape->tuple) {
            refuse_types_but(place, ARRAY);
            refuse_value(place, nulls(field->shape->count + 1), "");
            refuse_value(place, nulls(field->shape->count - 1), "");
            walk_items(place, field->shape);
        } else {
            refuse_types_but(place, OBJECT);
            if (json_is_object(what_stands(place)))
                walk(place, field->shape);
        }
        break;
    case FIELD_LIST:
        refuse_types_but(place, ARRAY);
        refuse_value(place, nulls((field->most > 0 ? (size_t)field->most : 500) + 1), "");
        if (field->least > 0)
            refuse_value(place, nulls((size_t)field->least - 1), "");
        walk_items(place, field->shape);
        break;
    case FIELD_MAP:
        refuse_map(place, field);
        break;
    case FIELD_JSON:
        break;
    }
}

/* ---- one object, all its fields ---- */

static bool fits(const struct shape *variant, const json_t *document)
{
    for (size_t i = 0; i < variant->count; i++)
        if ((variant->field[i].flags & FIELD_REQUIRED) && !json_object_get(document, variant->field[i].name))
            return false;
    return true;
}

static const struct shape *form_of(const struct shape *shape, const json_t *document)
{
    const char *tag = shape->tag ? json_string_value(json_object_get(document, shape->tag)) : NULL;

    for (size_t i = 0; shape->variants[i]; i++)
        if (tag ? strcmp(tag, shape->tag_values[i]) == 0 : fits(shape->variants[i], document))
            return shape->variants[i];
    ck_abort_msg("an example that is none of the forms");
}

static void refuse_missing(const struct place *place, json_t *object, const struct field *field, const char *at, bool or_above)
{
    json_t *before = json_incref(json_object_get(object, field->name));

    if (!before)
        return;
    json_object_del(object, field->name);
    expect_document_refused(place->example, place->example->body, at, or_above);
    json_object_set_new(object, field->name, before);
}

static void refuse_unknown_and_doubled(const struct place *place, json_t *object)
{
    const char *name = json_object_iter_key(json_object_iter(object));
    char at[220], words[4096], *value;

    snprintf(at, sizeof at, "%s/no_such_field", place->at);
    json_object_set_new(object, "no_such_field", json_integer(1));
    expect_document_refused(place->example, place->example->body, at, false);
    json_object_del(object, "no_such_field");
    if (!name)
        return;
    value = json_dumps(json_object_get(object, name), JSON_ENCODE_ANY);
    snprintf(words, sizeof words, "\"%s\": %s", name, value);
    free(value);
    json_object_set_new(object, "~twice~", json_integer(1));
    expect_text_refused(place->example, place->example->body, "\"~twice~\": 1", words);
    json_object_del(object, "~twice~");
}

/* The object at this place, or the whole body where place->inside is NULL. */
static void walk(const struct place *place, const struct shape *shape)
{
    json_t *object = place->inside ? what_stands(place) : place->example->body;
    bool untagged = shape->variants && !shape->tag;

    if (shape->variants)
        shape = form_of(shape, object);
    refuse_unknown_and_doubled(place, object);
    for (size_t i = 0; i < shape->count; i++) {
        const struct field *field = &shape->field[i];
        struct place inner = {.example = place->example, .inside = object, .name = field->name};

        snprintf(inner.at, sizeof inner.at, "%.120s/%.70s", place->at, field->name);
        if (field->flags & FIELD_ANSWER_ONLY) {
            refuse_value(&inner, json_integer(1), "");
            continue;
        }
        inner.null_is_fine = (field->flags & FIELD_NULLABLE) || (place->merged && !(field->flags & FIELD_REQUIRED));
        refuse_field(&inner, field);
        if ((field->flags & FIELD_REQUIRED) && !place->merged)
            refuse_missing(place, object, field, inner.at, untagged);
    }
}

/* ---- bodies that are not even documents ---- */

static void refuse_raw(const struct example *example)
{
    static const char *const raw[] = {"", " ", "null", "true", "3", "\"text\"", "[]", "[{}]", "{", "{}x", "nul", "{\"a\":}", "{'a':1}", "{\"a\":1,}", "<a/>",
                                      "\xef\xbb\xbf{}", "\xff\xfe{\0}\0", "{\"\xff\":1}", "{\"a\":\"\xc3\"}", "{\"a\":\"\xed\xa0\x80\"}",
                                      "{\"a\":\"\\ud800\"}", "{\"a\":\"\\u0000\"}", "{\"a\":NaN}", "{\"a\":1e999}", "{\"a\":1,\"a\":1}", "a=1&b=2"};
    char *text = json_dumps(example->body, 0), *large;
    size_t length = strlen(text), five_mb = 5 << 20;

    for (size_t i = 0; i < COUNT(raw); i++)
        expect_refused(example, raw[i], strlen(raw[i]), NULL, false);
    for (size_t i = 1; i < 8; i++) /* cut off under way */
        expect_refused(example, text, length * i / 8, NULL, false);
    large = malloc(five_mb + 1);
    memset(large, ' ', five_mb);
    memcpy(large, text, length);
    expect_refused(example, large, five_mb, NULL, false); /* good, and 5 MB long */
    ck_assert_uint_eq(caller.status, 413);
    memset(large, '[', five_mb);
    expect_refused(example, large, 100000, NULL, false);
    snprintf(large, five_mb, "{\"a\":%.*s%.*s}", 40, "[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[", 40, "]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]");
    expect_refused(example, large, strlen(large), NULL, false);
    ck_assert_ptr_nonnull(strstr(caller.bytes, "nested too deeply")); /* refused before it is parsed */
    memcpy(large, text, length + 1);
    large[length / 2] = '\0'; /* a NUL within */
    expect_refused(example, large, length, NULL, false);
    free(large);
    free(text);
}

/* ---- what HTTP must say ---- */

static void refuse_http(const struct example *example)
{
    static const struct {
        struct asking asking;
        unsigned status;
    } wrong[] = {
        {{.content_type = "text/plain"}, 415},
        {{.content_type = "application/x-www-form-urlencoded"}, 415},
        {{.content_type = "multipart/form-data; boundary=x"}, 415},
        {{.content_type = "application/jsonx"}, 415},
        {{.origin = "http://elsewhere.example"}, 403},
        {{.origin = "null"}, 403},
        {{.origin = "http://localhost.elsewhere.example"}, 403},
        {{.sec_fetch_site = "cross-site"}, 403},
        {{.sec_fetch_site = "same-site"}, 403},
    };
    char *text = json_dumps(example->body, 0);

    for (size_t i = 0; i < COUNT(wrong); i++) {
        struct asking asking = wrong[i].asking;

        asking.method = example->route->method;
        asking.path = example->path;
        asking.body = text;
        asking.length = strlen(text);
        asking.peer = next_peer();
        json_decref(caller_ask(&caller, &asking));
        ck_assert_msg(caller.status == wrong[i].status, "%s %s: %u, not %u", asking.method, asking.path, caller.status, wrong[i].status);
        ck_assert_str_eq(caller.type, "application/problem+json");
        sent++;
    }
    free(text);
}

/* ---- the tests ---- */

START_TEST(every_route_with_a_body_has_an_example)
{
    size_t count = examples_open();

    for (size_t r = 0; r < routes_count; r++) {
        bool found = !takes_json(&routes[r]);

        for (size_t i = 0; i < count && !found; i++) {
            struct example example = example_take(i);

            found = example.route == &routes[r];
            example_end(&example);
        }
        ck_assert_msg(found, "%s %s has no good body in tests/api/bodies.json", routes[r].method, routes[r].path);
    }
    examples_close();
}
END_TEST

/* One garden grows by the good bodies; at each step the bad ones are tried and must change nothing. */
START_TEST(bad_bodies_are_refused_with_a_pointer)
{
    size_t count = examples_open(), routes_tried = 0;

    for (size_t i = 0; i < count; i++) {
        struct example example = example_take(i);
        const struct shape *shape = example.route->takes ? example.route->takes : example.route->patches;
        struct place whole = {.example = &example, .merged = example.route->patches != NULL};
        uint64_t before = caller_hash(&caller);

        refuse_raw(&example);
        refuse_http(&example);
        walk(&whole, shape);
        ck_assert_msg(caller_hash(&caller) == before, "%s %s wrote something", example.route->method, example.path);
        example_send(&caller, i, &example); /* good as ever: none of the above harmed it */
        routes_tried++;
        example_end(&example);
    }
    examples_close();
    printf("bad bodies: %zu refused, from %zu good ones\n", sent, routes_tried);
    ck_assert_uint_gt(sent, 100 * count);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("api/bad_bodies");
    TCase *tests = tcase_create("bad bodies");

    tcase_add_checked_fixture(tests, open_new, close_it);
    tcase_set_timeout(tests, 30);
    tcase_add_test(tests, every_route_with_a_body_has_an_example);
    tcase_add_test(tests, bad_bodies_are_refused_with_a_pointer);
    suite_add_tcase(suite, tests);
    return run_suite(suite);
}
