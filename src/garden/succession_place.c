/* succession_place.c - plants into tanks. */
#include "garden/succession_place.h"

#include <glpk.h>
#include <math.h>
#include <string.h>

#define HAIR 1e-9 /* litres: sums of many days are not exact */

static int64_t *placed(const struct place_ask *ask, const struct place_found *found, size_t batch, size_t tank)
{
    return &found->plants[batch * ask->tanks + tank];
}

/* ---- what a placing leaves ---- */

static int64_t free_on(const struct place_ask *ask, const struct place_found *found, size_t tank, int32_t day)
{
    int64_t cups = ask->tank[tank].free[day - ask->from];

    for (size_t b = 0; b < ask->batches; b++)
        if (ask->batch[b].plant_on <= day && ask->batch[b].harvest_on > day)
            cups -= *placed(ask, found, b, tank);
    return cups;
}

static size_t stretches(const struct place_ask *ask)
{
    return ask->topup_days > 0 ? (ask->days + (size_t)ask->topup_days - 1) / (size_t)ask->topup_days : 0;
}

/* Drunk by one plant of a batch within a stretch. */
static double drinks_in(const struct place_ask *ask, size_t b, size_t stretch)
{
    const struct place_batch *batch = &ask->batch[b];
    int32_t start = ask->from + (int32_t)stretch * ask->topup_days, end = start + ask->topup_days;
    double sum = 0;

    for (int32_t day = start > batch->plant_on ? start : batch->plant_on; batch->drinks_l && day < end && day < batch->harvest_on; day++)
        sum += batch->drinks_l[day - batch->plant_on];
    return sum;
}

static double others_in(const struct place_ask *ask, size_t tank, size_t stretch)
{
    size_t start = stretch * (size_t)ask->topup_days;
    double sum = 0;

    for (size_t day = start; ask->tank[tank].other_l && day < start + (size_t)ask->topup_days && day < ask->days; day++)
        sum += ask->tank[tank].other_l[day];
    return sum;
}

double succession_least_l(const struct place_ask *ask, const struct place_found *found, size_t tank)
{
    const struct place_tank *one = &ask->tank[tank];
    double level = one->water_l, least = INFINITY;

    for (size_t j = 0; j < stretches(ask); j++) {
        if (j > 0)
            level = fmin(level + one->topup_l, one->usable_l);
        level -= others_in(ask, tank, j);
        for (size_t b = 0; b < ask->batches; b++)
            if (*placed(ask, found, b, tank))
                level -= (double)*placed(ask, found, b, tank) * drinks_in(ask, b, j);
        least = fmin(least, level);
    }
    return least;
}

/* Whether what hangs there now drinks it empty already: nothing more goes in. */
static bool dry(const struct place_ask *ask, size_t tank)
{
    const struct place_tank *one = &ask->tank[tank];
    double level = one->water_l;

    for (size_t j = 0; j < stretches(ask); j++) {
        level = (j > 0 ? fmin(level + one->topup_l, one->usable_l) : level) - others_in(ask, tank, j);
        if (level < -HAIR)
            return true;
    }
    return false;
}

/* ---- one planting after the other ---- */

/* The most plants of a batch that a tank can take beside what is placed. */
static int64_t most_in(const struct place_ask *ask, struct place_found *found, size_t b, size_t tank, int64_t wanted)
{
    int64_t *here = placed(ask, found, b, tank), low = 0, high = wanted;

    for (int32_t day = ask->batch[b].plant_on; day < ask->batch[b].harvest_on; day++) {
        int64_t free = free_on(ask, found, tank, day);

        high = free < high ? free : high;
    }
    if (high <= 0 || ask->topup_days <= 0)
        return high > 0 ? high : 0;
    while (high > low) {
        int64_t middle = low + (high - low + 1) / 2;

        *here = middle;
        if (succession_least_l(ask, found, tank) >= -HAIR)
            low = middle;
        else
            high = middle - 1;
    }
    *here = 0;
    return low;
}

