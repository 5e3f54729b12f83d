/* tank_state.c - the fold. */
#include "garden/tank_state.h"

#include <math.h>
#include <string.h>

#include "garden/clock.h"

/* One step further than the last waterline a person could tell from it. */
#define CEILING_TOLERANCE_MM RISE_NOTED_MM

static int no_memory(struct fault *fault)
{
    return fault_add(fault, FAULT_MEMORY, "", "out of memory");
}

/* Lists that grow during the fold; their rooms are kept beside them. */
struct growing {
    struct list *list;
    size_t room, size;
};

static void *grow(struct growing *growing, struct arena *arena)
{
    struct list *list = growing->list;

    list->item = arena_grow(arena, list->item, list->count, &growing->room, growing->size);
    return list->item ? (char *)list->item + list->count++ * growing->size : NULL;
}

/* ---- which entries count ---- */

/* Whether an entry of this list withdraws it. A withdrawal that was itself withdrawn does not count. The depth is
 * bounded, since a client could withdraw in a ring. */
static bool withdrawn(const struct list *entries, const struct entry *what, int depth)
{
    const struct entry *entry = entries->item;

    if (!what->withdrawn_by || depth > 8)
        return false;
    for (size_t i = 0; i < entries->count; i++)
        if (entry[i].withdraws && strcmp(entry[i].withdraws, what->id) == 0 && !withdrawn(entries, &entry[i], depth + 1))
            return true;
    return false;
}

/* Whether an amendment that counts stands in its place. */
static bool superseded(const struct list *entries, const struct entry *what)
{
    const struct entry *entry = entries->item;

    if (!what->amended_by)
        return false;
    for (size_t i = 0; i < entries->count; i++)
        if (entry[i].amends && strcmp(entry[i].amends, what->id) == 0 && !withdrawn(entries, &entry[i], 0))
            return true;
    return false;
}

int log_effective(const struct list *entries, struct list *effective, struct arena *arena, struct fault *fault)
{
    const struct entry *entry = entries->item;
    struct entry *kept = arena_take(arena, (entries->count + 1) * sizeof *kept);

    if (!kept)
        return no_memory(fault);
    *effective = (struct list){kept, 0};
    for (size_t i = 0; i < entries->count; i++)
        if (!entry[i].withdraws && !withdrawn(entries, &entry[i], 0) && !superseded(entries, &entry[i]))
            kept[effective->count++] = entry[i];
    return 0;
}

/* ---- the fold ---- */

struct fold {
    struct tank_state *state;
    struct arena *arena;
    struct fault *fault;
    const struct vessel *vessel;
    const struct vessel_cups *hung;
    const char *zone;
    struct growing flags, added, cuts, readings, ph_of_fill, planted, weighed_since, taken;
    double last_mm;   /* last known waterline, NAN at first */
    bool water_since; /* put in since then, how much is not known */
    double put_in_l;  /* into this fill so far; NAN: not known */
    int64_t watched;  /* the cup whose deeds are noted; 0: each; -1: none */
    struct growing deeds;
    double counted_l; /* drunk, and counted at an earlier harvest from this fill */
};

static int flag(struct fold *fold, enum tank_flag what, const struct entry *entry, const struct entry *other)
{
    struct tank_flag_item *item = grow(&fold->flags, fold->arena);

    if (!item)
        return no_memory(fold->fault);
    *item = (struct tank_flag_item){what, entry->id, other ? other->id : NULL};
    return 0;
}

static size_t hanging(const struct tank_state *state)
{
    const struct cup_state *cup = state->cups.item;
    size_t count = 0;

    for (size_t i = 0; i < state->cups.count; i++)
        count += cup[i].crop != NULL;
    return count;
}

static void set_ceiling(struct tank_state *state)
{
    state->ceiling_mm = state->start_mm;
    if (hanging(state) && state->lowest_mm + RISE_SAFE_MM < state->start_mm)
        state->ceiling_mm = state->lowest_mm + RISE_SAFE_MM;
}

static double volume_at(const struct fold *fold, double waterline_mm)
{
    double volume_l = NAN;

    if (isnan(waterline_mm) || vessel_solution_l(fold->vessel, fold->hung, waterline_mm, &volume_l, NULL))
        return NAN;
    return volume_l;
}

