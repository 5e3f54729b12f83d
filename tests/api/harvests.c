/* Harvests as the page gets them: open greenhouse data held against the sqlite3 shell, and litres by hand. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "caller.h"
#include "csv.h"
#include "runner.h"
#include "store/members.h"

static struct caller caller;

static void open_new(void)
{
    caller_open(&caller, "harvests");
}

static void close_it(void)
{
    caller_close(&caller);
}

/* An id of its own for every entry: kind of thing, then number. */
static const char *id_of(unsigned kind, unsigned number)
{
    static char text[4][37];
    static unsigned turn;
    char *to = text[turn++ % 4];

    snprintf(to, 37, "01900000-0000-7000-%04x-%012x", 0x8000 + kind, number);
    return to;
}

/* ---- the greenhouse data ---- */

#define DATA "fixtures/horticulture/lettuce-greenhouse-2022/final-harvest.csv"
#define HEADS 72
#define BAG "01900000-0000-7000-8005-000000000001"

/* Lamps of 300 W over each bench but D's, which has 250 W, for 16 hours a day: invented, for the arithmetic alone. */
static void hang_lamps(void)
{
    json_decref(caller_expect(&caller, 200, "PATCH", "/api/v1/garden",
                              "{\"place\":\"lamps\",\"lamp_w\":300,\"climate\":{\"indoor\":{\"temperature_c\":20,\"rh_percent\":70,"
                              "\"ppfd_umol\":200,\"hours\":16}}}"));
    json_decref(caller_expect(&caller, 200, "PATCH", "/api/v1/tanks/01900000-0000-7000-8002-000000000003", "{\"lamp_w\":250}"));
}

/* A bench of 72 cups stands for a compartment: what is tested is the arithmetic of records. */
static void make_bench(unsigned number, const char *name)
{
    char cups[HEADS * 32] = "";

    for (int i = 0; i < HEADS; i++)
        snprintf(cups + strlen(cups), sizeof cups - strlen(cups), "%s{\"x_mm\":%d,\"y_mm\":%d}", i ? "," : "", 100 + 10 * (i % 9), 100 + 10 * (i / 9));
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/vessels",
                              "{\"id\":\"%s\",\"name\":\"bench\",\"shape\":{\"shape\":\"box\",\"floor_mm\":[2000,1000],\"rim_mm\":[2000,1000],"
                              "\"height_mm\":300},\"lid\":{\"lid_mm\":[2000,1000],\"corner_mm\":0,\"hole_mm\":50,\"edge_mm\":30,\"spacing_mm\":100,"
                              "\"pattern\":\"square\"},\"start_mm\":250,\"low_mm\":40,\"cups\":[%s]}", id_of(1, number), cups));
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/tanks", "{\"id\":\"%s\",\"name\":\"%s\",\"vessel\":\"%s\"}", id_of(2, number), name, id_of(1, number)));
    /* 200 g of 15.5 %: 31 g of nitrogen. */
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/entries",
                              "{\"id\":\"%s\",\"tank\":\"%s\",\"kind\":\"fill\",\"at\":\"2022-02-03T08:00:00Z\",\"waterline_mm\":250,"
                              "\"weighed\":[{\"salt\":\"%s\",\"grams\":200}]}", id_of(6, number), id_of(2, number), BAG));
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/entries",
                              "{\"id\":\"%s\",\"tank\":\"%s\",\"kind\":\"planting\",\"at\":\"2022-02-03T09:00:00Z\",\"crop\":\"lettuce-butterhead\",\"count\":%d}",
                              id_of(3, number), id_of(2, number), HEADS));
}

static void import_heads(const struct csv *csv)
{
    unsigned heads[4] = {0};

    for (size_t row = 0; row < csv->rows; row++) {
        unsigned bench = (unsigned)(csv_text(csv, row, csv_column(csv, "compartment"))[0] - 'A');

        ck_assert_uint_lt(bench, 4);
        json_decref(caller_expect(&caller, 201, "POST", "/api/v1/entries",
                                  "{\"id\":\"%s\",\"tank\":\"%s\",\"kind\":\"harvest\",\"at\":\"%sT10:00:00Z\",\"how\":\"whole\",\"cups\":[%u],\"weight_g\":%s}",
                                  id_of(4, (unsigned)row), id_of(2, bench), csv_text(csv, row, csv_column(csv, "date")), ++heads[bench],
                                  csv_text(csv, row, csv_column(csv, "fresh_g"))));
    }
}