static void place_in_turn(const struct place_ask *ask, struct place_found *found)
{
    for (size_t b = 0; b < ask->batches; b++) {
        int64_t wanted = ask->batch[b].wanted;

        while (wanted > 0) {
            size_t best = 0;
            int64_t most = 0;

            /* The one whose room fits best: the least that is enough, else the most there is. */
            for (size_t t = 0; t < ask->tanks; t++) {
                int64_t room = *placed(ask, found, b, t) ? 0 : most_in(ask, found, b, t, wanted);
                bool tighter = room == most && room > 0 && free_on(ask, found, t, ask->batch[b].plant_on) < free_on(ask, found, best, ask->batch[b].plant_on);

                if (room > most || tighter) {
                    best = t;
                    most = room;
                }
            }
            if (!most)
                break;
            *placed(ask, found, b, best) = most;
            found->total += most;
            wanted -= most;
        }
    }
}

/* ---- the mixed integer programme ---- */

struct programme {
    const struct place_ask *ask;
    struct place_found *found;
    glp_prob *problem;
    int *index;
    double *value;
    int nodes;
    double bound;
    bool told;
};

static int column(const struct place_ask *ask, size_t b, size_t t)
{
    return (int)(b * ask->tanks + t) + 1;
}

static int level_column(const struct place_ask *ask, size_t t, size_t j)
{
    return (int)(ask->batches * ask->tanks + t * stretches(ask) + j) + 1;
}

static void add_row(struct programme *programme, int count, double most)
{
    int row = glp_add_rows(programme->problem, 1);

    glp_set_row_bnds(programme->problem, row, GLP_UP, 0, most);
    glp_set_mat_row(programme->problem, row, count, programme->index, programme->value);
}

static void add_cup_rows(struct programme *programme, size_t t)
{
    const struct place_ask *ask = programme->ask;

    for (size_t b = 0; b < ask->batches; b++) {
        int32_t day = ask->batch[b].plant_on;
        int count = 0;

        for (size_t other = 0; other < ask->batches; other++)
            if (ask->batch[other].plant_on <= day && ask->batch[other].harvest_on > day) {
                programme->index[++count] = column(ask, other, t);
                programme->value[count] = 1;
            }
        add_row(programme, count, (double)ask->tank[t].free[day - ask->from]);
    }
}

static void add_water_rows(struct programme *programme, size_t t)
{
    const struct place_ask *ask = programme->ask;
    const struct place_tank *tank = &ask->tank[t];

    for (size_t j = 0; j < stretches(ask); j++) {
        double others = others_in(ask, t, j);
        int count = 0;

        for (size_t b = 0; b < ask->batches; b++) {
            double drinks = drinks_in(ask, b, j);

            if (drinks > 0) {
                programme->index[++count] = column(ask, b, t);
                programme->value[count] = drinks;
            }
        }
        programme->index[++count] = level_column(ask, t, j);
        programme->value[count] = 1;
        add_row(programme, count, (j ? tank->usable_l : tank->water_l) - others);
        if (!j)
            continue;
        programme->index[++count] = level_column(ask, t, j - 1);
        programme->value[count] = -1;
        add_row(programme, count, tank->topup_l - others);
    }
}

static void fill_programme(struct programme *programme)
{
    const struct place_ask *ask = programme->ask;
    int plants = (int)(ask->batches * ask->tanks), levels = (int)(ask->tanks * stretches(ask));

    glp_set_obj_dir(programme->problem, GLP_MAX);
    glp_add_cols(programme->problem, plants + levels);
    for (size_t b = 0; b < ask->batches; b++) {
        int count = 0;

        for (size_t t = 0; t < ask->tanks; t++) {
            int at = column(ask, b, t);

            glp_set_col_kind(programme->problem, at, GLP_IV);
            glp_set_col_bnds(programme->problem, at, dry(ask, t) ? GLP_FX : GLP_DB, 0, dry(ask, t) ? 0 : (double)ask->batch[b].wanted);
            glp_set_obj_coef(programme->problem, at, 1);
            programme->index[++count] = at;
            programme->value[count] = 1;
        }
        add_row(programme, count, (double)ask->batch[b].wanted);
    }
    for (int at = plants + 1; at <= plants + levels; at++)
        glp_set_col_bnds(programme->problem, at, GLP_LO, 0, 0);
    for (size_t t = 0; t < ask->tanks; t++) {
        add_cup_rows(programme, t);
        if (!dry(ask, t))
            add_water_rows(programme, t);
    }
}

