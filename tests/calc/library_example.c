/* What two salts do in a tap water, with the acid that brings it to pH 6.
 *
 *     cc example.c $(pkg-config --cflags --libs libtidemark-calc)
 */
#include <calc/acid.h>
#include <calc/precipitate.h>

#include <stdio.h>
#include <stdlib.h>

static int complain(const struct fault *fault)
{
    for (size_t i = 0; i < fault->count; i++)
        fprintf(stderr, "%s: %s\n", fault->item[i].at, fault->item[i].detail);
    return EXIT_FAILURE;
}

int main(void)
{
    /* invented: a water of middling hardness */
    const struct source_water tap = {
        .ph = 7.7, .alkalinity_mg_caco3_l = 120, .ca_mg_l = 44, .mg_mg_l = 6, .na_mg_l = 17.8, .cl_mg_l = 18, .so4_mg_l = 26};
    struct fault fault = {0};
    struct solution_input litre;
    struct solution_told told;
    struct precipitate falls_out;
    struct acid_request request = {.ph = 6.0, .reagent = REAGENT_NITRIC, .strength_percent = 38, .volume_l = 100};
    struct acid_dose dose;

    solution_begin(&litre, 18.0);
    if (solution_add_water(&litre, &tap, 1.0, &fault) ||
        solution_add_salt(&litre, salts_find("calcium-nitrate-4h2o"), 0.6, &fault) ||
        solution_add_salt(&litre, salts_find("epsom-salt"), 0.4, &fault) || precipitate_equilibrium(&litre, &falls_out, &fault))
        return complain(&fault);
    solution_told(&falls_out.before, &told);
    printf("pH %.1f to %.1f, EC %.2f to %.2f mS/cm\n", told.ph_low, told.ph_high, told.ec_low_ms_cm, told.ec_high_ms_cm);
    printf("gypsum %.1f, %s\n", falls_out.item[0].saturation, precipitate_verdict_text[falls_out.item[0].verdict]);
    request.given = litre;
    if (acid_dose(&request, &dose, &fault))
        return complain(&fault);
    printf("%.0f mL of nitric acid 38 %% for 100 L; standing open it climbs back to pH %.1f\n", dose.ml,
           dose.ph_after_standing_open);
    for (size_t i = 0; i < dose.cautions; i++)
        printf("- %s\n", dose.caution[i]);
    return EXIT_SUCCESS;
}