static double waterline_at(const struct fold *fold, double volume_l)
{
    double waterline_mm = NAN;

    if (isnan(volume_l) || vessel_solution_waterline_mm(fold->vessel, fold->hung, volume_l, &waterline_mm, NULL))
        return NAN;
    return waterline_mm;
}

/* A waterline that somebody saw, or that follows from what was put in. */
static int see_waterline(struct fold *fold, const struct entry *entry, double waterline_mm, bool after_water)
{
    struct tank_state *state = fold->state;
    struct waterline_reading *reading;

    if (isnan(waterline_mm))
        return 0;
    reading = grow(&fold->readings, fold->arena);
    if (!reading)
        return no_memory(fold->fault);
    *reading = (struct waterline_reading){entry->at_ms, waterline_mm, entry->method, entry->id, after_water};
    state->waterline = (struct observed){waterline_mm, entry->at_ms};
    if (isnan(state->lowest_mm) || waterline_mm < state->lowest_mm)
        state->lowest_mm = waterline_mm;
    fold->last_mm = waterline_mm;
    fold->water_since = false;
    return 0;
}

static int see_values(struct fold *fold, const struct entry *entry)
{
    struct tank_state *state = fold->state;

    if (!isnan(entry->ec_ms_cm))
        state->ec = (struct observed){entry->ec_ms_cm, entry->at_ms};
    if (!isnan(entry->ph))
        state->ph = (struct observed){entry->ph, entry->at_ms};
    if (!isnan(entry->temperature_c))
        state->temperature = (struct observed){entry->temperature_c, entry->at_ms};
    if (!isnan(entry->ph) && state->filled && state->added.count == 0) {
        struct observed *seen = grow(&fold->ph_of_fill, fold->arena);

        if (!seen)
            return no_memory(fold->fault);
        *seen = state->ph;
    }
    return 0;
}

static void forget_water(struct fold *fold)
{
    struct tank_state *state = fold->state;
    const struct observed none = {NAN, STORE_NO_INT};

    state->waterline = state->ec = state->ph = state->temperature = none;
    state->lowest_mm = NAN;
    state->readings.count = state->ph_of_fill.count = state->added.count = state->cuts.count = state->planted.count = 0;
    state->filled_l = state->added_l = 0;
    state->weighed = (struct list){NULL, 0};
    state->weighed_since.count = 0;
    state->water = state->target = NULL;
    fold->last_mm = NAN;
    fold->water_since = false;
    fold->put_in_l = NAN;
    fold->counted_l = 0;
}

static int fold_fill(struct fold *fold, const struct entry *entry)
{
    struct tank_state *state = fold->state;
    double to_mm = isnan(entry->waterline_mm) ? waterline_at(fold, entry->volume_l) : entry->waterline_mm;

    forget_water(fold);
    state->filled = true;
    state->filled_ms = entry->at_ms;
    state->fill = entry->id;
    state->water = entry->water;
    state->target = entry->target;
    state->weighed = entry->weighed;
    state->filled_l = isnan(entry->volume_l) ? volume_at(fold, to_mm) : entry->volume_l;
    fold->put_in_l = state->filled_l;
    if (to_mm > state->start_mm + CEILING_TOLERANCE_MM && flag(fold, FLAG_ABOVE_CEILING, entry, NULL))
        return -1;
    if (see_values(fold, entry))
        return -1;
    return see_waterline(fold, entry, to_mm, true);
}

static int note_salts(struct fold *fold, const struct entry *entry)
{
    const struct entry_salt *salt = entry->weighed.item;

    for (size_t i = 0; i < entry->weighed.count; i++) {
        struct entry_salt *noted = grow(&fold->weighed_since, fold->arena);

        if (!noted)
            return no_memory(fold->fault);
        *noted = salt[i];
    }
    return 0;
}