/* Counts nodes and keeps the best bound: by the clock the answer would depend on the machine. */
static void watch(glp_tree *tree, void *context)
{
    struct programme *programme = context;
    int best;

    if (glp_ios_reason(tree) != GLP_ISELECT)
        return;
    best = glp_ios_best_node(tree);
    if (best)
        programme->bound = glp_ios_node_bound(tree, best);
    if (++programme->nodes > programme->ask->nodes) {
        programme->told = true;
        glp_ios_terminate(tree);
    }
}

static void take_solution(struct programme *programme)
{
    const struct place_ask *ask = programme->ask;
    int64_t total = (int64_t)llround(glp_mip_obj_val(programme->problem));

    if (total <= programme->found->total)
        return;
    programme->found->total = total;
    for (size_t b = 0; b < ask->batches; b++)
        for (size_t t = 0; t < ask->tanks; t++)
            *placed(ask, programme->found, b, t) = (int64_t)llround(glp_mip_col_val(programme->problem, column(ask, b, t)));
}

static void solve(struct programme *programme)
{
    struct place_found *found = programme->found;
    glp_smcp simplex;
    glp_iocp how;
    int failed;

    glp_init_smcp(&simplex);
    simplex.msg_lev = GLP_MSG_OFF;
    simplex.meth = GLP_DUALP;
    if (glp_simplex(programme->problem, &simplex) || glp_get_status(programme->problem) != GLP_OPT)
        return;
    programme->bound = glp_get_obj_val(programme->problem);
    found->bound = (int64_t)fmin((double)found->bound, floor(programme->bound + 1e-6));
    if (found->bound <= found->total)
        return;
    glp_init_iocp(&how);
    how.msg_lev = GLP_MSG_OFF;
    how.cb_func = watch;
    how.cb_info = programme;
    how.br_tech = GLP_BR_DTH;
    how.bt_tech = GLP_BT_BLB;
    failed = glp_intopt(programme->problem, &how);
    if (glp_mip_status(programme->problem) == GLP_OPT || glp_mip_status(programme->problem) == GLP_FEAS)
        take_solution(programme);
    if (!failed && !programme->told)
        found->bound = found->total;
    else
        found->bound = (int64_t)fmax((double)found->total, fmin((double)found->bound, floor(programme->bound + 1e-6)));
}

static int by_programme(const struct place_ask *ask, struct place_found *found, struct arena *arena, struct fault *fault)
{
    size_t columns = ask->batches * ask->tanks + ask->tanks * stretches(ask);
    struct programme programme = {.ask = ask, .found = found};

    programme.index = arena_take(arena, (columns + 2) * sizeof *programme.index);
    programme.value = arena_take(arena, (columns + 2) * sizeof *programme.value);
    if (!programme.index || !programme.value)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    glp_term_out(GLP_OFF);
    programme.problem = glp_create_prob();
    fill_programme(&programme);
    solve(&programme);
    glp_delete_prob(programme.problem);
    glp_free_env(); /* of this thread */
    return 0;
}

int succession_place(const struct place_ask *ask, struct place_found *found, struct arena *arena, struct fault *fault)
{
    size_t cells = ask->batches * ask->tanks;

    *found = (struct place_found){.plants = arena_take(arena, (cells + 1) * sizeof *found->plants)};
    if (!found->plants)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    memset(found->plants, 0, (cells + 1) * sizeof *found->plants);
    for (size_t b = 0; b < ask->batches; b++)
        found->bound += ask->batch[b].wanted;
    place_in_turn(ask, found);
    return found->total < found->bound && ask->nodes > 0 ? by_programme(ask, found, arena, fault) : 0;
}
