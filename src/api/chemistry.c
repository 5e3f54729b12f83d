/* chemistry.c - documents of the chemistry that several routes share. */
#include "api/chemistry.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "garden/mix.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

const char *const element_words[] = {"n", "p", "k", "ca", "mg", "s", "fe", "mn", "zn", "b", "cu", "mo", "na", "cl", "si", NULL};
const char *const target_words[] = {"n",  "p", "k",  "ca", "mg", "s",  "fe", "mn",         "zn",
                                    "b",  "cu", "mo", "na", "cl", "si", "n_nh4_max", NULL};
const char *const label_words[] = {"n_no3", "n_nh4", "n_urea", "p2o5", "p",  "k2o", "k", "cao", "ca", "mgo", "mg",
                                   "so3",   "s",     "fe",     "mn",   "zn", "b",   "cu", "mo", "na", "cl",  NULL};
const char *const reagent_words[] = {"nitric", "phosphoric", "sulfuric", "citric", "potassium-hydroxide", "potassium-bicarbonate", NULL};
const char *const mineral_words[] = {"gypsum", "calcite", "brushite", "hydroxyapatite", "struvite", NULL};
const char *const ion_words[] = {"Ca", "Mg", "K", "Na", "NH4", "NO3", "Cl", "SO4", "PO4", "C", "B", "Si", "H", "OH", NULL};

_Static_assert(COUNT(element_words) == ELEMENT_NUTRIENTS + 1, "a word an element");
_Static_assert(COUNT(target_words) == TARGET_WORDS + 1, "and the limit on ammonium");
_Static_assert(COUNT(label_words) == LABEL_ITEMS + 1, "a word a label item");
_Static_assert(COUNT(reagent_words) == REAGENT_COUNT + 1, "a word a reagent");
_Static_assert(COUNT(mineral_words) == SOLUTION_MINERALS_TOLD + 1, "a word a mineral");
_Static_assert(COUNT(ion_words) == ION_WORDS + 1, "a word an ion");

static const struct field sentence_field[] = {{NULL, FIELD_TEXT, FIELD_REQUIRED | FIELD_SAID, 0, 0, 0, .about = "One sentence."}};
const struct shape sentence_shape = {.size = sizeof(const char *), .field = sentence_field, .count = 1};

/* ---- the water ---- */

#define MG_L(name, text) {#name, FIELD_NUMBER, 0, offsetof(struct source_water, name), 0, 10000, .standard = 0, .about = text}
const struct field water_fields[WATER_FIELDS] = {
    {"ph", FIELD_NUMBER, 0, offsetof(struct source_water, ph), 3, 11, .standard = NAN, .about = "As analysed, at 25 C; where left out, that of this water at rest with outdoor air."},
    MG_L(alkalinity_mg_caco3_l, "Alkalinity as mg/L of CaCO3."),
    MG_L(ca_mg_l, "Calcium, mg/L."),
    MG_L(mg_mg_l, "Magnesium, mg/L."),
    MG_L(na_mg_l, "Sodium, mg/L."),
    MG_L(k_mg_l, "Potassium, mg/L."),
    MG_L(nh4_mg_l, "Ammonium, mg/L of NH4."),
    MG_L(cl_mg_l, "Chloride, mg/L."),
    MG_L(so4_mg_l, "Sulfate, mg/L of SO4."),
    MG_L(no3_mg_l, "Nitrate, mg/L of NO3."),
    MG_L(po4_mg_l, "Phosphate, mg/L of PO4."),
    MG_L(si_mg_l, "Silicon, mg/L of Si."),
    MG_L(b_mg_l, "Boron, mg/L of B."),
};
const struct shape water_given_shape = {.name = "SourceWater", .size = sizeof(struct source_water), .field = water_fields,
                                        .count = WATER_FIELDS, .about = "An analysis; what was not analysed counts as 0."};

int water_from_given(const struct source_water *given, bool there, struct source_water *water, const struct source_water **taken,
                     struct fault *fault)
{
    struct fault inner = {0};

    *water = *given;
    *taken = there ? water : NULL;
    return there && mix_water_ph(water, &inner) ? fault_under(fault, "/water", &inner) : 0;
}

/* ---- salts ---- */

#define AT(member) offsetof(struct salt_given, member)
static const struct field salt_fields[] = {
    {"salt", FIELD_TEXT, 0, AT(salt), 1, 64, .about = "The slug of a built-in salt; or name and label."},
    {"name", FIELD_TEXT, 0, AT(name), 1, sizeof(((struct salt *)0)->name) - 1, .about = "What the bag is called."},
    {"label", FIELD_MAP, 0, AT(label), 0, 100, .words = label_words, .given = AT(label_given), .about = "The analysis printed on the bag, percent of mass."},
    {"max_g", FIELD_NUMBER, FIELD_NULLABLE, AT(max_g), 0, 1e9, .standard = NAN, .about = "Most of it that may be used, g."},
};
#undef AT

