/* Photos of entries: kept once, without what they tell beyond the picture, shown where their entry is. The garden is invented. */
#define _GNU_SOURCE /* memmem */
#include <sodium.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "caller.h"
#include "garden/garden.h"
#include "runner.h"
#include "store/members.h"

static struct caller caller;
static struct who tavi, odo; /* two growers */
static const struct who visitor = {.role = ROLE_VISITOR}, keeper = {.role = ROLE_KEEPER};

#define TANK "00000000-0000-7000-8000-000000000001"
#define VESSEL "00000000-0000-7000-8000-000000000002"
#define ID(n) "00000000-0000-7000-8000-0000000001" #n
#define PHOTO(n) "00000000-0000-7000-8000-0000000002" #n

static int add_members(struct db *db, void *context, struct fault *fault)
{
    struct member_row row[] = {{.id = ID(90), .name = "Tavi", .role = ROLE_GROWER, .joined_ms = 1, .removed_ms = STORE_NO_INT},
                               {.id = ID(91), .name = "Odo", .role = ROLE_GROWER, .joined_ms = 1, .removed_ms = STORE_NO_INT}};

    (void)context;
    if (members_add(db, &row[0], fault) || members_add(db, &row[1], fault))
        return -1;
    tavi = (struct who){.role = ROLE_GROWER, .member = row[0].key};
    odo = (struct who){.role = ROLE_GROWER, .member = row[1].key};
    return 0;
}

static json_t *post_as(const struct who *who, unsigned status, const char *path, const char *body)
{
    json_t *answer = caller_ask(&caller, &(struct asking){.method = "POST", .path = path, .body = body, .length = strlen(body), .who = who});

    ck_assert_msg(caller.status == status, "%.200s: %u, not %u: %s", body, caller.status, status, caller.bytes);
    return answer;
}

static void log_as(const struct who *who, const char *body)
{
    json_decref(post_as(who, 201, "/api/v1/entries", body));
}

#define ENTRY(n, more) "{\"id\":\"" ID(n) "\",\"tank\":\"" TANK "\",\"at\":\"2026-05-02T07:00:00Z\"," more "}"

static void open_garden(void)
{
    struct fault fault = {0};

    caller_open(&caller, "photos");
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/vessels",
                              "{\"id\":\"%s\",\"name\":\"tub\",\"shape\":{\"shape\":\"round\",\"floor_mm\":260,\"rim_mm\":300,\"height_mm\":360},"
                              "\"start_mm\":322,\"low_mm\":40}", VESSEL));
    json_decref(caller_expect(&caller, 201, "POST", "/api/v1/tanks", "{\"id\":\"%s\",\"name\":\"one\",\"vessel\":\"%s\"}", TANK, VESSEL));
    ck_assert_int_eq(store_write(caller.service.garden->store, add_members, NULL, &fault), 0);
    log_as(&tavi, ENTRY(10, "\"kind\":\"reading\",\"ph\":6"));
}

static void close_garden(void)
{
    caller_close(&caller);
}

/* ---- pictures ---- */

struct picture {
    unsigned char *bytes;
    size_t length;
};

static struct picture read_picture(const char *name)
{
    char path[80];
    FILE *file;
    struct picture picture = {.bytes = malloc(600000)};

    snprintf(path, sizeof path, "fixtures/photos/%s.jpg", name);
    file = fopen(source_path(path), "rb");
    ck_assert(file && picture.bytes);
    picture.length = fread(picture.bytes, 1, 600000, file);
    fclose(file);
    return picture;
}

static void put_in(struct picture *picture, const char *more, size_t length)
{
    memmove(picture->bytes + 2 + length, picture->bytes + 2, picture->length - 2);
    memcpy(picture->bytes + 2, more, length);
    picture->length += length;
}

static char *base64_of(const struct picture *picture)
{
    size_t size = sodium_base64_encoded_len(picture->length, sodium_base64_VARIANT_ORIGINAL);
    char *text = malloc(size);

    ck_assert_ptr_nonnull(text);
    return sodium_bin2base64(text, size, picture->bytes, picture->length, sodium_base64_VARIANT_ORIGINAL);
}

/* malloc'ed. */
static char *body_text(const char *id, const char *entry, const char *base64)
{
    size_t size = strlen(base64) + 200;
    char *body = malloc(size);

    ck_assert_ptr_nonnull(body);
    snprintf(body, size, "{\"id\":\"%s\",\"entry\":\"%s\",\"jpeg\":\"%s\"}", id, entry, base64);
    return body;
}

