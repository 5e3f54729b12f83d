/* rows.h - reads the computed solutions in fixtures/chemistry as inputs of the engine. */
#ifndef TIDEMARK_TESTS_ROWS_H
#define TIDEMARK_TESTS_ROWS_H

#include "calc/solution.h"
#include "csv.h"

/* The source waters of fixtures/chemistry/waters.csv by id; the test ends where there is none. */
struct source_water rows_water(const char *water_id);

/* {"Ca":1.0,"NO3":2.0} into ions by key. */
void rows_ions(const char *json, double ions[ION_COUNT]);

/* What a row of a solutions file gives: its water, its added ions, temperature and gas. */
struct solution_input rows_input(const struct csv *csv, size_t row);

#endif
