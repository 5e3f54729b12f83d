/* meters.h - how far the garden's conductivity meters can be believed. */
#ifndef TIDEMARK_GARDEN_METERS_H
#define TIDEMARK_GARDEN_METERS_H

#include "calc/ec_meter.h"
#include "garden/garden.h"
#include "garden/people.h"
#include "store/meters.h"

struct meter_check {
    struct meter_check_row row;
    struct ec_check found; /* by calc/ec_meter.h */
};

/* Logs a check and tells what it found. FAULT_INPUT with pointers as ec_check_meter. */
int garden_meter_check(struct garden *garden, const struct who *who, struct meter_check *check, struct arena *arena,
                       struct fault *fault);

/* The newest first: struct meter_check. */
int garden_meter_checks(struct garden *garden, int64_t limit, struct list *checks, struct arena *arena, struct fault *fault);

#endif
