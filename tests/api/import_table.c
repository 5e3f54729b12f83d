/* Tables of single nouns: written, brought into another garden, written again, they are the same; what is wrong is told by row and
 * column, and then nothing is kept. Data: invented. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "caller.h"
#include "runner.h"

static struct caller from, to;

#define TANK "0190aaaa-0000-7000-8000-0000000000aa"
#define ENTRY(n) "0190bbbb-0000-7000-8000-00000000000" #n

static void add_tank(struct caller *caller)
{
    json_decref(caller_expect(caller, 201, "POST", "/api/v1/vessels", "{\"id\":\"0190aaaa-0000-7000-8000-0000000000ab\",\"name\":\"tub\",\"shape\":{\"shape\":\"round\","
                                                                      "\"floor_mm\":300,\"rim_mm\":340,\"height_mm\":400},\"cups\":[{\"x_mm\":50,\"y_mm\":50},{\"x_mm\":100,\"y_mm\":50}],"
                                                                      "\"start_mm\":300,\"low_mm\":60}"));
    json_decref(caller_expect(caller, 201, "POST", "/api/v1/tanks", "{\"id\":\"" TANK "\",\"name\":\"Roof\",\"vessel\":\"0190aaaa-0000-7000-8000-0000000000ab\"}"));
}

static void log_some(void)
{
    static const char *const entries[] = {
        "\"id\":\"" ENTRY(1) "\",\"kind\":\"fill\",\"at\":\"2026-01-01T07:30:00Z\",\"waterline_mm\":300,\"weighed\":[{\"salt\":\"epsom-salt\",\"grams\":12.5}],\"note\":\"=SUM(A1)\"",
        "\"id\":\"" ENTRY(2) "\",\"kind\":\"planting\",\"at\":\"2026-01-01T08:00:00Z\",\"crop\":\"lettuce-leaf\",\"cups\":[1,2]",
        "\"id\":\"" ENTRY(3) "\",\"kind\":\"reading\",\"at\":\"2026-01-05T07:30:00.250Z\",\"waterline_mm\":280.5,\"ph\":6.05,\"note\":\"'quoted \\\"so\\\", and\\nmore\"",
        "\"id\":\"" ENTRY(4) "\",\"kind\":\"reading\",\"at\":\"2026-01-05T07:30:00Z\",\"ph\":6.1,\"amends\":\"" ENTRY(3) "\"",
        "\"id\":\"" ENTRY(5) "\",\"kind\":\"note\",\"at\":\"2026-01-06T07:30:00Z\",\"withdraws\":\"" ENTRY(4) "\"",
        "\"id\":\"" ENTRY(6) "\",\"kind\":\"note\",\"at\":\"2026-01-07T07:30:00Z\",\"withdraws\":\"" ENTRY(5) "\"",
        "\"id\":\"" ENTRY(7) "\",\"kind\":\"harvest\",\"at\":\"2026-02-10T07:30:00Z\",\"how\":\"whole\",\"cups\":[1],\"weight_g\":140,\"quality\":4"};

    for (size_t i = 0; i < COUNT(entries); i++)
        json_decref(caller_expect(&from, 201, "POST", "/api/v1/entries", "{\"tank\":\"" TANK "\",%s}", entries[i]));
}

static void open_both(void)
{
    caller_open(&from, "table-from");
    caller_open(&to, "table-to");
    add_tank(&from);
    add_tank(&to);
    json_decref(caller_expect(&from, 201, "POST", "/api/v1/areas", "{\"name\":\"+roof\",\"walk_order\":2.5}"));
    json_decref(caller_expect(&from, 201, "POST", "/api/v1/waters", "{\"name\":\"@rain, \\\"soft\\\"\",\"analysed_on\":\"2026-01-02\",\"method\":\"strips\",\"ph\":6.8,\"ca_mg_l\":0.1}"));
    json_decref(caller_expect(&from, 201, "POST", "/api/v1/salts", "{\"name\":\"bag\",\"label\":{\"k2o\":20.5,\"n_no3\":10},\"price_per_kg\":3.2,\"stock_g\":900,\"opened_on\":\"2026-01-01\"}"));
    json_decref(caller_expect(&from, 200, "PATCH", "/api/v1/salts/epsom-salt", "{\"price_per_kg\":1.5,\"caution\":\"the blue tin\"}"));
    json_decref(caller_expect(&from, 201, "POST", "/api/v1/targets", "{\"name\":\"mild\",\"mg_l\":{\"n\":120,\"k\":150.25},\"source\":\"-ours\"}"));
    json_decref(caller_expect(&from, 200, "POST", "/api/v1/weather", "{\"days\":[{\"date\":\"2026-01-05\",\"tmin_c\":-1.5,\"tmax_c\":9},{\"date\":\"2026-01-06\",\"tmin_c\":0,\"tmax_c\":7,\"rain_mm\":3.25}]}"));
    log_some();
}

static void close_both(void)
{
    caller_close(&from);
    caller_close(&to);
}

static char *table_of(struct caller *of, const char *noun)
{
    char path[64];

    snprintf(path, sizeof path, "/api/v1/tables/%s.csv", noun);
    json_decref(caller_get(of, path));
    return strdup(of->bytes);
}

static json_t *bring_into(struct caller *into, const char *noun, const char *query, const char *table)
{
    static const struct timespec moment = {.tv_nsec = 1000000};
    char path[128];
    json_t *job;

    snprintf(path, sizeof path, "/api/v1/imports/tables/%s%s", noun, query);
    job = caller_ask(into, &(struct asking){.method = "POST", .path = path, .body = table, .length = strlen(table), .content_type = "text/csv"});
    ck_assert_msg(into->status == 202, "%u %s", into->status, into->bytes);
    snprintf(path, sizeof path, "/api/v1/imports/%s", text_of(job, "id"));
    while (strcmp(text_of(job, "state"), "running") == 0) {
        json_decref(job);
        nanosleep(&moment, NULL);
        job = caller_get(into, path);
    }
    return job;
}

static json_t *bring_in(const char *noun, const char *query, const char *table)
{
    return bring_into(&to, noun, query, table);
}

static void must_be(const json_t *job, const char *state)
{
    char *said = json_dumps(job, 0);

    ck_assert_msg(strcmp(text_of(job, "state"), state) == 0, "%s", said);
    free(said);
}

/* When the garden got each entry, and which short code it drew for a tank, are its own. */
static void forget_received(char *table)
{
    /* The code first: it may end in Z. */
    for (char *at = table; (at = strstr(at, ",Roof,")) != NULL; at++)
        if (strlen(at) > 12 && at[12] == ',')
            memset(at + 6, '#', 6);
    for (char *at = table; (at = strstr(at, "Z,20")) != NULL;) {
        char *end = strchr(at + 2, 'Z');

        memset(at + 2, '#', (size_t)(end - at - 2));
        at = end;
    }
}

