/* People: an invite works once, a token is nobody's once taken away, a keeper always stays, the file holds no token. */
#include "garden/people.h"

#include <pthread.h>
#include <sodium.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "garden/clock.h"
#include "garden/garden.h"
#include "garden_file.h"
#include "runner.h"
#include "store/tanks.h"
#include "store/vessels.h"

static char path[4096];
static struct garden garden;
static struct arena arena;
static struct fault fault;

static void start(void)
{
    ck_assert_int_ge(sodium_init(), 0);
    snprintf(path, sizeof path, "%s", garden_file_new("people"));
    garden = (struct garden){.store = garden_file_open(path), .people = people_new()};
    arena = (struct arena){0};
    fault = (struct fault){0};
}

static void stop(void)
{
    store_close(garden.store);
    people_free(garden.people);
    arena_end(&arena);
    garden_file_remove(path);
}

#define DONE(call) ck_assert_msg((call) == 0, "%s: %s", fault.item[0].at, fault.item[0].detail)

static void refused(int result, enum fault_code code, const char *at)
{
    ck_assert_int_eq(result, -1);
    ck_assert_int_eq(fault.code, code);
    ck_assert_str_eq(fault.item[0].at, at);
    fault = (struct fault){0};
}

static struct paired pair_with(const char *token)
{
    struct paired paired;

    DONE(people_pair(&garden, &(struct pairing){.token = token, .device_name = "phone"}, &paired, &arena, &fault));
    return paired;
}

static struct paired pair_keeper(const char *name)
{
    struct invite_made made;

    DONE(people_host_invite(&garden, name, &made, &arena, &fault));
    return pair_with(made.token);
}

static struct paired pair_as(const struct who *keeper, const char *name, int role)
{
    struct invite_made made;

    DONE(people_invite(&garden, keeper, &(struct invite_asked){.name = name, .role = role}, &made, &arena, &fault));
    return pair_with(made.token);
}

static enum role role_of(const char *token)
{
    struct who who;

    DONE(people_by_token(&garden, token, &who, &arena, &fault));
    return who.role;
}

/* Another program at the file, as only a test may be. */
static void alter(const char *sql)
{
    sqlite3 *sqlite;

    ck_assert_int_eq(sqlite3_open(path, &sqlite), SQLITE_OK);
    ck_assert_msg(sqlite3_exec(sqlite, sql, NULL, NULL, NULL) == SQLITE_OK, "%s", sqlite3_errmsg(sqlite));
    sqlite3_close(sqlite);
}

START_TEST(first_link_makes_a_keeper_once)
{
    struct invite_made made;
    struct paired paired, late;
    bool any;

    DONE(people_keeper_paired(&garden, &any, &fault));
    ck_assert(!any);
    DONE(people_host_invite(&garden, NULL, &made, &arena, &fault));
    DONE(people_pair(&garden, &(struct pairing){.token = made.token, .device_name = "phone", .name = "Ana"}, &paired, &arena, &fault));
    ck_assert_int_eq(paired.who.role, ROLE_KEEPER);
    ck_assert_str_eq(paired.who.name, "Ana");
    ck_assert_int_eq(role_of(paired.token), ROLE_KEEPER);
    ck_assert_int_eq(role_of(made.token), ROLE_NONE); /* the invite is no token of a device */
    DONE(people_keeper_paired(&garden, &any, &fault));
    ck_assert(any);
    refused(people_pair(&garden, &(struct pairing){.token = made.token, .device_name = "other"}, &late, &arena, &fault), FAULT_ABSENT,
            "/token");
}
END_TEST

/* ---- fifty at once ---- */

#define RACERS 50

static struct racer {
    const char *token;
    int result;
    struct paired paired;
    struct arena arena;
} racer[RACERS];

static pthread_barrier_t barrier;

