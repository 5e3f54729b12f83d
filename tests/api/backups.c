/* Copies by themselves: when they are due, how many stay, what is said when there is none; and that a copy put in the place of a
 * garden is that garden. Figures are held against a parser of the format that is not ours. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

#include "calc/days.h"
#include "caller.h"
#include "garden/backup.h"
#include "garden_file.h"
#include "runner.h"

#define HOUR ((int64_t)3600000)
#define DAY (24 * HOUR)

static struct caller caller;
static char folder[4200];

static void open_new(void)
{
    caller_open(&caller, "backups");
    snprintf(folder, sizeof folder, "%s.folder", caller.path);
    mkdir(folder, 0700);
}

static void close_it(void)
{
    char command[4300];

    caller_close(&caller);
    snprintf(command, sizeof command, "rm -rf '%s'", folder);
    ck_assert_int_eq(system(command), 0);
}

static int64_t at(int year, int month, int day, int hour)
{
    int32_t number;

    ck_assert(days_from_civil((struct civil){year, month, day}, &number));
    return number * DAYS_MS + hour * HOUR;
}

/* ---- when ---- */

START_TEST(due_at_night_by_the_gardens_clock)
{
    const struct backup_plan nightly = {.every_h = 24}, often = {.every_h = 6};

    /* Vienna is two hours ahead in summer, one in winter: three at night is one and two in UTC. */
    ck_assert_int_eq(backup_due_ms(&nightly, "Europe/Vienna", at(2026, 7, 1, 12), at(2026, 7, 1, 13)), at(2026, 7, 2, 1));
    ck_assert_int_eq(backup_due_ms(&nightly, "Europe/Vienna", at(2026, 1, 10, 12), at(2026, 1, 10, 13)), at(2026, 1, 11, 2));
    ck_assert_int_eq(backup_due_ms(&nightly, "Europe/Vienna", at(2026, 7, 1, 23), at(2026, 7, 2, 0)), at(2026, 7, 2, 1)); /* one in the morning there */
    ck_assert_int_eq(backup_due_ms(&nightly, "UTC", at(2026, 7, 2, 3), at(2026, 7, 2, 4)), at(2026, 7, 3, 3));
    ck_assert_int_eq(backup_due_ms(&often, "UTC", at(2026, 7, 2, 3), at(2026, 7, 2, 4)), at(2026, 7, 2, 9));
    ck_assert_int_eq(backup_due_ms(&often, "UTC", STORE_NO_INT, at(2026, 7, 2, 4)), at(2026, 7, 2, 4));
}
END_TEST

/* ---- how many ---- */

static void make_at(int64_t now_ms)
{
    struct arena arena = {0};
    struct fault fault = {0};
    struct backup_made made;

    ck_assert_msg(garden_backup(caller.service.garden, now_ms, &made, &arena, &fault) == 0, "%s", fault.count ? fault.item[0].detail : "");
    arena_end(&arena);
}

static size_t copies(const char *newest, size_t room, char *name)
{
    struct arena arena = {0};
    struct fault fault = {0};
    struct list files;
    size_t count;

    ck_assert_int_eq(backup_files(folder, caller.path, &files, &arena, &fault), 0);
    count = files.count;
    if (count && name)
        snprintf(name, room, "%s", ((const struct backup_file *)files.item)->name);
    if (count && newest)
        ck_assert_ptr_nonnull(strstr(((const struct backup_file *)files.item)->name, newest));
    arena_end(&arena);
    return count;
}

START_TEST(newest_ones_stay_and_others_files_are_left_alone)
{
    char other[4300];
    FILE *file;

    snprintf(other, sizeof other, "%s/neighbour.garden.2020-01-01T000000Z.backup", folder);
    file = fopen(other, "w");
    ck_assert_ptr_nonnull(file);
    fclose(file);
    caller.service.garden->backups = (struct backup_plan){.folder = folder, .every_h = 24, .keep = 3};
    for (int day = 1; day <= 5; day++)
        make_at(at(2026, 5, day, 3));
    ck_assert_uint_eq(copies("2026-05-05T030000Z", 0, NULL), 3);
    ck_assert_int_eq(access(other, F_OK), 0);
}
END_TEST

/* ---- what is said ---- */

static bool warns(const json_t *document, const char *word)
{
    const json_t *warnings = json_object_get(document, "warnings");

    for (size_t i = 0; i < json_array_size(warnings); i++)
        if (strcmp(json_string_value(json_array_get(warnings, i)), word) == 0)
            return true;
    return false;
}

START_TEST(an_old_copy_is_told_of)
{
    struct backup_plan plan = {.folder = folder, .every_h = 24, .keep = 3, .warn_days = 7};
    struct arena arena = {0};
    struct fault fault = {0};
    struct backup_state state;
    json_t *answer;
    int64_t now_ms = at(2100, 1, 1, 12); /* long after the garden was made */

    caller.service.garden->backups = plan;
    ck_assert_int_eq(backup_state(caller.service.garden, now_ms, &state, &arena, &fault), 0);
    ck_assert(state.old);
    make_at(now_ms - 8 * DAY);
    ck_assert_int_eq(backup_state(caller.service.garden, now_ms, &state, &arena, &fault), 0);
    ck_assert(state.old);
    make_at(now_ms - 6 * DAY);
    ck_assert_int_eq(backup_state(caller.service.garden, now_ms, &state, &arena, &fault), 0);
    ck_assert(!state.old);
    ck_assert(state.free_bytes > 0 && state.garden_bytes > 0);
    answer = caller_get(&caller, "/api/v1/backups");
    ck_assert_uint_eq(json_array_size(json_object_get(answer, "items")), 2);
    ck_assert(!warns(answer, "backup_old"));
    json_decref(answer);
    answer = caller_get(&caller, "/healthz");
    ck_assert(!warns(answer, "backup_old"));
    json_decref(answer);
    arena_end(&arena);
}
END_TEST

