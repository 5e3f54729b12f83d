/* Random tables and exports for the imports, the same on every run: good ones with bytes flipped, cut and moved. Whatever comes, the
 * import ends, as done or refused, never as failed; what was refused left nothing; and a garden that was taken can be exported, shown
 * and brought in again. TIDEMARK_FUZZ_SEED and TIDEMARK_FUZZ_COUNT make another or a longer run.
 */
#include <check.h>
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "caller.h"
#include "runner.h"

static uint64_t state;

/* xorshift64* (Journal of Statistical Software 72, 2016). */
static uint64_t drawn(void)
{
    state ^= state >> 12;
    state ^= state << 25;
    state ^= state >> 27;
    return state * 0x2545f4914f6cdd1du;
}

static size_t below(size_t n)
{
    return n ? (size_t)(drawn() % n) : 0;
}

static uint64_t told_by(const char *name, uint64_t otherwise)
{
    const char *text = getenv(name);

    return text ? strtoull(text, NULL, 10) : otherwise;
}

/* text has room for 256 bytes more; returns the new length. */
static size_t spoil(char *text, size_t length)
{
    static const char *const pieces[] = {"{", "}", "[", "]", ",", ";", ":", "\"", "\\", "\\u0000", "1e999", "-", "null", "\xff", "\r\n", "\n", "\t", "=", "'",
                                         "0", "9999999999999999999", "2026-02-30", "\xef\xbb\xbf"};

    for (size_t times = 1 + below(3); times && length; times--) {
        size_t at = below(length), many = 1 + below(12);
        const char *piece = pieces[below(COUNT(pieces))];

        switch (below(8)) {
        case 0:
        case 1:
            text[at] = (char)(text[at] ^ (char)(1 << below(8)));
            break;
        case 2:
        case 3:
            if (many > length - at)
                many = length - at;
            memmove(text + at, text + at + many, length - at - many);
            length -= many;
            break;
        case 4:
            length = at;
            break;
        default:
            many = strlen(piece);
            memmove(text + at + many, text + at, length - at);
            memcpy(text + at, piece, many);
            length += many;
        }
    }
    return length;
}

static json_t *bring_in(struct caller *to, const char *path, const char *type, const char *text, size_t length)
{
    static const struct timespec moment = {.tv_nsec = 500000};
    json_t *job = caller_ask(to, &(struct asking){.method = "POST", .path = path, .body = text, .length = length, .content_type = type});
    char where[128];

    ck_assert_msg(to->status == 202, "%u %s", to->status, to->bytes);
    snprintf(where, sizeof where, "/api/v1/imports/%s", text_of(job, "id"));
    while (strcmp(text_of(job, "state"), "running") == 0) {
        json_decref(job);
        nanosleep(&moment, NULL);
        job = caller_get(to, where);
    }
    ck_assert_msg(strcmp(text_of(job, "state"), "done") == 0 || strcmp(text_of(job, "state"), "refused") == 0, "%s", to->bytes);
    ck_assert_msg((strcmp(text_of(job, "state"), "refused") == 0) == (number_of(job, "faults_count") > 0), "%s", to->bytes);
    return job;
}

/* A small garden with a little of many things, invented. */
static void fill(struct caller *caller)
{
    json_t *vessel = caller_expect(caller, 201, "POST", "/api/v1/vessels", "{\"name\":\"tub\",\"shape\":{\"shape\":\"round\",\"floor_mm\":300,\"rim_mm\":340,\"height_mm\":400},"
                                                                           "\"start_mm\":300,\"low_mm\":60}"), *tank;

    json_decref(caller_expect(caller, 201, "POST", "/api/v1/areas", "{\"name\":\"roof\"}"));
    tank = caller_expect(caller, 201, "POST", "/api/v1/tanks", "{\"name\":\"Roof\",\"vessel\":\"%s\"}", text_of(vessel, "id"));
    json_decref(caller_expect(caller, 201, "POST", "/api/v1/waters", "{\"name\":\"rain\",\"ec_ms_cm\":0.02}"));
    json_decref(caller_expect(caller, 201, "POST", "/api/v1/salts", "{\"name\":\"bag\",\"label\":{\"k2o\":20,\"n_no3\":10}}"));
    json_decref(caller_expect(caller, 200, "POST", "/api/v1/weather", "{\"days\":[{\"date\":\"2026-01-05\",\"tmin_c\":1,\"tmax_c\":9}]}"));
    json_decref(caller_expect(caller, 201, "POST", "/api/v1/sensors", "{\"name\":\"float\",\"tanks\":[\"%s\"]}", text_of(tank, "id")));
    for (int i = 0; i < 6; i++)
        json_decref(caller_expect(caller, 201, "POST", "/api/v1/entries",
                                  "{\"id\":\"0190bbbb-0000-7000-8000-00000000000%d\",\"tank\":\"%s\",\"kind\":\"%s\",\"at\":\"2026-01-0%dT07:30:00Z\",\"waterline_mm\":%d%s}", i,
                                  text_of(tank, "id"), i ? "reading" : "fill", i + 1, 300 - i, i == 4 ? ",\"amends\":\"0190bbbb-0000-7000-8000-000000000003\"" : ""));
    json_decref(bring_in(caller, "/api/v1/imports/readings?at_column=1&tank=Roof&ph_column=2&as=sensor&sensor=float", "text/csv",
                         "at,ph\n2026-01-03,6\n2026-01-04,6.1\n", 35));
    json_decref(tank);
    json_decref(vessel);
}