/* What the sqlite3 shell makes of the same file, for each measure: n, mean, median, low, high and, by the definition, the
 * sample's scatter (-1 where there is none). A head had a 72nd of 2 m2 of lid and of the lamps. */
#define QUERY                                                                                                                    \
    "WITH f AS (SELECT compartment c, CAST(fresh_g AS REAL) x, julianday(date) - julianday(\"2022-02-03\") d, "                  \
    "CASE compartment WHEN \"D\" THEN 250 ELSE 300 END w FROM t), b AS (SELECT c, \"g_per_plant\" k, x v FROM f "                \
    "UNION ALL SELECT c, \"g_per_harvest\", x FROM f UNION ALL SELECT c, \"g_per_m2\", x / (2.0 / 72) FROM f "                   \
    "UNION ALL SELECT c, \"g_per_day\", x / d FROM f UNION ALL SELECT c, \"g_per_kwh\", x / (w * 16.0 / 1000 * d / 72) FROM f "  \
    "UNION ALL SELECT c, \"days\", d FROM f UNION ALL SELECT c, \"g_per_g_n\", sum(x) / (200 * 0.155) FROM f GROUP BY c), "      \
    "g AS (SELECT * FROM b UNION ALL SELECT \"all\", k, v FROM b), "                                                             \
    "r AS (SELECT c, k, v, row_number() OVER (PARTITION BY c, k ORDER BY v) i, count(*) OVER (PARTITION BY c, k) n, "            \
    "avg(v) OVER (PARTITION BY c, k) m FROM g) "                                                                                 \
    "SELECT c, k, n, printf(\"%%.15g\", m), printf(\"%%.15g\", avg(CASE WHEN i IN ((n + 1) / 2, (n + 2) / 2) THEN v END)), "     \
    "printf(\"%%.15g\", min(v)), printf(\"%%.15g\", max(v)), "                                                                   \
    "CASE WHEN n > 1 THEN printf(\"%%.15g\", sqrt(sum((v - m) * (v - m)) / (n - 1))) ELSE -1 END FROM r GROUP BY c, k"

static void hold_against_shell(const json_t *summary)
{
    char command[8192];
    char name[8], measure[32];
    double n, mean, median, low, high, sd;
    size_t rows = 0;
    FILE *shell;

    snprintf(command, sizeof command, "sqlite3 :memory: '.mode csv' '.import \"%s\" t' '.separator \" \"' '" QUERY "'", source_path(DATA));
    shell = popen(command, "r");
    ck_assert_ptr_nonnull(shell);
    while (fscanf(shell, " %7s %31s %lf %lf %lf %lf %lf %lf", name, measure, &n, &mean, &median, &low, &high, &sd) == 8) {
        bool all = strcmp(name, "all") == 0, plain = strcmp(measure, "g_per_plant") == 0;
        json_t *group = all ? json_object_get(summary, "all") : json_array_get(json_object_get(summary, "by_tank"), (size_t)(name[0] - 'A'));
        json_t *told = plain ? group : json_object_get(group, measure);

        rows++;
        ck_assert_str_eq(text_of(group, "name"), name);
        ck_assert_msg(json_is_object(told), "%s of %s", measure, name);
        ck_assert_double_eq(number_of(told, "n"), n);
        ck_assert_double_eq_tol(number_of(told, "mean"), mean, 1e-9 * mean);
        ck_assert_double_eq_tol(number_of(told, "median"), median, 1e-9 * median);
        ck_assert_double_eq_tol(number_of(told, "low"), low, 1e-9 * low);
        ck_assert_double_eq_tol(number_of(told, "high"), high, 1e-9 * high);
        if (sd < 0)
            ck_assert(json_is_null(json_object_get(told, "sd")));
        else
            ck_assert_double_eq_tol(number_of(told, "sd"), sd, 1e-9 * mean);
        if (!plain)
            continue;
        ck_assert_double_eq(number_of(group, "harvests"), n);
        ck_assert_double_eq(number_of(group, "plants"), n);
        ck_assert_double_eq_tol(number_of(group, "total_g"), mean * n, 1e-9 * mean * n);
    }
    ck_assert_int_eq(pclose(shell), 0);
    ck_assert_uint_eq(rows, 5 * 7); /* four compartments, and all; seven measures */
}