static int fold_top_up(struct fold *fold, const struct entry *entry)
{
    struct tank_state *state = fold->state;
    struct added_water *added = grow(&fold->added, fold->arena);
    double from_mm = fold->water_since ? (double)NAN : fold->last_mm, to_mm = entry->waterline_mm;

    if (!added || note_salts(fold, entry))
        return no_memory(fold->fault);
    /* Between the last reading and the top-up the plants drank: what was put in says the level after it only when
     * the level before it was read the same day. Else the level waits for the next reading. */
    if (isnan(to_mm) && !isnan(from_mm) && entry->at_ms - state->waterline.at_ms <= DAY_MS / 2)
        to_mm = waterline_at(fold, volume_at(fold, from_mm) + entry->volume_l);
    if (!isnan(to_mm) && isnan(entry->waterline_mm) == false && !isnan(entry->volume_l))
        from_mm = waterline_at(fold, fmax(volume_at(fold, to_mm) - entry->volume_l, 0));
    *added = (struct added_water){entry->at_ms, entry->volume_l, from_mm, to_mm, entry->id};
    if (!isnan(entry->volume_l))
        state->added_l += entry->volume_l;
    fold->put_in_l += isnan(entry->volume_l) ? volume_at(fold, to_mm) - volume_at(fold, from_mm) : entry->volume_l;
    if (!isnan(from_mm) && (isnan(state->lowest_mm) || from_mm < state->lowest_mm))
        state->lowest_mm = from_mm;
    set_ceiling(state);
    if (to_mm > state->ceiling_mm + CEILING_TOLERANCE_MM && flag(fold, FLAG_ABOVE_CEILING, entry, NULL))
        return -1;
    if (see_values(fold, entry))
        return -1;
    if (isnan(to_mm))
        fold->water_since = true;
    return see_waterline(fold, entry, to_mm, true);
}

static int fold_reading(struct fold *fold, const struct entry *entry)
{
    struct tank_state *state = fold->state;
    bool rose = entry->waterline_mm > fold->last_mm + RISE_NOTED_MM && !fold->water_since;

    state->last_reading_ms = entry->at_ms;
    if (see_values(fold, entry))
        return -1;
    if (rose && flag(fold, FLAG_UNEXPLAINED_RISE, entry, NULL))
        return -1;
    return see_waterline(fold, entry, entry->waterline_mm, false);
}

static struct cup_state free_cup(int64_t number)
{
    return (struct cup_state){.cup = number, .planted_day = INT32_MIN, .grows_from_day = INT32_MIN, .sown_day = INT32_MIN, .here_day = INT32_MIN, .cut_day = INT32_MIN,
                              .start = ENTRY_NONE, .ready_day = INT32_MIN, .lost_day = INT32_MIN, .lost_reason = ENTRY_NONE};
}

static struct cup_state *cup_of(const struct tank_state *state, int64_t number)
{
    struct cup_state *cup = state->cups.item;

    return number >= 1 && (uint64_t)number <= state->cups.count ? &cup[number - 1] : NULL;
}

/* Counts a cup among the plants of its planting that hang here, or that went on one day. */
static int count_plant(struct fold *fold, const struct cup_state *cup, int32_t gone_day)
{
    struct list *planted = &fold->state->planted;
    struct planted *group = planted->item;

    for (size_t i = 0; i < planted->count; i++)
        if (group[i].gone_day == gone_day && strcmp(group[i].entry, cup->planting) == 0) {
            group[i].count++;
            return 0;
        }
    group = grow(&fold->planted, fold->arena);
    if (!group)
        return no_memory(fold->fault);
    *group = (struct planted){cup->crop, cup->planting, 1, cup->planted_day, gone_day};
    return 0;
}

static int note_deed(struct fold *fold, const struct cup_state *cup, const struct entry *entry, enum cup_what what, int64_t other_cup)
{
    struct cup_deed *deed;

    if (fold->watched && cup->cup != fold->watched)
        return 0;
    deed = grow(&fold->deeds, fold->arena);
    if (!deed)
        return no_memory(fold->fault);
    *deed = (struct cup_deed){what, entry->at_ms, entry->id, cup->crop, cup->cup, cup->planting, other_cup, what == CUP_MOVED_OUT ? entry->to_tank : NULL, entry->reason};
    return 0;
}

/* What hangs there makes room: it drank until now. Flagged unless somebody said so. */
static int make_room(struct fold *fold, struct cup_state *cup, const struct entry *entry)
{
    if (!cup->crop)
        return 0;
    if (!entry->replaces && flag(fold, FLAG_CUP_TAKEN, entry, NULL))
        return -1;
    return note_deed(fold, cup, entry, CUP_REPLACED, STORE_NO_INT) || count_plant(fold, cup, clock_day(fold->zone, entry->at_ms)) ? -1 : 0;
}