static void *race(void *context)
{
    struct racer *one = context;
    struct fault why = {0};

    pthread_barrier_wait(&barrier);
    one->result = people_pair(&garden, &(struct pairing){.token = one->token, .device_name = "racer"}, &one->paired, &one->arena, &why);
    if (one->result)
        ck_assert_int_eq(why.code, FAULT_ABSENT);
    return NULL;
}

START_TEST(of_fifty_openings_one_wins)
{
    struct invite_made made;
    pthread_t thread[RACERS];
    struct list devices;
    struct db *db;
    int won = 0;

    DONE(people_host_invite(&garden, "Ana", &made, &arena, &fault));
    pthread_barrier_init(&barrier, NULL, RACERS);
    for (int i = 0; i < RACERS; i++) {
        racer[i] = (struct racer){.token = made.token};
        ck_assert_int_eq(pthread_create(&thread[i], NULL, race, &racer[i]), 0);
    }
    for (int i = 0; i < RACERS; i++) {
        pthread_join(thread[i], NULL);
        won += racer[i].result == 0;
        ck_assert_int_eq(racer[i].result == 0 ? role_of(racer[i].paired.token) : ROLE_NONE,
                         racer[i].result == 0 ? ROLE_KEEPER : ROLE_NONE);
        arena_end(&racer[i].arena);
    }
    pthread_barrier_destroy(&barrier);
    ck_assert_int_eq(won, 1);
    db = store_read(garden.store, &fault);
    DONE(devices_list(db, STORE_NO_INT, 0, 100, &devices, &arena, &fault));
    store_done(garden.store, db);
    ck_assert_uint_eq(devices.count, 1);
}
END_TEST

START_TEST(old_and_revoked_invites_are_nothing)
{
    struct invite_made made;
    struct paired paired;

    DONE(people_host_invite(&garden, NULL, &made, &arena, &fault));
    alter("UPDATE invite SET expires_ms = 1000");
    refused(people_pair(&garden, &(struct pairing){.token = made.token, .device_name = "x"}, &paired, &arena, &fault), FAULT_ABSENT, "/token");

    DONE(people_host_invite(&garden, NULL, &made, &arena, &fault));
    DONE(people_revoke_invite(&garden, made.id, &fault));
    refused(people_pair(&garden, &(struct pairing){.token = made.token, .device_name = "x"}, &paired, &arena, &fault), FAULT_ABSENT, "/token");
    refused(people_revoke_invite(&garden, "nothing", &fault), FAULT_ABSENT, "");
}
END_TEST

START_TEST(host_revokes_what_it_made_before)
{
    struct invite_made first, second;
    struct paired paired;

    DONE(people_host_invite(&garden, NULL, &first, &arena, &fault));
    DONE(people_host_invite(&garden, NULL, &second, &arena, &fault));
    refused(people_pair(&garden, &(struct pairing){.token = first.token, .device_name = "x"}, &paired, &arena, &fault), FAULT_ABSENT, "/token");
    ck_assert_int_eq(pair_with(second.token).who.role, ROLE_KEEPER);
}
END_TEST

START_TEST(host_brings_a_keeper_back)
{
    struct paired ana = pair_keeper("Ana"), again = pair_keeper("Ana"), ben = pair_as(&ana.who, "Ben", ROLE_GROWER), other;

    ck_assert_str_eq(again.who.member_id, ana.who.member_id);
    ck_assert_str_ne(again.who.device_id, ana.who.device_id);
    other = pair_keeper("Ben"); /* a grower of that name does not become a keeper by it */
    ck_assert_str_ne(other.who.member_id, ben.who.member_id);
}
END_TEST