START_TEST(greenhouse_means_and_spreads_are_those_of_sqlite3)
{
    static const char *const name[] = {"A", "B", "C", "D"};
    struct csv csv = csv_read(source_path(DATA));
    json_t *summary, *season, *list, *crop;
    size_t pages = 1;

    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/salts", "{\"id\":\"%s\",\"name\":\"bench bag\",\"label\":{\"n_no3\":15.5}}", BAG));
    for (unsigned i = 0; i < 4; i++)
        make_bench(i, name[i]);
    hang_lamps();
    import_heads(&csv);
    summary = caller_get(&caller, "/api/v1/harvests/summary");
    hold_against_shell(summary);
    /* 15 to 21 March: one spring; 40 to 46 days from 3 February, as the data's own README counts them. */
    season = json_array_get(json_object_get(summary, "by_season"), 0);
    ck_assert_uint_eq(json_array_size(json_object_get(summary, "by_season")), 1);
    ck_assert_str_eq(text_of(season, "id"), "2022-spring");
    ck_assert_str_eq(text_of(season, "first"), "2022-03-01");
    ck_assert_str_eq(text_of(season, "last"), "2022-05-31");
    ck_assert_double_eq(number_of(json_object_get(season, "days"), "low"), 40);
    ck_assert_double_eq(number_of(json_object_get(season, "days"), "high"), 46);
    crop = json_array_get(json_object_get(summary, "by_crop"), 0);
    ck_assert_str_eq(text_of(crop, "id"), "lettuce-butterhead");
    ck_assert_double_eq(number_of(crop, "n"), (double)csv.rows);
    ck_assert_double_eq(number_of(crop, "usual_low_g"), 150); /* fixtures/horticulture/crops.csv */
    ck_assert_double_eq(number_of(crop, "usual_high_g"), 250);
    ck_assert_uint_eq(json_array_size(json_object_get(summary, "by_member")), 0); /* nobody asked for it */
    ck_assert(json_is_null(json_object_get(json_object_get(summary, "all"), "litres_used"))); /* no waterline was read */
    ck_assert(json_is_null(json_object_get(json_object_get(summary, "all"), "g_per_litre")));
    json_decref(summary);
    /* All of them come by pages, each once, newest first. */
    list = caller_get(&caller, "/api/v1/harvests?limit=100");
    for (size_t seen = json_array_size(json_object_get(list, "items")); seen < csv.rows; pages++) {
        char path[128];

        snprintf(path, sizeof path, "/api/v1/harvests?limit=100&after=%s", text_of(list, "next"));
        json_decref(list);
        list = caller_get(&caller, path);
        ck_assert_uint_gt(json_array_size(json_object_get(list, "items")), 0);
        seen += json_array_size(json_object_get(list, "items"));
    }
    ck_assert_uint_eq(pages, 3);
    ck_assert(json_is_null(json_object_get(list, "next")));
    json_decref(list);
    list = caller_get(&caller, "/api/v1/harvests/summary?from=2022-03-16&to=2022-03-17");
    ck_assert_double_eq(number_of(json_object_get(list, "all"), "n"), HEADS); /* compartment C alone */
    json_decref(list);
    csv_free(&csv);
}
END_TEST

/* ---- litres, heads and days, by hand: a straight box of 500 x 400 mm holds 0.2 L a millimetre ---- */

static void make_tub(void)
{
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/vessels",
                              "{\"id\":\"%s\",\"name\":\"tub\",\"shape\":{\"shape\":\"box\",\"floor_mm\":[500,400],\"rim_mm\":[500,400],\"height_mm\":300},"
                              "\"start_mm\":260,\"low_mm\":40,\"cups\":[{\"x_mm\":100,\"y_mm\":100},{\"x_mm\":200,\"y_mm\":100},"
                              "{\"x_mm\":300,\"y_mm\":100},{\"x_mm\":400,\"y_mm\":100}]}", id_of(1, 1)));
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/tanks", "{\"id\":\"%s\",\"name\":\"tub\",\"vessel\":\"%s\"}", id_of(2, 1), id_of(1, 1)));
}

static void logs(unsigned number, const char *at, const char *rest)
{
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/entries", "{\"id\":\"%s\",\"tank\":\"%s\",\"at\":\"%s\",%s}", id_of(4, number), id_of(2, 1), at, rest));
}

static json_t *harvest(unsigned number)
{
    json_t *list = caller_get(&caller, "/api/v1/harvests"), *found = json_incref(item_of(list, "entry", id_of(4, number)));

    json_decref(list);
    return found;
}

