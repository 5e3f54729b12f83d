/* One recipe with rounding and explanation, without chemistry. Three shelves: one that meets its target, one that cannot
 * (so that every salt of the table is looked at for what it would mend), and a blend with hard water. Median of each.
 */
#include "calc/label.h"
#include "calc/recipe.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#define ROUNDS 101
#define EACH 50
#define BUDGET_US 60.0

static double now_us(void)
{
    struct timespec now;

    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec * 1e6 + (double)now.tv_nsec * 1e-3;
}

static int rising(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;

    return (x > y) - (x < y);
}

static double median_us(const struct recipe_request *request)
{
    static double each[ROUNDS];
    struct recipe recipe;

    for (int round = 0; round < ROUNDS; round++) {
        double start = now_us();

        for (int i = 0; i < EACH; i++)
            if (recipe_make(request, &recipe, 0))
                exit(EXIT_FAILURE);
        each[round] = (now_us() - start) / EACH;
    }
    qsort(each, ROUNDS, sizeof *each, rising);
    return each[ROUNDS / 2];
}

static void put(struct recipe_request *request, const char *id, double max_g)
{
    request->salt[request->count++] = (struct recipe_salt){salts_find(id), max_g};
}

/* Aims of a published solution for lettuce (2014), rounded, from memory. */
static struct recipe_request lettuce(void)
{
    static const double mg_l[] = {150, 31, 210, 90, 24, 32, 1, 0.25, 0.13, 0.16, 0.023, 0.024};
    struct recipe_request request = {.volume_l = 95, .scale_step_g = 0.1};

    recipe_target_clear(&request.target);
    for (int e = 0; e <= ELEMENT_MO; e++)
        request.target.mg_l[e] = mg_l[e];
    request.target.n_nh4_max_mg_l = 20;
    return request;
}

int main(void)
{
    static const char *const whole[] = {"calcium-nitrate-double", "potassium-nitrate", "monopotassium-phosphate", "epsom-salt",
                                        "ammonium-nitrate", "iron-dtpa-11", "manganese-sulfate-h2o", "zinc-sulfate-7h2o", "boric-acid",
                                        "copper-sulfate-5h2o", "sodium-molybdate-2h2o", "potassium-sulfate"};
    struct source_water hard = {.ph = 7.6, .alkalinity_mg_caco3_l = 180, .ca_mg_l = 80, .mg_mg_l = 12, .na_mg_l = 20, .cl_mg_l = 30, .so4_mg_l = 40};
    struct recipe_request full = lettuce(), poor = lettuce(), blend = lettuce();
    struct label label;
    struct salt base;
    double us[3], worst = 0;

    for (size_t i = 0; i < sizeof whole / sizeof *whole; i++)
        put(&full, whole[i], NAN);
    put(&poor, "calcium-nitrate-double", 30);
    put(&poor, "monopotassium-phosphate", NAN);
    put(&poor, "ammonium-sulfate", NAN);
    label_clear(&label); /* invented */
    label.percent[LABEL_N_NO3] = 5;
    label.percent[LABEL_P2O5] = 12;
    label.percent[LABEL_K2O] = 26;
    label.percent[LABEL_FE] = 0.3;
    label.percent[LABEL_MN] = 0.05;
    label.percent[LABEL_B] = 0.05;
    if (label_salt(&label, "base", &base, 0))
        return EXIT_FAILURE;
    blend.water = &hard;
    blend.salt[blend.count++] = (struct recipe_salt){&base, NAN};
    put(&blend, "calcium-nitrate-double", NAN);
    put(&blend, "epsom-salt", NAN);
    us[0] = median_us(&full);
    us[1] = median_us(&poor);
    us[2] = median_us(&blend);
    for (int i = 0; i < 3; i++)
        worst = fmax(worst, us[i]);
    printf("recipe: 12 salts %.1f us, three that cannot %.1f us, blend and hard water %.1f us; budget %.0f\n", us[0], us[1], us[2], BUDGET_US);
    return worst <= BUDGET_US ? EXIT_SUCCESS : EXIT_FAILURE;
}
