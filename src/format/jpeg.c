/* jpeg.c - the walk over a JPEG's segments. */
#include "format/jpeg.h"

#include <stdbool.h>
#include <string.h>

/* Markers by ITU-T T.81 (1992), table B.1. */
enum {
    SOF0 = 0xc0, SOF1 = 0xc1, SOF2 = 0xc2, /* baseline; extended sequential; progressive; all Huffman */
    DHT = 0xc4,
    RST0 = 0xd0, RST7 = 0xd7,
    SOI = 0xd8, EOI = 0xd9, SOS = 0xda, DQT = 0xdb, DRI = 0xdd,
    APP0 = 0xe0, APP14 = 0xee, APP15 = 0xef,
    COM = 0xfe
};

struct walk {
    const unsigned char *from;
    size_t length, at;
    unsigned char *to;
    size_t kept;
    struct jpeg_size *size;
    bool frame, scan;
    struct fault *fault;
};

static int refuse(struct walk *walk, const char *why)
{
    return fault_add(walk->fault, FAULT_INPUT, "", "%s (at byte %zu)", why, walk->at);
}

static void keep(struct walk *walk, const unsigned char *bytes, size_t length)
{
    memcpy(walk->to + walk->kept, bytes, length);
    walk->kept += length;
}

static unsigned two_bytes(const unsigned char *at)
{
    return (unsigned)at[0] << 8 | at[1];
}

/* The next marker, behind fill bytes (any number of 0xff may stand before it, B.1.1.2). */
static int next_marker(struct walk *walk, unsigned *marker)
{
    if (walk->at >= walk->length)
        return refuse(walk, "the picture is cut short");
    if (walk->from[walk->at] != 0xff)
        return refuse(walk, "is no JPEG picture: a segment should begin");
    while (walk->at < walk->length && walk->from[walk->at] == 0xff)
        walk->at++;
    if (walk->at == walk->length)
        return refuse(walk, "the picture is cut short");
    *marker = walk->from[walk->at++];
    return 0;
}

/* The segment behind its marker, its length field first. */
static int next_segment(struct walk *walk, const unsigned char **segment, size_t *length)
{
    if (walk->length - walk->at < 2)
        return refuse(walk, "the picture is cut short");
    *segment = walk->from + walk->at;
    *length = two_bytes(*segment);
    if (*length < 2)
        return refuse(walk, "a segment is too short");
    if (*length > walk->length - walk->at)
        return refuse(walk, "the picture is cut short");
    walk->at += *length;
    return 0;
}

/* Frame header (B.2.2): precision, height, width, components. */
static int read_frame(struct walk *walk, const unsigned char *segment, size_t length)
{
    unsigned height, width, components;

    if (walk->frame)
        return refuse(walk, "there is more than one frame");
    if (length < 8)
        return refuse(walk, "a segment is too short");
    height = two_bytes(segment + 3);
    width = two_bytes(segment + 5);
    components = segment[7];
    if (segment[2] != 8)
        return refuse(walk, "only 8 bits a colour are taken");
    if ((components != 1 && components != 3 && components != 4) || length != 8 + 3 * (size_t)components)
        return refuse(walk, "the frame header is no good");
    if (!height || !width || height > JPEG_SIDE_MOST || width > JPEG_SIDE_MOST)
        return fault_add(walk->fault, FAULT_INPUT, "", "must be 1 to %d pixels wide and high, was %u x %u", JPEG_SIDE_MOST, width, height);
    walk->size->width_px = width;
    walk->size->height_px = height;
    walk->frame = true;
    return 0;
}

/* APP0 as JFIF without a small copy, and Adobe's note, without which four colours or RGB look wrong. Both hold a few
 * numbers and no room for more; their lengths are held against that. */
static bool harmless(unsigned marker, const unsigned char *segment, size_t length)
{
    if (marker == APP0)
        return length == 16 && memcmp(segment + 2, "JFIF", 5) == 0 && segment[14] == 0 && segment[15] == 0;
    return marker == APP14 && length == 14 && memcmp(segment + 2, "Adobe", 5) == 0;
}

/* Coded data, up to the next marker that is no restart: in it 0xff is followed by 0 (F.1.2.3). */
static void keep_scan(struct walk *walk)
{
    size_t begin = walk->at;

    while (walk->at < walk->length) {
        const unsigned char *found = memchr(walk->from + walk->at, 0xff, walk->length - walk->at);
        size_t next;

        walk->at = found ? (size_t)(found - walk->from) : walk->length;
        next = walk->at + 1;
        if (next >= walk->length)
            break;
        if (walk->from[next] != 0 && !(walk->from[next] >= RST0 && walk->from[next] <= RST7))
            break;
        walk->at = next + 1;
    }
    keep(walk, walk->from + begin, walk->at - begin);
}

static int take_segment(struct walk *walk, unsigned marker)
{
    const unsigned char head[2] = {0xff, (unsigned char)marker};
    const unsigned char *segment = NULL;
    size_t length = 0;

    if (next_segment(walk, &segment, &length))
        return -1;
    if (marker == COM || (marker >= APP0 && marker <= APP15 && !harmless(marker, segment, length)))
        return 0;
    switch (marker) {
    case SOF0:
    case SOF1:
    case SOF2:
        if (read_frame(walk, segment, length))
            return -1;
        break;
    case SOS:
        if (!walk->frame)
            return refuse(walk, "a scan stands before the frame");
        if (length < 6 || length != 6 + 2 * (size_t)segment[2])
            return refuse(walk, "a scan header is no good");
        walk->scan = true;
        break;
    case DHT:
    case DQT:
    case DRI:
    case APP0:
    case APP14:
        break;
    default:
        return refuse(walk, "holds a segment that is not taken; only Huffman-coded baseline or progressive JPEG is");
    }
    keep(walk, head, 2);
    keep(walk, segment, length);
    if (marker == SOS)
        keep_scan(walk);
    return 0;
}

int jpeg_strip(const unsigned char *from, size_t length, unsigned char *to, size_t *kept, struct jpeg_size *size, struct fault *fault)
{
    struct jpeg_size found = {0, 0};
    struct walk walk = {.from = from, .length = length, .to = to, .size = &found, .fault = fault};
    unsigned marker = 0;

    if (length < 4 || from[0] != 0xff || from[1] != SOI)
        return refuse(&walk, "is no JPEG picture");
    keep(&walk, from, 2);
    walk.at = 2;
    for (;;) {
        if (next_marker(&walk, &marker))
            return -1;
        if (marker == EOI)
            break;
        if (take_segment(&walk, marker))
            return -1;
    }
    if (!walk.scan)
        return refuse(&walk, "there is no picture in it");
    keep(&walk, (const unsigned char[]){0xff, EOI}, 2);
    *kept = walk.kept;
    *size = found;
    return 0;
}
