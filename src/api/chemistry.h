/* chemistry.h - documents that several routes share: a source water, a label, salts, a target; a solution, an acid's dose.
 */
#ifndef TIDEMARK_API_CHEMISTRY_H
#define TIDEMARK_API_CHEMISTRY_H

#include "api/shape.h"
#include "calc/acid.h"
#include "calc/label.h"
#include "calc/recipe.h"
#include "calc/solution.h"
#include "store/arena.h"

/* Names of maps, ended by NULL, in the order of the calculation's own keys (a test holds them against each other). */
extern const char *const element_words[];  /* element_key[] up to ELEMENT_NUTRIENTS */
extern const char *const target_words[];   /* the same, then "n_nh4_max" */
extern const char *const label_words[];    /* label_key[] */
extern const char *const reagent_words[];  /* reagent_key[] */
extern const char *const mineral_words[];  /* solution_mineral_key[] up to SOLUTION_MINERALS_TOLD */
extern const char *const ion_words[];      /* ion_key[] without citrate */
#define TARGET_WORDS (ELEMENT_NUTRIENTS + 1)
#define ION_WORDS (ION_COUNT - 1)

/* "water": struct source_water. */
extern const struct shape water_given_shape;

/* The members of a water, for a document that has more (its id, its name): at offset 0 of its struct. */
extern const struct field water_fields[];
#define WATER_FIELDS 13

/* The water that was given, its pH filled in; *taken is it, or NULL where none was: demineralised. Faults below "/water". */
int water_from_given(const struct source_water *given, bool there, struct source_water *water, const struct source_water **taken,
                     struct fault *fault);

/* One of "salts": a built-in salt by its slug, or a bag of one's own by name and label. */
struct salt_given {
    const char *salt, *name;
    double label[LABEL_ITEMS];
    bool label_given;
    double max_g;
};
extern const struct shape salt_given_shape;

/* The salts for a recipe; bags of one's own are made in the arena. Returns 0, or -1 with FAULT_INPUT at "/salts/2/salt". */
int salts_from_given(const struct list *given, struct recipe_salt *into, struct arena *arena, struct fault *fault);

/* What an answer calls it: its slug, or the name of one's own bag. */
const char *salt_called(const struct salt *salt);

/* "target_mg_l": double[TARGET_WORDS]. */
void target_from_given(const double mg_l[TARGET_WORDS], struct recipe_target *target);

/* One of "added". */
struct added_given {
    int which;
    union {
        struct {
            const char *salt;
            double g_l;
        } salt;
        struct {
            double mmol_l[ION_WORDS];
        } ions;
        struct {
            int acid;
            double mmol_l;
        } acid;
    };
};
extern const struct shape added_given_shape;

/* "temperature_c", "added" and "water" to what is solved. water NULL: demineralised. Pointers as in the document. */
int solution_from_given(double temperature_c, const struct source_water *water, const struct list *added,
                        struct solution_input *input, struct fault *fault);

/* A solved solution. */
struct solution_document {
    double ph, ec_ms_cm, ec_at_temperature_ms_cm, ionic_strength_mol_l, ionic_strength_mol_kg, alkalinity_mmol_l, charge_error_percent, temperature_c,
        pco2_atm;
    double species_mmol_l[SPECIES_COUNT], saturation[SOLUTION_MINERALS_TOLD], elements_mg_l[ELEMENT_NUTRIENTS];
    double ec_range_ms_cm[2], ph_range[2], saturation_within;
    bool unbuffered;
};
extern const struct shape solution_shape;
void solution_document_fill(struct solution_document *document, const struct solution *solved);

/* A dose of acid. The document borrows from both. */
struct acid_document {
    int acid;
    double strength_percent, ml, grams, mmol_l, adds_mg_l[ELEMENT_NUTRIENTS];
    double ph_before, ph_after_standing_open, open_mmol_l, open_ml, open_grams, alkalinity_left_mmol_l, closed_form_mmol_l;
    const char *closed_form_why;
    bool needed;
    struct list cautions;
};
extern const struct shape acid_shape;
void acid_document_fill(struct acid_document *document, const struct acid_request *asked, const struct acid_dose *dose);

/* Sentences: struct list of const char *. */
extern const struct shape sentence_shape;

#endif