#define FILLED "\"kind\":\"fill\",\"waterline_mm\":260"
#define FOUR_PLANTED "\"kind\":\"planting\",\"crop\":\"lettuce-leaf\",\"count\":4"

START_TEST(litres_run_from_the_fill_and_then_from_the_harvest_before)
{
    json_t *first, *second, *summary;

    make_tub();
    logs(1, "2026-05-01T08:00:00Z", FILLED);
    logs(2, "2026-05-01T09:00:00Z", FOUR_PLANTED);
    logs(3, "2026-05-20T08:00:00Z", "\"kind\":\"top-up\",\"volume_l\":6,\"waterline_mm\":190");
    logs(4, "2026-06-01T08:00:00Z", "\"kind\":\"reading\",\"waterline_mm\":100");
    logs(5, "2026-06-01T09:00:00Z", "\"kind\":\"harvest\",\"how\":\"cut\",\"weight_g\":400");
    logs(6, "2026-06-15T08:00:00Z", "\"kind\":\"reading\",\"waterline_mm\":60");
    logs(7, "2026-06-15T09:00:00Z", "\"kind\":\"harvest\",\"how\":\"whole\",\"cups\":[1,2],\"weight_g\":220");
    first = harvest(5);
    second = harvest(7);
    ck_assert_double_eq_tol(number_of(first, "litres_used"), 52 + 6 - 20, 1e-9); /* filled, added, left */
    ck_assert_double_eq(number_of(first, "count"), 4);
    ck_assert_double_eq(number_of(first, "g_per_plant"), 100);
    ck_assert_double_eq(number_of(first, "days"), 31);
    ck_assert_double_eq_tol(number_of(second, "litres_used"), 8, 1e-9); /* 40 mm since the cut */
    ck_assert_double_eq(number_of(second, "g_per_plant"), 110);
    summary = caller_get(&caller, "/api/v1/harvests/summary");
    ck_assert_double_eq_tol(number_of(json_object_get(summary, "all"), "litres_used"), 46, 1e-9);
    ck_assert(json_is_null(json_object_get(json_object_get(summary, "all"), "g_per_litre"))); /* two plants hang on */
    ck_assert(json_is_true(json_object_get(json_object_get(summary, "all"), "few")));
    json_decref(summary);
    json_decref(second);
    json_decref(first);
    /* The last two, ten days and 4 L later: the fill gave 900 g for 50 L in all. */
    logs(8, "2026-06-25T08:00:00Z", "\"kind\":\"reading\",\"waterline_mm\":40");
    logs(9, "2026-06-25T09:00:00Z", "\"kind\":\"harvest\",\"how\":\"whole\",\"weight_g\":280");
    summary = caller_get(&caller, "/api/v1/harvests/summary");
    ck_assert_double_eq(number_of(json_object_get(json_object_get(summary, "all"), "g_per_litre"), "n"), 1);
    ck_assert_double_eq_tol(number_of(json_object_get(json_object_get(summary, "all"), "g_per_litre"), "median"), 900 / 50.0, 1e-9);
    json_decref(summary);
}
END_TEST

/* Nothing is claimed of water that nobody read, or of heads that nobody hung in. */
START_TEST(what_is_not_known_is_null)
{
    json_t *found, *summary;

    make_tub();
    logs(1, "2026-05-01T08:00:00Z", FILLED);
    logs(2, "2026-05-20T08:00:00Z", "\"kind\":\"reading\",\"waterline_mm\":200");
    logs(3, "2026-06-01T09:00:00Z", "\"kind\":\"harvest\",\"how\":\"whole\",\"weight_g\":400");
    found = harvest(3);
    ck_assert(json_is_null(json_object_get(found, "litres_used"))); /* twelve days after the reading */
    ck_assert(json_is_null(json_object_get(found, "count")));
    ck_assert(json_is_null(json_object_get(found, "g_per_plant")));
    ck_assert(json_is_null(json_object_get(found, "crop")));
    summary = caller_get(&caller, "/api/v1/harvests/summary");
    ck_assert_double_eq(number_of(json_object_get(summary, "all"), "n"), 0);
    ck_assert(json_is_null(json_object_get(json_object_get(summary, "all"), "mean")));
    ck_assert(json_is_null(json_object_get(json_object_get(summary, "all"), "g_per_litre")));
    ck_assert_double_eq(number_of(json_object_get(json_object_get(summary, "all"), "g_per_harvest"), "mean"), 400);
    json_decref(summary);
    json_decref(found);
}
END_TEST