static int plant_cup(struct fold *fold, struct cup_state *cup, const struct entry *entry)
{
    int32_t day = clock_day(fold->zone, entry->at_ms);

    if (make_room(fold, cup, entry))
        return -1;
    *cup = free_cup(cup->cup);
    cup->crop = entry->crop;
    cup->planted_day = entry->hung_day == INT32_MIN || entry->hung_day > day ? day : entry->hung_day;
    cup->planting = entry->id;
    cup->cuts = entry->cuts == STORE_NO_INT ? 0 : entry->cuts;
    cup->sown_day = entry->sown_day;
    cup->here_day = day;
    cup->cut_day = entry->cut_day;
    cup->grows_from_day = cup->cut_day == INT32_MIN ? cup->planted_day : cup->cut_day;
    cup->start = entry->start;
    return note_deed(fold, cup, entry, entry->follows ? CUP_MOVED_IN : CUP_PLANTED, STORE_NO_INT);
}

static int fold_planting(struct fold *fold, const struct entry *entry)
{
    const int64_t *number = entry->cups.item;
    struct cup_state *cup = fold->state->cups.item;
    int64_t left = entry->count;

    for (size_t i = 0; i < entry->cups.count; i++) {
        struct cup_state *named = cup_of(fold->state, number[i]);

        if (named && plant_cup(fold, named, entry))
            return -1;
    }
    if (entry->cups.count)
        return 0;
    for (size_t i = 0; i < fold->state->cups.count && left > 0; i++)
        if (!cup[i].crop) {
            if (plant_cup(fold, &cup[i], entry))
                return -1;
            left--;
        }
    return left > 0 ? flag(fold, FLAG_CUPS_FULL, entry, NULL) : 0;
}

/* All are lifted before any is set down, so that plants can change places. */
static int fold_move(struct fold *fold, const struct entry *entry)
{
    const int64_t *from = entry->cups.item, *to = entry->to_cups.item;
    struct cup_state *lifted = arena_take(fold->arena, (entry->cups.count + 1) * sizeof *lifted);
    int32_t day = clock_day(fold->zone, entry->at_ms);
    bool nothing = false;

    if (!lifted)
        return no_memory(fold->fault);
    for (size_t i = 0; i < entry->cups.count; i++) {
        struct cup_state *cup = cup_of(fold->state, from[i]);

        lifted[i] = cup ? *cup : free_cup(from[i]);
        nothing |= !lifted[i].crop;
        if (!cup || !cup->crop)
            continue;
        if (note_deed(fold, cup, entry, CUP_MOVED_OUT, entry->to_tank ? STORE_NO_INT : to[i]) ||
            (entry->to_tank && count_plant(fold, cup, day)))
            return -1;
        *cup = free_cup(from[i]);
    }
    for (size_t i = 0; i < entry->cups.count && !entry->to_tank; i++) {
        struct cup_state *cup = cup_of(fold->state, to[i]);

        if (!cup || !lifted[i].crop)
            continue;
        if (make_room(fold, cup, entry))
            return -1;
        *cup = lifted[i];
        cup->cup = to[i];
        cup->here_day = day;
        if (note_deed(fold, cup, entry, CUP_MOVED_IN, from[i]))
            return -1;
    }
    return nothing ? flag(fold, FLAG_CUP_EMPTY, entry, NULL) : 0;
}

static int fold_loss(struct fold *fold, const struct entry *entry)
{
    const int64_t *number = entry->cups.item;
    int32_t day = clock_day(fold->zone, entry->at_ms);
    bool nothing = false;

    for (size_t i = 0; i < entry->cups.count; i++) {
        struct cup_state *cup = cup_of(fold->state, number[i]);
        const char *crop = cup ? cup->crop : NULL;

        nothing |= !crop;
        if (!crop)
            continue;
        if (note_deed(fold, cup, entry, CUP_WAS_LOST, STORE_NO_INT) || count_plant(fold, cup, day))
            return -1;
        *cup = free_cup(number[i]);
        cup->lost_crop = crop;
        cup->lost_day = day;
        cup->lost_reason = entry->reason;
    }
    return nothing ? flag(fold, FLAG_CUP_EMPTY, entry, NULL) : 0;
}

