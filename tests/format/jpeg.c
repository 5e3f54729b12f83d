/* What is left of a JPEG when all but the picture is taken out. Segments by ITU-T T.81 (1992), table B.1; the pictures are
 * invented (fixtures/photos). What other programs find in the result: jpeg_outside.sh.
 */
#include <check.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "format/jpeg.h"
#include "runner.h"

static const char *const pictures[] = {"fixtures/photos/baseline.jpg", "fixtures/photos/progressive.jpg",
                                       "fixtures/photos/restarts.jpg", "fixtures/photos/gray.jpg"};

#define ROOM 8192
struct bytes {
    unsigned char at[ROOM];
    size_t length;
};

static struct bytes read_picture(const char *name)
{
    FILE *file = fopen(source_path(name), "rb");
    struct bytes bytes;

    ck_assert_msg(file != NULL, "%s", name);
    bytes.length = fread(bytes.at, 1, sizeof bytes.at, file);
    fclose(file);
    ck_assert_uint_gt(bytes.length, 100);
    return bytes;
}

/* Room of exactly the length, so that a byte too many is seen by the sanitizers and valgrind. */
static int strip(const unsigned char *from, size_t length, struct bytes *to, struct jpeg_size *size, struct fault *fault)
{
    unsigned char *in = malloc(length + 1), *out = malloc(length + 1);
    size_t kept = 0;
    int failed;

    ck_assert(in && out && length <= ROOM);
    memcpy(in, from, length);
    out[length] = 0xa5;
    failed = jpeg_strip(in, length, out, &kept, size, fault);
    HOLDS(kept <= length && out[length] == 0xa5, "%zu bytes of %zu", kept, length);
    HOLDS(!failed == (kept > 0), "kept %zu", kept);
    memcpy(to->at, out, kept);
    to->length = kept;
    free(in);
    free(out);
    return failed;
}

/* The picture with these bytes put in behind its start. */
static struct bytes with(const struct bytes *picture, const void *more, size_t length)
{
    struct bytes made = {.length = picture->length + length};

    ck_assert_uint_le(made.length, ROOM);
    memcpy(made.at, picture->at, 2);
    memcpy(made.at + 2, more, length);
    memcpy(made.at + 2 + length, picture->at + 2, picture->length - 2);
    return made;
}

START_TEST(a_clean_picture_stays_as_it_is)
{
    struct bytes picture = read_picture(pictures[_i]), left;
    struct jpeg_size size;
    struct fault fault = {0};

    ck_assert_msg(strip(picture.at, picture.length, &left, &size, &fault) == 0, "%s", fault.item[0].detail);
    ck_assert_int_eq(size.width_px, 96);
    ck_assert_int_eq(size.height_px, 64);
    ck_assert_uint_eq(left.length, picture.length);
    ck_assert_mem_eq(left.at, picture.at, left.length);
}
END_TEST

#define BYTES(text) text, sizeof(text) - 1
static const struct {
    const char *bytes;
    size_t length;
    const char *what;
} taken_out[] = {
    {BYTES("\xff\xe1\x00\x10" "Exif\0\0GPSGPSGP"), "Exif"},
    {BYTES("\xff\xff\xff\xe1\x00\x10" "Exif\0\0GPSGPSGP"), "Exif behind fill bytes"},
    {BYTES("\xff\xe1\x00\x23" "http://ns.adobe.com/xap/1.0/\0GPSG"), "XMP"},
    {BYTES("\xff\xe2\x00\x0a" "MPF\0GPSG"), "the list of further pictures"},
    {BYTES("\xff\xed\x00\x12" "Photoshop 3.0\0GP"), "IPTC"},
    {BYTES("\xff\xfe\x00\x09" "GPS 47N"), "a comment"},
    {BYTES("\xff\xe0\x00\x0a" "JFXX\0GPS"), "a small copy, JFXX"},
    {BYTES("\xff\xe0\x00\x13" "JFIF\0\1\2\1\0\1\0\1\1\1" "GPS"), "JFIF with a small copy"},
    {BYTES("\xff\xe0\x00\x13" "JFIF\0\1\2\1\0\1\0\1\0\0" "GPS"), "JFIF with something behind it"},
    {BYTES("\xff\xee\x00\x11" "Adobe\0\1\0\0\0\0\1" "GPS"), "Adobe's note with something behind it"},
    {BYTES("\xff\xef\x00\x05" "GPS"), "the last of the application's"},
    {BYTES("\xff\xe1\x00\x02"), "an empty one"},
};