static const char *const nouns[] = {"areas", "waters", "salts", "targets", "weather", "entries", "harvests"};

START_TEST(written_brought_in_and_written_again_is_the_same)
{
    for (size_t i = 0; i < COUNT(nouns); i++) {
        char *wanted = table_of(&from, nouns[i]), *got;
        json_t *job = bring_in(nouns[i], "", wanted);

        must_be(job, "done");
        json_decref(job);
        job = bring_in(nouns[i], "", wanted); /* again: nothing new, but weather, which is told anew */
        must_be(job, "done");
        ck_assert(strcmp(nouns[i], "weather") == 0 || number_of(job, "kept") == 0);
        json_decref(job);
        got = table_of(&to, nouns[i]);
        forget_received(wanted);
        forget_received(got);
        for (size_t at = 0; wanted[at] || got[at]; at++) /* a table is longer than what the library can say */
            ck_assert_msg(wanted[at] == got[at], "%s: %.200s | %.200s", nouns[i], wanted + (at < 60 ? 0 : at - 60), got + (at < 60 ? 0 : at - 60));
        ck_assert_uint_gt(strlen(got), 60);
        free(wanted);
        free(got);
    }
}
END_TEST

/* A bag that was weighed from since is the same bag: its table comes back to where it came from, and the stock stands as it stood. */
START_TEST(a_bag_in_use_is_known_again)
{
    static const char bag[] = "0190cccc-0000-7000-8000-000000000001";
    char *table, *after;
    json_t *job;

    json_decref(caller_expect(&from, 201, "POST", "/api/v1/salts", "{\"id\":\"%s\",\"name\":\"in use\",\"label\":{\"k2o\":20.5},\"stock_g\":900}", bag));
    json_decref(caller_expect(&from, 201, "POST", "/api/v1/entries", "{\"id\":\"" ENTRY(8) "\",\"tank\":\"" TANK "\",\"kind\":\"top-up\",\"at\":\"2999-01-01T00:00:00Z\","
                                                                      "\"volume_l\":1,\"weighed\":[{\"salt\":\"%s\",\"grams\":12.5}]}", bag));
    table = table_of(&from, "salts");
    ck_assert_ptr_nonnull(strstr(table, ",887.5,"));
    job = bring_into(&from, "salts", "", table);
    must_be(job, "done");
    ck_assert_double_eq(number_of(job, "kept"), 0);
    json_decref(job);
    after = table_of(&from, "salts");
    ck_assert_str_eq(after, table);
    free(after);
    free(table);
}
END_TEST

