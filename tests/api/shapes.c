/* Documents by table: every kind of field, every fault, what is read and written again. Figures are invented. */
#include <check.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "api/chemistry.h"
#include "api/form.h"
#include "api/problem.h"
#include "api/shape.h"
#include "runner.h"

/* ---- one document with every kind in it ---- */

static const char *const colours[] = {"red", "green", NULL};
static const char *const metals[] = {"fe", "mn", NULL};

struct inner {
    double depth_mm;
    const char *name;
};
static const struct field inner_fields[] = {
    {"depth_mm", FIELD_NUMBER, FIELD_REQUIRED, offsetof(struct inner, depth_mm), -5, 5, .standard = NAN},
    {"name", FIELD_TEXT, FIELD_NULLABLE, offsetof(struct inner, name), 1, 8, .about = NULL},
};
static const struct shape inner_shape = {.name = "Inner", .size = sizeof(struct inner), .field = inner_fields, .count = COUNT(inner_fields)};

static const struct field pair_fields[] = {
    {NULL, FIELD_NUMBER, FIELD_REQUIRED, 0, 0, 10, .standard = NAN},
    {NULL, FIELD_NUMBER, FIELD_REQUIRED, sizeof(double), 0, 10, .standard = NAN},
};
static const struct shape pair_shape = {.size = 2 * sizeof(double), .field = pair_fields, .count = 2, .tuple = true};

static const struct field plain_field[] = {{NULL, FIELD_NUMBER, FIELD_REQUIRED, 0, 0, 10, .standard = NAN}};
static const struct shape plain_shape = {.size = sizeof(double), .field = plain_field, .count = 1};

struct form {
    int which;
    union {
        double wide_mm, deep_mm;
    };
};
static const struct field wide_fields[] = {{"wide_mm", FIELD_NUMBER, FIELD_REQUIRED, offsetof(struct form, wide_mm), 0, 10, .standard = NAN}};
static const struct field deep_fields[] = {{"deep_mm", FIELD_NUMBER, FIELD_REQUIRED, offsetof(struct form, deep_mm), 0, 10, .standard = NAN}};
static const struct shape wide_shape = {.name = "Wide", .size = sizeof(struct form), .field = wide_fields, .count = 1};
static const struct shape deep_shape = {.name = "Deep", .size = sizeof(struct form), .field = deep_fields, .count = 1};
static const struct shape *const forms[] = {&wide_shape, &deep_shape, NULL};
static const struct shape form_shape = {.size = sizeof(struct form), .variants = forms};

struct all {
    double number, least;
    int64_t whole, most;
    bool yes;
    const char *text;
    int colour;
    int32_t day;
    int64_t at_ms;
    struct inner inner;
    bool inner_given;
    struct list list, plain;
    double pair[2], map[2];
    struct form form;
    bool form_given;
    json_t *json;
    double told;
};

#define AT(member) offsetof(struct all, member)
static const struct field all_fields[] = {
    {"number", FIELD_NUMBER, FIELD_REQUIRED, AT(number), 0, 14, .standard = NAN},
    {"least", FIELD_NUMBER, 0, AT(least), .standard = 7},
    {"whole", FIELD_INTEGER, 0, AT(whole), 1, 500, .standard = 50},
    {"most", FIELD_INTEGER, FIELD_NULLABLE, AT(most), .standard = (double)INT64_MIN},
    {"yes", FIELD_BOOL, 0, AT(yes), .standard = 1},
    {"text", FIELD_TEXT, FIELD_NULLABLE, AT(text), 1, 10, .about = NULL},
    {"colour", FIELD_CHOICE, 0, AT(colour), .words = colours, .standard = 1},
    {"day", FIELD_DATE, FIELD_NULLABLE, AT(day), .about = NULL},
    {"at", FIELD_INSTANT, 0, AT(at_ms), .about = NULL},
    {"inner", FIELD_OBJECT, FIELD_NULLABLE, AT(inner), .shape = &inner_shape, .given = AT(inner_given)},
    {"list", FIELD_LIST, 0, AT(list), 0, 2, .shape = &inner_shape},
    {"plain", FIELD_LIST, 0, AT(plain), 0, 3, .shape = &plain_shape},
    {"pair", FIELD_OBJECT, 0, AT(pair), .shape = &pair_shape},
    {"map", FIELD_MAP, 0, AT(map), 0, 10, .words = metals},
    {"form", FIELD_ONE_OF, 0, AT(form), .shape = &form_shape, .given = AT(form_given)},
    {"json", FIELD_JSON, 0, AT(json), .about = NULL},
    {"told", FIELD_NUMBER, FIELD_ANSWER_ONLY, AT(told), .standard = NAN},
};
#undef AT
static const struct shape all_shape = {.name = "All", .size = sizeof(struct all), .field = all_fields, .count = COUNT(all_fields)};

