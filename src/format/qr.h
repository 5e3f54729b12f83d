/* qr.h - an address as a QR code: modules, an SVG picture, or text for a terminal.
 *
 * Pure but for memory: texts made here are malloc'ed and freed by the caller.
 * Source: ISO/IEC 18004:2015, QR Code bar code symbology specification.
 */
#ifndef TIDEMARK_QR_H
#define TIDEMARK_QR_H

#include <stdbool.h>

#include "calc/fault.h"

/* Light modules that must surround the symbol on each side: ISO/IEC 18004:2015, 5.3.8. */
#define QR_QUIET 4

/* Longest text, bytes. Ours: at this length and level M a symbol is version 15 (77 modules) or smaller, which a phone
 * still reads from a label or a terminal. */
#define QR_TEXT_MOST 400

#define QR_WIDTH_MOST 77

/* What stands in a symbol, row by row from the top; without the quiet zone. */
struct qr {
    int width; /* modules a side: 21, 25, 29, ... */
    bool dark[QR_WIDTH_MOST * QR_WIDTH_MOST];
};

/* Encodes text as it stands, byte by byte, at error correction level M (about 15 % of the symbol may be lost: a wet, worn
 * label). FAULT_INPUT at "" when text is empty, longer than QR_TEXT_MOST, or not plain ASCII: readers guess differently
 * at anything else, and an address is ASCII by RFC 3986 (2005).
 */
int qr_make(const char *text, struct qr *qr, struct fault *fault);

/* Whether the module is dark; outside of the symbol it is light. */
bool qr_dark(const struct qr *qr, int x, int y);

/* The dark modules as the d of an SVG path, one rectangle a run, module (0, 0) at QR_QUIET. NULL when out of memory. */
char *qr_path(const struct qr *qr);

/* A whole SVG element, quiet zone and white ground included: black on white whatever the theme, since readers need the
 * contrast. title is what it leads to, for those who cannot see it; it is escaped here. NULL when out of memory.
 */
char *qr_svg(const struct qr *qr, const char *title);

/* Lines for a terminal: two modules a character (half blocks, UTF-8), black on white by SGR colours so that a dark
 * terminal shows it right. NULL when out of memory.
 */
char *qr_terminal(const struct qr *qr);

#endif
