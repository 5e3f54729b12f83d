/* label.c - label arithmetic. */
#include "calc/label.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

const char *const label_key[LABEL_ITEMS] = {
    "n_no3", "n_nh4", "n_urea", "p2o5", "p",  "k2o", "k", "cao", "ca", "mgo", "mg",
    "so3",   "s",     "fe",     "mn",   "zn", "b",   "cu", "mo", "na", "cl",
};

/* Which element an item counts, and how many of it and of oxygen its formula holds. */
static const struct {
    enum element element;
    int atoms, oxygen; /* oxygen 0: printed as the element */
} items[LABEL_ITEMS] = {
    [LABEL_N_NO3] = {ELEMENT_N, 1, 0}, [LABEL_N_NH4] = {ELEMENT_N, 1, 0}, [LABEL_N_UREA] = {ELEMENT_N, 1, 0},
    [LABEL_P2O5] = {ELEMENT_P, 2, 5},  [LABEL_P] = {ELEMENT_P, 1, 0},     [LABEL_K2O] = {ELEMENT_K, 2, 1},
    [LABEL_K] = {ELEMENT_K, 1, 0},     [LABEL_CAO] = {ELEMENT_CA, 1, 1},  [LABEL_CA] = {ELEMENT_CA, 1, 0},
    [LABEL_MGO] = {ELEMENT_MG, 1, 1},  [LABEL_MG] = {ELEMENT_MG, 1, 0},   [LABEL_SO3] = {ELEMENT_S, 1, 3},
    [LABEL_S] = {ELEMENT_S, 1, 0},     [LABEL_FE] = {ELEMENT_FE, 1, 0},   [LABEL_MN] = {ELEMENT_MN, 1, 0},
    [LABEL_ZN] = {ELEMENT_ZN, 1, 0},   [LABEL_B] = {ELEMENT_B, 1, 0},     [LABEL_CU] = {ELEMENT_CU, 1, 0},
    [LABEL_MO] = {ELEMENT_MO, 1, 0},   [LABEL_NA] = {ELEMENT_NA, 1, 0},   [LABEL_CL] = {ELEMENT_CL, 1, 0},
};

void label_clear(struct label *label)
{
    for (int i = 0; i < LABEL_ITEMS; i++)
        label->percent[i] = NAN;
}

double label_factor(enum label_item item)
{
    double element = items[item].atoms * element_mass_g_mol[items[item].element];

    return element / (element + items[item].oxygen * element_mass_g_mol[ELEMENT_O]);
}

static bool named(const struct label *label, int item)
{
    return !isnan(label->percent[item]) && label->percent[item] != 0.0;
}

/* The other form of the same element, oxide or plain, stands beside its oxide: P2O5, P, K2O, K ... */
static bool is_second_form(int item)
{
    return item > 0 && items[item].oxygen == 0 && items[item - 1].oxygen > 0 && items[item - 1].element == items[item].element;
}

int label_elements(const struct label *label, double element_percent[ELEMENT_COUNT], struct fault *fault)
{
    struct fault found = {0};
    double made[ELEMENT_COUNT] = {0}, sum = 0.0;

    for (int i = 0; i < LABEL_ITEMS; i++) {
        double percent = label->percent[i];
        char at[16];

        if (!named(label, i))
            continue;
        snprintf(at, sizeof at, "/%s", label_key[i]);
        if (!(percent >= 0.0 && percent <= 100.0))
            fault_add(&found, FAULT_INPUT, at, "must be from 0 to 100 percent, was %g", percent);
        else if (is_second_form(i) && named(label, i - 1))
            fault_add(&found, FAULT_INPUT, at, "is given as %s already; a label names one of them", label_key[i - 1]);
        else {
            sum += percent;
            made[items[i].element] += percent * label_factor((enum label_item)i);
        }
    }
    if (found.code == FAULT_NONE && sum > 100.0 + 1e-9)
        fault_add(&found, FAULT_INPUT, "", "the label comes to %.1f percent: more than the bag holds", sum);
    if (found.code == FAULT_NONE && sum <= 0.0)
        fault_add(&found, FAULT_INPUT, "", "the label names nothing");
    if (found.code != FAULT_NONE)
        return fault_under(fault, "", &found);
    memcpy(element_percent, made, sizeof made);
    return 0;
}

/* mol of nitrogen in 100 g, of one form. */
static double nitrogen_mol(const struct label *label, enum label_item form)
{
    return named(label, form) ? label->percent[form] / element_mass_g_mol[ELEMENT_N] : 0.0;
}

int label_salt(const struct label *label, const char *name, struct salt *salt, struct fault *fault)
{
    /* Metals stay out of the ions, as in the table of salts. */
    static const struct {
        enum ion ion;
        enum element element;
    } whole[] = {{ION_PO4, ELEMENT_P}, {ION_K, ELEMENT_K},   {ION_CA, ELEMENT_CA}, {ION_MG, ELEMENT_MG},
                 {ION_SO4, ELEMENT_S}, {ION_CL, ELEMENT_CL}, {ION_NA, ELEMENT_NA}, {ION_B, ELEMENT_B}};
    double percent[ELEMENT_COUNT];

    if (label_elements(label, percent, fault))
        return -1;
    *salt = (struct salt){.molar_mass_g_mol = 100.0, .solubility_source = ""};
    snprintf(salt->name, sizeof salt->name, "%s", name);
    for (int e = 0; e < ELEMENT_COUNT; e++)
        salt->atoms[e] = percent[e] / element_mass_g_mol[e];
    salt->ions[ION_NO3] = nitrogen_mol(label, LABEL_N_NO3);
    salt->ions[ION_NH4] = nitrogen_mol(label, LABEL_N_NH4);
    for (size_t i = 0; i < sizeof whole / sizeof *whole; i++)
        salt->ions[whole[i].ion] = salt->atoms[whole[i].element];
    return 0;
}
