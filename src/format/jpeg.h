/* jpeg.h - a picture without what it says beyond the picture: where it was taken, with what, a small copy of it.
 *
 * Pure: no allocation, no I/O; safe from any thread. It walks the segments and decodes nothing.
 * Source: ITU-T T.81 (1992), annex B (segments and markers); JFIF 1.02 (1992) for APP0.
 */
#ifndef TIDEMARK_JPEG_H
#define TIDEMARK_JPEG_H

#include <stddef.h>
#include <stdint.h>

#include "calc/fault.h"

/* Longest and widest picture that is taken, pixels; ours. A phone decodes the whole of it to show it. */
#define JPEG_SIDE_MOST 4096

struct jpeg_size {
    int64_t width_px, height_px;
};

/* Writes into `to` (room for length bytes; may not overlap) the picture at from[0..length) with only what drawing it needs:
 *
 *   kept     quantization and Huffman tables, restart interval, one frame (baseline, extended or progressive Huffman, 8 bits),
 *            its scans, a plain JFIF header, Adobe's note on its colours
 *   left out all other application data (Exif with its position, XMP, IPTC, colour profiles, small copies), comments,
 *            and whatever stands behind the end of the picture
 *
 * *kept is the length written, at most `length`. A turn that Exif told is lost with it: whoever sends turns the picture first.
 * Returns 0, or -1 with FAULT_INPUT (at "") for what is no such JPEG, or is cut short; *kept is then untouched.
 */
int jpeg_strip(const unsigned char *from, size_t length, unsigned char *to, size_t *kept, struct jpeg_size *size, struct fault *fault);

#endif
