/* tank_course.c - the top-up and the course of a fill. */
#include "api/tank_course.h"

#include <math.h>

#include "api/calc.h"
#include "api/tanks.h"
#include "garden/refill.h"
#include "garden/tank_drift.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

/* GET /api/v1/tanks/{tank}/topup: what to add now, with grams, from the tank's own log. */
int tank_topup_get(struct request *request, struct reply *reply, struct fault *fault)
{
    struct store *store = request->service->garden->store;
    struct db *db = store_read(store, fault);
    struct standing_place place;
    struct standing *standing = arena_take(request->arena, sizeof *standing);
    struct refill *refill = arena_take(request->arena, sizeof *refill);
    const struct mix_topup *made = NULL;
    struct vessel vessel;

    if (!db)
        return -1;
    if (!standing || !refill)
        fault_add(fault, FAULT_MEMORY, "", "out of memory");
    else if (tank_standing(request, db, &place, standing, fault) == 0) {
        vessel = tank_vessel(&standing->vessel);
        if (!standing->topup)
            fault_add(fault, FAULT_ABSENT, "", "the log does not say how high the water stands");
        else if (refill_gather(db, &place, standing, &vessel, refill, request->arena, fault) == 0)
            made = refill_make(refill, standing->state.ph.value, request->arena, fault);
    }
    store_done(store, db);
    return made ? topup_answer(reply, made, request->arena, fault) : -1;
}

/* ---- the course of a fill ---- */

struct drift_document {
    double volume_l, waterline_mm, ph, ec_ms_cm;
};
struct drift_answer {
    struct list points; /* struct drift_document */
    const char *runs_out, *said;
    double runs_out_at_l, alkalinity_shift_mmol_l;
    int64_t ph_readings;
};

#define AT(member) offsetof(struct drift_document, member)
static const struct field drift_point_fields[] = {
    {"volume_l", FIELD_NUMBER, FIELD_REQUIRED, AT(volume_l), .standard = NAN, .about = "Left in the tank, L."},
    {"waterline_mm", FIELD_NUMBER, FIELD_REQUIRED, AT(waterline_mm), .standard = NAN, .about = "Where it stands then, mm."},
    {"ph", FIELD_NUMBER, FIELD_REQUIRED, AT(ph), .standard = NAN, .about = "pH, at rest with the air."},
    {"ec_ms_cm", FIELD_NUMBER, FIELD_REQUIRED, AT(ec_ms_cm), .standard = NAN, .about = "EC at 25 C, mS/cm."},
};
#undef AT
static const struct shape drift_point_shape = {.name = "DriftPoint", .size = sizeof(struct drift_document), .field = drift_point_fields, .count = COUNT(drift_point_fields)};

#define AT(member) offsetof(struct drift_answer, member)
static const struct field drift_fields[] = {
    {"points", FIELD_LIST, FIELD_REQUIRED, AT(points), .shape = &drift_point_shape, .about = "From the fill down to the low mark."},
    {"runs_out", FIELD_TEXT, FIELD_REQUIRED | FIELD_NULLABLE, AT(runs_out), .about = "The ion that is used up first; null: none."},
    {"runs_out_at_l", FIELD_NUMBER, FIELD_REQUIRED | FIELD_NULLABLE, AT(runs_out_at_l), .standard = NAN, .about = "With so much left, L."},
    {"ph_readings", FIELD_INTEGER, FIELD_REQUIRED, AT(ph_readings), .standard = 0, .about = "Measured pH of this fill before its first top-up, that the course is set by."},
    {"alkalinity_shift_mmol_l", FIELD_NUMBER, FIELD_REQUIRED | FIELD_NULLABLE, AT(alkalinity_shift_mmol_l), .standard = NAN,
     .about = "By so much the fill's alkalinity was set for the pH to meet the readings; below 0: acid that the log does not know. null: no reading, or none that this explains."},
    {"said", FIELD_TEXT, FIELD_REQUIRED | FIELD_SAID, AT(said), .about = "In a sentence."},
};
#undef AT
const struct shape drift_shape = {.name = "Drift", .size = sizeof(struct drift_answer), .field = drift_fields, .count = COUNT(drift_fields),
                                  .about = "How EC and pH go as the plants drink, by what the fill was made of."};

static int tell_drift(struct reply *reply, const struct standing *standing, const struct tank_drift *course, struct arena *arena,
                      struct fault *fault)
{
    const struct drift *drift = &course->drift;
    struct vessel vessel = tank_vessel(&standing->vessel);
    struct drift_document *points = arena_take(arena, drift->points * sizeof *points);
    struct drift_answer answer = {.runs_out = drift->runs_out < 0 ? NULL : ion_key[drift->runs_out],
                                  .runs_out_at_l = drift->runs_out < 0 ? (double)NAN : drift->runs_out_at_l,
                                  .alkalinity_shift_mmol_l = course->alkalinity_shift_mmol_l,
                                  .ph_readings = (int64_t)course->ph_readings,
                                  .said = drift->said};

    if (!points)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    for (size_t i = 0; i < drift->points; i++) {
        const struct drift_point *point = &drift->point[i];
        struct vessel_level level;

        if (vessel_at_volume(&vessel, point->volume_l, &level, fault))
            return -1;
        points[i] = (struct drift_document){point->volume_l, level.waterline_mm, point->ph, point->ec_ms_cm};
    }
    answer.points = (struct list){points, drift->points};
    return reply_json(reply, 200, shape_write(&drift_shape, &answer), fault);
}

/* GET /api/v1/tanks/{tank}/drift */
int tank_drift_get(struct request *request, struct reply *reply, struct fault *fault)
{
    struct store *store = request->service->garden->store;
    struct db *db = store_read(store, fault);
    struct standing_place place;
    struct standing *standing = arena_take(request->arena, sizeof *standing);
    struct refill *refill = arena_take(request->arena, sizeof *refill);
    struct tank_drift *drift = arena_take(request->arena, sizeof *drift);
    int failed = -1;

    if (!db)
        return -1;
    if (!standing || !refill || !drift) {
        fault_add(fault, FAULT_MEMORY, "", "out of memory");
    } else if (tank_standing(request, db, &place, standing, fault) == 0) {
        struct vessel vessel = tank_vessel(&standing->vessel);

        failed = refill_gather(db, &place, standing, &vessel, refill, request->arena, fault) ||
                 tank_drift_course(standing, refill, drift, fault);
    }
    store_done(store, db);
    return failed ? -1 : tell_drift(reply, standing, drift, request->arena, fault);
}
