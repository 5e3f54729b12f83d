/* Quarters of the year, north and south. Three whole months from December on: common practice of weather services, no source. */
#include "garden/seasons.h"

#include <math.h>

#include "calc/days.h"
#include "runner.h"

static const struct {
    struct civil day;
    double latitude_deg;
    const char *id;
    struct civil first, last;
} seasons[] = {
    {{2026, 3, 1}, 47, "2026-spring", {2026, 3, 1}, {2026, 5, 31}},
    {{2026, 2, 28}, 47, "2026-winter", {2025, 12, 1}, {2026, 2, 28}},
    {{2025, 12, 1}, 47, "2026-winter", {2025, 12, 1}, {2026, 2, 28}},
    {{2024, 2, 29}, 47, "2024-winter", {2023, 12, 1}, {2024, 2, 29}},
    {{2026, 7, 15}, NAN, "2026-summer", {2026, 6, 1}, {2026, 8, 31}},
    {{2026, 11, 30}, 47, "2026-autumn", {2026, 9, 1}, {2026, 11, 30}},
    {{2026, 1, 10}, -34, "2026-summer", {2025, 12, 1}, {2026, 2, 28}},
    {{2026, 7, 15}, -34, "2026-winter", {2026, 6, 1}, {2026, 8, 31}},
    {{2026, 4, 15}, -34, "2026-autumn", {2026, 3, 1}, {2026, 5, 31}},
};

static int32_t day_number(struct civil civil)
{
    int32_t day;

    ck_assert(days_from_civil(civil, &day));
    return day;
}

START_TEST(day_lies_in_its_season)
{
    struct season season = season_of(day_number(seasons[_i].day), seasons[_i].latitude_deg);

    ck_assert_str_eq(season.id, seasons[_i].id);
    ck_assert_int_eq(season.first, day_number(seasons[_i].first));
    ck_assert_int_eq(season.last, day_number(seasons[_i].last));
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("seasons");
    TCase *tcase = tcase_create("seasons");

    tcase_add_loop_test(tcase, day_lies_in_its_season, 0, COUNT(seasons));
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