static json_t *parsed(const char *text)
{
    json_error_t why;
    json_t *document = json_loads(text, JSON_DECODE_ANY | JSON_REJECT_DUPLICATES, &why);

    ck_assert_msg(document != NULL, "%s: %s", text, why.text);
    return document;
}

/* ---- what stands there when only what must be is given ---- */

START_TEST(standards_stand_where_nothing_is_given)
{
    ARENA_HELD arena = {0};
    struct fault fault = {0};
    struct all all;
    json_t *document = parsed("{\"number\":6}");

    ck_assert_int_eq(shape_read(&all_shape, document, &all, &arena, &fault), 0);
    ck_assert(all.number == 6 && all.least == 7 && all.whole == 50 && all.most == INT64_MIN && all.yes && !all.text && all.colour == 1);
    ck_assert(all.day == FIELD_NO_DATE && all.at_ms == FIELD_NO_INSTANT && !all.inner_given && !all.list.count && !all.form_given);
    ck_assert(isnan(all.map[0]) && isnan(all.map[1]) && isnan(all.pair[0]) && isnan(all.inner.depth_mm) && isnan(all.told) && !all.json);
    json_decref(document);
}
END_TEST

/* ---- read and written again, each comes back as it was ---- */

static const char *const kept[] = {
    "{\"number\":6.25,\"least\":-3,\"whole\":500,\"most\":9007199254740992,\"yes\":false,\"text\":\"M\xc3\xbcll\",\"colour\":\"red\","
    "\"day\":\"2024-02-29\",\"at\":\"2026-05-01T07:30:00Z\",\"inner\":{\"depth_mm\":-5,\"name\":\"a\"},\"list\":[{\"depth_mm\":1,\"name\":null},"
    "{\"depth_mm\":2,\"name\":\"b\"}],\"plain\":[1,2,3],\"pair\":[0,10],\"map\":{\"mn\":0.5},\"form\":{\"deep_mm\":3},\"json\":{\"any\":[1,null]}}",
    "{\"number\":0,\"least\":7,\"whole\":1,\"most\":null,\"yes\":true,\"text\":null,\"colour\":\"green\",\"day\":null,\"at\":\"1969-12-31T23:59:59.999Z\","
    "\"inner\":null,\"map\":{},\"form\":{\"wide_mm\":0}}",
};

START_TEST(what_was_read_is_written)
{
    ARENA_HELD arena = {0};
    struct fault fault = {0};
    struct all all;
    json_t *document = parsed(kept[_i]), *written;
    const char *name;
    json_t *value;

    ck_assert_msg(shape_read(&all_shape, document, &all, &arena, &fault) == 0, "%s %s", fault.item[0].at, fault.item[0].detail);
    written = shape_write(&all_shape, &all);
    ck_assert_ptr_nonnull(written);
    ck_assert_msg(shape_check(&all_shape, written, &fault) == 0, "%s %s", fault.item[0].at, fault.item[0].detail);
    json_object_foreach(document, name, value) {
        char *was = json_dumps(value, JSON_ENCODE_ANY | JSON_SORT_KEYS | JSON_REAL_PRECISION(12)), *is;
        json_t *again = json_object_get(written, name);

        if (json_is_number(value)) {
            ck_assert_msg(json_number_value(again) == json_number_value(value), "%s", name);
        } else if (strcmp(name, "inner") == 0 || strcmp(name, "list") == 0 || strcmp(name, "plain") == 0 || strcmp(name, "pair") == 0 ||
                   strcmp(name, "form") == 0 || strcmp(name, "map") == 0) {
            struct all second;
            json_t *whole = json_deep_copy(document);

            /* Numbers come back as reals: read once more, they must be the same bytes. */
            json_object_set(whole, name, again);
            memset(&second, 0, sizeof second);
            ck_assert_int_eq(shape_read(&all_shape, whole, &second, &arena, &fault), 0);
            json_decref(whole);
            ck_assert_msg(json_is_null(value) == json_is_null(again), "%s", name);
        } else {
            is = json_dumps(again, JSON_ENCODE_ANY | JSON_SORT_KEYS | JSON_REAL_PRECISION(12));
            ck_assert_str_eq(is, was);
            free(is);
        }
        free(was);
    }
    json_decref(written);
    json_decref(document);
}
END_TEST