/* ---- what a garden is made of, into an empty one ---- */

#define VESSEL(n) "0190aaaa-0000-7000-8000-00000000010" #n
#define PLACE(n) "0190aaaa-0000-7000-8000-00000000020" #n

static const char *const made_of[][2] = {
    {"areas", "{\"id\":\"" PLACE(3) "\",\"name\":\"older than what it lies in\"}"},
    {"areas", "{\"id\":\"" PLACE(1) "\",\"name\":\"roof\",\"walk_order\":-2.5}"},
    {"areas", "{\"id\":\"" PLACE(2) "\",\"name\":\"=bay, 3\",\"within\":\"" PLACE(1) "\"}"},
    {"vessels", "{\"id\":\"" VESSEL(1) "\",\"name\":\"bucket\",\"shape\":{\"shape\":\"round\",\"floor_mm\":260.4,\"rim_mm\":300,\"height_mm\":361},\"start_mm\":300.7,\"low_mm\":40}"},
    {"vessels", "{\"id\":\"" VESSEL(2) "\",\"name\":\"@tote \\\"deep\\\"\",\"shape\":{\"shape\":\"box\",\"floor_mm\":[500,333.3],\"rim_mm\":[560,380],\"height_mm\":320,\"corner_mm\":40},"
                "\"lid\":{\"lid_mm\":[570,390],\"corner_mm\":42,\"hole_mm\":50,\"edge_mm\":35,\"spacing_mm\":170.7,\"pattern\":\"best\"},"
                "\"cup\":{\"height_mm\":55,\"top_mm\":52,\"bottom_mm\":38,\"medium_fraction\":0.35}}"},
    {"vessels", "{\"id\":\"" VESSEL(3) "\",\"name\":\"\\u00fcbrig\",\"shape\":{\"shape\":\"poured\",\"points\":[[0,0],[71.2,5],[140,10.25],[300,24]],\"height_mm\":310},"
                "\"cups\":[{\"x_mm\":66.666666666666671,\"y_mm\":50},{\"x_mm\":133.33333333333334,\"y_mm\":50}],\"start_mm\":300}"},
    {"tanks", "{\"name\":\"-North\",\"vessel\":\"" VESSEL(2) "\",\"area\":\"" PLACE(2) "\",\"walk_order\":3.25,\"lamp_w\":45.5}"},
    {"tanks", "{\"name\":\"South\",\"vessel\":\"" VESSEL(1) "\",\"code\":\"S0UTH\"}"},
    {"tanks", "{\"name\":\"old\",\"vessel\":\"" VESSEL(3) "\",\"retired\":true}"},
    {"members", "{\"name\":\"=Ada\",\"role\":\"keeper\",\"removed\":true,\"joined_on\":\"2024-03-31\"}"},
    {"members", "{\"name\":\"Bo\",\"role\":\"grower\",\"joined_on\":\"2025-10-26\"}"},
    {"members", "{\"name\":\"Cem\",\"role\":\"visitor\"}"},
    {"crops", "{\"name\":\"+Red one\",\"resembles\":\"lettuce-leaf\",\"days_to_harvest\":[31,40.5],\"ph\":[5.6,6.4],\"fitness\":\"good, so far\",\"sources\":{\"ph\":\"-our notes\"}}"},
    {"crops", "{\"name\":\"Plain\",\"resembles\":\"basil\"}"},
};
static const char *const made_nouns[] = {"areas", "vessels", "tanks", "members", "crops"};