static char *with_room(const char *text)
{
    char *copy = malloc(strlen(text) + 256);

    ck_assert_ptr_nonnull(copy);
    return strcpy(copy, text);
}

/* What was taken is a garden like any other. */
static void must_live(struct caller *caller)
{
    struct caller again;
    char *text;
    json_t *job;

    json_decref(caller_get(caller, "/api/v1/today"));
    json_decref(caller_get(caller, "/api/v1/tanks"));
    json_decref(caller_get(caller, "/api/v1/export"));
    text = with_room(caller->bytes);
    caller_open(&again, "fuzz-again");
    job = bring_in(&again, "/api/v1/imports/garden", "application/json", text, strlen(text));
    ck_assert_msg(strcmp(text_of(job, "state"), "done") == 0, "%s", again.bytes);
    json_decref(job);
    json_decref(caller_get(&again, "/api/v1/export"));
    ck_assert_str_eq(again.bytes, text);
    caller_close(&again);
    free(text);
}

START_TEST(exports)
{
    uint64_t count = told_by("TIDEMARK_FUZZ_COUNT", 250), done = 0;
    struct caller source, empty;
    char *good;

    state = told_by("TIDEMARK_FUZZ_SEED", 20261125);
    caller_open(&source, "fuzz-source");
    fill(&source);
    json_decref(caller_get(&source, "/api/v1/export"));
    good = with_room(source.bytes);
    caller_open(&empty, "fuzz-empty");
    for (uint64_t i = 0; i < count; i++) {
        char *text = with_room(good);
        size_t length = spoil(text, strlen(good));
        json_t *job = bring_in(&empty, "/api/v1/imports/garden", "application/json", text, length);

        if (strcmp(text_of(job, "state"), "done") == 0) {
            done++;
            must_live(&empty);
            caller_close(&empty);
            caller_open(&empty, "fuzz-empty");
        }
        json_decref(job);
        free(text);
    }
    printf("%" PRIu64 " exports with random changes: %" PRIu64 " taken, the others refused\n", count, done);
    ck_assert_uint_lt(done, count);
    caller_close(&empty);
    caller_close(&source);
    free(good);
}
END_TEST

START_TEST(tables)
{
    static const char good[] = "Datum;Zeit;Tank;Pegel;EC;pH;Notiz\r\n03.04.2025;07:30;Roof;210,5;1,25;6,0;\"a \"\"b\"\"\r\nc\"\r\n04.04.2025;19:30;roof;209;;;'=x\r\n"
                               "05.04.2025;;ROOF;;1,3;5,9;\xc3\xbc\r\n";
    static const char *const queries[] = {"separator=semicolon&decimal=comma&date=dmy&at_column=1&time_column=2&tank_column=3&waterline_column=4&ec_column=5&ph_column=6&note_column=7",
                                          "separator=comma&at_column=1&tank=Roof&ph_column=2", "separator=semicolon&date=mdy&at_column=1&tank_column=3&air_gap_column=4&length_unit=in&heading_rows=0"};
    uint64_t count = told_by("TIDEMARK_FUZZ_COUNT", 250) * 4, done = 0;
    struct caller caller;

    state = told_by("TIDEMARK_FUZZ_SEED", 20261125);
    caller_open(&caller, "fuzz-tables");
    fill(&caller);
    for (uint64_t i = 0; i < count; i++) {
        char *text = with_room(good), path[300];
        size_t length = spoil(text, strlen(good));
        json_t *job;

        snprintf(path, sizeof path, "/api/v1/imports/readings?%s%s", queries[i % 4 ? 0 : below(COUNT(queries))], below(2) ? "&check=true" : below(2) ? "&as=sensor&sensor=float" : "");
        job = bring_in(&caller, path, "text/csv", text, length);
        done += strcmp(text_of(job, "state"), "done") == 0;
        json_decref(job);
        json_decref(caller_ask(&caller, &(struct asking){.method = "POST", .path = "/api/v1/imports/readings/look", .body = text, .length = length, .content_type = "text/csv"}));
        ck_assert_msg(caller.status == 200 || caller.status == 422, "%u %s", caller.status, caller.bytes);
        free(text);
    }
    printf("%" PRIu64 " tables with random changes: %" PRIu64 " taken, the others refused\n", count, done);
    ck_assert_uint_gt(done, 0);
    ck_assert_uint_lt(done, count);
    json_decref(caller_get(&caller, "/api/v1/today"));
    json_decref(caller_get(&caller, "/api/v1/export"));
    caller_close(&caller);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("import_fuzz");
    TCase *tcase = tcase_create("import_fuzz");

    tcase_set_timeout(tcase, 0);
    tcase_add_test(tcase, exports);
    tcase_add_test(tcase, tables);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