START_TEST(what_is_no_picture_is_taken_out)
{
    struct bytes picture = read_picture(pictures[0]), made = with(&picture, taken_out[_i].bytes, taken_out[_i].length), left;
    struct jpeg_size size;
    struct fault fault = {0};

    ck_assert_msg(strip(made.at, made.length, &left, &size, &fault) == 0, "%s: %s", taken_out[_i].what, fault.item[0].detail);
    ck_assert_msg(left.length == picture.length && memcmp(left.at, picture.at, left.length) == 0, "%s", taken_out[_i].what);
}
END_TEST

START_TEST(between_scans_and_behind_the_end_nothing_hides)
{
    struct bytes picture = read_picture(pictures[1]), made = picture, left;
    struct jpeg_size size;
    struct fault fault = {0};
    size_t last = 0;

    /* Before the last scan's header, where a progressive picture has a table or a scan. */
    for (size_t i = 0; i + 1 < picture.length; i++)
        if (picture.at[i] == 0xff && picture.at[i + 1] == 0xda)
            last = i;
    ck_assert_uint_gt(last, 0);
    made.length = last;
    memcpy(made.at + made.length, "\xff\xe1\x00\x0c" "Exif\0\0GPSG", 14);
    memcpy(made.at + made.length + 14, picture.at + last, picture.length - last);
    made.length = picture.length + 14;
    memcpy(made.at + made.length, "GPS of a second picture", 23);
    made.length += 23;
    ck_assert_msg(strip(made.at, made.length, &left, &size, &fault) == 0, "%s", fault.item[0].detail);
    ck_assert_uint_eq(left.length, picture.length);
    ck_assert_mem_eq(left.at, picture.at, left.length);
}
END_TEST

START_TEST(adobes_note_on_colours_stays)
{
    struct bytes picture = read_picture(pictures[0]), made = with(&picture, "\xff\xee\x00\x0e" "Adobe\0d\0\0\0\0\1", 16), left;
    struct jpeg_size size;
    struct fault fault = {0};

    ck_assert_int_eq(strip(made.at, made.length, &left, &size, &fault), 0);
    ck_assert_uint_eq(left.length, made.length);
}
END_TEST