/* Two cuts a fortnight apart, by hand: the second grew 14 days, and the fill's nitrogen is told with its last harvest only. */
START_TEST(cuts_count_from_the_cut_before_and_nitrogen_by_the_fill)
{
    json_t *first, *second, *group, *measure;

    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/salts", "{\"id\":\"%s\",\"name\":\"bag\",\"label\":{\"n_no3\":10}}", BAG));
    make_tub();
    logs(1, "2026-05-01T08:00:00Z", FILLED ",\"weighed\":[{\"salt\":\"" BAG "\",\"grams\":50}]");
    logs(2, "2026-05-01T09:00:00Z", FOUR_PLANTED);
    logs(3, "2026-05-20T08:00:00Z", "\"kind\":\"top-up\",\"volume_l\":6,\"weighed\":[{\"salt\":\"" BAG "\",\"grams\":10}]");
    logs(5, "2026-06-01T09:00:00Z", "\"kind\":\"harvest\",\"how\":\"cut\",\"weight_g\":400");
    logs(7, "2026-06-15T09:00:00Z", "\"kind\":\"harvest\",\"how\":\"cut\",\"weight_g\":280");
    first = harvest(5);
    second = harvest(7);
    ck_assert_double_eq(number_of(second, "days"), 45);
    ck_assert_double_eq(number_of(second, "grown_days"), 14);
    ck_assert_double_eq_tol(number_of(second, "lid_m2"), 0.2, 1e-9); /* 500 x 400 mm at the rim: no lid was measured */
    ck_assert(json_is_null(json_object_get(second, "g_per_g_n"))); /* the plants hang on */
    ck_assert(json_is_null(json_object_get(second, "kwh")));       /* no lamps */
    json_decref(first);
    json_decref(second);
    logs(8, "2026-06-20T09:00:00Z", "\"kind\":\"clean-out\"");
    first = harvest(5);
    second = harvest(7);
    ck_assert(json_is_null(json_object_get(first, "g_per_g_n")));
    ck_assert_double_eq_tol(number_of(second, "g_per_g_n"), 680 / 6.0, 1e-9); /* 60 g of 10 % */
    json_decref(first);
    json_decref(second);
    first = caller_get(&caller, "/api/v1/harvests/summary");
    group = json_object_get(first, "all");
    measure = json_object_get(group, "g_per_day");
    ck_assert_double_eq_tol(number_of(measure, "low"), 100 / 31.0, 1e-9);
    ck_assert_double_eq_tol(number_of(measure, "high"), 70 / 14.0, 1e-9);
    ck_assert_double_eq_tol(number_of(json_object_get(group, "g_per_m2"), "median"), (2000 + 1400) / 2.0, 1e-9);
    ck_assert(json_is_null(json_object_get(group, "g_per_kwh")));
    json_decref(first);
}
END_TEST

static struct who ilka;

static int add_member(struct db *db, void *context, struct fault *fault)
{
    struct member_row row = {.id = "01900000-0000-7000-8007-000000000001", .name = "Ilka", .role = ROLE_GROWER, .joined_ms = 1,
                             .removed_ms = STORE_NO_INT};

    (void)context;
    if (members_add(db, &row, fault))
        return -1;
    ilka = (struct who){.role = ROLE_GROWER, .member = row.key};
    return 0;
}

START_TEST(members_are_told_apart_only_where_the_garden_wants_it)
{
    static const char body[] = "{\"id\":\"01900000-0000-7000-8004-000000000003\",\"tank\":\"01900000-0000-7000-8002-000000000001\","
                               "\"at\":\"2026-06-01T09:00:00Z\",\"kind\":\"harvest\",\"how\":\"whole\",\"cups\":[1],\"weight_g\":100}";
    json_t *summary, *rows;
    struct fault fault = {0};

    make_tub();
    logs(1, "2026-05-01T08:00:00Z", FILLED);
    logs(2, "2026-05-01T09:00:00Z", FOUR_PLANTED);
    ck_assert_int_eq(store_write(caller.service.garden->store, add_member, NULL, &fault), 0);
    json_decref(caller_ask(&caller, &(struct asking){.who = &ilka, .method = "POST", .path = "/api/v1/entries", .body = body, .length = strlen(body)}));
    ck_assert_uint_eq(caller.status, 201);
    summary = caller_get(&caller, "/api/v1/harvests/summary");
    ck_assert_uint_eq(json_array_size(json_object_get(summary, "by_member")), 0);
    json_decref(summary);
    json_decref(caller_expect(&caller, 200, "PATCH", "/api/v1/garden", "{\"records_members\":true}"));
    summary = caller_get(&caller, "/api/v1/harvests/summary");
    rows = json_object_get(summary, "by_member");
    ck_assert_uint_eq(json_array_size(rows), 1);
    ck_assert_str_eq(text_of(json_array_get(rows, 0), "name"), "Ilka");
    ck_assert_double_eq(number_of(json_array_get(rows, 0), "mean"), 100);
    json_decref(summary);
}
END_TEST

