/* Stocks: 72 computed limits, the split, its labels, hard water, what is refused. */
#include "calc/concentrate.h"
#include "csv.h"
#include "rows.h"
#include "runner.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* The salts of a stock at factor 1, from the row of solutions-concentrates.csv at factor 10 ("name:mmol/L name:mmol/L"). */
static void add_stock(const char *listed, struct concentrate_request *request)
{
    char text[512], *rest = text, *word;

    snprintf(text, sizeof text, "%s", listed);
    while ((word = strtok_r(rest, " ", &rest))) {
        char *colon = strchr(word, ':');
        const struct salt *salt;
        size_t i = 0;

        *colon = '\0';
        salt = salts_find(word);
        ck_assert_msg(salt != NULL, "no salt %s", word);
        while (i < request->count && request->salt[i].salt != salt)
            i++;
        if (i == request->count) {
            request->salt[i].salt = salt;
            request->salt[i].g_l = 0.0;
            request->count++;
        }
        request->salt[i].g_l += strtod(colon + 1, NULL) / 10.0 * salt->molar_mass_g_mol / 1000.0;
    }
}

static struct concentrate_request request_for(const char *recipe, const char *water_id, double t_c, const char *stock)
{
    static struct csv csv;
    struct concentrate_request request = {.count = 0};
    struct source_water water = rows_water(water_id);
    struct fault fault = {0};
    char id[96];

    if (!csv.rows)
        csv = csv_read(source_path("fixtures/chemistry/solutions-concentrates.csv"));
    solution_begin(&request.water, t_c);
    ck_assert_int_eq(solution_add_water(&request.water, &water, 1.0, &fault), 0);
    snprintf(id, sizeof id, "stock-%s-demin-20-%s-x10", recipe, stock);
    for (size_t row = 0; row < csv.rows; row++)
        if (strcmp(csv_text(&csv, row, 0), id) == 0)
            add_stock(csv_text(&csv, row, csv_column(&csv, "added_salts_mmol_l")), &request);
    ck_assert_msg(request.count > 0, "no row %s", id);
    return request;
}

/* "6.94", "<1", ">300", "never" as a factor: 0, INFINITY, NAN for the words. */
static double printed_factor(const char *text)
{
    if (text[0] == '<')
        return 0.0;
    if (text[0] == '>')
        return INFINITY;
    return text[0] == 'n' || text[0] == '\0' ? NAN : strtod(text, NULL);
}

/* Source: PHREEQC 3.8.8; *_low and *_high over five databases (fixtures/chemistry/README.md). Three digits are printed: 1 % of slack
 * is half of the last one and half a percent.
 */
START_TEST(limits_within_the_band)
{
    static const struct {
        const char *name;
        enum solution_mineral mineral;
    } minerals[] = {{"gypsum", MINERAL_GYPSUM},
                    {"brushite", MINERAL_BRUSHITE},
                    {"struvite", MINERAL_STRUVITE},
                    {"arcanite", MINERAL_ARCANITE}};
    struct csv csv = csv_read(source_path("fixtures/chemistry/concentrate-limits.csv"));
    double worst = 0.0;

    ck_assert_uint_eq(csv.rows, 72);
    for (size_t row = 0; row < csv.rows; row++) {
        struct concentrate_request request =
            request_for(csv_text(&csv, row, csv_column(&csv, "recipe")), csv_text(&csv, row, csv_column(&csv, "water_id")),
                        csv_number(&csv, row, csv_column(&csv, "temp_c")), csv_text(&csv, row, csv_column(&csv, "stock")));

        for (size_t m = 0; m < COUNT(minerals); m++) {
            char column[40];
            double printed, low, high, factor;
            bool already;
            struct fault fault = {0};

            snprintf(column, sizeof column, "factor_%s", minerals[m].name);
            printed = printed_factor(csv_text(&csv, row, csv_column(&csv, column)));
            snprintf(column, sizeof column, "factor_%s_low", minerals[m].name);
            low = printed_factor(csv_text(&csv, row, csv_column(&csv, column)));
            snprintf(column, sizeof column, "factor_%s_high", minerals[m].name);
            high = printed_factor(csv_text(&csv, row, csv_column(&csv, column)));
            ck_assert_int_eq(concentrate_reaches(&request, minerals[m].mineral, 0.0, &factor, &already, &fault), 0);
            if (already)
                factor = 0.0;
            if (isnan(printed)) {
                ck_assert_msg(isnan(factor), "row %zu %s: %g in place of never", row + 2, minerals[m].name, factor);
                continue;
            }
            ck_assert_msg(factor >= low * 0.99 && factor <= high * 1.01, "row %zu %s: %g is outside %g to %g", row + 2,
                          minerals[m].name, factor, low, high);
            if (isfinite(printed) && printed > 0.0) {
                worst = fmax(worst, fabs(factor / printed - 1.0));
                ck_assert_msg(fabs(factor / printed - 1.0) <= 0.02, "row %zu %s: %g in place of %g", row + 2, minerals[m].name,
                              factor, printed);
            }
        }
    }
    printf("72 limit rows: worst factor off by %.2f %%\n", 100.0 * worst);
    csv_free(&csv);
}
END_TEST