/* The picture of this name, with an Exif segment put in where told, sent as this photo of this entry. */
static json_t *send_photo(const struct who *who, unsigned status, const char *id, const char *entry, const char *name, bool exif)
{
    struct picture picture = read_picture(name);
    char *base64, *body;
    json_t *answer;

    if (exif)
        put_in(&picture, "\xff\xe1\x00\x10" "Exif\0\0GPSGPSGP", 18);
    base64 = base64_of(&picture);
    body = body_text(id, entry, base64);
    answer = post_as(who, status, "/api/v1/photos", body);
    free(body);
    free(base64);
    free(picture.bytes);
    return answer;
}

static void add_photo(const struct who *who, unsigned status, const char *id, const char *entry)
{
    json_decref(send_photo(who, status, id, entry, "baseline", false));
}

static size_t listed(const char *query)
{
    char path[120];
    json_t *page;
    size_t count;

    snprintf(path, sizeof path, "/api/v1/photos%s", query);
    page = caller_get(&caller, path);
    count = json_array_size(json_object_get(page, "items"));
    json_decref(page);
    return count;
}

static unsigned status_of(const struct who *who, const char *path)
{
    json_decref(caller_ask(&caller, &(struct asking){.method = "GET", .path = path, .who = who}));
    return caller.status;
}

/* The picture as the file has it, by the export. */
static char *kept_base64(const char *id)
{
    json_t *all = caller_get(&caller, "/api/v1/export"), *photo;
    char *text = NULL;
    size_t i;

    json_array_foreach(json_object_get(all, "photos"), i, photo)
        if (strcmp(text_of(photo, "id"), id) == 0)
            text = strdup(text_of(photo, "jpeg"));
    ck_assert_ptr_nonnull(text);
    json_decref(all);
    return text;
}

/* ---- the tests ---- */

START_TEST(position_is_taken_out_before_it_is_kept)
{
    struct picture clean = read_picture("baseline");
    char *wanted = base64_of(&clean), *kept;
    json_t *photo = send_photo(&tavi, 201, PHOTO(10), ID(10), "baseline", true);

    ck_assert_double_eq(number_of(photo, "bytes"), (double)clean.length);
    ck_assert_double_eq(number_of(photo, "width_px"), 96);
    ck_assert_double_eq(number_of(photo, "height_px"), 64);
    ck_assert_str_eq(text_of(photo, "member_name"), "Tavi");
    ck_assert_str_eq(text_of(photo, "kind"), "reading");
    ck_assert_str_eq(text_of(photo, "shown_with"), ID(10));
    kept = kept_base64(PHOTO(10));
    ck_assert_str_eq(kept, wanted);
    free(kept);
    free(wanted);
    free(clean.bytes);
    json_decref(photo);
}
END_TEST

START_TEST(sent_twice_is_kept_once)
{
    json_t *first = send_photo(&tavi, 201, PHOTO(10), ID(10), "baseline", false);
    json_t *again = send_photo(&tavi, 200, PHOTO(10), ID(10), "baseline", true); /* what is taken out makes no difference */

    ck_assert(json_equal(first, again));
    json_decref(first);
    json_decref(again);
    json_decref(send_photo(&tavi, 409, PHOTO(10), ID(10), "gray", false));
    log_as(&tavi, ENTRY(11, "\"kind\":\"reading\",\"ph\":6.1"));
    add_photo(&tavi, 409, PHOTO(10), ID(11));
    ck_assert_uint_eq(listed(""), 1);
}
END_TEST