START_TEST(corrected_harvests_count_as_they_stand)
{
    json_t *summary;

    make_tub();
    logs(1, "2026-05-01T08:00:00Z", FILLED);
    logs(2, "2026-05-01T09:00:00Z", FOUR_PLANTED);
    logs(3, "2026-06-01T09:00:00Z", "\"kind\":\"harvest\",\"how\":\"whole\",\"cups\":[1],\"weight_g\":1000");
    logs(4, "2026-06-01T09:00:00Z", "\"kind\":\"harvest\",\"how\":\"whole\",\"cups\":[1],\"weight_g\":100,\"amends\":\"01900000-0000-7000-8004-000000000003\"");
    logs(5, "2026-06-02T09:00:00Z", "\"kind\":\"harvest\",\"how\":\"whole\",\"cups\":[2],\"weight_g\":300");
    logs(6, "2026-06-02T10:00:00Z", "\"kind\":\"note\",\"withdraws\":\"01900000-0000-7000-8004-000000000005\"");
    summary = caller_get(&caller, "/api/v1/harvests/summary");
    ck_assert_double_eq(number_of(json_object_get(summary, "all"), "harvests"), 1);
    ck_assert_double_eq(number_of(json_object_get(summary, "all"), "mean"), 100);
    ck_assert(json_is_null(json_object_get(json_object_get(summary, "all"), "sd")));
    json_decref(summary);
    /* The withdrawal withdrawn: the second head is back. */
    logs(7, "2026-06-02T11:00:00Z", "\"kind\":\"note\",\"withdraws\":\"01900000-0000-7000-8004-000000000006\"");
    summary = caller_get(&caller, "/api/v1/harvests/summary");
    ck_assert_double_eq(number_of(json_object_get(summary, "all"), "harvests"), 2);
    ck_assert_double_eq(number_of(json_object_get(summary, "all"), "mean"), 200);
    json_decref(summary);
}
END_TEST

static const struct {
    const char *query, *at;
} refused[] = {
    {"?tank=NOSUCH", "/tank"}, {"?from=2026-13-01", "/from"}, {"?limit=501", "/limit"}, {"?after=nothing", "/after"}, {"?colour=red", "/colour"},
};

START_TEST(bad_questions_are_refused)
{
    char path[64];
    json_t *problem;

    snprintf(path, sizeof path, "/api/v1/harvests%s", refused[_i].query);
    problem = caller_expect(&caller, 422, "GET", path, NULL);
    ck_assert_msg(problem_at(problem, refused[_i].at), "%s", caller.bytes);
    json_decref(problem);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("harvests");
    TCase *tcase = tcase_create("harvests"), *data = tcase_create("greenhouse data");

    tcase_add_checked_fixture(tcase, open_new, close_it);
    tcase_add_test(tcase, litres_run_from_the_fill_and_then_from_the_harvest_before);
    tcase_add_test(tcase, what_is_not_known_is_null);
    tcase_add_test(tcase, cuts_count_from_the_cut_before_and_nitrogen_by_the_fill);
    tcase_add_test(tcase, members_are_told_apart_only_where_the_garden_wants_it);
    tcase_add_test(tcase, corrected_harvests_count_as_they_stand);
    tcase_add_loop_test(tcase, bad_questions_are_refused, 0, COUNT(refused));
    suite_add_tcase(suite, tcase);
    tcase_add_checked_fixture(data, open_new, close_it);
    tcase_set_timeout(data, 120);
    if (system("command -v sqlite3 >/dev/null") == 0)
        tcase_add_test(data, greenhouse_means_and_spreads_are_those_of_sqlite3);
    else
        puts("skipped: no sqlite3 shell here to hold the greenhouse data against");
    suite_add_tcase(suite, data);
    return run_suite(suite);
}
