/* The garden's days begin by its own zone, summer time included. */
#include "garden/clock.h"

#include <stdio.h>
#include <string.h>

#include "calc/days.h"
#include "runner.h"

static int64_t utc_ms(int year, int month, int day, int hour, int minute)
{
    int32_t number;

    ck_assert(days_from_civil((struct civil){year, month, day}, &number));
    return (int64_t)number * DAY_MS + (hour * 60 + minute) * 60000LL;
}

static int32_t day_of(int year, int month, int day)
{
    int32_t number;

    ck_assert(days_from_civil((struct civil){year, month, day}, &number));
    return number;
}

/* Offsets of the IANA time zone database as Debian's tzdata carries it: Berlin +1 h, +2 h in summer; Kathmandu +5:45;
 * Auckland +12 h, +13 h in its summer; Los Angeles -8 h, -7 h in summer. */
static const struct {
    const char *zone;
    int utc[5], local_day[3];
} days[] = {
    {"UTC", {2026, 5, 1, 23, 59}, {2026, 5, 1}},
    {"Europe/Berlin", {2026, 1, 15, 22, 59}, {2026, 1, 15}},
    {"Europe/Berlin", {2026, 1, 15, 23, 0}, {2026, 1, 16}},
    {"Europe/Berlin", {2026, 7, 15, 21, 59}, {2026, 7, 15}},
    {"Europe/Berlin", {2026, 7, 15, 22, 0}, {2026, 7, 16}},
    {"Asia/Kathmandu", {2026, 3, 1, 18, 14}, {2026, 3, 1}},
    {"Asia/Kathmandu", {2026, 3, 1, 18, 15}, {2026, 3, 2}},
    {"Pacific/Auckland", {2026, 1, 1, 11, 0}, {2026, 1, 2}},
    {"America/Los_Angeles", {2026, 12, 31, 7, 59}, {2026, 12, 30}},
};

START_TEST(day_turns_by_the_zone)
{
    const int *t = days[_i].utc, *d = days[_i].local_day;

    ck_assert_int_eq(clock_day(days[_i].zone, utc_ms(t[0], t[1], t[2], t[3], t[4])), day_of(d[0], d[1], d[2]));
}
END_TEST

/* The day on which Berlin's clocks go forward (29 March 2026) is 23 h long, the one on which they go back (25 October) 25 h. */
START_TEST(days_of_summer_time_are_23_and_25_hours_long)
{
    const char *zone = "Europe/Berlin";
    int32_t forward = day_of(2026, 3, 29), back = day_of(2026, 10, 25);

    ck_assert_int_eq(clock_day_start_ms(zone, forward + 1) - clock_day_start_ms(zone, forward), 23 * 3600000LL);
    ck_assert_int_eq(clock_day_start_ms(zone, back + 1) - clock_day_start_ms(zone, back), 25 * 3600000LL);
    ck_assert_int_eq(clock_day(zone, clock_day_start_ms(zone, forward)), forward);
    ck_assert_int_eq(clock_day(zone, clock_day_start_ms(zone, forward) - 1), forward - 1);
}
END_TEST

/* Python 3.11's zoneinfo with Debian's tzdata: datetime(..., fold=0 and 1).astimezone(utc), and whether it comes back. Berlin by
 * Directive 2000/84/EC; Lord Howe's clocks move by half an hour, Auckland's in the southern spring. */