static const struct {
    const char *bytes;
    size_t length;
    const char *what;
} refused[] = {
    {BYTES("\x89PNG\r\n\x1a\n"), "another format"},
    {BYTES("GIF89a"), "another format"},
    {BYTES("<svg xmlns='http://www.w3.org/2000/svg'/>"), "text"},
    {BYTES(""), "nothing"},
    {BYTES("\xff\xd8"), "a start alone"},
    {BYTES("\xff\xd8\xff\xd9"), "no picture"},
    {BYTES("\xff\xd8\xff\xc0\x00\x0b\x08\x00\x08\x00\x08\x01\x01\x11\x00\xff\xd9"), "no scan"},
    {BYTES("\xff\xd8\xff\xda\x00\x08\x01\x01\x00\x00\x3f\x00\x12\xff\xd9"), "a scan without a frame"},
    {BYTES("\xff\xd8\xff\xc0\x00\x0b\x08\x00\x00\x00\x08\x01\x01\x11\x00\xff\xda\x00\x08\x01\x01\x00\x00\x3f\x00\x12\xff\xd9"), "no height"},
    {BYTES("\xff\xd8\xff\xc0\x00\x0b\x08\x10\x01\x00\x08\x01\x01\x11\x00\xff\xda\x00\x08\x01\x01\x00\x00\x3f\x00\x12\xff\xd9"), "4097 high"},
    {BYTES("\xff\xd8\xff\xc0\x00\x0b\x0c\x00\x08\x00\x08\x01\x01\x11\x00\xff\xda\x00\x08\x01\x01\x00\x00\x3f\x00\x12\xff\xd9"), "12 bits"},
    {BYTES("\xff\xd8\xff\xc0\x00\x0c\x08\x00\x08\x00\x08\x01\x01\x11\x00\x00\xff\xda\x00\x08\x01\x01\x00\x00\x3f\x00\x12\xff\xd9"), "a frame header with a byte more"},
    {BYTES("\xff\xd8\xff\xc0\x00\x0b\x08\x00\x08\x00\x08\x01\x01\x11\x00\xff\xc0\x00\x0b\x08\x00\x08\x00\x08\x01\x01\x11\x00\xff\xda\x00\x08\x01\x01\x00\x00\x3f\x00\x12\xff\xd9"), "two frames"},
    {BYTES("\xff\xd8\xff\xc3\x00\x0b\x08\x00\x08\x00\x08\x01\x01\x11\x00\xff\xda\x00\x08\x01\x01\x00\x00\x3f\x00\x12\xff\xd9"), "lossless"},
    {BYTES("\xff\xd8\xff\xc9\x00\x0b\x08\x00\x08\x00\x08\x01\x01\x11\x00\xff\xda\x00\x08\x01\x01\x00\x00\x3f\x00\x12\xff\xd9"), "arithmetic coding"},
    {BYTES("\xff\xd8\xff\xc0\x00\x0b\x08\x00\x08\x00\x08\x01\x01\x11\x00\xff\xda\x00\x0a\x01\x01\x00\x00\x3f\x00G\x50\x12\xff\xd9"), "a scan header with two bytes more"},
    {BYTES("\xff\xd8\xff\xe1\x00\x01\xff\xd9"), "a segment shorter than its length field"},
    {BYTES("\xff\xd8\xff\xe1\xff\xff\x00\xff\xd9"), "a segment longer than the file"},
    {BYTES("\xff\xd8\xff\xd8\xff\xd9"), "a start within"},
};

START_TEST(anything_else_is_refused)
{
    struct bytes left;
    struct jpeg_size size;
    struct fault fault = {0};

    ck_assert_msg(strip((const unsigned char *)refused[_i].bytes, refused[_i].length, &left, &size, &fault) == -1, "%s", refused[_i].what);
    ck_assert_int_eq(fault.code, FAULT_INPUT);
    ck_assert_uint_eq(fault.count, 1);
}
END_TEST

START_TEST(a_picture_cut_short_anywhere_is_refused)
{
    struct bytes picture = read_picture(pictures[_i]), left;
    struct jpeg_size size;

    for (size_t length = 0; length < picture.length; length++) {
        struct fault fault = {0};

        HOLDS(strip(picture.at, length, &left, &size, &fault) == -1, "%s, %zu bytes", pictures[_i], length);
    }
}
END_TEST

/* ---- random damage, the same on every run ---- */

static uint64_t state = 0x9e3779b97f4a7c15u;

/* xorshift64* (Journal of Statistical Software 72, 2016). */
static size_t drawn(size_t below)
{
    state ^= state >> 12;
    state ^= state << 25;
    state ^= state >> 27;
    return (size_t)((state * 0x2545f4914f6cdd1du) >> 33) % below;
}

/* Whether a segment of application data or a comment stands in it: found by another way than ours, marker by marker from the
 * front, with lengths only. */