/* The thread makes one that is due, and says why it cannot. */
START_TEST(the_watch_makes_what_is_due)
{
    struct fault fault = {0};
    char name[300], gone[4300];
    json_t *answer;

    caller.service.garden->backups = (struct backup_plan){.folder = folder, .every_h = 24, .keep = 3, .warn_days = 7};
    ck_assert_int_eq(backup_watch_start(caller.service.garden, &fault), 0);
    while (copies(NULL, sizeof name, name) == 0) /* the test's own time limit ends this where none comes */
        nanosleep(&(struct timespec){0, 20000000}, NULL);
    answer = caller_get(&caller, "/api/v1/backups");
    ck_assert_str_eq(text_of(json_array_get(json_object_get(answer, "items"), 0), "file"), name);
    ck_assert_ptr_nonnull(json_string_value(json_object_get(answer, "next_at")));
    json_decref(answer);
    backup_watch_stop(caller.service.garden->watch);
    caller.service.garden->watch = NULL;

    snprintf(gone, sizeof gone, "%s/there-is-no-such-folder", folder);
    caller.service.garden->backups.folder = gone;
    ck_assert_int_eq(backup_watch_start(caller.service.garden, &fault), 0);
    for (;;) {
        bool damaged;
        char why[200];

        backup_watch_tell(caller.service.garden->watch, &damaged, why, sizeof why);
        ck_assert(!damaged);
        if (why[0])
            break;
        nanosleep(&(struct timespec){0, 20000000}, NULL);
    }
}
END_TEST

/* ---- and back ---- */

/* As the README says it: the daemon is stopped, the copy is put in the garden file's place, the log files beside it go, it is started. */
START_TEST(a_copy_in_its_place_is_the_garden)
{
    struct fault fault = {0};
    char name[300], command[20000];
    json_t *answer;

    json_decref(caller_expect(&caller, 200, "PATCH", "/api/v1/garden", "{\"name\":\"As it was\"}"));
    caller.service.garden->backups = (struct backup_plan){.folder = folder, .every_h = 24, .keep = 3};
    make_at(at(2026, 5, 1, 3));
    json_decref(caller_expect(&caller, 200, "PATCH", "/api/v1/garden", "{\"name\":\"After an accident\"}"));
    copies(NULL, sizeof name, name);
    garden_close(caller.service.garden);
    snprintf(command, sizeof command, "rm -f '%s-wal' '%s-shm' && cp '%s/%s' '%s'", caller.path, caller.path, folder, name, caller.path);
    ck_assert_int_eq(system(command), 0);
    caller.service.garden = garden_open(caller.path, &fault);
    ck_assert_ptr_nonnull(caller.service.garden);
    answer = caller_get(&caller, "/api/v1/garden");
    ck_assert_str_eq(text_of(answer, "name"), "As it was");
    json_decref(answer);
}
END_TEST

/* ---- damage ---- */

static bool always(void *context)
{
    (void)context;
    return true;
}

START_TEST(damage_is_found)
{
    struct fault fault = {0};
    FILE *file;
    long length;

    ck_assert_int_eq(store_check(caller.service.garden->store, always, NULL, &fault), 1);
    garden_close(caller.service.garden);
    file = fopen(caller.path, "r+");
    ck_assert_ptr_nonnull(file);
    fseek(file, 0, SEEK_END);
    length = ftell(file);
    for (long at = 8192; at < length; at += 4096) { /* the first pages stay, so that it opens */
        fseek(file, at + 8, SEEK_SET);
        fwrite("broken broken broken", 1, 20, file);
    }
    fclose(file);
    caller.service.garden = garden_open(caller.path, &fault);
    if (caller.service.garden)
        ck_assert_int_eq(store_check(caller.service.garden->store, always, NULL, &fault), 0);
    else { /* it was found earlier yet */
        garden_file_remove(caller.path);
        caller.service.garden = garden_open(caller.path, NULL);
    }
}
END_TEST

/* ---- figures ---- */

START_TEST(figures_are_read_by_another_parser)
{
    struct caller *asks = &caller;
    char name[4300], command[20000];
    FILE *file;
    int status;

    json_decref(caller_get(asks, "/metrics"));
    ck_assert_uint_eq(asks->status, 200);
    ck_assert_ptr_nonnull(strstr(asks->type, "version=0.0.4"));
    snprintf(name, sizeof name, "%s/metrics.txt", folder);
    file = fopen(name, "w");
    fputs(asks->bytes, file);
    fclose(file);
    snprintf(command, sizeof command, "/usr/bin/python3 '%s' '%s'", source_path("tests/api/metrics_read.py"), name);
    status = system(command);
    ck_assert_msg(status == 0, "the parser says no: %d", status);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("api/backups");
    TCase *tests = tcase_create("backups");

    tcase_add_checked_fixture(tests, open_new, close_it);
    tcase_set_timeout(tests, 60);
    tcase_add_test(tests, due_at_night_by_the_gardens_clock);
    tcase_add_test(tests, newest_ones_stay_and_others_files_are_left_alone);
    tcase_add_test(tests, an_old_copy_is_told_of);
    tcase_add_test(tests, the_watch_makes_what_is_due);
    tcase_add_test(tests, a_copy_in_its_place_is_the_garden);
    tcase_add_test(tests, damage_is_found);
    tcase_add_test(tests, figures_are_read_by_another_parser);
    suite_add_tcase(suite, tests);
    return run_suite(suite);
}
