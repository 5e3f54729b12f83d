/* calendar.c - days to come, out of the outlooks. */
#include "garden/calendar.h"

#include "garden/duties.h"
#include "garden/round_days.h"
#include "garden/successions.h"

static int32_t not_before(int32_t today, int32_t day)
{
    return day < today ? today : day;
}

static int add_item(struct calendar *calendar, size_t *room, const struct tank_row *tank, const struct standing_short *brief, enum calendar_what what,
                    struct arena *arena, struct fault *fault)
{
    struct list *items = &calendar->items;
    bool harvest = what == CALENDAR_HARVEST;
    const struct outlook_dates *when = harvest ? &brief->harvest_on : &brief->low_on;
    struct standing_behind behind = STANDING_NONE_BEHIND;

    items->item = arena_grow(arena, items->item, items->count, room, sizeof(struct calendar_item));
    if (!items->item)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    ((struct calendar_item *)items->item)[items->count++] =
        (struct calendar_item){.what = what,
                               .tank = tank->id,
                               .code = tank->code,
                               .name = tank->name,
                               .first = not_before(calendar->today, harvest && when->p10 != DAYS_NONE ? when->p10 : when->p50),
                               .last = not_before(calendar->today, harvest && when->p90 != DAYS_NONE ? when->p90 : when->p50),
                               .when = *when,
                               .behind = standing_is_behind(&behind, brief, tank, calendar->today),
                               .as_of = brief->day};
    return 0;
}

/* Where nobody plans rounds, the day's own: what it was yesterday is over. */
static int add_unplanned_round(struct calendar *calendar, size_t *room, int64_t tanks, const struct standing_behind *behind, struct arena *arena,
                               struct fault *fault)
{
    struct list *items = &calendar->items;

    items->item = arena_grow(arena, items->item, items->count, room, sizeof(struct calendar_item));
    if (!items->item)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    ((struct calendar_item *)items->item)[items->count++] =
        (struct calendar_item){.what = CALENDAR_ROUND, .first = calendar->today, .last = calendar->today, .tanks = tanks, .planned = DAYS_NONE,
                               .behind = behind->tanks > 0, .as_of = behind->since};
    return 0;
}

static int add_planned_rounds(struct calendar *calendar, size_t *room, const struct round_plan *plan, struct arena *arena, struct fault *fault)
{
    struct list *items = &calendar->items;
    const struct round_days_row *place = plan->days.item;
    struct round_due due;

    for (int32_t day = calendar->today; day < calendar->today + CALENDAR_ROUND_DAYS; day++)
        for (size_t i = 0; i < plan->days.count; i++) {
            if (!round_plan_on(plan, &place[i], day, &due))
                continue;
            items->item = arena_grow(arena, items->item, items->count, room, sizeof(struct calendar_item));
            if (!items->item)
                return fault_add(fault, FAULT_MEMORY, "", "out of memory");
            ((struct calendar_item *)items->item)[items->count++] = (struct calendar_item){
                .what = CALENDAR_ROUND, .tank = place[i].area, .name = place[i].area_name, .first = day, .last = day, .planned = due.planned};
        }
    return 0;
}

static int add_rounds(struct db *db, struct calendar *calendar, size_t *room, int64_t wanting, const struct standing_behind *behind, struct arena *arena,
                      struct fault *fault)
{
    struct round_plan plan;

    if (round_plan_read(db, calendar->today, &plan, arena, fault))
        return -1;
    if (plan.days.count)
        return add_planned_rounds(calendar, room, &plan, arena, fault);
    return wanting ? add_unplanned_round(calendar, room, wanting, behind, arena, fault) : 0;
}

