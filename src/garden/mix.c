/* mix.c - a recipe made whole. */
#include "garden/mix.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "calc/vessel.h"

#define HEAVY_L 20.0        /* more than a person should carry at once: ours */
#define ACID_PASSES 4       /* grams and dose settle in two or three */
#define ACID_SETTLED 0.002  /* of the dose: finer than any bottle is measured */

/* ---- cautions ---- */

static void caution(struct mix *mix, const char *text)
{
    if (text && *text && mix->cautions < MIX_CAUTIONS)
        mix->caution[mix->cautions++] = text;
}

static bool oxidises(const struct salt *salt)
{
    return strstr(salt->id, "nitrate") || salt->ions[ION_NO3] > 0;
}

static void gather_cautions(struct mix *mix, double volume_l, struct arena *arena)
{
    char text[320];

    for (size_t i = 0; i < mix->recipe.count; i++)
        if (mix->recipe.weigh[i].grams > 0 && oxidises(mix->recipe.weigh[i].salt)) {
            caution(mix, "Nitrates feed a fire: keep the bags dry, closed, and away from fuel, heat and flames.");
            break;
        }
    caution(mix, "Keep salts and solutions out of the reach of children and animals; wear gloves, and keep the dust out of eyes and lungs.");
    if (volume_l >= HEAVY_L)
        caution(mix, arena_format(arena, "%.0f L weigh about %.0f kg: mix where the tank will stand; do not carry or stack it when it is full.",
                                  volume_l, volume_l));
    if (mix->no_chemistry)
        caution(mix, mix->no_chemistry);
    if (!mix->steps_known)
        return;
    caution(mix, arena_text(arena, precipitate_sentence(&mix->mixing.in_tank, volume_l, text, sizeof text)));
    caution(mix, mix->mixing.one_jug_text);
}

/* ---- the chemistry of the salts ---- */

/* Bags of one's own say only what they must: their charges are closed, on a copy. Sets no_chemistry where that is a guess. */
static int take_salts(const struct recipe_request *request, struct mix *mix, struct arena *arena, struct fault *fault)
{
    for (size_t i = 0; i < request->count; i++) {
        struct fault why = {0};
        struct salt *own;
        double gap;

        mix->salt[i] = request->salt[i].salt;
        if (*mix->salt[i]->id)
            continue;
        own = arena_take(arena, sizeof *own);
        if (!own)
            return fault_add(fault, FAULT_MEMORY, "", "out of memory");
        *own = *mix->salt[i];
        mix->salt[i] = own;
        /* A bag that the recipe leaves on the shelf changes nothing. */
        if (salts_close_charge(own, &gap, &why) && !mix->no_chemistry && mix->recipe.weigh[i].grams > 0)
            mix->no_chemistry = arena_format(arena, "The label of %s leaves out a main ingredient: no pH, EC or order of dissolving can be told. (%s)",
                                             own->name, why.count ? why.item[0].detail : "");
    }
    return 0;
}

static int pour_together(const struct mix_request *request, struct mix *mix, struct fault *fault)
{
    solution_begin(&mix->input, request->temperature_c);
    if (request->recipe.water && solution_add_water(&mix->input, request->recipe.water, 1.0, fault))
        return -1;
    for (size_t i = 0; i < mix->recipe.count; i++)
        if (solution_add_salt(&mix->input, mix->salt[i], mix->recipe.weigh[i].grams / request->recipe.volume_l, fault))
            return -1;
    return 0;
}

/* ---- acid ---- */

static double as_ion(enum ion ion, double element_mg_l)
{
    return element_mg_l * ion_mass_g_mol[ion] / element_mass_g_mol[ion_element[ion]];
}

/* The water as the recipe must see it: with what the acid will bring. */
static struct source_water with_acid(const struct source_water *water, const struct acid_dose *dose)
{
    struct source_water sum = water ? *water : (struct source_water){.ph = 7.0};

    sum.no3_mg_l += as_ion(ION_NO3, dose->adds_mg_l[ELEMENT_N]);
    sum.po4_mg_l += as_ion(ION_PO4, dose->adds_mg_l[ELEMENT_P]);
    sum.so4_mg_l += as_ion(ION_SO4, dose->adds_mg_l[ELEMENT_S]);
    sum.k_mg_l += dose->adds_mg_l[ELEMENT_K];
    return sum;
}

static int dose_acid(const struct mix_request *request, struct mix *mix, struct fault *fault)
{
    mix->acid_request = (struct acid_request){mix->input, request->ph, request->acid, request->strength_percent, request->recipe.volume_l};
    return acid_dose(&mix->acid_request, &mix->acid, fault);
}

/* Salts, then the acid that they need, then the salts again with what that acid brings, until both rest. */
static int settle_acid(const struct mix_request *request, struct mix *mix, struct fault *fault)
{
    struct recipe_request again = request->recipe;
    struct source_water water;

    mix->acid_asked = true;
    for (int pass = 0; pass < ACID_PASSES; pass++) {
        double before = mix->acid.mmol_l;

        if (dose_acid(request, mix, fault))
            return -1;
        if (fabs(mix->acid.mmol_l - before) <= ACID_SETTLED * mix->acid.mmol_l)
            break;
        water = with_acid(request->recipe.water, &mix->acid);
        again.water = &water;
        if (recipe_make(&again, &mix->recipe, fault) || pour_together(request, mix, fault))
            return -1;
    }
    /* The dose belongs to the grams of the last pass, whichever ended it. */
    return dose_acid(request, mix, fault);
}