enum cup_phase cup_phase(const struct cup_state *cup, int32_t today)
{
    if (!cup->crop)
        return cup->lost_crop ? CUP_LOST : CUP_FREE;
    if (cup->ready_day != INT32_MIN && cup->ready_day <= today)
        return CUP_READY;
    return cup->cuts ? CUP_CUT : CUP_GROWING;
}

/* Which crop a cut was made in: of the cups named, else of any that hang. */
static const char *crop_cut(const struct tank_state *state, const struct entry *entry)
{
    const int64_t *number = entry->cups.item;
    const struct cup_state *cup = state->cups.item;

    for (size_t i = 0; i < entry->cups.count; i++) {
        const struct cup_state *named = cup_of(state, number[i]);

        if (named && named->crop)
            return named->crop;
    }
    for (size_t i = 0; i < state->cups.count; i++)
        if (cup[i].crop)
            return cup[i].crop;
    return NULL;
}

/* What was drunk until now and not counted yet. */
static double drunk_l(struct fold *fold, int64_t at_ms)
{
    double left_l = volume_at(fold, fold->last_mm), used_l;
    bool only_filled = fold->state->waterline.at_ms == fold->state->filled_ms;

    if (only_filled || fold->water_since || at_ms - fold->state->waterline.at_ms > WATERLINE_FRESH_MS || isnan(left_l) || isnan(fold->put_in_l))
        return NAN;
    used_l = fold->put_in_l - left_l - fold->counted_l;
    fold->counted_l += used_l;
    return fmax(used_l, 0); /* readings err by a few millimetres */
}

static int note_taken(struct fold *fold, const struct entry *entry)
{
    struct taken *taken = grow(&fold->taken, fold->arena);

    if (!taken)
        return no_memory(fold->fault);
    *taken = (struct taken){.entry = entry->id, .planted_day = INT32_MIN, .from_day = INT32_MIN, .used_l = drunk_l(fold, entry->at_ms)};
    return 0;
}

static void count_taken(struct fold *fold, const struct cup_state *cup)
{
    struct taken *taken = (struct taken *)fold->state->taken.item + fold->state->taken.count - 1;

    if (taken->plants++ == 0)
        taken->crop = cup->crop;
    else if (taken->crop && strcmp(taken->crop, cup->crop) != 0)
        taken->crop = NULL;
    if (taken->planted_day == INT32_MIN || cup->planted_day < taken->planted_day)
        taken->planted_day = cup->planted_day;
    if (taken->from_day == INT32_MIN || cup->grows_from_day < taken->from_day)
        taken->from_day = cup->grows_from_day;
}

static int harvest_cup(struct fold *fold, struct cup_state *cup, const struct entry *entry)
{
    count_taken(fold, cup);
    if (note_deed(fold, cup, entry, entry->how == HOW_CUT ? CUP_WAS_CUT : CUP_HARVESTED, STORE_NO_INT))
        return -1;
    if (entry->how == HOW_CUT) {
        cup->cuts++;
        cup->grows_from_day = clock_day(fold->zone, entry->at_ms);
        cup->cut_day = clock_day(fold->zone, entry->at_ms);
        return 0;
    }
    if (count_plant(fold, cup, clock_day(fold->zone, entry->at_ms)))
        return -1;
    *cup = free_cup(cup->cup);
    return 0;
}

static int fold_harvest(struct fold *fold, const struct entry *entry)
{
    const int64_t *number = entry->cups.item;
    struct cup_state *cup = fold->state->cups.item;
    size_t hang = hanging(fold->state), taken = entry->cups.count;
    int64_t left = entry->count == STORE_NO_INT ? INT64_MAX : entry->count;
    bool nothing = !hang;

    if (note_taken(fold, entry))
        return -1;
    if (entry->how == HOW_CUT && hang) {
        struct cut_back *cut = grow(&fold->cuts, fold->arena);
        double kept = isnan(entry->kept_fraction) ? 0.3 : entry->kept_fraction;

        if (!cut)
            return no_memory(fold->fault);
        if (!taken || taken > hang)
            taken = left < (int64_t)hang ? (size_t)left : hang;
        /* Of all that hangs: the cups not cut keep theirs. */
        *cut = (struct cut_back){entry->at_ms, 1 - (1 - kept) * (double)taken / (double)hang, crop_cut(fold->state, entry)};
    }
    for (size_t i = 0; i < entry->cups.count; i++) {
        struct cup_state *named = cup_of(fold->state, number[i]);

        nothing |= !named || !named->crop;
        if (named && named->crop && harvest_cup(fold, named, entry))
            return -1;
    }
    if (nothing && flag(fold, FLAG_CUP_EMPTY, entry, NULL))
        return -1;
    for (size_t i = 0; !entry->cups.count && i < fold->state->cups.count && left > 0; i++)
        if (cup[i].crop) {
            if (harvest_cup(fold, &cup[i], entry))
                return -1;
            left--;
        }
    ((struct taken *)fold->state->taken.item + fold->state->taken.count - 1)->left = (int64_t)hanging(fold->state);
    return 0;
}