START_TEST(the_picture_comes_as_jpeg_with_a_tag)
{
    char tag[64];

    add_photo(&tavi, 201, PHOTO(10), ID(10));
    ck_assert_uint_eq(status_of(&visitor, "/api/v1/photos/" PHOTO(10)), 200);
    ck_assert_str_eq(caller.type, "image/jpeg");
    ck_assert_msg(strncmp(caller.cache, "private", 7) == 0, "%s", caller.cache);
    ck_assert_mem_eq(caller.bytes, "\xff\xd8\xff", 3);
    strcpy(tag, caller.etag);
    ck_assert_uint_gt(strlen(tag), 10);
    json_decref(caller_ask(&caller, &(struct asking){.method = "GET", .path = "/api/v1/photos/" PHOTO(10), .who = &visitor, .if_none_match = tag}));
    ck_assert_uint_eq(caller.status, 304);
    ck_assert_uint_eq(status_of(&visitor, "/api/v1/photos/" PHOTO(99)), 404);
    ck_assert_uint_eq(status_of(&visitor, "/api/v1/photos/none"), 404);
    json_decref(caller_ask(&caller, &(struct asking){.method = "GET", .path = "/api/v1/photos/" PHOTO(10), .not_at_home = true}));
    ck_assert_uint_eq(caller.status, 401);
}
END_TEST

START_TEST(only_who_logged_it_or_a_keeper_adds_one)
{
    add_photo(&odo, 403, PHOTO(10), ID(10));
    add_photo(&visitor, 403, PHOTO(10), ID(10));
    ck_assert_uint_eq(listed(""), 0);
    add_photo(&keeper, 201, PHOTO(10), ID(10));
    add_photo(&tavi, 201, PHOTO(11), ID(10));
    ck_assert_uint_eq(listed(""), 2);
}
END_TEST

#define WITHDRAW(n, what) ENTRY(n, "\"kind\":\"note\",\"withdraws\":\"" what "\"")

START_TEST(it_goes_where_its_entry_goes)
{
    json_t *page;

    add_photo(&tavi, 201, PHOTO(10), ID(10));
    log_as(&tavi, ENTRY(12, "\"kind\":\"reading\",\"ph\":6.2,\"amends\":\"" ID(10) "\""));
    page = caller_get(&caller, "/api/v1/photos?tank=" TANK);
    ck_assert_str_eq(text_of(json_array_get(json_object_get(page, "items"), 0), "entry"), ID(10));
    ck_assert_str_eq(text_of(json_array_get(json_object_get(page, "items"), 0), "shown_with"), ID(12));
    json_decref(page);
    log_as(&tavi, WITHDRAW(13, ID(12))); /* the correction, so that the first stands again */
    page = caller_get(&caller, "/api/v1/photos");
    ck_assert_str_eq(text_of(json_array_get(json_object_get(page, "items"), 0), "shown_with"), ID(10));
    json_decref(page);
    log_as(&tavi, WITHDRAW(14, ID(10)));
    ck_assert_uint_eq(listed(""), 0);
    ck_assert_uint_eq(status_of(&visitor, "/api/v1/photos/" PHOTO(10)), 404);
    ck_assert_uint_eq(status_of(&odo, "/api/v1/photos/" PHOTO(10)), 404);
    ck_assert_uint_eq(status_of(&tavi, "/api/v1/photos/" PHOTO(10)), 200);
    ck_assert_uint_eq(status_of(&keeper, "/api/v1/photos/" PHOTO(10)), 200);
    log_as(&tavi, WITHDRAW(15, ID(14)));
    ck_assert_uint_eq(listed(""), 1);
    ck_assert_uint_eq(status_of(&visitor, "/api/v1/photos/" PHOTO(10)), 200);
}
END_TEST

/* An open page asks by the tag of its tank's answer. */
START_TEST(its_tank_tells_of_it)
{
    char before[64];
    json_t *tank = caller_get(&caller, "/api/v1/tanks/" TANK);

    ck_assert_double_eq(number_of(tank, "photo_count"), 0);
    ck_assert(json_is_null(json_object_get(tank, "photo_newest")));
    json_decref(tank);
    strcpy(before, caller.etag);
    add_photo(&tavi, 201, PHOTO(10), ID(10));
    tank = caller_ask(&caller, &(struct asking){.method = "GET", .path = "/api/v1/tanks/" TANK, .who = &visitor, .if_none_match = before});
    ck_assert_uint_eq(caller.status, 200);
    ck_assert_double_eq(number_of(tank, "photo_count"), 1);
    ck_assert_str_eq(text_of(tank, "photo_newest"), PHOTO(10));
    json_decref(tank);
}
END_TEST

static unsigned remove_as(const struct who *who, const char *id)
{
    char path[80];

    snprintf(path, sizeof path, "/api/v1/photos/%s", id);
    json_decref(caller_ask(&caller, &(struct asking){.method = "DELETE", .path = path, .who = who}));
    return caller.status;
}

