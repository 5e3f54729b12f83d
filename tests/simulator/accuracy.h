/* accuracy.h - how well the outlook foretells simulated tanks, beside a straight line by hand. */
#ifndef TIDEMARK_TESTS_SIMULATOR_ACCURACY_H
#define TIDEMARK_TESTS_SIMULATOR_ACCURACY_H

#include "simulator/tank.h"

#define ACCURACY_LEADS 5
extern const int accuracy_lead_days[ACCURACY_LEADS]; /* 3, 7, 14, 21, 28 */

struct accuracy_lead {
    int asked;            /* tanks asked at this lead */
    double error_days;    /* median of |p50 - truth| */
    double mean_days;     /* mean of the same, none counted as more than 30 */
    double by_hand_days;  /* the same of the straight line; where it gives no date it counts as 99 days off */
    double inside_percent; /* truths from p10 to p90, ends included */
    double early_percent, late_percent; /* truths before p10, after p90 */
    double bias_days;     /* median of p50 - truth */
};

struct accuracy {
    int drawn, tanks; /* drawn until tanks of them ran low */
    struct accuracy_lead lead[ACCURACY_LEADS];
    struct accuracy_worst {
        uint64_t seed;
        char text[200];
        double error_days;
    } worst[3]; /* at a lead of 14 days */
    /* Asked once more with the whole notebook: */
    int readings, slips, slips_found; /* slips of more than 15 mm */
    int waterings, waterings_found;   /* that nobody wrote down, 8 to 25 mm */
    int false_alarms;                 /* surprises that are neither */
};

/* Draws tanks from the seed on, over these places in turn (and indoors, one in five), until `tanks` of them ran low between
 * day 12 and the end, and asks the outlook about each. An outlook that fails or tells no median counts as 99 days off.
 */
enum accuracy_climate {
    ACCURACY_NORMALS,
    ACCURACY_LATITUDE,     /* the grower told no more of the place; some tell its weather */
    ACCURACY_LATITUDE_COLD /* the same, and by the guess from it the month after planting is too cold for anything to grow */
};
void accuracy_measure(const struct sim_place *const *place, size_t places, int tanks, uint64_t seed, enum accuracy_climate climate,
                      struct accuracy *accuracy);

void accuracy_print(const char *title, const struct accuracy *accuracy);

#endif