START_TEST(invites_have_a_role_and_a_member)
{
    struct paired ana = pair_keeper("Ana"), ben = pair_as(&ana.who, "Ben", ROLE_GROWER), second, guest;
    struct invite_made made;

    ck_assert_int_eq(role_of(ben.token), ROLE_GROWER);
    DONE(people_invite(&garden, &ana.who, &(struct invite_asked){.member = ben.who.member_id}, &made, &arena, &fault));
    second = pair_with(made.token);
    ck_assert_str_eq(second.who.member_id, ben.who.member_id);
    ck_assert_int_eq(second.who.role, ROLE_GROWER);
    guest = pair_as(&ana.who, NULL, ROLE_VISITOR);
    ck_assert_str_eq(guest.who.name, "Member");

    refused(people_invite(&garden, &ana.who, &(struct invite_asked){.member = ben.who.member_id, .role = ROLE_KEEPER}, &made, &arena, &fault),
            FAULT_INPUT, "/role");
    refused(people_invite(&garden, &ana.who, &(struct invite_asked){.member = "nobody"}, &made, &arena, &fault), FAULT_INPUT, "/member");
    refused(people_invite(&garden, &ana.who, &(struct invite_asked){.name = "Cy", .role = ROLE_SENSOR}, &made, &arena, &fault),
            FAULT_INPUT, "/role");
    refused(people_invite(&garden, &ana.who, &(struct invite_asked){.name = "C\033[2Jy", .role = ROLE_GROWER}, &made, &arena, &fault),
            FAULT_INPUT, "/name");
}
END_TEST

START_TEST(revoked_with_the_next_request)
{
    struct paired ana = pair_keeper("Ana"), ben = pair_as(&ana.who, "Ben", ROLE_GROWER), cy = pair_as(&ana.who, "Cy", ROLE_GROWER);

    struct who who;

    ck_assert_int_eq(role_of(ben.token), ROLE_GROWER); /* remembered now */
    DONE(people_by_token(&garden, ben.token, &who, &arena, &fault));
    ck_assert_str_eq(who.name, "Ben");
    ck_assert_str_eq(who.member_id, ben.who.member_id);
    ck_assert_str_eq(who.device_id, ben.who.device_id);
    refused(people_revoke_device(&garden, &cy.who, ben.who.device_id, &fault), FAULT_DENIED, "");
    ck_assert_int_eq(role_of(ben.token), ROLE_GROWER);
    DONE(people_revoke_device(&garden, &ana.who, ben.who.device_id, &fault));
    ck_assert_int_eq(role_of(ben.token), ROLE_NONE);
    DONE(people_revoke_device(&garden, &cy.who, cy.who.device_id, &fault)); /* one's own */
    ck_assert_int_eq(role_of(cy.token), ROLE_NONE);
    refused(people_revoke_device(&garden, &ana.who, "nothing", &fault), FAULT_ABSENT, "");
}
END_TEST

START_TEST(removed_and_changed_members)
{
    struct paired ana = pair_keeper("Ana"), ben = pair_as(&ana.who, "Ben", ROLE_GROWER), back;
    struct member_row row;
    struct invite_made made;

    ck_assert_int_eq(role_of(ben.token), ROLE_GROWER);
    DONE(people_member_change(&garden, ben.who.member_id, &(struct member_change){.role = ROLE_VISITOR, .removed = -1}, &row, &arena, &fault));
    ck_assert_int_eq(role_of(ben.token), ROLE_VISITOR);

    DONE(people_invite(&garden, &ana.who, &(struct invite_asked){.member = ben.who.member_id}, &made, &arena, &fault));
    DONE(people_member_change(&garden, ben.who.member_id, &(struct member_change){.removed = 1}, &row, &arena, &fault));
    ck_assert_int_eq(role_of(ben.token), ROLE_NONE);
    refused(people_pair(&garden, &(struct pairing){.token = made.token, .device_name = "x"}, &back, &arena, &fault), FAULT_ABSENT, "/token");

    /* Taken back in, they pair anew: the old phone may be anyone's by now. */
    DONE(people_member_change(&garden, ben.who.member_id, &(struct member_change){.removed = 0}, &row, &arena, &fault));
    ck_assert_int_eq(role_of(ben.token), ROLE_NONE);
    refused(people_member_change(&garden, "nobody", &(struct member_change){.removed = 1}, &row, &arena, &fault), FAULT_ABSENT, "");
}
END_TEST