static int fold_clean_out(struct fold *fold, const struct entry *entry)
{
    struct cup_state *cup = fold->state->cups.item;

    forget_water(fold);
    fold->state->filled = false;
    fold->state->fill = NULL;
    fold->state->filled_ms = STORE_NO_INT;
    for (size_t i = 0; i < fold->state->cups.count; i++) {
        if (cup[i].crop && note_deed(fold, &cup[i], entry, CUP_CLEANED_OUT, STORE_NO_INT))
            return -1;
        cup[i] = free_cup(cup[i].cup);
    }
    return 0;
}

static int fold_one(struct fold *fold, const struct entry *entry)
{
    switch (entry->kind) {
    case ENTRY_FILL:
        return fold_fill(fold, entry);
    case ENTRY_TOP_UP:
        return fold_top_up(fold, entry);
    case ENTRY_READING:
        return fold_reading(fold, entry);
    case ENTRY_PLANTING:
        return fold_planting(fold, entry);
    case ENTRY_HARVEST:
        return fold_harvest(fold, entry);
    case ENTRY_CLEAN_OUT:
        return fold_clean_out(fold, entry);
    case ENTRY_MOVE:
        return fold_move(fold, entry);
    case ENTRY_LOSS:
        return fold_loss(fold, entry);
    default:
        return 0;
    }
}

/* ---- probable doubles ---- */

static bool close_to(double a, double b, double within)
{
    return (isnan(a) && isnan(b)) || fabs(a - b) <= within;
}

/* Alike: of one kind that changes the tank, by two members, in half an hour, saying nearly the same. */
static bool probable_double(const struct entry *a, const struct entry *b)
{
    if (a->kind != b->kind || a->member_key == b->member_key || b->at_ms - a->at_ms > DOUBLE_WITHIN_MS)
        return false;
    switch (a->kind) {
    case ENTRY_FILL:
    case ENTRY_TOP_UP:
        return close_to(a->volume_l, b->volume_l, 0.1 * fmax(a->volume_l, b->volume_l)) &&
               close_to(a->waterline_mm, b->waterline_mm, RISE_NOTED_MM);
    case ENTRY_PLANTING:
        return a->crop && b->crop && strcmp(a->crop, b->crop) == 0 && a->cups.count == b->cups.count && a->count == b->count;
    case ENTRY_HARVEST:
        return a->how == b->how && a->cups.count == b->cups.count && close_to(a->weight_g, b->weight_g, 0.1 * a->weight_g);
    default:
        return false;
    }
}

static int flag_doubles(struct fold *fold, const struct list *effective)
{
    const struct entry *entry = effective->item;

    for (size_t i = 0; i < effective->count; i++)
        for (size_t j = i + 1; j < effective->count && entry[j].at_ms - entry[i].at_ms <= DOUBLE_WITHIN_MS; j++)
            if (probable_double(&entry[i], &entry[j]) && flag(fold, FLAG_PROBABLE_DOUBLE, &entry[j], &entry[i]))
                return -1;
    return 0;
}

static int flag_clocks(struct fold *fold, const struct list *effective)
{
    const struct entry *entry = effective->item;

    for (size_t i = 0; i < effective->count; i++)
        if (entry[i].clock_off_ms != STORE_NO_INT && flag(fold, FLAG_CLOCK_OFF, &entry[i], NULL))
            return -1;
    return 0;
}

/* ---- before and after ---- */

static int start_cups(struct tank_state *state, size_t count, struct arena *arena, struct fault *fault)
{
    struct cup_state *cup = arena_take(arena, (count + 1) * sizeof *cup);

    if (!cup)
        return no_memory(fault);
    for (size_t i = 0; i < count; i++)
        cup[i] = free_cup((int64_t)i + 1);
    state->cups = (struct list){cup, count};
    return 0;
}

