/* A copy of the garden file: whole, sound, made while others write, and never half there. */
#include "store/backup.h"

#include <dirent.h>
#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "garden_file.h"
#include "runner.h"
#include "store/members.h"

static char path[4096], copy[4200];
static struct store *store;
static struct arena arena;

static void open_new(void)
{
    snprintf(path, sizeof path, "%s", garden_file_new("backup"));
    snprintf(copy, sizeof copy, "%s.copy", path);
    garden_file_remove(copy);
    store = garden_file_open(path);
}

static void close_it(void)
{
    arena_end(&arena);
    store_close(store);
    garden_file_remove(path);
    garden_file_remove(copy);
}

static int add_member(struct db *db, void *context, struct fault *fault)
{
    char id[16];
    struct member_row row = {.id = id, .name = "somebody", .role = 3, .joined_ms = 1, .removed_ms = STORE_NO_INT};

    snprintf(id, sizeof id, "m%d", *(int *)context);
    return members_add(db, &row, fault);
}

static void add_members(int first, int count)
{
    struct fault fault = {0};

    for (int i = first; i < first + count; i++)
        ck_assert_int_eq(store_write(store, add_member, &i, &fault), 0);
}

static void *keep_adding(void *context)
{
    (void)context;
    add_members(1000, 400);
    return NULL;
}

/* Members in a file, asked by a store of its own. */
static int64_t members_in(const char *file)
{
    struct fault fault = {0};
    struct store *other = garden_file_open(file);
    struct db *db = store_read(other, &fault);
    struct list members;

    ck_assert_int_eq(members_list(db, 0, 100000, &members, &arena, &fault), 0);
    store_done(other, db);
    store_close(other);
    return (int64_t)members.count;
}

START_TEST(copy_is_a_garden_file_of_its_own)
{
    struct fault fault = {0};
    struct backup_made made;
    struct stat status;

    add_members(0, 50);
    ck_assert_msg(store_backup(store, copy, &made, &arena, &fault) == 0, "%s", fault.item[0].detail);
    ck_assert_int_eq(made.members, 50);
    ck_assert_int_eq(stat(copy, &status), 0);
    ck_assert_int_eq(status.st_size, made.bytes);
    ck_assert_uint_eq(status.st_mode & 0777, 0600);
    add_members(50, 10); /* the copy must not follow */
    ck_assert_int_eq(members_in(copy), 50);
}
END_TEST

START_TEST(copy_is_one_moment_while_others_write)
{
    struct fault fault = {0};
    struct backup_made made;
    pthread_t writer;

    add_members(0, 50);
    pthread_create(&writer, NULL, keep_adding, NULL);
    for (int i = 0; i < 10; i++) {
        ck_assert_msg(store_backup(store, copy, &made, &arena, &fault) == 0, "%s", fault.item[0].detail);
        ck_assert_int_eq(members_in(copy), made.members);
        garden_file_remove(copy);
    }
    pthread_join(writer, NULL);
    ck_assert_int_eq(store_backup(store, copy, &made, &arena, &fault), 0);
    ck_assert_int_eq(members_in(copy), 450);
}
END_TEST

/* Files in the build folder that begin like the copy. */
static int leftovers(void)
{
    const char *name = strrchr(copy, '/') + 1;
    char folder[4200];
    struct dirent *entry;
    int count = 0;
    DIR *dir;

    snprintf(folder, sizeof folder, "%.*s", (int)(name - copy), copy);
    dir = opendir(folder);
    ck_assert_ptr_nonnull(dir);
    while ((entry = readdir(dir)))
        count += strncmp(entry->d_name, name, strlen(name)) == 0;
    closedir(dir);
    return count;
}

START_TEST(copy_replaces_nothing)
{
    struct fault fault = {0};
    struct backup_made made;
    FILE *other = fopen(copy, "w");

    ck_assert_ptr_nonnull(other);
    fputs("mine", other);
    fclose(other);
    ck_assert_int_eq(store_backup(store, copy, &made, &arena, &fault), -1);
    ck_assert_int_eq(fault.code, FAULT_CONFLICT);
    ck_assert_int_eq(leftovers(), 1);
}
END_TEST

START_TEST(copy_that_cannot_be_leaves_nothing)
{
    struct fault fault = {0};
    struct backup_made made;

    snprintf(copy + strlen(copy), sizeof copy - strlen(copy), "-no-such-folder/copy");
    ck_assert_int_eq(store_backup(store, copy, &made, &arena, &fault), -1);
    ck_assert_int_eq(fault.code, FAULT_STORE);
}
END_TEST

START_TEST(cut_off_copy_does_not_stand_in_the_way)
{
    struct fault fault = {0};
    struct backup_made made;
    char part[4300];
    FILE *half;

    snprintf(part, sizeof part, "%s.part", copy);
    half = fopen(part, "w");
    ck_assert_ptr_nonnull(half);
    fputs("half", half);
    fclose(half);
    ck_assert_int_eq(store_backup(store, copy, &made, &arena, &fault), 0);
    ck_assert_int_eq(leftovers(), 1); /* the copy alone, no part, no log beside it */
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("backup");
    TCase *tcase = tcase_create("backup");

    tcase_add_checked_fixture(tcase, open_new, close_it);
    tcase_set_timeout(tcase, 60);
    tcase_add_test(tcase, copy_is_a_garden_file_of_its_own);
    tcase_add_test(tcase, copy_is_one_moment_while_others_write);
    tcase_add_test(tcase, copy_replaces_nothing);
    tcase_add_test(tcase, copy_that_cannot_be_leaves_nothing);
    tcase_add_test(tcase, cut_off_copy_does_not_stand_in_the_way);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