/* ---- the order ---- */

static void order_steps(const struct mix_request *request, struct mix *mix)
{
    struct mixing_request mixing = {.volume_l = request->recipe.volume_l, .jug_temperature_c = NAN};

    for (size_t i = 0; i < mix->recipe.count; i++)
        if (mix->recipe.weigh[i].grams > 0) {
            mix->step_of[mixing.count] = i;
            mixing.salt[mixing.count++] = (struct mixing_salt){mix->salt[i], mix->recipe.weigh[i].grams};
        }
    solution_begin(&mixing.water, request->temperature_c);
    if (request->recipe.water)
        solution_add_water(&mixing.water, request->recipe.water, 1.0, NULL);
    mix->steps_known = mixing.count && mixing_best(&mixing, &mix->mixing, NULL) == 0;
}

/* ---- the water ---- */

int mix_water_ph(struct source_water *water, struct fault *fault)
{
    struct source_water rest = *water;
    struct solution_input input;
    struct solution solved;

    if (!isnan(water->ph))
        return 0;
    rest.ph = water->alkalinity_mg_caco3_l > 0 ? 8.3 : 7.0; /* any that goes with the alkalinity: the air decides */
    solution_begin(&input, 25.0);
    if (solution_add_water(&input, &rest, 1.0, fault))
        return -1;
    input.gas = SOLUTION_OPEN_AIR;
    input.pco2_atm = PCO2_OUTDOOR_AIR_ATM;
    if (solution_solve(&input, &solved, fault))
        return -1;
    water->ph = solved.ph;
    return 0;
}

/* ---- the whole ---- */

/* Everything after the grams; what cannot be computed is told in no_chemistry and left out. -1 only for what the request has wrong. */
static int add_chemistry(const struct mix_request *request, struct mix *mix, struct arena *arena, struct fault *fault)
{
    struct fault why = {0};

    if (pour_together(request, mix, &why) || solution_solve(&mix->input, &mix->solution, &why)) {
        mix->no_chemistry = arena_format(arena, "No pH, EC or order of dissolving can be told: %s", why.count ? why.item[0].detail : "");
        return 0;
    }
    if (!isnan(request->ph)) {
        if (settle_acid(request, mix, fault))
            return -1;
        mix->solution = mix->acid.after;
    }
    order_steps(request, mix);
    return 0;
}

/* A pH and an alkalinity that cannot both be true are found by the chemistry alone. */
static int check_water(const struct source_water *water, double temperature_c, struct fault *fault)
{
    struct solution_input input;
    struct fault wrong = {0};

    solution_begin(&input, temperature_c);
    return water && solution_add_water(&input, water, 1.0, &wrong) ? fault_under(fault, "/water", &wrong) : 0;
}

struct mix *mix_make(const struct mix_request *request, struct arena *arena, struct fault *fault)
{
    struct mix *mix = arena_take(arena, sizeof *mix);

    if (!mix) {
        fault_add(fault, FAULT_MEMORY, "", "out of memory");
        return NULL;
    }
    if (recipe_make(&request->recipe, &mix->recipe, fault) || check_water(request->recipe.water, request->temperature_c, fault) ||
        take_salts(&request->recipe, mix, arena, fault) ||
        (!mix->no_chemistry && add_chemistry(request, mix, arena, fault)))
        return NULL;
    gather_cautions(mix, request->recipe.volume_l, arena);
    return mix;
}

struct mix_stocks *mix_stocks_make(const struct mix_request *request, size_t stocks, struct arena *arena, struct fault *fault)
{
    struct mix_stocks *made = arena_take(arena, sizeof *made);
    struct concentrate_request asked = {.stocks = stocks};

    if (!made) {
        fault_add(fault, FAULT_MEMORY, "", "out of memory");
        return NULL;
    }
    made->mix = mix_make(request, arena, fault);
    if (!made->mix)
        return NULL;
    if (made->mix->no_chemistry) {
        fault_add(fault, FAULT_INPUT, "/salts", "%s", made->mix->no_chemistry);
        return NULL;
    }
    for (size_t i = 0; i < made->mix->recipe.count; i++)
        if (made->mix->recipe.weigh[i].grams > 0) {
            made->weigh_of[asked.count] = i;
            asked.salt[asked.count].salt = made->mix->salt[i];
            asked.salt[asked.count++].g_l = made->mix->recipe.weigh[i].grams / request->recipe.volume_l;
        }
    solution_begin(&asked.water, request->temperature_c);
    if (request->recipe.water && solution_add_water(&asked.water, request->recipe.water, 1.0, fault))
        return NULL;
    return concentrate_split(&asked, &made->concentrate, fault) ? NULL : made;
}