static const struct {
    const char *zone;
    int wall[5];
    enum clock_shown shown;
    int utc[5];
} shown[] = {
    {"Europe/Berlin", {2026, 3, 29, 1, 59}, CLOCK_ONCE, {2026, 3, 29, 0, 59}},
    {"Europe/Berlin", {2026, 3, 29, 2, 0}, CLOCK_NEVER, {2026, 3, 29, 1, 0}},
    {"Europe/Berlin", {2026, 3, 29, 2, 59}, CLOCK_NEVER, {2026, 3, 29, 1, 59}},
    {"Europe/Berlin", {2026, 3, 29, 3, 0}, CLOCK_ONCE, {2026, 3, 29, 1, 0}},
    {"Europe/Berlin", {2025, 10, 26, 1, 59}, CLOCK_ONCE, {2025, 10, 25, 23, 59}},
    {"Europe/Berlin", {2025, 10, 26, 2, 0}, CLOCK_TWICE, {2025, 10, 26, 0, 0}},
    {"Europe/Berlin", {2025, 10, 26, 2, 59}, CLOCK_TWICE, {2025, 10, 26, 0, 59}},
    {"Europe/Berlin", {2025, 10, 26, 3, 0}, CLOCK_ONCE, {2025, 10, 26, 2, 0}},
    {"Australia/Lord_Howe", {2025, 10, 5, 2, 15}, CLOCK_NEVER, {2025, 10, 4, 15, 45}},
    {"Australia/Lord_Howe", {2025, 10, 5, 2, 30}, CLOCK_ONCE, {2025, 10, 4, 15, 30}},
    {"Australia/Lord_Howe", {2026, 4, 5, 1, 45}, CLOCK_TWICE, {2026, 4, 4, 14, 45}},
    {"Pacific/Auckland", {2025, 9, 28, 2, 30}, CLOCK_NEVER, {2025, 9, 27, 14, 30}},
    {"America/Los_Angeles", {2025, 11, 2, 1, 30}, CLOCK_TWICE, {2025, 11, 2, 8, 30}},
    {"Asia/Kathmandu", {2026, 3, 29, 2, 30}, CLOCK_ONCE, {2026, 3, 28, 20, 45}},
    {"UTC", {2026, 3, 29, 2, 30}, CLOCK_ONCE, {2026, 3, 29, 2, 30}},
};

START_TEST(clocks_leave_out_and_repeat)
{
    const int *w = shown[_i].wall, *u = shown[_i].utc;
    int64_t ms;

    ck_assert_int_eq(clock_wall(shown[_i].zone, day_of(w[0], w[1], w[2]), (w[3] * 60 + w[4]) * 60, &ms), shown[_i].shown);
    ck_assert_int_eq(ms, utc_ms(u[0], u[1], u[2], u[3], u[4]));
}
END_TEST

START_TEST(zones_are_known_or_refused)
{
    ck_assert(clock_zone_known("Atlantic/Canary"));
    ck_assert(clock_zone_known("UTC"));
    ck_assert(!clock_zone_known("Mars/Olympus"));
    ck_assert(!clock_zone_known("../../etc/passwd"));
    ck_assert(!clock_zone_known(NULL));
}
END_TEST

/* RFC 9562 (2024), section 5.7: 48 bits of milliseconds, version 7, variant 10. */
START_TEST(ids_begin_with_the_time)
{
    char first[37], second[37];
    long long ms;

    clock_uuid(first);
    clock_uuid(second);
    ck_assert_uint_eq(strlen(first), 36);
    ck_assert_int_eq(first[14], '7');
    ck_assert_ptr_nonnull(strchr("89ab", first[19]));
    ck_assert_str_ne(first, second);
    first[8] = first[9];
    memmove(first + 8, first + 9, 4);
    first[12] = '\0';
    ck_assert_int_eq(sscanf(first, "%llx", (unsigned long long *)&ms), 1);
    ck_assert_int_lt(clock_now_ms() - ms, 60000);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("clock");
    TCase *tcase = tcase_create("clock");

    tcase_add_loop_test(tcase, day_turns_by_the_zone, 0, COUNT(days));
    tcase_add_test(tcase, days_of_summer_time_are_23_and_25_hours_long);
    tcase_add_loop_test(tcase, clocks_leave_out_and_repeat, 0, COUNT(shown));
    tcase_add_test(tcase, zones_are_known_or_refused);
    tcase_add_test(tcase, ids_begin_with_the_time);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