static bool tells_more(const struct bytes *bytes)
{
    size_t at = 2;

    while (at + 3 < bytes->length) {
        unsigned marker = bytes->at[at + 1];
        size_t length = (size_t)bytes->at[at + 2] << 8 | bytes->at[at + 3];

        if (marker == 0xd9)
            return false;
        if (marker == 0xfe || (marker >= 0xe0 && marker <= 0xef && length != 16 && length != 14))
            return true;
        at += 2 + length;
        if (marker != 0xda)
            continue;
        while (at + 1 < bytes->length && !(bytes->at[at] == 0xff && bytes->at[at + 1] != 0 && (bytes->at[at + 1] & 0xf8) != 0xd0))
            at++;
    }
    return false;
}

START_TEST(damage_neither_crashes_nor_lets_anything_through)
{
    static const unsigned char markers[] = {0xc0, 0xc4, 0xd0, 0xd8, 0xd9, 0xda, 0xdb, 0xdc, 0xe0, 0xe1, 0xee, 0xfe, 0xff, 0x00};
    const char *text = getenv("TIDEMARK_FUZZ_COUNT");
    long count = text && *text ? atol(text) : 40000, passed = 0;
    struct bytes picture[COUNT(pictures)], left, again;

    for (size_t i = 0; i < COUNT(pictures); i++) {
        struct bytes clean = read_picture(pictures[i]);

        picture[i] = with(&clean, "\xff\xe1\x00\x10" "Exif\0\0GPSGPSGP\xff\xfe\x00\x09" "GPS 47N", 29);
    }
    for (long n = 0; n < count; n++) {
        struct bytes made = picture[drawn(COUNT(pictures))];
        struct jpeg_size size;
        struct fault fault = {0};

        for (size_t times = 1 + drawn(4); times; times--) {
            size_t at = drawn(2) ? drawn(made.length) : drawn(400), many = 1 + drawn(40);

            switch (drawn(4)) {
            case 0:
                made.at[at] ^= (unsigned char)(1u << drawn(8));
                break;
            case 1:
                made.at[at] = 0xff;
                if (at + 1 < made.length)
                    made.at[at + 1] = markers[drawn(sizeof markers)];
                break;
            case 2:
                many = many > made.length - at ? made.length - at : many;
                memmove(made.at + at, made.at + at + many, made.length - at - many);
                made.length -= many;
                break;
            default:
                memmove(made.at + at + many, made.at + at, made.length - at);
                made.length += many;
            }
        }
        if (strip(made.at, made.length, &left, &size, &fault))
            continue;
        passed++;
        HOLDS(size.width_px >= 1 && size.width_px <= JPEG_SIDE_MOST && size.height_px >= 1 && size.height_px <= JPEG_SIDE_MOST, "run %ld", n);
        HOLDS(!tells_more(&left), "run %ld", n);
        HOLDS(strip(left.at, left.length, &again, &size, &fault) == 0 && again.length == left.length &&
                  memcmp(again.at, left.at, left.length) == 0, "run %ld: not the same when stripped again", n);
    }
    ck_assert_int_gt(passed, count / 10); /* else the damage is too great to try anything */
    ck_assert_int_lt(passed, count);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("jpeg");
    TCase *tcase = tcase_create("jpeg");

    tcase_set_timeout(tcase, 120);
    tcase_add_loop_test(tcase, a_clean_picture_stays_as_it_is, 0, COUNT(pictures));
    tcase_add_loop_test(tcase, what_is_no_picture_is_taken_out, 0, COUNT(taken_out));
    tcase_add_test(tcase, between_scans_and_behind_the_end_nothing_hides);
    tcase_add_test(tcase, adobes_note_on_colours_stays);
    tcase_add_loop_test(tcase, anything_else_is_refused, 0, COUNT(refused));
    tcase_add_loop_test(tcase, a_picture_cut_short_anywhere_is_refused, 0, COUNT(pictures));
    tcase_add_test(tcase, damage_neither_crashes_nor_lets_anything_through);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