/* ---- a top-up ---- */

#define LEAST_MIX_L 0.1 /* what recipe_make takes */

static const char *const topup_caution_text[TOPUP_CAUTION_COUNT] = {
    "Dissolve in a jug first, one salt after the other; never strew dry salt on roots.",
    "Pour slowly, beside the cups and not over the leaves.",
    "Never leave the end of a hose in the tank: a drop in pressure draws it back into the drinking water. Local codes decide what is needed.",
    "A filled tank is heavy: do not carry, lift or stack it.",
};

/* What the water brings, and what it conducts. */
static int tell_water(const struct source_water *water, double temperature_c, struct topup_given *given, struct fault *fault)
{
    struct solution_input input;
    struct solution solved;
    struct fault wrong = {0};

    recipe_water_elements(water, given->water_mg_l, NULL);
    solution_begin(&input, temperature_c);
    if ((water && solution_add_water(&input, water, 1.0, &wrong)) || solution_solve(&input, &solved, &wrong))
        return fault_under(fault, "/water", &wrong);
    given->water_ec_ms_cm = solved.ec_ms_cm;
    return 0;
}

static double wished_ph(double read)
{
    return read >= MIX_PH_LEAST && read <= MIX_PH_MOST ? read : MIX_PH_GOOD;
}

/* Plain water for the tank still brings its alkalinity. */
static int acid_for_water(const struct mix_topup_request *request, struct mix_topup *made, double *added_ec, struct fault *fault)
{
    made->acid_asked = true;
    made->acid_request = (struct acid_request){.ph = wished_ph(request->ph), .reagent = request->acid,
                                               .strength_percent = request->strength_percent, .volume_l = made->topup.add_l};
    solution_begin(&made->acid_request.given, request->temperature_c);
    if (request->recipe.water && solution_add_water(&made->acid_request.given, request->recipe.water, 1.0, fault))
        return -1;
    if (acid_dose(&made->acid_request, &made->acid, fault))
        return -1;
    *added_ec = made->acid.after.ec_ms_cm;
    return 0;
}

static int weigh_topup(const struct mix_topup_request *request, struct mix_topup *made, double *added_ec, struct arena *arena, struct fault *fault)
{
    struct mix_request asked = {request->recipe, request->temperature_c, isnan(request->ph) ? (double)NAN : wished_ph(request->ph),
                                request->acid, request->strength_percent};
    const struct mix *mix;

    asked.recipe.volume_l = made->topup.add_l;
    memcpy(asked.recipe.target.mg_l, made->topup.target_mg_l, sizeof asked.recipe.target.mg_l);
    made->mix = mix = mix_make(&asked, arena, fault);
    if (!mix)
        return -1;
    if (mix->no_chemistry)
        return 0;
    *added_ec = mix->solution.ec_ms_cm;
    made->acid_asked = mix->acid_asked;
    made->acid_request = mix->acid_request;
    made->acid = mix->acid;
    return 0;
}

static int tell_topup(struct mix_topup *made, struct arena *arena, struct fault *fault)
{
    char text[320];

    for (size_t i = 0; i < made->topup.why_count; i++) {
        topup_why_text(&made->topup.why[i], text, sizeof text);
        made->why[made->whys] = arena_text(arena, text);
        if (!made->why[made->whys++])
            return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    }
    for (size_t i = 0; i < TOPUP_CAUTION_COUNT; i++)
        if (made->topup.cautions & 1u << i)
            made->caution[made->cautions++] = topup_caution_text[i];
    for (size_t i = 0; made->mix && i < made->mix->cautions; i++)
        made->caution[made->cautions++] = made->mix->caution[i];
    return 0;
}

struct mix_topup *mix_topup_make(const struct mix_topup_request *request, struct arena *arena, struct fault *fault)
{
    struct mix_topup *made = arena_take(arena, sizeof *made);
    struct topup_given given = request->topup;
    struct vessel_level level;
    double added_ec;
    bool strong;

    if (!made) {
        fault_add(fault, FAULT_MEMORY, "", "out of memory");
        return NULL;
    }
    if (tell_water(request->recipe.water, request->temperature_c, &given, fault) || topup_make(&given, &made->topup, fault) ||
        vessel_at_waterline(given.vessel, given.waterline_mm, &level, fault))
        return NULL;
    added_ec = given.water_ec_ms_cm;
    strong = made->topup.strength == TOPUP_DILUTE || made->topup.strength == TOPUP_FULL;
    if (strong && request->recipe.count && made->topup.add_l >= LEAST_MIX_L) {
        if (weigh_topup(request, made, &added_ec, arena, fault))
            return NULL;
    } else if (made->topup.add_l > 0 && !isnan(request->ph) && acid_for_water(request, made, &added_ec, fault)) {
        return NULL;
    }
    made->ec_after_ms_cm = topup_ec_after(level.volume_l, given.ec_ms_cm, made->topup.add_l, added_ec);
    if (strong && !request->recipe.count)
        made->why[made->whys++] = "No salts were named, so this is reckoned with plain water.";
    return tell_topup(made, arena, fault) ? NULL : made;
}