static int slug_or_label(const void *read, struct fault *fault)
{
    const struct salt_given *given = read;

    if (given->salt && (given->name || given->label_given))
        return fault_add(fault, FAULT_INPUT, "", "give either salt, or name and label");
    if (!given->salt && !given->label_given)
        return fault_add(fault, FAULT_INPUT, "", "give salt, or name and label");
    if (!given->salt && !given->name)
        return fault_add(fault, FAULT_INPUT, "/name", "is required beside a label");
    return 0;
}

const struct shape salt_given_shape = {.name = "SaltAtHand", .size = sizeof(struct salt_given), .field = salt_fields,
                                       .count = COUNT(salt_fields), .rule = slug_or_label,
                                       .about = "A built-in salt, or a bag known by its label."};

static const struct salt *salt_of_label(const struct salt_given *given, struct arena *arena, struct fault *fault)
{
    struct salt *salt = arena_take(arena, sizeof *salt);
    struct label label;
    struct fault inner = {0};

    if (!salt) {
        fault_add(fault, FAULT_MEMORY, "", "out of memory");
        return NULL;
    }
    memcpy(label.percent, given->label, sizeof label.percent);
    if (label_salt(&label, given->name, salt, &inner)) {
        fault_under(fault, "/label", &inner);
        return NULL;
    }
    return salt;
}

int salts_from_given(const struct list *given, struct recipe_salt *into, struct arena *arena, struct fault *fault)
{
    const struct salt_given *item = given->item;
    int failed = 0;

    for (size_t i = 0; i < given->count; i++) {
        struct fault inner = {0};
        char at[32];

        into[i].max_g = item[i].max_g;
        into[i].salt = item[i].salt ? salts_find(item[i].salt) : salt_of_label(&item[i], arena, &inner);
        if (!into[i].salt && item[i].salt)
            fault_add(&inner, FAULT_INPUT, "/salt", "is no salt known here; give a bag of your own by name and label");
        if (into[i].salt)
            continue;
        snprintf(at, sizeof at, "/salts/%zu", i);
        failed = fault_under(fault, at, &inner);
    }
    return failed;
}

const char *salt_called(const struct salt *salt)
{
    return *salt->id ? salt->id : salt->name;
}

void target_from_given(const double mg_l[TARGET_WORDS], struct recipe_target *target)
{
    memcpy(target->mg_l, mg_l, sizeof target->mg_l);
    target->n_nh4_max_mg_l = mg_l[ELEMENT_NUTRIENTS];
}

/* ---- what was added ---- */

#define AT(member) offsetof(struct added_given, member)
static const struct field added_salt_fields[] = {
    {"salt", FIELD_TEXT, FIELD_REQUIRED, AT(salt.salt), 1, 64, .about = "The slug of a built-in salt."},
    {"g_l", FIELD_NUMBER, FIELD_REQUIRED, AT(salt.g_l), 0, 2000, .standard = NAN, .about = "g per litre of solution."},
};
static const struct field added_ions_fields[] = {
    {"ions_mmol_l", FIELD_MAP, FIELD_REQUIRED, AT(ions.mmol_l), 0, 10000, .words = ion_words,
     .about = "Totals, mmol per litre of solution; PO4 stands for H2PO4-, C for HCO3-; H and OH close the charge."},
};
static const struct field added_acid_fields[] = {
    {"acid", FIELD_CHOICE, FIELD_REQUIRED, AT(acid.acid), .words = reagent_words, .about = "An acid or a base."},
    {"mmol_l", FIELD_NUMBER, FIELD_REQUIRED, AT(acid.mmol_l), 0, 10000, .standard = NAN, .about = "mmol of the molecule per litre of solution."},
};
#undef AT
static const struct shape added_salt_shape = {.name = "AddedSalt", .size = sizeof(struct added_given), .field = added_salt_fields, .count = 2};
static const struct shape added_ions_shape = {.name = "AddedIons", .size = sizeof(struct added_given), .field = added_ions_fields, .count = 1};
static const struct shape added_acid_shape = {.name = "AddedAcid", .size = sizeof(struct added_given), .field = added_acid_fields, .count = 2};
static const struct shape *const added_variants[] = {&added_salt_shape, &added_ions_shape, &added_acid_shape, NULL};
const struct shape added_given_shape = {.name = "Added", .size = sizeof(struct added_given), .variants = added_variants};