static size_t stock_with(const struct concentrate *concentrate, const struct concentrate_request *request, const char *id)
{
    for (size_t s = 0; s < concentrate->stocks; s++)
        for (size_t i = 0; i < concentrate->stock[s].count; i++)
            if (strcmp(request->salt[concentrate->stock[s].salt[i].index].salt->id, id) == 0)
                return s;
    ck_abort_msg("%s is in no stock", id);
    return 0;
}

static void print_stocks(const struct concentrate_request *request, const struct concentrate *concentrate)
{
    printf("factor %g (%.1f), one bottle %.1f: %s\n", concentrate->factor, concentrate->factor_exact,
           concentrate->all_in_one_factor, concentrate->why);
    for (size_t s = 0; s < concentrate->stocks; s++)
        for (size_t line = 0; line < 6; line++)
            printf("   %s\n", concentrate->stock[s].label[line]);
    (void)request;
    fflush(stdout);
}

/* The trade keeps calcium apart from sulfate and phosphate (common practice, no source): it comes out by itself. */
START_TEST(calcium_comes_apart_by_itself)
{
    static const char *const recipes[] = {"hoagland-1", "steiner", "lettuce-nl"};
    struct concentrate_request request = request_for(recipes[_i], "demin", 15.0, "all-in-one");
    static struct concentrate concentrate;
    struct fault fault = {0};
    size_t calcium;

    ck_assert_int_eq(concentrate_split(&request, &concentrate, &fault), 0);
    print_stocks(&request, &concentrate);
    calcium = stock_with(&concentrate, &request, "calcium-nitrate-4h2o");
    ck_assert_uint_eq(calcium, 0);
    ck_assert_uint_ne(calcium, stock_with(&concentrate, &request, "epsom-salt"));
    ck_assert_uint_ne(calcium, stock_with(&concentrate, &request, "monopotassium-phosphate"));
    ck_assert_double_ge(concentrate.factor, 50.0);
    ck_assert_double_lt(concentrate.all_in_one_factor, 10.0);
    ck_assert_double_eq_tol(concentrate.dose_ml_l * concentrate.factor, 1000.0, 1e-9);
    for (size_t s = 0; s < concentrate.stocks; s++) {
        ck_assert_double_le(concentrate.stock[s].saturation, -CONCENTRATE_MARGIN);
        ck_assert(strstr(concentrate.stock[s].label[0], "Stock ") != NULL);
        ck_assert_double_eq(concentrate.stock[s].haze_g_l, 0.0);
    }
    ck_assert_uint_ge(concentrate.cautions, 5);
}
END_TEST