/* What is late is told for today. */
static int add_season(struct db *db, struct calendar *calendar, size_t *room, struct arena *arena, struct fault *fault)
{
    struct list *items = &calendar->items, due;
    const struct season_due *one;

    if (successions_due(db, calendar->garden.time_zone, calendar->today, calendar->today + CALENDAR_SEASON_DAYS, &due, arena, fault))
        return -1;
    one = due.item;
    for (size_t i = 0; i < due.count; i++) {
        int32_t day = not_before(calendar->today, one[i].day);

        items->item = arena_grow(arena, items->item, items->count, room, sizeof(struct calendar_item));
        if (!items->item)
            return fault_add(fault, FAULT_MEMORY, "", "out of memory");
        ((struct calendar_item *)items->item)[items->count++] =
            (struct calendar_item){.what = one[i].sow ? CALENDAR_SOW : CALENDAR_PLANT, .tank = one[i].succession, .name = one[i].name,
                                   .tanks = one[i].plants, .step = one[i].step, .first = day, .last = day, .when = {DAYS_NONE, one[i].day, DAYS_NONE}};
    }
    return 0;
}

static int add_duties(struct db *db, struct calendar *calendar, size_t *room, struct arena *arena, struct fault *fault)
{
    struct list *items = &calendar->items, duties;
    const struct duty_row *duty;

    if (duty_rows_from(db, calendar->today, &duties, arena, fault))
        return -1;
    duty = duties.item;
    for (size_t i = 0; i < duties.count; i++) {
        items->item = arena_grow(arena, items->item, items->count, room, sizeof(struct calendar_item));
        if (!items->item)
            return fault_add(fault, FAULT_MEMORY, "", "out of memory");
        ((struct calendar_item *)items->item)[items->count++] =
            (struct calendar_item){.what = CALENDAR_DUTY,
                                   .tank = duty[i].id,
                                   .name = duty[i].tank_name ? duty[i].tank_name : duty[i].area_name,
                                   .who = duty[i].member_name,
                                   .first = duty[i].from_day,
                                   .last = duty[i].to_day};
    }
    return 0;
}

static int gather(struct garden *garden, struct db *db, int64_t now_ms, struct calendar *calendar, struct arena *arena,
                  struct fault *fault)
{
    struct standing_place place;
    struct list tanks;
    const struct tank_row *tank;
    size_t room = 0;
    int64_t wanting = 0;
    struct standing_behind behind = STANDING_NONE_BEHIND;

    if (standing_place(db, now_ms, &place, arena, fault) || tanks_list(db, 0, INT32_MAX, &tanks, arena, fault))
        return -1;
    calendar->garden = place.garden;
    calendar->today = place.today;
    tank = tanks.item;
    for (size_t i = 0; i < tanks.count; i++) {
        const struct standing_short *brief;
        bool low, ready;

        if (tank[i].retired)
            continue;
        if (standing_short_old(garden, db, &place, &tank[i], &brief, arena, fault))
            return -1;
        standing_is_behind(&behind, brief, &tank[i], place.today);
        wanting += brief->advice_count > 0;
        ready = brief->has_outlook && brief->harvest_on.p50 != DAYS_NONE;
        low = brief->has_outlook && brief->low_on.p50 != DAYS_NONE && !(ready && brief->harvest_on.p50 < brief->low_on.p50);
        if ((low && add_item(calendar, &room, &tank[i], brief, CALENDAR_LOW, arena, fault)) ||
            (ready && add_item(calendar, &room, &tank[i], brief, CALENDAR_HARVEST, arena, fault)))
            return -1;
    }
    if (add_season(db, calendar, &room, arena, fault))
        return -1;
    if (add_rounds(db, calendar, &room, wanting, &behind, arena, fault))
        return -1;
    return add_duties(db, calendar, &room, arena, fault);
}

int garden_calendar(struct garden *garden, int64_t now_ms, struct calendar *calendar, struct arena *arena, struct fault *fault)
{
    struct db *db = store_read(garden->store, fault);
    int failed;

    *calendar = (struct calendar){.items = {NULL, 0}};
    failed = !db || gather(garden, db, now_ms, calendar, arena, fault);
    store_done(garden->store, db);
    return failed ? -1 : 0;
}