START_TEST(who_added_it_or_a_keeper_removes_it)
{
    json_t *tank;

    add_photo(&keeper, 201, PHOTO(10), ID(10)); /* to Tavi's entry, but not hers */
    add_photo(&tavi, 201, PHOTO(11), ID(10));
    add_photo(&tavi, 201, PHOTO(12), ID(10));
    ck_assert_uint_eq(remove_as(&visitor, PHOTO(11)), 403);
    ck_assert_uint_eq(remove_as(&odo, PHOTO(11)), 403);
    ck_assert_uint_eq(remove_as(&tavi, PHOTO(10)), 403);
    ck_assert_uint_eq(remove_as(&tavi, PHOTO(99)), 404);
    ck_assert_uint_eq(listed(""), 3);
    ck_assert_uint_eq(remove_as(&tavi, PHOTO(11)), 204);
    ck_assert_uint_eq(remove_as(&tavi, PHOTO(11)), 204); /* a double tap */
    ck_assert_uint_eq(remove_as(&keeper, PHOTO(12)), 204);
    ck_assert_uint_eq(listed(""), 1);
    ck_assert_uint_eq(status_of(&tavi, "/api/v1/photos/" PHOTO(11)), 404);
    add_photo(&tavi, 409, PHOTO(11), ID(10)); /* a phone that missed the answer does not bring it back */
    ck_assert_uint_eq(listed(""), 1);
    tank = caller_get(&caller, "/api/v1/tanks/" TANK);
    ck_assert_double_eq(number_of(tank, "photo_count"), 1);
    ck_assert_str_eq(text_of(tank, "photo_newest"), PHOTO(10));
    json_decref(tank);
}
END_TEST

/* Whether the garden file, or the log file beside it, has these bytes. */
static bool on_disk(const char *ending, const char *bytes)
{
    char path[sizeof caller.path + 8];
    FILE *file;
    char *all;
    size_t length;
    bool found;

    snprintf(path, sizeof path, "%s%s", caller.path, ending);
    file = fopen(path, "rb");
    if (!file)
        return false;
    all = malloc((size_t)1 << 24);
    ck_assert_ptr_nonnull(all);
    length = fread(all, 1, (size_t)1 << 24, file);
    fclose(file);
    found = memmem(all, length, bytes, strlen(bytes)) != NULL;
    free(all);
    return found;
}

#define MARK "An invented picture of nobody. "

/* Scan data that no reader would come to: a picture that fills pages of its own, and can be found in the file. */
static struct picture marked_picture(void)
{
    struct picture picture = read_picture("baseline");
    unsigned char *end = picture.bytes + picture.length - 2;

    for (size_t i = 0; i < 30000; i++)
        *end++ = (unsigned char)MARK[i % (sizeof MARK - 1)];
    memcpy(end, "\xff\xd9", 2);
    picture.length += 30000;
    return picture;
}

START_TEST(removed_it_is_gone_from_the_file)
{
    struct picture picture = marked_picture();
    char *base64 = base64_of(&picture), *body = body_text(PHOTO(10), ID(10), base64);
    struct fault fault = {0};

    json_decref(post_as(&tavi, 201, "/api/v1/photos", body));
    ck_assert(on_disk("-wal", MARK)); /* else the test would not see it either */
    garden_close(caller.service.garden);
    caller.service.garden = garden_open(caller.path, &fault);
    ck_assert_ptr_nonnull(caller.service.garden);
    ck_assert(on_disk("", MARK));
    ck_assert_uint_eq(remove_as(&tavi, PHOTO(10)), 204);
    ck_assert(!on_disk("", MARK));
    ck_assert(!on_disk("-wal", MARK));

    free(body);
    body = body_text(PHOTO(11), ID(10), base64);
    json_decref(post_as(&tavi, 201, "/api/v1/photos", body)); /* and straight out of the log file */
    ck_assert(on_disk("-wal", MARK));
    ck_assert_uint_eq(remove_as(&keeper, PHOTO(11)), 204);
    ck_assert(!on_disk("", MARK) && !on_disk("-wal", MARK));
    free(body);
    free(base64);
    free(picture.bytes);
}
END_TEST

