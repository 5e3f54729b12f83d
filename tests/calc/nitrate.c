/* Limits of nitrate in leaves against the law's own table. */
#include "calc/nitrate.h"
#include "csv.h"
#include "runner.h"

#include <math.h>
#include <string.h>

/* fixtures/horticulture/nitrate-limits.csv: Regulation (EC) 1881/2006, annex, section 1. */
static enum nitrate_food food_of(const char *food)
{
    static const struct {
        const char *name;
        enum nitrate_food food;
    } foods[] = {{"spinach, fresh", NITRATE_SPINACH}, {"lettuce, not iceberg", NITRATE_LETTUCE}, {"iceberg lettuce", NITRATE_ICEBERG}, {"rocket", NITRATE_ROCKET}};

    for (size_t i = 0; i < COUNT(foods); i++)
        if (strcmp(foods[i].name, food) == 0)
            return foods[i].food;
    return NITRATE_NONE; /* what is no crop: frozen, for infants */
}

START_TEST(limits_are_those_of_the_law)
{
    struct csv csv = csv_read(source_path("fixtures/horticulture/nitrate-limits.csv"));
    size_t held = 0;

    for (size_t row = 0; row < csv.rows; row++) {
        const char *harvest = csv_text(&csv, row, csv_column(&csv, "harvest"));
        enum nitrate_food food = food_of(csv_text(&csv, row, csv_column(&csv, "food")));
        double limit = csv_number(&csv, row, csv_column(&csv, "max_mg_no3_per_kg"));
        bool winter_only = strstr(harvest, "1 Oct") != NULL, summer_only = strstr(harvest, "1 Apr") != NULL;
        bool cover_only = strstr(harvest, "under cover") != NULL, open_only = strstr(harvest, "open air") != NULL;

        for (int winter = 0; winter < 2 && food != NITRATE_NONE; winter++)
            for (int cover = 0; cover < 2; cover++)
                if (!(winter ? summer_only : winter_only) && !(cover ? open_only : cover_only)) {
                    ck_assert_msg(nitrate_limit_mg_kg(food, winter, cover) == limit, "%s, %s: %g", csv_text(&csv, row, 0), harvest, limit);
                    held++;
                }
    }
    ck_assert_uint_eq(held, 4 * 4); /* four foods, two halves of the year, two covers: each told once */
    csv_free(&csv);
}
END_TEST

START_TEST(crops_and_months)
{
    ck_assert_int_eq(nitrate_food_of("lettuce-leaf"), NITRATE_LETTUCE);
    ck_assert_int_eq(nitrate_food_of("spinach"), NITRATE_SPINACH);
    ck_assert_int_eq(nitrate_food_of("rocket"), NITRATE_ROCKET);
    ck_assert_int_eq(nitrate_food_of("chard"), NITRATE_NONE);
    ck_assert(isnan(nitrate_limit_mg_kg(NITRATE_NONE, true, true)));
    for (int month = 1; month <= 12; month++)
        ck_assert_int_eq(nitrate_winter(month), month < 4 || month > 9);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("nitrate");
    TCase *tcase = tcase_create("nitrate");

    tcase_add_test(tcase, limits_are_those_of_the_law);
    tcase_add_test(tcase, crops_and_months);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