static int add(const struct added_given *added, struct solution_input *input, struct fault *fault)
{
    double mmol_l[ION_COUNT] = {0};
    const struct salt *salt;

    switch (added->which) {
    case 0:
        salt = salts_find(added->salt.salt);
        return salt ? solution_add_salt(input, salt, added->salt.g_l, fault)
                    : fault_add(fault, FAULT_INPUT, "/salt", "is no salt known here");
    case 1:
        for (size_t i = 0; i < ION_WORDS; i++)
            if (!isnan(added->ions.mmol_l[i]))
                mmol_l[i < ION_CITRATE ? i : i + 1] = added->ions.mmol_l[i];
        return solution_add_ions(input, mmol_l, fault);
    default:
        return solution_add_reagent(input, (enum reagent)added->acid.acid, added->acid.mmol_l, fault);
    }
}

int solution_from_given(double temperature_c, const struct source_water *water, const struct list *added,
                        struct solution_input *input, struct fault *fault)
{
    const struct added_given *item = added->item;
    struct fault inner = {0};
    int failed = 0;

    solution_begin(input, temperature_c);
    if (water && solution_add_water(input, water, 1.0, &inner))
        failed = fault_under(fault, "/water", &inner);
    for (size_t i = 0; i < added->count; i++) {
        struct fault wrong = {0};
        char at[32];

        snprintf(at, sizeof at, "/added/%zu", i);
        if (add(&item[i], input, &wrong))
            failed = fault_under(fault, at, &wrong);
    }
    return failed;
}

/* ---- a solved solution ---- */

static const struct field range_fields[] = {
    {NULL, FIELD_NUMBER, FIELD_REQUIRED, 0, 0, 0, .standard = NAN},
    {NULL, FIELD_NUMBER, FIELD_REQUIRED, sizeof(double), 0, 0, .standard = NAN},
};
static const struct shape range_shape = {.size = 2 * sizeof(double), .field = range_fields, .count = 2, .tuple = true};

#define AT(member) offsetof(struct solution_document, member)
#define TOLD(name, text) {#name, FIELD_NUMBER, FIELD_REQUIRED, AT(name), .standard = NAN, .about = text}
static const struct field solution_fields[] = {
    TOLD(ph, "pH at its temperature."),
    TOLD(ec_ms_cm, "EC at 25 C, mS/cm."),
    TOLD(ec_at_temperature_ms_cm, "EC at its temperature, mS/cm."),
    TOLD(ionic_strength_mol_l, "mol/L."),
    TOLD(ionic_strength_mol_kg, "The same per kilogram of water, as textbooks have it, mol/kg."),
    TOLD(alkalinity_mmol_l, "mmol/L of charge, phosphate and ammonia included."),
    {"species_mmol_l", FIELD_MAP, FIELD_REQUIRED, AT(species_mmol_l), .words = solution_species_name, .about = "Each dissolved species, mmol/L."},
    {"saturation", FIELD_MAP, FIELD_REQUIRED, AT(saturation), .words = mineral_words, .about = "Saturation index, log10; 0 is the edge. Left out where an ingredient is missing."},
    {"elements_mg_l", FIELD_MAP, FIELD_REQUIRED, AT(elements_mg_l), .words = element_words, .about = "mg/L."},
    TOLD(charge_error_percent, "100 x (cations - anions) / (cations + anions) of what was given."),
    TOLD(temperature_c, "C."),
    TOLD(pco2_atm, "Carbon dioxide it is at rest with, atm."),
    {"ec_range_ms_cm", FIELD_OBJECT, FIELD_REQUIRED, AT(ec_range_ms_cm), .shape = &range_shape, .about = "What a good meter may well read at 25 C, mS/cm."},
    {"ph_range", FIELD_OBJECT, FIELD_REQUIRED, AT(ph_range), .shape = &range_shape, .about = "What a good meter may well read."},
    TOLD(saturation_within, "How far databases of constants differ in the saturation indices."),
    {"unbuffered", FIELD_BOOL, FIELD_REQUIRED, AT(unbuffered), .about = "So little buffer that air and glass decide the pH."},
};
#undef AT
#undef TOLD
const struct shape solution_shape = {.name = "Solution", .size = sizeof(struct solution_document), .field = solution_fields,
                                     .count = COUNT(solution_fields), .about = "What is in the water; what it does."};