/* ---- what must be refused, and where ---- */

#define WITH(rest) "{\"number\":1," rest "}"
static const struct {
    const char *document, *at;
} refused[] = {
    {"[]", ""},
    {"3", ""},
    {"null", ""},
    {"{}", "/number"},
    {"{\"number\":null}", "/number"},
    {"{\"number\":\"6\"}", "/number"},
    {"{\"number\":true}", "/number"},
    {"{\"number\":-0.001}", "/number"},
    {"{\"number\":14.001}", "/number"},
    {"{\"number\":1,\"Number\":1}", "/Number"},
    {WITH("\"a/b~c\":1"), "/a~1b~0c"},
    {WITH("\"least\":\"x\""), "/least"},
    {WITH("\"whole\":1.5"), "/whole"},
    {WITH("\"whole\":0"), "/whole"},
    {WITH("\"whole\":501"), "/whole"},
    {WITH("\"whole\":\"5\""), "/whole"},
    {WITH("\"most\":1e300"), "/most"},
    {WITH("\"yes\":1"), "/yes"},
    {WITH("\"yes\":\"true\""), "/yes"},
    {WITH("\"text\":5"), "/text"},
    {WITH("\"text\":\"\""), "/text"},
    {WITH("\"text\":\"01234567890\""), "/text"},
    {WITH("\"text\":\"a\\u0007b\""), "/text"},
    {WITH("\"text\":\"a\\u007fb\""), "/text"},
    {WITH("\"colour\":\"blue\""), "/colour"},
    {WITH("\"colour\":0"), "/colour"},
    {WITH("\"colour\":null"), "/colour"},
    {WITH("\"day\":\"2026-02-29\""), "/day"},
    {WITH("\"day\":\"2026-2-9\""), "/day"},
    {WITH("\"day\":\"2026-05-01T00:00:00Z\""), "/day"},
    {WITH("\"day\":20260501"), "/day"},
    {WITH("\"at\":\"2026-05-01\""), "/at"},
    {WITH("\"at\":\"2026-05-01T24:00:00Z\""), "/at"},
    {WITH("\"at\":\"2026-05-01T07:30:00\""), "/at"},
    {WITH("\"at\":\"2026-05-01 07:30:00Z\""), "/at"},
    {WITH("\"at\":\"2026-13-01T07:30:00Z\""), "/at"},
    {WITH("\"at\":\"2026-05-01T07:30:00.Z\""), "/at"},
    {WITH("\"at\":\"2026-05-01T07:30:00+2:00\""), "/at"},
    {WITH("\"at\":null"), "/at"},
    {WITH("\"inner\":[]"), "/inner"},
    {WITH("\"inner\":{}"), "/inner/depth_mm"},
    {WITH("\"inner\":{\"depth_mm\":6}"), "/inner/depth_mm"},
    {WITH("\"inner\":{\"depth_mm\":1,\"x\":1}"), "/inner/x"},
    {WITH("\"list\":{}"), "/list"},
    {WITH("\"list\":[{\"depth_mm\":1},{\"depth_mm\":1},{\"depth_mm\":1}]"), "/list"},
    {WITH("\"list\":[{\"depth_mm\":1},3]"), "/list/1"},
    {WITH("\"list\":[{\"depth_mm\":1},{\"depth_mm\":\"1\"}]"), "/list/1/depth_mm"},
    {WITH("\"plain\":[1,\"2\"]"), "/plain/1"},
    {WITH("\"plain\":[11]"), "/plain/0"},
    {WITH("\"pair\":[1]"), "/pair"},
    {WITH("\"pair\":[1,2,3]"), "/pair"},
    {WITH("\"pair\":{\"0\":1}"), "/pair"},
    {WITH("\"pair\":[1,null]"), "/pair/1"},
    {WITH("\"pair\":[1,11]"), "/pair/1"},
    {WITH("\"map\":[]"), "/map"},
    {WITH("\"map\":{\"au\":1}"), "/map/au"},
    {WITH("\"map\":{\"fe\":\"1\"}"), "/map/fe"},
    {WITH("\"map\":{\"fe\":-1}"), "/map/fe"},
    {WITH("\"form\":{}"), "/form"},
    {WITH("\"form\":7"), "/form"},
    {WITH("\"form\":{\"deep_mm\":11}"), "/form/deep_mm"},
    {WITH("\"form\":{\"deep_mm\":1,\"high_mm\":1}"), "/form/high_mm"},
    {WITH("\"told\":1"), "/told"},
};