static void open_made(void)
{
    char path[64];

    caller_open(&from, "table-from");
    caller_open(&to, "table-to");
    json_decref(caller_expect(&from, 200, "PATCH", "/api/v1/garden", "{\"time_zone\":\"Europe/Berlin\"}"));
    json_decref(caller_expect(&to, 200, "PATCH", "/api/v1/garden", "{\"time_zone\":\"Europe/Berlin\"}"));
    for (size_t i = 0; i < COUNT(made_of); i++) {
        snprintf(path, sizeof path, "/api/v1/%s", made_of[i][0]);
        json_decref(caller_expect(&from, 201, "POST", path, "%s", made_of[i][1]));
    }
    json_decref(caller_expect(&from, 200, "PATCH", "/api/v1/areas/" PLACE(3), "{\"within\":\"" PLACE(1) "\"}"));
    json_decref(caller_expect(&from, 200, "PATCH", "/api/v1/crops/rocket", "{\"name\":\"Rocket, ours\",\"yield_g\":[40,90],\"sources\":{\"yield_g\":\"three fills\"}}"));
    json_decref(caller_expect(&from, 200, "PATCH", "/api/v1/crops/spinach", "{\"base_c\":[3,3]}"));
}

static char *brought_over(const char *noun)
{
    char *wanted = table_of(&from, noun), *got;
    json_t *job = bring_in(noun, "", wanted);

    must_be(job, "done");
    json_decref(job);
    got = table_of(&to, noun);
    for (size_t at = 0; wanted[at] || got[at]; at++)
        ck_assert_msg(wanted[at] == got[at], "%s: %.200s | %.200s", noun, wanted + (at < 60 ? 0 : at - 60), got + (at < 60 ? 0 : at - 60));
    free(got);
    return wanted;
}

/* Not a byte differs; sent again, there or where it came from, nothing is new. */
START_TEST(an_empty_garden_gets_the_same_tables)
{
    for (size_t i = 0; i < COUNT(made_nouns); i++) {
        char *table = brought_over(made_nouns[i]), *after;
        json_t *job = bring_in(made_nouns[i], "", table);

        must_be(job, "done");
        ck_assert_double_eq(number_of(job, "kept"), 0);
        json_decref(job);
        job = bring_into(&from, made_nouns[i], "", table);
        must_be(job, "done");
        ck_assert_double_eq(number_of(job, "kept"), 0);
        json_decref(job);
        after = table_of(&from, made_nouns[i]);
        ck_assert_str_eq(after, table);
        free(after);
        free(table);
    }
}
END_TEST

/* A vessel's shape has columns of its own, a tank none of today's figures, and what came with older tables is passed over. */
START_TEST(columns_are_the_nouns_own)
{
    char *vessels = brought_over("vessels"), *tanks = table_of(&from, "tanks"), *crops = table_of(&from, "crops");
    json_t *job;

    ck_assert_ptr_nonnull(strstr(vessels, "shape.shape,shape.floor_mm,shape.rim_mm,shape.height_mm,shape.corner_mm,shape.points,"));
    ck_assert_ptr_nonnull(strstr(vessels, "\"[500.0,333.3]\",\"[560.0,380.0]\",320,40,,"));
    ck_assert_ptr_nonnull(strstr(tanks, "id,code,name,area,vessel,walk_order,lamp_w,retired\r\n"));
    ck_assert_ptr_null(strstr(crops, "nitrate"));
    job = bring_in("tanks", "", "name,vessel,drawing.height_mm,outlook.low_on.p50\r\nolder," VESSEL(1) ",361,2026-01-01\r\n");
    must_be(job, "done");
    ck_assert_double_eq(number_of(job, "kept"), 1);
    json_decref(job);
    free(vessels);
    free(tanks);
    free(crops);
}
END_TEST

/* Nobody gets in by a table: who is in it has neither device nor invite. */
START_TEST(members_come_without_keys)
{
    json_t *job, *list;

    free(brought_over("members"));
    list = caller_get(&to, "/api/v1/devices");
    ck_assert_uint_eq(json_array_size(json_object_get(list, "items")), 0);
    json_decref(list);
    list = caller_get(&to, "/api/v1/invites");
    ck_assert_uint_eq(json_array_size(json_object_get(list, "items")), 0);
    json_decref(list);
    job = bring_in("members", "", "name,role,token_hash\r\nEve,keeper,00\r\n");
    must_be(job, "refused");
    json_decref(job);
    for (enum role role = ROLE_SENSOR; role < ROLE_KEEPER; role++) {
        const struct who who = {.role = role};

        json_decref(caller_ask(&to, &(struct asking){.who = &who, .method = "POST", .path = "/api/v1/imports/tables/members", .body = "name,role\nEve,keeper\n", .length = 22,
                                                     .content_type = "text/csv"}));
        ck_assert_uint_eq(to.status, 403);
    }
}
END_TEST