void solution_document_fill(struct solution_document *document, const struct solution *solved)
{
    struct solution_told told;

    solution_told(solved, &told);
    *document = (struct solution_document){
        .ph = solved->ph,
        .ec_ms_cm = solved->ec_ms_cm,
        .ec_at_temperature_ms_cm = solved->ec_at_temperature_ms_cm,
        .ionic_strength_mol_l = solved->ionic_strength_mol_l,
        .ionic_strength_mol_kg = solved->ionic_strength_mol_kg,
        .alkalinity_mmol_l = solved->alkalinity_mmol_l,
        .charge_error_percent = solved->charge_error_percent,
        .temperature_c = solved->temperature_c,
        .pco2_atm = solved->pco2_atm,
        .ec_range_ms_cm = {told.ec_low_ms_cm, told.ec_high_ms_cm},
        .ph_range = {told.ph_low, told.ph_high},
        .saturation_within = told.saturation_within,
        .unbuffered = told.unbuffered,
    };
    for (size_t i = 0; i < SPECIES_COUNT; i++)
        document->species_mmol_l[i] = solved->species_mmol_l[i] > 0 ? solved->species_mmol_l[i] : (double)NAN;
    for (size_t i = 0; i < SOLUTION_MINERALS_TOLD; i++)
        document->saturation[i] = solved->saturation[i] > SATURATION_ABSENT ? solved->saturation[i] : (double)NAN;
    memcpy(document->elements_mg_l, solved->elements_mg_l, sizeof document->elements_mg_l);
}

/* ---- a dose of acid ---- */

#define AT(member) offsetof(struct acid_document, member)
#define TOLD(name, flags, text) {#name, FIELD_NUMBER, FIELD_REQUIRED | flags, AT(name), .standard = NAN, .about = text}
static const struct field acid_fields[] = {
    {"acid", FIELD_CHOICE, FIELD_REQUIRED, AT(acid), .words = reagent_words, .about = "Which acid or base."},
    TOLD(strength_percent, 0, "Of the bottle, percent of mass."),
    TOLD(ml, FIELD_NULLABLE, "Of the bottle for the whole volume, mL; null for a powder, see grams."),
    TOLD(grams, 0, "The same by weight, g."),
    TOLD(mmol_l, 0, "mmol of the molecule per litre of solution."),
    {"adds_mg_l", FIELD_MAP, FIELD_REQUIRED, AT(adds_mg_l), .words = element_words, .about = "What it brings, mg/L."},
    {"cautions", FIELD_LIST, FIELD_REQUIRED, AT(cautions), .shape = &sentence_shape, .about = "To be read before the bottle is opened."},
    {"needed", FIELD_BOOL, FIELD_REQUIRED, AT(needed), .about = "False: the pH is there already."},
    TOLD(ph_before, 0, "Before the dose."),
    TOLD(ph_after_standing_open, FIELD_NULLABLE, "After the dose, when the carbon dioxide it set free has left an open tank."),
    TOLD(open_mmol_l, FIELD_NULLABLE, "The dose that ends at the wished pH after standing open, mmol/L; null where none does."),
    TOLD(open_ml, FIELD_NULLABLE, "The same, mL of the bottle."),
    TOLD(open_grams, FIELD_NULLABLE, "The same, g."),
    TOLD(alkalinity_left_mmol_l, 0, "Buffer left, mmol/L of charge."),
    TOLD(closed_form_mmol_l, FIELD_NULLABLE, "What a leaflet's rule on the alkalinity alone would say, mmol/L."),
    {"closed_form_why", FIELD_TEXT, FIELD_NULLABLE | FIELD_SAID, AT(closed_form_why), .about = "Why that differs."},
};
#undef AT
#undef TOLD
const struct shape acid_shape = {.name = "AcidDose", .size = sizeof(struct acid_document), .field = acid_fields,
                                 .count = COUNT(acid_fields), .about = "How much acid or base brings the solution to the wished pH."};

void acid_document_fill(struct acid_document *document, const struct acid_request *asked, const struct acid_dose *dose)
{
    bool powder = acid_density_kg_l(asked->reagent, asked->strength_percent) == 0;

    *document = (struct acid_document){
        .acid = (int)asked->reagent,
        .strength_percent = asked->strength_percent,
        .ml = powder ? (double)NAN : dose->ml,
        .grams = dose->grams,
        .mmol_l = dose->mmol_l,
        .ph_before = dose->ph_before,
        .ph_after_standing_open = dose->ph_after_standing_open,
        .open_mmol_l = dose->open_mmol_l,
        .open_ml = powder ? (double)NAN : dose->open_ml,
        .open_grams = dose->open_grams,
        .alkalinity_left_mmol_l = dose->alkalinity_left_mmol_l,
        .closed_form_mmol_l = dose->closed_form_mmol_l,
        .closed_form_why = *dose->closed_form_why ? dose->closed_form_why : NULL,
        .needed = dose->needed,
        .cautions = {(void *)dose->caution, dose->cautions},
    };
    memcpy(document->adds_mg_l, dose->adds_mg_l, sizeof document->adds_mg_l);
}