START_TEST(what_is_wrong_is_named)
{
    ARENA_HELD arena = {0};
    struct fault fault = {0};
    struct all all;
    json_t *document = parsed(refused[_i].document);

    ck_assert_msg(shape_read(&all_shape, document, &all, &arena, &fault) == -1, "taken: %s", refused[_i].document);
    ck_assert_int_eq(fault.code, FAULT_INPUT);
    ck_assert_uint_eq(fault.count, 1);
    ck_assert_str_eq(fault.item[0].at, refused[_i].at);
    ck_assert_uint_gt(strlen(fault.item[0].detail), 5);
    json_decref(document);
}
END_TEST

/* Five faults in one document: five pointers, in one answer. */
START_TEST(all_faults_are_gathered)
{
    ARENA_HELD arena = {0};
    struct fault fault = {0};
    struct all all;
    json_t *document = parsed("{\"whole\":0,\"yes\":1,\"inner\":{\"depth_mm\":9},\"list\":[1]}");

    ck_assert_int_eq(shape_read(&all_shape, document, &all, &arena, &fault), -1);
    ck_assert_uint_eq(fault.count, 5);
    json_decref(document);
}
END_TEST

/* A hundred faults: sixteen told, the rest counted, nothing written past the end. */
START_TEST(faults_without_room_are_counted)
{
    ARENA_HELD arena = {0};
    struct fault fault = {0};
    struct reply reply = {0};
    struct all all;
    json_t *document = parsed("{\"number\":1}"), *problem;
    char name[16];

    for (int i = 0; i < 100; i++) {
        snprintf(name, sizeof name, "x%d", i);
        json_object_set_new(document, name, json_integer(i));
    }
    ck_assert_int_eq(shape_read(&all_shape, document, &all, &arena, &fault), -1);
    ck_assert_uint_eq(fault.count, FAULT_ITEMS);
    ck_assert_uint_eq(fault.more, 100 - FAULT_ITEMS);
    problem_reply(NULL, &reply, &fault);
    problem = json_loads(reply.bytes, 0, NULL);
    ck_assert_uint_eq(json_array_size(json_object_get(problem, "errors")), FAULT_ITEMS + 1);
    json_decref(problem);
    json_decref(document);
    reply_end(&reply);
}
END_TEST

/* A sentence that was cut within a character is still told (it once became "out of memory"). */
START_TEST(a_fault_cut_within_a_character_is_told)
{
    struct fault fault = {0};
    struct reply reply = {0};
    json_t *problem;

    fault_add(&fault, FAULT_INPUT, "/\xc3", "near '\xf0\x9f'");
    problem_reply(NULL, &reply, &fault);
    problem = json_loads(reply.bytes, 0, NULL);
    ck_assert_uint_eq(reply.status, 422);
    ck_assert_str_eq(json_string_value(json_object_get(json_array_get(json_object_get(problem, "errors"), 0), "at")), "/?");
    ck_assert_str_eq(json_string_value(json_object_get(problem, "detail")), "?: near '?" "?'");
    json_decref(problem);
    reply_end(&reply);
}
END_TEST

