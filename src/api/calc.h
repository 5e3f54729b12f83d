/* calc.h - the stateless calculations over HTTP: what is given, what comes back.
 *
 * Each handler carries a checked body to one function of src/calc or src/garden/mix.h and writes what it finds.
 */
#ifndef TIDEMARK_API_CALC_H
#define TIDEMARK_API_CALC_H

#include "api/request.h"
#include "api/shape.h"

int calc_vessel_post(struct request *request, struct reply *reply, struct fault *fault);
extern const struct shape calc_vessel_shape, calc_vessel_answer_shape;

int calc_lid_post(struct request *request, struct reply *reply, struct fault *fault);
extern const struct shape calc_lid_shape, calc_lid_answer_shape;

int calc_reference_et_post(struct request *request, struct reply *reply, struct fault *fault);
extern const struct shape calc_reference_et_shape, calc_reference_et_answer_shape;

int calc_solution_post(struct request *request, struct reply *reply, struct fault *fault);
extern const struct shape calc_solution_shape; /* answered: solution_shape */

int calc_acid_post(struct request *request, struct reply *reply, struct fault *fault);
extern const struct shape calc_acid_shape; /* answered: acid_shape */

int calc_outlook_post(struct request *request, struct reply *reply, struct fault *fault);
extern const struct shape calc_outlook_shape; /* answered: outlook_shape */

int calc_recipe_post(struct request *request, struct reply *reply, struct fault *fault);
extern const struct shape calc_recipe_shape, calc_recipe_answer_shape;

int calc_concentrate_post(struct request *request, struct reply *reply, struct fault *fault);
extern const struct shape calc_concentrate_shape, calc_concentrate_answer_shape;

int calc_topup_post(struct request *request, struct reply *reply, struct fault *fault);
extern const struct shape calc_topup_shape, calc_topup_answer_shape;

int calc_planning_post(struct request *request, struct reply *reply, struct fault *fault);
extern const struct shape calc_planning_shape, calc_planning_answer_shape;

int calc_meter_post(struct request *request, struct reply *reply, struct fault *fault);
extern const struct shape calc_meter_shape, calc_meter_answer_shape;

int calc_water_post(struct request *request, struct reply *reply, struct fault *fault);
extern const struct shape calc_water_shape, calc_water_answer_shape;

int calc_compare_post(struct request *request, struct reply *reply, struct fault *fault);
extern const struct shape calc_compare_shape, calc_compare_answer_shape;

/* Answers a top-up that was worked out, from whatever was known of the tank. */
struct mix_topup;
int topup_answer(struct reply *reply, const struct mix_topup *made, struct arena *arena, struct fault *fault);

#endif