static const struct {
    const char *noun, *table, *column, *word;
} others[] = {
    {"vessels", "id,name,shape.shape,shape.floor_mm,shape.rim_mm,shape.height_mm,start_mm\r\n" VESSEL(1) ",bucket,round,260.4,300,362,300\r\n", "id", "other content"},
    {"vessels", "name,shape.shape,shape.floor_mm,shape.rim_mm,shape.height_mm,start_mm\r\nx,box,260.4,\"[300,300]\",362,300\r\n", "shape.floor_mm", "list of 2"},
    {"vessels", "name,shape.shape,shape.floor_mm,shape.rim_mm,shape.height_mm,start_mm\r\nx,round,260.4,\"[300,\",362,300\r\n", "shape.rim_mm", "JSON"},
    {"vessels", "name,shape.shape,shape.floor_mm,shape.rim_mm,shape.height_mm,shape.depth_mm\r\nx,round,260.4,300,362,300\r\n", "shape.depth_mm", "no column"},
    {"tanks", "name,vessel\r\nx," VESSEL(9) "\r\n", "vessel", "no such vessel"},
    {"tanks", "name,vessel,code\r\nx," VESSEL(1) ",S0UTH\r\n", "code", "another tank"},
    {"tanks", "name,vessel,code\r\nx," VESSEL(1) ",a/b\r\n", "code", "capitals"},
    {"tanks", "name,vessel,lamp_w\r\nx," VESSEL(1) ",-1\r\n", "lamp_w", "from 0.1"},
    {"members", "name,role\r\nx,owner\r\n", "role", "one of"},
    {"members", "name,role,joined_on\r\nx,grower,2999-01-01\r\n", "joined_on", "ahead"},
    {"crops", "name,resembles\r\nx,oak\r\n", "resembles", "built-in"},
    {"crops", "name,resembles,ph\r\nx,lettuce-leaf,\"[6,5]\"\r\n", "ph", "low to high"},
    {"crops", "name,resembles,own\r\nx,lettuce-leaf,name\r\n", "own", "JSON"},
};

/* A known id with other content, or what the noun's own address refuses; the good row before it is undone. */
START_TEST(what_differs_is_refused)
{
    json_t *job;
    const json_t *fault;
    char *before, *after;

    for (size_t i = 0; i < COUNT(made_nouns); i++)
        free(brought_over(made_nouns[i]));
    before = table_of(&to, others[_i].noun);
    job = bring_in(others[_i].noun, "", others[_i].table);
    must_be(job, "refused");
    ck_assert_double_eq(number_of(job, "faults_count"), 1);
    fault = json_array_get(json_object_get(job, "faults"), 0);
    ck_assert_str_eq(text_of(fault, "column"), others[_i].column);
    ck_assert_msg(strstr(text_of(fault, "detail"), others[_i].word) != NULL, "%s", text_of(fault, "detail"));
    after = table_of(&to, others[_i].noun);
    ck_assert_str_eq(after, before);
    json_decref(job);
    free(before);
    free(after);
}
END_TEST