/* ---- moments. Each text is by RFC 3339 (2002), section 5.8 where it says so; the milliseconds by GNU date ---- */

static const struct {
    const char *text;
    int64_t ms;
    const char *again;
} moments[] = {
    {"1985-04-12T23:20:50.52Z", 482196050520, "1985-04-12T23:20:50.520Z"},      /* RFC 3339, 5.8 */
    {"1996-12-19T16:39:57-08:00", 851042397000, "1996-12-20T00:39:57Z"},        /* RFC 3339, 5.8 */
    {"1937-01-01T12:00:27.87+00:20", -1041337172130, "1937-01-01T11:40:27.870Z"}, /* RFC 3339, 5.8 */
    {"1970-01-01T00:00:00Z", 0, "1970-01-01T00:00:00Z"},
    {"2000-02-29t12:00:00z", 951825600000, "2000-02-29T12:00:00Z"},
    {"9999-12-31T23:59:59Z", 253402300799000, "9999-12-31T23:59:59Z"},
};

START_TEST(moments_as_rfc_3339)
{
    char text[32];
    int64_t ms = 1;

    ck_assert_int_eq(shape_read_instant(moments[_i].text, &ms), 0);
    ck_assert_int_eq(ms, moments[_i].ms);
    ck_assert_str_eq(shape_instant(text, ms), moments[_i].again);
}
END_TEST

/* ---- an answer that does not keep its shape is found ---- */

static const char *const broken_answers[] = {
    "[]", "{}", "{\"number\":\"1\"}", "{\"number\":null}", WITH("\"x\":1"), WITH("\"yes\":null"), WITH("\"colour\":\"blue\""),
    WITH("\"day\":\"soon\""), WITH("\"inner\":{}"), WITH("\"list\":[1]"), WITH("\"pair\":[1]"), WITH("\"map\":{\"au\":1}"), WITH("\"form\":{}"),
};

START_TEST(broken_answers_are_found)
{
    struct fault fault = {0};
    json_t *document = parsed(broken_answers[_i]);

    ck_assert_int_eq(shape_check(&all_shape, document, &fault), -1);
    ck_assert_uint_ge(fault.count, 1);
    json_decref(document);
}
END_TEST

/* ---- a patch ---- */

START_TEST(a_patch_changes_what_it_names_or_nothing)
{
    ARENA_HELD arena = {0};
    struct fault fault = {0};
    struct all all;
    json_t *document = parsed(kept[0]), *good = parsed("{\"number\":3,\"inner\":null}"), *bad = parsed("{\"number\":3,\"whole\":0}"), *told = parsed("{\"told\":1}");

    ck_assert_int_eq(shape_read(&all_shape, document, &all, &arena, &fault), 0);
    ck_assert_int_eq(shape_patch(&all_shape, &all, bad, &arena, &fault), -1);
    ck_assert(all.number == 6.25 && all.whole == 500);
    fault = (struct fault){0};
    ck_assert_int_eq(shape_patch(&all_shape, &all, told, &arena, &fault), -1);
    ck_assert_str_eq(fault.item[0].at, "/told");
    fault = (struct fault){0};
    ck_assert_int_eq(shape_patch(&all_shape, &all, good, &arena, &fault), 0);
    ck_assert(all.number == 3 && all.whole == 500 && !all.inner_given && all.list.count == 2);
    json_decref(document);
    json_decref(good);
    json_decref(bad);
    json_decref(told);
}
END_TEST

/* ---- queries and forms ---- */

static const struct field asked_fields[] = {
    {"limit", FIELD_INTEGER, 0, 0, 1, 500, .standard = 50},
    {"after", FIELD_TEXT, 0, 8, 1, 20, .about = NULL},
    {"all", FIELD_BOOL, 0, 16, .about = NULL},
};
static const struct shape asked_shape = {.size = 24, .field = asked_fields, .count = COUNT(asked_fields)};
struct asked {
    int64_t limit;
    const char *after;
    bool all;
};