START_TEST(last_keeper_stays)
{
    struct paired ana = pair_keeper("Ana"), eve;
    struct member_row row;

    pair_as(&ana.who, "Ben", ROLE_GROWER);
    refused(people_member_change(&garden, ana.who.member_id, &(struct member_change){.removed = 1}, &row, &arena, &fault), FAULT_CONFLICT, "/removed");
    refused(people_member_change(&garden, ana.who.member_id, &(struct member_change){.role = ROLE_GROWER, .removed = -1}, &row, &arena, &fault),
            FAULT_CONFLICT, "/role");
    ck_assert_int_eq(role_of(ana.token), ROLE_KEEPER); /* nothing of it was kept */
    eve = pair_as(&ana.who, "Eve", ROLE_KEEPER);
    DONE(people_member_change(&garden, ana.who.member_id, &(struct member_change){.removed = 1}, &row, &arena, &fault));
    ck_assert_int_eq(role_of(ana.token), ROLE_NONE);
    ck_assert_int_eq(role_of(eve.token), ROLE_KEEPER);
}
END_TEST

static const char *const junk[] = {
    "", "x", "AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA", "AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA",
    "AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA==", "!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!",
    "' OR 1=1 --AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA",
};

START_TEST(junk_is_nobody)
{
    struct paired paired;
    struct who who;

    pair_keeper("Ana");
    ck_assert_int_eq(role_of(junk[_i]), ROLE_NONE);
    DONE(people_by_key(&garden, junk[_i], &who, &arena, &fault));
    ck_assert_int_eq(who.role, ROLE_NONE);
    refused(people_pair(&garden, &(struct pairing){.token = junk[_i], .device_name = "x"}, &paired, &arena, &fault), FAULT_ABSENT, "/token");
}
END_TEST

START_TEST(use_is_noted)
{
    struct paired ana = pair_keeper("Ana");
    struct device_row device;
    struct db *db;

    alter("UPDATE device SET last_used_ms = last_used_ms - 3600000, paired_ms = 1000");
    ck_assert_int_eq(role_of(ana.token), ROLE_KEEPER);
    db = store_read(garden.store, &fault);
    ck_assert_int_eq(devices_one(db, ana.who.device_id, &device, &arena, &fault), 1);
    store_done(garden.store, db);
    ck_assert_int_gt(device.last_used_ms, clock_now_ms() - 600000);
}
END_TEST

START_TEST(a_device_long_unused_is_shut_out)
{
    struct paired ana = pair_keeper("Ana"), eve = pair_keeper("Eve");

    alter("UPDATE device SET last_used_ms = last_used_ms - 399 * 86400000 WHERE key = 1");
    alter("UPDATE device SET last_used_ms = last_used_ms - 401 * 86400000 WHERE key = 2");
    ck_assert_int_eq(role_of(ana.token), ROLE_KEEPER);
    ck_assert_int_eq(role_of(eve.token), ROLE_NONE);
}
END_TEST

/* ---- sensors ---- */

static int add_tanks(struct db *db, void *context, struct fault *why)
{
    struct vessel_row vessel = {.id = "0190a000-0000-7000-8000-000000000001", .name = "tub", .shape = VESSEL_ROUND, .floor_l_mm = 300,
                                .rim_l_mm = 340, .height_mm = 400, .pattern = -1, .start_mm = 300, .low_mm = 60};
    struct tank_row one = {.id = "0190a000-0000-7000-8000-000000000002", .code = "AAAAAA", .name = "one", .area_key = STORE_NO_INT};
    struct tank_row two = {.id = "0190a000-0000-7000-8000-000000000003", .code = "BBBBBB", .name = "two", .area_key = STORE_NO_INT};
    int64_t *key = context;

    if (vessels_add(db, &vessel, why))
        return -1;
    one.vessel_key = two.vessel_key = vessel.key;
    if (tanks_add(db, &one, why) || tanks_add(db, &two, why))
        return -1;
    key[0] = one.key;
    key[1] = two.key;
    return 0;
}