static int count_hanging(struct fold *fold)
{
    const struct cup_state *cup = fold->state->cups.item;

    for (size_t i = 0; i < fold->state->cups.count; i++)
        if (cup[i].crop && count_plant(fold, &cup[i], INT32_MIN))
            return -1;
    return 0;
}

struct vessel tank_vessel(const struct vessel_row *row)
{
    return (struct vessel){.shape = (enum vessel_shape)row->shape,
                           .floor_mm = {row->floor_l_mm, row->floor_w_mm},
                           .rim_mm = {row->rim_l_mm, row->rim_w_mm},
                           .height_mm = row->height_mm,
                           .corner_mm = row->corner_mm,
                           .points = row->points.item,
                           .point_count = row->points.count};
}

struct vessel_cups tank_cups(const struct vessel_row *row)
{
    if (isnan(row->cup_height_mm))
        return (struct vessel_cups){.count = 0, .height_mm = 50, .top_mm = 50, .bottom_mm = 40};
    return (struct vessel_cups){.count = row->cups.count,
                                .height_mm = row->cup_height_mm,
                                .top_mm = row->cup_top_mm,
                                .bottom_mm = row->cup_bottom_mm,
                                .medium_fraction = isnan(row->cup_medium_fraction) ? 0 : row->cup_medium_fraction};
}

static int fold_all(const struct vessel_row *row, const struct list *entries, const char *zone, struct tank_state *state, int64_t watched,
                    struct list *deeds, struct arena *arena, struct fault *fault)
{
    struct vessel vessel = tank_vessel(row);
    struct vessel_cups hung = tank_cups(row);
    struct list effective;
    const struct entry *entry;
    struct fold fold = {.state = state, .arena = arena, .fault = fault, .vessel = &vessel, .hung = &hung, .zone = zone, .watched = watched};

    *state = (struct tank_state){.filled_ms = STORE_NO_INT, .last_reading_ms = STORE_NO_INT};
    fold.flags = (struct growing){&state->flags, 0, sizeof(struct tank_flag_item)};
    fold.added = (struct growing){&state->added, 0, sizeof(struct added_water)};
    fold.cuts = (struct growing){&state->cuts, 0, sizeof(struct cut_back)};
    fold.weighed_since = (struct growing){&state->weighed_since, 0, sizeof(struct entry_salt)};
    fold.planted = (struct growing){&state->planted, 0, sizeof(struct planted)};
    fold.taken = (struct growing){&state->taken, 0, sizeof(struct taken)};
    fold.deeds = (struct growing){deeds, 0, sizeof(struct cup_deed)};
    fold.readings = (struct growing){&state->readings, 0, sizeof(struct waterline_reading)};
    fold.ph_of_fill = (struct growing){&state->ph_of_fill, 0, sizeof(struct observed)};
    state->height_mm = row->height_mm;
    state->start_mm = row->start_mm;
    state->low_mm = row->low_mm;
    forget_water(&fold);
    if (start_cups(state, row->cups.count, arena, fault) ||
        log_effective(entries, &effective, arena, fault))
        return -1;
    entry = effective.item;
    for (size_t i = 0; i < effective.count; i++)
        if (fold_one(&fold, &entry[i]))
            return -1;
    if (flag_doubles(&fold, &effective) || flag_clocks(&fold, &effective) || count_hanging(&fold))
        return -1;
    set_ceiling(state);
    state->air_gap_mm = state->height_mm - state->waterline.value;
    state->volume_l = volume_at(&fold, state->waterline.value);
    return 0;
}

int tank_state_fold(const struct vessel_row *row, const struct list *entries, const char *zone, struct tank_state *state,
                    struct arena *arena, struct fault *fault)
{
    struct list none = {NULL, 0};

    return fold_all(row, entries, zone, state, -1, &none, arena, fault);
}

int tank_cup_history(const struct vessel_row *row, const struct list *entries, const char *zone, int64_t cup, struct list *deeds,
                     struct arena *arena, struct fault *fault)
{
    struct tank_state state;

    *deeds = (struct list){NULL, 0};
    return fold_all(row, entries, zone, &state, cup, deeds, arena, fault);
}