static const struct {
    const char *text;
    int64_t limit; /* 0: refused */
    const char *after;
} queries[] = {
    {"", 50, NULL},
    {"limit=500", 500, NULL},
    {"limit=1e2&after=a+b%20c%C3%BC", 100, "a b c\xc3\xbc"},
    {"&&after=x&", 50, "x"},
    {"all=true&after=1", 50, "1"},
    {"limit=", 0, NULL},
    {"limit=0", 0, NULL},
    {"limit=501", 0, NULL},
    {"limit=1.5", 0, NULL},
    {"limit=nan", 0, NULL},
    {"limit=inf", 0, NULL},
    {"limit=0x10", 0, NULL},
    {"limit=%2010", 0, NULL},
    {"limit=1e999", 0, NULL},
    {"limit=1&limit=2", 0, NULL},
    {"after=", 0, NULL},
    {"after", 0, NULL},
    {"after=%", 0, NULL},
    {"after=%4", 0, NULL},
    {"after=%zz", 0, NULL},
    {"after=%00", 0, NULL},
    {"after=%ff", 0, NULL},
    {"after=\xc3", 0, NULL},
    {"all=yes", 0, NULL},
    {"all=1", 0, NULL},
    {"colour=red", 0, NULL},
    {"=1", 0, NULL},
};

START_TEST(queries_are_read_like_bodies)
{
    ARENA_HELD arena = {0};
    struct fault fault = {0};
    struct asked asked = {0};
    json_t *document = form_document(&asked_shape, queries[_i].text, strlen(queries[_i].text), &arena, &fault);
    bool taken = document && shape_read(&asked_shape, document, &asked, &arena, &fault) == 0;

    ck_assert_msg(taken == (queries[_i].limit != 0), "%s", queries[_i].text);
    if (taken) {
        ck_assert_int_eq(asked.limit, queries[_i].limit);
        if (queries[_i].after)
            ck_assert_str_eq(asked.after, queries[_i].after);
    } else {
        ck_assert_int_eq(fault.code, FAULT_INPUT);
    }
    json_decref(document);
}
END_TEST

/* ---- the words of the chemistry are those of the calculation ---- */

START_TEST(words_are_those_of_the_calculation)
{
    for (int i = 0; i < ELEMENT_NUTRIENTS; i++) {
        ck_assert_str_eq(element_words[i], element_key[i]);
        ck_assert_str_eq(target_words[i], element_key[i]);
    }
    for (int i = 0; i < LABEL_ITEMS; i++)
        ck_assert_str_eq(label_words[i], label_key[i]);
    for (int i = 0; i < REAGENT_COUNT; i++)
        ck_assert_str_eq(reagent_words[i], reagent_key[i]);
    for (int i = 0; i < SOLUTION_MINERALS_TOLD; i++)
        ck_assert_str_eq(mineral_words[i], solution_mineral_key[i]);
    for (int i = 0, word = 0; i < ION_COUNT; i++)
        if (i != ION_CITRATE)
            ck_assert_str_eq(ion_words[word++], ion_key[i]);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("api/shapes");
    TCase *tests = tcase_create("shapes");

    tcase_add_test(tests, standards_stand_where_nothing_is_given);
    tcase_add_loop_test(tests, what_was_read_is_written, 0, COUNT(kept));
    tcase_add_loop_test(tests, what_is_wrong_is_named, 0, COUNT(refused));
    tcase_add_test(tests, all_faults_are_gathered);
    tcase_add_test(tests, faults_without_room_are_counted);
    tcase_add_test(tests, a_fault_cut_within_a_character_is_told);
    tcase_add_loop_test(tests, moments_as_rfc_3339, 0, COUNT(moments));
    tcase_add_loop_test(tests, broken_answers_are_found, 0, COUNT(broken_answers));
    tcase_add_test(tests, a_patch_changes_what_it_names_or_nothing);
    tcase_add_loop_test(tests, queries_are_read_like_bodies, 0, COUNT(queries));
    tcase_add_test(tests, words_are_those_of_the_calculation);
    suite_add_tcase(suite, tests);
    return run_suite(suite);
}