START_TEST(sensor_is_for_its_tanks)
{
    const char *names[] = {"aaaaaa"}, *wrong[] = {"aaaaaa", "cccccc"};
    char key[TOKEN_TEXT];
    struct sensor_row sensor;
    struct who who;
    int64_t tank[2];

    DONE(store_write(garden.store, add_tanks, tank, &fault));
    refused(people_sensor_add(&garden, "probe", &(struct list){wrong, 2}, &sensor, key, &arena, &fault), FAULT_INPUT, "/tanks/1");
    refused(people_sensor_add(&garden, "probe", &(struct list){NULL, 0}, &sensor, key, &arena, &fault), FAULT_INPUT, "/tanks");
    DONE(people_sensor_add(&garden, "probe", &(struct list){names, 1}, &sensor, key, &arena, &fault));
    DONE(people_by_key(&garden, key, &who, &arena, &fault));
    ck_assert_int_eq(who.role, ROLE_SENSOR);
    ck_assert_int_eq(people_sensor_may(&garden, &who, tank[0], &fault), 1);
    ck_assert_int_eq(people_sensor_may(&garden, &who, tank[1], &fault), 0);
    ck_assert_int_eq(role_of(key), ROLE_NONE); /* no token of a device */
    DONE(people_revoke_sensor(&garden, sensor.id, &fault));
    DONE(people_by_key(&garden, key, &who, &arena, &fault));
    ck_assert_int_eq(who.role, ROLE_NONE);
}
END_TEST

/* ---- the file ---- */

static bool file_holds(const char *name, const void *wanted, size_t length)
{
    FILE *stream = fopen(name, "rb");
    static char content[8 << 20];
    size_t size = stream ? fread(content, 1, sizeof content, stream) : 0;

    if (stream)
        fclose(stream);
    for (size_t i = 0; i + length <= size; i++)
        if (memcmp(content + i, wanted, length) == 0)
            return true;
    return false;
}

START_TEST(file_holds_no_token)
{
    struct invite_made made;
    struct paired ana;
    unsigned char bytes[32];
    char wal[4200];
    size_t length;

    DONE(people_host_invite(&garden, "Ana Noted", &made, &arena, &fault));
    ana = pair_with(made.token);
    snprintf(wal, sizeof wal, "%s-wal", path);
    ck_assert(file_holds(path, "Ana Noted", 9) || file_holds(wal, "Ana Noted", 9)); /* the search finds what is there */
    for (int i = 0; i < 2; i++) {
        const char *token = i ? ana.token : made.token;

        ck_assert_int_eq(sodium_base642bin(bytes, sizeof bytes, token, 43, NULL, &length, NULL, sodium_base64_VARIANT_URLSAFE_NO_PADDING), 0);
        ck_assert(!file_holds(path, token, 43) && !file_holds(wal, token, 43));
        ck_assert(!file_holds(path, bytes, 32) && !file_holds(wal, bytes, 32));
    }
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("people");
    TCase *tcase = tcase_create("people");

    tcase_add_checked_fixture(tcase, start, stop);
    tcase_add_test(tcase, first_link_makes_a_keeper_once);
    tcase_add_test(tcase, of_fifty_openings_one_wins);
    tcase_add_test(tcase, old_and_revoked_invites_are_nothing);
    tcase_add_test(tcase, host_revokes_what_it_made_before);
    tcase_add_test(tcase, host_brings_a_keeper_back);
    tcase_add_test(tcase, invites_have_a_role_and_a_member);
    tcase_add_test(tcase, revoked_with_the_next_request);
    tcase_add_test(tcase, removed_and_changed_members);
    tcase_add_test(tcase, last_keeper_stays);
    tcase_add_loop_test(tcase, junk_is_nobody, 0, COUNT(junk));
    tcase_add_test(tcase, use_is_noted);
    tcase_add_test(tcase, a_device_long_unused_is_shut_out);
    tcase_add_test(tcase, sensor_is_for_its_tanks);
    tcase_add_test(tcase, file_holds_no_token);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
