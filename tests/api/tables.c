/* Tables hold what the lists hold; labels lead where they say. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "api/demo.h"
#include "caller.h"
#include "csv.h"
#include "runner.h"

static struct caller caller;

static void open_demo(void)
{
    struct fault fault = {0};

    caller_open(&caller, "tables");
    caller.service.public_url = "https://garden.example/";
    ck_assert_msg(demo_load(&caller.service, &fault) == 0, "%s", fault.item[0].detail);
}

static void close_it(void)
{
    caller_close(&caller);
}

/* The tests' own reader of published tables reads ours. */
static struct csv table_of(const char *noun)
{
    char path[64], name[64];
    struct csv csv;
    FILE *file;

    snprintf(path, sizeof path, "/api/v1/tables/%s.csv", noun);
    json_decref(caller_expect(&caller, 200, "GET", path, NULL));
    ck_assert_int_eq(strncmp(caller.type, "text/csv", 8), 0);
    snprintf(name, sizeof name, "test-table-%ld.csv", (long)getpid());
    file = fopen(name, "w");
    ck_assert_ptr_nonnull(file);
    fputs(caller.bytes, file);
    fclose(file);
    csv = csv_read(name);
    unlink(name);
    return csv;
}

static size_t items_of(const char *noun)
{
    char path[128], next[128] = "";
    size_t count = 0;

    do {
        json_t *page;

        snprintf(path, sizeof path, "/api/v1/%s?limit=500%s", noun, next);
        page = caller_get(&caller, path);
        count += json_array_size(json_object_get(page, "items"));
        snprintf(next, sizeof next, json_is_string(json_object_get(page, "next")) ? "&after=%s" : "", json_string_value(json_object_get(page, "next")));
        json_decref(page);
    } while (*next);
    return count;
}

static const char *const nouns[] = {"areas", "tanks", "vessels", "entries", "salts", "waters", "targets", "crops", "weather", "harvests", "members"};

static void table_has_a_row_an_item(const char *noun)
{
    struct csv csv = table_of(noun);

    ck_assert_msg(csv.rows == items_of(noun), "%s: %zu rows", noun, csv.rows);
    for (size_t i = 0; i < csv.columns; i++)
        for (size_t j = 0; j < i; j++)
            ck_assert_str_ne(csv.cell[i], csv.cell[j]);
    csv_free(&csv);
}

static void cells_say_what_the_list_says(void)
{
    struct csv csv = table_of("harvests");
    json_t *list = caller_get(&caller, "/api/v1/harvests"), *item;
    size_t i;

    json_array_foreach(json_object_get(list, "items"), i, item) {
        ck_assert_str_eq(csv_text(&csv, i, csv_column(&csv, "entry")), text_of(item, "entry"));
        if (json_is_number(json_object_get(item, "weight_g")))
            ck_assert_double_eq(csv_number(&csv, i, csv_column(&csv, "weight_g")), number_of(item, "weight_g"));
        else
            ck_assert_str_eq(csv_text(&csv, i, csv_column(&csv, "weight_g")), "");
    }
    ck_assert_uint_gt(i, 20);
    json_decref(list);
    csv_free(&csv);
    csv = table_of("targets");
    ck_assert_double_eq(csv_number(&csv, 2, csv_column(&csv, "mg_l.k")), 273.7);
    csv_free(&csv);
    json_decref(caller_expect(&caller, 404, "GET", "/api/v1/tables/devices.csv", NULL));
    json_decref(caller_expect(&caller, 404, "GET", "/api/v1/tables/oak.csv", NULL));
}

static void labels_lead_to_their_tanks(void)
{
    json_t *list = caller_get(&caller, "/api/v1/labels"), *label;
    size_t i;

    json_array_foreach(json_object_get(list, "items"), i, label) {
        char link[128];

        snprintf(link, sizeof link, "https://garden.example/t/%s", text_of(label, "code"));
        ck_assert_str_eq(text_of(label, "link"), link);
        ck_assert_int_eq(strncmp(text_of(label, "qr_svg"), "<svg ", 5), 0);
    }
    ck_assert_uint_ge(i, 10);
    json_decref(list);
}

/* One test, since the invented garden takes its time to fill. */
START_TEST(tables_and_labels_of_the_invented_garden)
{
    for (size_t i = 0; i < COUNT(nouns); i++)
        table_has_a_row_an_item(nouns[i]);
    cells_say_what_the_list_says();
    labels_lead_to_their_tanks();
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("tables");
    TCase *tcase = tcase_create("tables");

    tcase_add_checked_fixture(tcase, open_demo, close_it);
    tcase_set_timeout(tcase, 120);
    tcase_add_test(tcase, tables_and_labels_of_the_invented_garden);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