START_TEST(lists_come_by_tank_and_kind_in_pages)
{
    json_t *page;
    char next[120];

    log_as(&tavi, ENTRY(20, "\"kind\":\"note\",\"note\":\"first leaves\""));
    add_photo(&tavi, 201, PHOTO(10), ID(10));
    add_photo(&tavi, 201, PHOTO(11), ID(20));
    add_photo(&tavi, 201, PHOTO(12), ID(20));
    ck_assert_uint_eq(listed("?tank=" TANK), 3);
    ck_assert_uint_eq(listed("?kind=note"), 2);
    ck_assert_uint_eq(listed("?kind=reading&tank=" TANK), 1);
    ck_assert_uint_eq(listed("?kind=harvest"), 0);
    page = caller_get(&caller, "/api/v1/photos?limit=2");
    ck_assert_str_eq(text_of(json_array_get(json_object_get(page, "items"), 0), "id"), PHOTO(12));
    snprintf(next, sizeof next, "?limit=2&after=%s", text_of(page, "next"));
    json_decref(page);
    ck_assert_uint_eq(listed(next), 1);
    json_decref(caller_expect(&caller, 422, "GET", "/api/v1/photos?tank=nowhere", NULL));
    json_decref(caller_expect(&caller, 422, "GET", "/api/v1/photos?after=x", NULL));
}
END_TEST

static void refused_at(const char *at, const char *id, const char *entry, const char *base64)
{
    char *body = body_text(id, entry, base64);
    json_t *problem = post_as(&tavi, 422, "/api/v1/photos", body);
    ck_assert_msg(problem_at(problem, at), "%s: %s", at, caller.bytes);
    json_decref(problem);
    free(body);
}

START_TEST(bad_ones_are_refused_and_nothing_is_kept)
{
    struct picture picture = read_picture("baseline");
    char *base64 = base64_of(&picture), *large, comment[2 + 0x6400] = "\xff\xfe\x64";

    refused_at("/id", "not-a-uuid-at-all-but-36-bytes-long-x", ID(10), base64);
    refused_at("/entry", PHOTO(10), "not-a-uuid-at-all-but-36-bytes-long-x", base64);
    refused_at("/entry", PHOTO(10), ID(77), base64);
    refused_at("/jpeg", PHOTO(10), ID(10), "iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAA="); /* the head of a PNG */
    refused_at("/jpeg", PHOTO(10), ID(10), "no base64 at all!");
    base64[strlen(base64) - 8] = '\0'; /* cut short */
    refused_at("/jpeg", PHOTO(10), ID(10), base64);
    free(base64);
    memset(comment + 4, 'G', sizeof comment - 4);
    while (picture.length < 500001) /* comments: it would be small enough without them */
        put_in(&picture, comment, sizeof comment);
    large = base64_of(&picture);
    refused_at("/jpeg", PHOTO(10), ID(10), large);
    free(large);
    free(picture.bytes);
    ck_assert_uint_eq(listed(""), 0);
}
END_TEST

START_TEST(an_entry_has_eight_at_most)
{
    char id[40];

    for (int i = 0; i < 8; i++) {
        snprintf(id, sizeof id, "00000000-0000-7000-8000-0000000003%02d", i);
        add_photo(&tavi, 201, id, ID(10));
    }
    add_photo(&tavi, 422, PHOTO(10), ID(10));
    add_photo(&tavi, 200, id, ID(10)); /* one of them again is a resend */
    ck_assert_uint_eq(listed(""), 8);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("photos");
    TCase *tcase = tcase_create("photos");

    tcase_set_timeout(tcase, 60);
    tcase_add_checked_fixture(tcase, open_garden, close_garden);
    tcase_add_test(tcase, position_is_taken_out_before_it_is_kept);
    tcase_add_test(tcase, sent_twice_is_kept_once);
    tcase_add_test(tcase, the_picture_comes_as_jpeg_with_a_tag);
    tcase_add_test(tcase, only_who_logged_it_or_a_keeper_adds_one);
    tcase_add_test(tcase, it_goes_where_its_entry_goes);
    tcase_add_test(tcase, its_tank_tells_of_it);
    tcase_add_test(tcase, who_added_it_or_a_keeper_removes_it);
    tcase_add_test(tcase, removed_it_is_gone_from_the_file);
    tcase_add_test(tcase, lists_come_by_tank_and_kind_in_pages);
    tcase_add_test(tcase, bad_ones_are_refused_and_nothing_is_kept);
    tcase_add_test(tcase, an_entry_has_eight_at_most);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
