/* qr.c - QR codes, encoded by libqrencode. */
#include "format/qr.h"

#include <qrencode.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

int qr_make(const char *text, struct qr *qr, struct fault *fault)
{
    size_t length = text ? strlen(text) : 0;
    QRcode *code;

    if (length < 1 || length > QR_TEXT_MOST)
        return fault_add(fault, FAULT_INPUT, "", "a QR code holds 1 to %d bytes, was %zu", QR_TEXT_MOST, length);
    for (size_t i = 0; i < length; i++)
        if (text[i] < ' ' || text[i] > '~')
            return fault_add(fault, FAULT_INPUT, "", "must be plain ASCII; percent-encode what is not");
    code = QRcode_encodeData((int)length, (const unsigned char *)text, 0, QR_ECLEVEL_M);
    if (!code)
        return fault_add(fault, FAULT_MEMORY, "", "out of memory");
    if (code->width > QR_WIDTH_MOST) { /* cannot be: see QR_TEXT_MOST and its test */
        QRcode_free(code);
        return fault_add(fault, FAULT_INPUT, "", "too long for a QR code of %d modules", QR_WIDTH_MOST);
    }
    *qr = (struct qr){.width = code->width};
    for (int i = 0; i < code->width * code->width; i++)
        qr->dark[i] = code->data[i] & 1; /* the other bits say what kind of module it is */
    QRcode_free(code);
    return 0;
}

bool qr_dark(const struct qr *qr, int x, int y)
{
    return x >= 0 && y >= 0 && x < qr->width && y < qr->width && qr->dark[y * qr->width + x];
}

/* Text that grows, by the C library's own stream into memory. Returns NULL when out of memory at any point. */
static char *written(FILE *stream, char **text)
{
    bool failed = ferror(stream) != 0;

    if (fclose(stream) || failed) {
        free(*text);
        return NULL;
    }
    return *text;
}

static void write_path(FILE *out, const struct qr *qr)
{
    for (int y = 0; y < qr->width; y++)
        for (int x = 0, run; x < qr->width; x += run) {
            bool dark = qr_dark(qr, x, y);

            for (run = 1; x + run < qr->width && qr_dark(qr, x + run, y) == dark; run++)
                ;
            if (dark)
                fprintf(out, "M%d %dh%dv1h-%dz", x + QR_QUIET, y + QR_QUIET, run, run);
        }
}

char *qr_path(const struct qr *qr)
{
    char *text = NULL;
    size_t length;
    FILE *out = open_memstream(&text, &length);

    if (!out)
        return NULL;
    write_path(out, qr);
    return written(out, &text);
}

static void write_escaped(FILE *out, const char *text)
{
    for (; *text; text++)
        switch (*text) {
        case '&': fputs("&amp;", out); break;
        case '<': fputs("&lt;", out); break;
        case '>': fputs("&gt;", out); break;
        case '"': fputs("&quot;", out); break;
        default: fputc(*text, out);
        }
}

char *qr_svg(const struct qr *qr, const char *title)
{
    int side = qr->width + 2 * QR_QUIET;
    char *text = NULL;
    size_t length;
    FILE *out = open_memstream(&text, &length);

    if (!out)
        return NULL;
    fprintf(out, "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 %d %d\" role=\"img\" shape-rendering=\"crispEdges\"><title>",
            side, side);
    write_escaped(out, title);
    fprintf(out, "</title><path fill=\"#fff\" d=\"M0 0h%dv%dH0z\"/><path fill=\"#000\" d=\"", side, side);
    write_path(out, qr);
    fputs("\"/></svg>", out);
    return written(out, &text);
}

char *qr_terminal(const struct qr *qr)
{
    /* By upper and lower module: none, upper, lower, both dark. */
    static const char *const cell[] = {" ", "\xe2\x96\x80", "\xe2\x96\x84", "\xe2\x96\x88"};
    char *text = NULL;
    size_t length;
    FILE *out = open_memstream(&text, &length);

    if (!out)
        return NULL;
    for (int y = -QR_QUIET; y < qr->width + QR_QUIET; y += 2) {
        fputs("\033[30;107m", out);
        for (int x = -QR_QUIET; x < qr->width + QR_QUIET; x++)
            fputs(cell[qr_dark(qr, x, y) + 2 * qr_dark(qr, x, y + 1)], out);
        fputs("\033[0m\n", out);
    }
    return written(out, &text);
}
