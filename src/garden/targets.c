/* targets.c - the rules of targets. */
#include "garden/targets.h"

#include <math.h>
#include <string.h>

#include "calc/targets.h"
#include "garden/resend.h"
#include "store/targets.h"

const char *const target_part_key[TARGET_PARTS + 1] = {
    [ELEMENT_N] = "n",   [ELEMENT_P] = "p",   [ELEMENT_K] = "k",   [ELEMENT_CA] = "ca", [ELEMENT_MG] = "mg",
    [ELEMENT_S] = "s",   [ELEMENT_FE] = "fe", [ELEMENT_MN] = "mn", [ELEMENT_ZN] = "zn", [ELEMENT_B] = "b",
    [ELEMENT_CU] = "cu", [ELEMENT_MO] = "mo", [ELEMENT_NA] = "na", [ELEMENT_CL] = "cl", [ELEMENT_SI] = "si",
    [TARGET_NH4_MAX] = "n_nh4_max"};

static struct garden_target from_published(const struct published_target *published)
{
    struct garden_target target = {.id = published->id, .name = published->name, .source = published->source,
                                   .stage = published->stage, .builtin = true};

    memcpy(target.mg_l, published->mg_l, sizeof published->mg_l);
    target.mg_l[TARGET_NH4_MAX] = published->n_nh4_mg_l;
    return target;
}

/* A part whose key this program does not know is from no version of it; it is left out. */
static struct garden_target from_row(const struct target_row *row)
{
    struct garden_target target = {.key = row->key, .id = row->id, .name = row->name, .source = row->source,
                                   .stage = row->stage == STORE_NO_INT ? -1 : (int)row->stage};
    const struct target_part *part = row->parts.item;

    for (size_t i = 0; i < TARGET_PARTS; i++) {
        target.mg_l[i] = NAN;
        for (size_t j = 0; j < row->parts.count; j++)
            if (strcmp(part[j].part, target_part_key[i]) == 0)
                target.mg_l[i] = part[j].mg_l;
    }
    return target;
}

static int to_row(const struct garden_target *target, struct target_row *row, struct arena *arena, struct fault *fault)
{
    struct target_part *part = arena_take(arena, TARGET_PARTS * sizeof *part);

    if (!part)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    *row = (struct target_row){.key = target->key, .id = target->id, .name = target->name, .source = target->source,
                                .stage = target->stage < 0 ? STORE_NO_INT : target->stage, .parts = {part, 0}};
    for (size_t i = 0; i < TARGET_PARTS; i++)
        if (!isnan(target->mg_l[i]))
            part[row->parts.count++] = (struct target_part){target_part_key[i], target->mg_l[i]};
    return 0;
}

static int list_targets(struct db *db, struct list *targets, struct arena *arena, struct fault *fault)
{
    struct list own;
    const struct target_row *row;
    struct garden_target *target;

    if (target_rows_list(db, &own, arena, fault))
        return -1;
    row = own.item;
    target = arena_take(arena, (published_targets_count + own.count) * sizeof *target);
    if (!target)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    *targets = (struct list){target, 0};
    for (size_t i = 0; i < published_targets_count; i++)
        target[targets->count++] = from_published(&published_targets[i]);
    for (size_t i = 0; i < own.count; i++)
        target[targets->count++] = from_row(&row[i]);
    return 0;
}

int garden_targets(struct garden *garden, struct list *targets, struct arena *arena, struct fault *fault)
{
    struct db *db = store_read(garden->store, fault);
    int failed = !db || list_targets(db, targets, arena, fault);

    store_done(garden->store, db);
    return failed ? -1 : 0;
}

int garden_target_one(struct db *db, const char *id, struct garden_target *target, struct arena *arena, struct fault *fault)
{
    const struct published_target *published = published_targets_find(id);
    struct target_row row;
    int found = 1;

    if (published)
        *target = from_published(published);
    else if ((found = target_rows_one(db, id, &row, arena, fault)) == 1)
        *target = from_row(&row);
    return found;
}

/* The rules that no single number shows. */
static int check_target(const struct garden_target *target, struct fault *fault)
{
    bool any = false;

    for (size_t i = 0; i < ELEMENT_NUTRIENTS; i++)
        any |= target->mg_l[i] > 0;
    if (!any)
        return fault_add(fault, FAULT_INPUT, "/mg_l", "a target needs at least one element above 0");
    if (target->mg_l[TARGET_NH4_MAX] > target->mg_l[ELEMENT_N])
        return fault_add(fault, FAULT_INPUT, "/mg_l/n_nh4_max", "is more than all nitrogen");
    return 0;
}

struct target_job {
    struct garden_target *target;
    struct arena *arena;
    bool stored_before;
};

static bool same_target(const struct garden_target *a, const struct garden_target *b)
{
    for (size_t i = 0; i < TARGET_PARTS; i++)
        if (!resend_same_real(a->mg_l[i], b->mg_l[i]))
            return false;
    return resend_same_text(a->name, b->name) && resend_same_text(a->source, b->source) && a->stage == b->stage;
}

static int add_target(struct db *db, void *context, struct fault *fault)
{
    struct target_job *job = context;
    struct garden_target there;
    struct target_row row;
    int found = garden_target_one(db, job->target->id, &there, job->arena, fault);

    if (found < 0)
        return -1;
    if (!found)
        return to_row(job->target, &row, job->arena, fault) || target_rows_add(db, &row, fault) ? -1 : 0;
    job->stored_before = same_target(&there, job->target);
    return job->stored_before ? 0 : resend_conflict(fault);
}

int garden_target_add(struct garden *garden, struct garden_target *target, bool *stored_before, struct arena *arena,
                      struct fault *fault)
{
    struct target_job job = {.target = target, .arena = arena};

    if (resend_give_id(&target->id, arena, fault) || check_target(target, fault) || store_write(garden->store, add_target, &job, fault))
        return -1;
    *stored_before = job.stored_before;
    return 0;
}

static int change_target(struct db *db, void *context, struct fault *fault)
{
    struct target_job *job = context;
    struct garden_target there;
    struct target_row row;
    int found = garden_target_one(db, job->target->id, &there, job->arena, fault);

    if (found != 1)
        return found ? -1 : fault_add(fault, FAULT_ABSENT, "", "there is no such target");
    if (there.builtin)
        return fault_add(fault, FAULT_CONFLICT, "", "a published target stays as published; make one of your own from it");
    job->target->key = there.key;
    return to_row(job->target, &row, job->arena, fault) || target_rows_change(db, &row, fault) ? -1 : 0;
}

int garden_target_change(struct garden *garden, struct garden_target *target, struct arena *arena, struct fault *fault)
{
    struct target_job job = {.target = target, .arena = arena};

    return check_target(target, fault) ? -1 : store_write(garden->store, change_target, &job, fault);
}