static const struct {
    const char *noun, *table;
    double row;
    const char *column, *word;
} wrongs[] = {
    {"weather", "date,tmin_c,tmax_c\r\n2026-01-01,1,2\r\n2026-01-02,9,x\r\n", 3, "tmax_c", "no number"},
    {"weather", "date,tmin_c,tmax_c\r\n2026-01-01,1,2\r\n2026-01-02,9,200\r\n", 3, "tmax_c", "from -90"},
    {"weather", "date,tmin_c,tmax_c\r\n2026-01-01,1,2\r\n2026-01-02,,3\r\n", 3, "tmin_c", "required"},
    {"weather", "date,tmin_c,tmax_c,snow\r\n2026-01-01,1,2,3\r\n", 1, "snow", "no column"},
    {"weather", "date,tmin_c,tmax_c,date\r\n2026-01-01,1,2,3\r\n", 1, "date", "twice"},
    {"weather", "date,tmin_c,tmax_c\r\n2026-01-01,1,2\r\n\"2026\"x,1,2\r\n", 3, "date", "closing quote"},
    {"weather", "date,tmin_c,tmax_c\r\n", 1, "", "no rows"},
    {"salts", "name,label.k2o,label.kryptonite\r\nbag,20,1\r\n", 1, "label.kryptonite", "no column"},
    {"salts", "name,label.k2o\r\nbag,20\r\nbag,200\r\n", 3, "label.k2o", "from 0 to 100"},
    {"waters", "name,ca_mg_l\r\nwell,10\r\n,20\r\n", 3, "name", "required"},
    {"entries", "id,tank,kind,at,waterline_mm\r\n" ENTRY(1) "," TANK ",reading,2026-01-01T07:30:00Z,100\r\n" ENTRY(2) "," TANK ",reading,2026-01-01T07:30:00Z,1000\r\n", 3,
     "waterline_mm", "high"},
    {"entries", "id,tank,kind,at,cups,crop\r\n" ENTRY(1) "," TANK ",planting,2026-01-01T07:30:00Z,1 2,lettuce-leaf\r\n", 2, "cups", "JSON"},
    {"entries", "id,tank,kind,at,ph,amends\r\n" ENTRY(1) "," TANK ",reading,2026-01-01T07:30:00Z,6," ENTRY(9) "\r\n", 2, "amends", "no such entry"},
};

START_TEST(what_is_wrong_is_told_by_row_and_column)
{
    char path[64], *before, *after;
    json_t *job = NULL;
    const json_t *fault;

    before = table_of(&to, wrongs[_i].noun);
    job = bring_in(wrongs[_i].noun, "", wrongs[_i].table);
    must_be(job, "refused");
    ck_assert_double_eq(number_of(job, "faults_count"), 1);
    fault = json_array_get(json_object_get(job, "faults"), 0);
    ck_assert_double_eq(number_of(fault, "row"), wrongs[_i].row);
    ck_assert_str_eq(text_of(fault, "column"), wrongs[_i].column);
    ck_assert_msg(strstr(text_of(fault, "detail"), wrongs[_i].word) != NULL, "%s", text_of(fault, "detail"));
    after = table_of(&to, wrongs[_i].noun);
    ck_assert_str_eq(after, before); /* the good rows before the bad one are undone */
    json_decref(job);
    snprintf(path, sizeof path, "/api/v1/weather");
    json_decref(caller_expect(&to, 200, "POST", path, "{\"days\":[{\"date\":\"2026-03-01\",\"tmin_c\":1,\"tmax_c\":2}]}")); /* and writing goes on */
    free(before);
    free(after);
}
END_TEST

START_TEST(looking_keeps_nothing)
{
    char *before = table_of(&to, "weather"), *after;
    json_t *job = bring_in("weather", "?check=true&separator=semicolon", "date;tmin_c;tmax_c\n2026-01-01;1;2\n");

    must_be(job, "done");
    ck_assert_double_eq(number_of(job, "rows"), 1);
    ck_assert_double_eq(number_of(job, "kept"), 0);
    after = table_of(&to, "weather");
    ck_assert_str_eq(after, before);
    json_decref(job);
    json_decref(caller_ask(&to, &(struct asking){.method = "POST", .path = "/api/v1/imports/tables/devices", .body = "a\n", .length = 2, .content_type = "text/csv"}));
    ck_assert_uint_eq(to.status, 404);
    free(before);
    free(after);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("import_table");
    TCase *tcase = tcase_create("import_table"), *made = tcase_create("import_table_made");

    tcase_add_checked_fixture(tcase, open_both, close_both);
    tcase_set_timeout(tcase, 60);
    tcase_add_test(tcase, written_brought_in_and_written_again_is_the_same);
    tcase_add_loop_test(tcase, what_is_wrong_is_told_by_row_and_column, 0, COUNT(wrongs));
    tcase_add_test(tcase, looking_keeps_nothing);
    tcase_add_test(tcase, a_bag_in_use_is_known_again);
    suite_add_tcase(suite, tcase);
    tcase_add_checked_fixture(made, open_made, close_both);
    tcase_set_timeout(made, 60);
    tcase_add_test(made, an_empty_garden_gets_the_same_tables);
    tcase_add_test(made, columns_are_the_nouns_own);
    tcase_add_test(made, members_come_without_keys);
    tcase_add_loop_test(made, what_differs_is_refused, 0, COUNT(others));
    suite_add_tcase(suite, made);
    return run_suite(suite);
}
