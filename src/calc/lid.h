/* lid.h - where the holes for net cups go in a lid.
 *
 * Pure: no clock, no locale, no allocation; safe from any thread.
 *
 *      marked corner
 *      x-----------------------> x, along lid_mm[0]
 *      |  ( )   ( )   ( )     edge_mm: clear strip from the lid's edge to the nearest hole's edge
 *      |                      spacing_mm: least distance between centres
 *      |  ( )   ( )   ( )     web: what is left between two holes, or between a hole and the edge
 *      v y
 *
 * Every pattern is laid out about the lid's middle. Seen from the underside x runs the other way:
 * lid_underside turns a layout over.
 */
#ifndef TIDEMARK_LID_H
#define TIDEMARK_LID_H

#include "calc/fault.h"

#define LID_CUPS 512

enum lid_pattern {
    LID_SQUARE,    /* rows and columns */
    LID_STAGGERED, /* every other row shifted by half a step, rows along or across */
    LID_BEST       /* of both, what holds more cups; among equals as below */
};
#define LID_PATTERNS 3

/* "square", "staggered", "best". */
extern const char *const lid_pattern_key[LID_PATTERNS];

struct lid {
    double lid_mm[2];  /* length, width: 20 to 20000 */
    double corner_mm;  /* radius of its corners; 0 or NAN: square */
    double hole_mm;    /* 5 to 1000 */
    double edge_mm;    /* 0 or more */
    double spacing_mm; /* more than hole_mm */
    enum lid_pattern pattern;
};

struct lid_cup {
    double x_mm, y_mm; /* of its centre, from the marked corner */
};

struct lid_layout {
    enum lid_pattern pattern; /* what was laid out: square or staggered */
    size_t count;
    struct lid_cup cup[LID_CUPS]; /* row by row from the marked corner: y, then x rising */
    double least_spacing_mm;      /* between centres; 0 where there is one cup */
    double least_web_mm;          /* between holes, and from a hole to the edge of the lid, rounded corners included */
};

/* Lays out as many cups as fit; among equals the one with the widest web, up to 50 mm, and then with the widest spacing.
 *
 * Returns 0, or -1 with FAULT_INPUT at "/lid_mm", "/corner_mm", "/hole_mm", "/edge_mm", "/spacing_mm"; at "" where not one
 * hole fits, or more than LID_CUPS would. *layout is untouched then.
 */
int lid_lay_out(const struct lid *lid, struct lid_layout *layout, struct fault *fault);

/* Measures cups that a person placed: fills in least_spacing_mm and least_web_mm (negative where holes run into each other
 * or over the edge) of a layout whose count and cup[] are given.
 */
void lid_measure(const struct lid *lid, struct lid_layout *layout);

/* The same holes as seen from the underside, the marked corner staying where it is on the lid: x from its other side. */
void lid_underside(const struct lid *lid, const struct lid_layout *from, struct lid_layout *to);

/* One line of the list to drill by, whole mm as a pencil marks them. */
struct lid_mark {
    size_t cup; /* 1, 2, ... as in the layout */
    int x_mm, y_mm;
    double to_next_mm; /* to the next mark's centre, to check with a rule before drilling; 0 for the last */
};

/* Fills mark[layout->count] in the layout's order, every other row backwards, so that the next hole is near. */
void lid_drilling_list(const struct lid_layout *layout, struct lid_mark *mark);

#endif