/* Every other way to share four salts is no better: counted out by concentrate_reaches on the parts. */
START_TEST(no_other_split_is_better)
{
    struct concentrate_request request = request_for("hoagland-1", "demin", 20.0, "all-in-one");
    static struct concentrate best, other;
    struct fault fault = {0};

    request.stocks = 2;
    ck_assert_int_eq(concentrate_split(&request, &best, &fault), 0);
    for (unsigned held = 1; held + 1 < 1u << request.count; held++) {
        double factor = INFINITY;

        for (int side = 0; side < 2; side++) {
            struct concentrate_request part = request;

            part.count = 0;
            for (size_t i = 0; i < request.count; i++)
                if ((held >> i & 1u) == (unsigned)side)
                    part.salt[part.count++] = request.salt[i];
            ck_assert_int_eq(concentrate_split(&part, &other, &fault), 0);
            factor = fmin(factor, other.all_in_one_factor);
        }
        ck_assert_msg(factor <= best.factor_exact * 1.011, "split %x reaches %g, the best was %g", held, factor,
                      best.factor_exact);
    }
}
END_TEST

START_TEST(hard_water_clouds_and_is_said)
{
    struct concentrate_request request = request_for("hoagland-1", "hard", 15.0, "all-in-one");
    static struct concentrate concentrate;
    struct fault fault = {0};
    double haze = 0.0;
    bool said = false;

    ck_assert_int_eq(concentrate_split(&request, &concentrate, &fault), 0);
    ck_assert(concentrate.water_clouds);
    for (size_t s = 0; s < concentrate.stocks; s++)
        haze += concentrate.stock[s].haze_g_l;
    ck_assert_double_gt(haze, 0.01);
    for (size_t i = 0; i < concentrate.cautions; i++)
        said = said || strstr(concentrate.caution[i], "lime");
    ck_assert(said);
    ck_assert_double_ge(concentrate.factor, 50.0);
}
END_TEST

/* Potassium sulfate, 2 g/L: 85.9 g/kg water at 10 C (Geochim. Cosmochim. Acta 51:2429, 1987) end it near 0.9 x 85.9 / 2, and its index before. */
START_TEST(solubility_ends_it)
{
    struct concentrate_request request = {.count = 2};
    static struct concentrate concentrate;
    struct fault fault = {0};

    solution_begin(&request.water, 10.0);
    request.salt[0].salt = salts_find("potassium-nitrate");
    request.salt[0].g_l = 2.0;
    request.salt[1].salt = salts_find("boric-acid");
    request.salt[1].g_l = 0.003;
    ck_assert_int_eq(concentrate_split(&request, &concentrate, &fault), 0);
    /* 210 g/kg at 10 C (a chemical supplier's table), a tenth in hand, some 0.93 kg of water in the litre */
    ck_assert_double_eq_tol(concentrate.factor_exact, 0.9 * 210.0 / 2.0 * 0.935, 2.0);
    ck_assert_double_eq(concentrate.factor, 80.0);
    ck_assert_int_eq(
        concentrate.stock[0].limit == CONCENTRATE_BY_SOLUBILITY || concentrate.stock[1].limit == CONCENTRATE_BY_SOLUBILITY, 1);
}
END_TEST

START_TEST(nonsense_is_refused)
{
    struct concentrate_request request = {.count = 1, .stocks = 1};
    static struct concentrate concentrate;
    struct fault fault = {0};

    solution_begin(&request.water, 20.0);
    request.salt[0].salt = salts_find("gypsum");
    request.salt[0].g_l = NAN;
    ck_assert_int_eq(concentrate_split(&request, &concentrate, &fault), -1);
    ck_assert_uint_eq(fault.count, 2);
    ck_assert_str_eq(fault.item[0].at, "/stocks");
    ck_assert_str_eq(fault.item[1].at, "/salts/0/g_l");
    fault = (struct fault){0};
    request.stocks = 2;
    request.salt[0].g_l = 1.5;
    ck_assert_int_eq(concentrate_split(&request, &concentrate, &fault), -1); /* gypsum hardly dissolves */
    ck_assert_str_eq(fault.item[0].at, "");
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("concentrate");
    TCase *tcase = tcase_create("concentrate");

    tcase_set_timeout(tcase, 120);
    tcase_add_test(tcase, limits_within_the_band);
    tcase_add_loop_test(tcase, calcium_comes_apart_by_itself, 0, 3);
    tcase_add_test(tcase, no_other_split_is_better);
    tcase_add_test(tcase, hard_water_clouds_and_is_said);
    tcase_add_test(tcase, solubility_ends_it);
    tcase_add_test(tcase, nonsense_is_refused);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
