/* compare.h - measured against predicted: what would explain the difference, the likeliest first.
 *
 * After a mix the meters show other numbers than computed. Each explanation that could be true is computed as a solution of its own and
 * weighed by how near its EC and pH come to the measured ones and by how often such things happen (ours). Pure; no allocation.
 */
#ifndef TIDEMARK_COMPARE_H
#define TIDEMARK_COMPARE_H

#include "calc/mixing.h"

struct compare_request {
    struct mixing_request mix;  /* what was meant to be mixed */
    double measured_ec_ms_cm;   /* at 25 C; NAN: not measured */
    double measured_ph;         /* NAN: not measured */
};

enum compare_cause {
    COMPARE_NOTHING,     /* within what meter and calculation can tell */
    COMPARE_VOLUME,      /* more or less water than thought; .share is the factor on the volume */
    COMPARE_FORGOTTEN,   /* salt .index is not in it */
    COMPARE_TWICE,       /* salt .index went in twice */
    COMPARE_EC_METER,    /* reads high or low; .share is the factor on the reading */
    COMPARE_PH_METER,    /* reads off by .share */
    COMPARE_WATER,       /* the source water is stronger or weaker than its analysis; .share is the factor on it */
    COMPARE_NOT_OPEN_YET /* it has lost carbon dioxide to the air since */
};
#define COMPARE_CAUSES 8
#define COMPARE_MOST 24

struct compare_item {
    enum compare_cause cause;
    size_t index;  /* of the salt, where one is meant */
    double share;
    double chance; /* 0 to 1, all items together 1 */
    double ec_ms_cm, ph; /* what would be measured if this were true */
    char text[160];
};

struct compare {
    double predicted_ec_ms_cm, predicted_ph;
    bool within; /* nothing to explain: EC within 5 %, pH within 0.2 (ours: method 3 % and 0.1, meters as much) */
    size_t count;
    struct compare_item item[COMPARE_MOST]; /* most likely first; those below 1 % left out */
};

/* Returns 0; -1 with FAULT_INPUT: "/measured_ec_ms_cm" (not 0 to 200), "/measured_ph" (not 0 to 14), both missing, or as mixing_in_order. */
int compare_measured(const struct compare_request *request, struct compare *compare, struct fault *fault);

#endif
