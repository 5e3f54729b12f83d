/* lid.c - laying out holes.
 *
 * A pattern is a lattice about the lid's middle: rows with a step between cups and a step between rows. Every number of
 * cups in a row is tried with the most rows that the spacing then allows, drawn out to several widths, and what
 * falls into a rounded corner is left out. The best of these is kept.
 */
#include "calc/lid.h"

#include <math.h>
#include <string.h>

#define WEB_ENOUGH_MM 50.0 /* ours: a lid that is stronger still gains nothing; then leaves want the room */
#define SLACK_MM 1e-9 /* sums that should meet a bound exactly may miss it by rounding */

const char *const lid_pattern_key[LID_PATTERNS] = {"square", "staggered", "best"};

static double corner_of(const struct lid *lid)
{
    return isnan(lid->corner_mm) ? 0.0 : lid->corner_mm;
}

/* Distance from a point to the nearest edge of the lid; below 0 outside. */
static double to_edge(const struct lid *lid, double x_mm, double y_mm)
{
    double r = corner_of(lid);
    double x = fmin(x_mm, lid->lid_mm[0] - x_mm), y = fmin(y_mm, lid->lid_mm[1] - y_mm);

    if (x < r && y < r)
        return r - hypot(r - x, r - y);
    return fmin(x, y);
}

void lid_measure(const struct lid *lid, struct lid_layout *layout)
{
    double nearest = HUGE_VAL, web = HUGE_VAL, spacing; /* nearest is squared: a root for each pair would take most of the time */

    for (size_t i = 0; i < layout->count; i++) {
        const struct lid_cup *a = &layout->cup[i];

        web = fmin(web, to_edge(lid, a->x_mm, a->y_mm) - lid->hole_mm / 2.0);
        for (size_t j = 0; j < i; j++) {
            double dx = a->x_mm - layout->cup[j].x_mm, dy = a->y_mm - layout->cup[j].y_mm, square = dx * dx + dy * dy;

            nearest = square < nearest ? square : nearest;
        }
    }
    spacing = sqrt(nearest);
    layout->least_web_mm = layout->count ? fmin(web, spacing - lid->hole_mm) : 0.0;
    layout->least_spacing_mm = layout->count > 1 ? spacing : 0.0;
}

/* ------------------------------------------------------------------ one lattice */

/* along: the side that rows run along, 0 length or 1 width. */
struct lattice {
    enum lid_pattern pattern;
    int along;
    int cups, rows;      /* in a full row; rows */
    enum { ALIKE, LESS_ONE, ONE_LESS_FIRST } shifted; /* staggered: every second row as long and shifted, or one cup less */
    double step, row_step;
};

static int cups_in_row(const struct lattice *lattice, int row)
{
    bool odd = row % 2 == 1;

    if (lattice->pattern == LID_SQUARE || lattice->shifted == ALIKE)
        return lattice->cups;
    return lattice->cups - (odd == (lattice->shifted == LESS_ONE) ? 1 : 0);
}

static int lattice_count(const struct lattice *lattice)
{
    int even = (lattice->rows + 1) / 2, odd = lattice->rows / 2;

    return even * cups_in_row(lattice, 0) + odd * cups_in_row(lattice, 1);
}

/* Distance between neighbours: in a row, to the next row, and over one row. */
static double lattice_spacing(const struct lattice *lattice)
{
    double least = HUGE_VAL;

    if (lattice->cups > 1)
        least = lattice->step;
    if (lattice->pattern == LID_SQUARE)
        return lattice->rows > 1 ? fmin(least, lattice->row_step) : least;
    if (lattice->rows > 1)
        least = fmin(least, hypot(lattice->step / 2.0, lattice->row_step));
    if (lattice->rows > 2)
        least = fmin(least, 2.0 * lattice->row_step);
    return least;
}

/* Puts the lattice's cups on the lid; returns how many stand clear of the edge, corners included. */
static size_t place(const struct lid *lid, const struct lattice *lattice, struct lid_cup *cup)
{
    double clear = lid->edge_mm + lid->hole_mm / 2.0 - SLACK_MM;
    size_t count = 0;

    for (int row = 0; row < lattice->rows; row++) {
        int n = cups_in_row(lattice, row);
        double across = lid->lid_mm[1 - lattice->along] / 2.0 + lattice->row_step * (row - (lattice->rows - 1) / 2.0);
        double first = lid->lid_mm[lattice->along] / 2.0 - lattice->step * (n - 1) / 2.0;

        if (lattice->pattern == LID_STAGGERED && lattice->shifted == ALIKE)
            first += (row % 2 ? 0.25 : -0.25) * lattice->step;
        for (int i = 0; i < n; i++) {
            double along = first + lattice->step * i;
            double x = lattice->along == 0 ? along : across, y = lattice->along == 0 ? across : along;

            if (to_edge(lid, x, y) >= clear)
                cup[count++] = (struct lid_cup){x, y};
        }
    }
    return count;
}

/* ------------------------------------------------------------------- the search */

struct search {
    const struct lid *lid;
    double room[2]; /* for centres, along length and width */
    bool too_many;  /* some lattice held more than there is room to tell */
    struct lid_layout best, tried;
};

/* Above 0 when a is the better of two layouts with as many cups: the stronger lid where one has less web than is enough,
 * then the wider spacing, then the wider web.
 */
static double better_by(const struct lid_layout *a, const struct lid_layout *b)
{
    double web = fmin(a->least_web_mm, WEB_ENOUGH_MM) - fmin(b->least_web_mm, WEB_ENOUGH_MM);
    double spacing = a->least_spacing_mm - b->least_spacing_mm;

    if (fabs(web) > 1e-6)
        return web;
    return fabs(spacing) > 1e-6 ? spacing : a->least_web_mm - b->least_web_mm - 1e-6;
}

static void keep_better(struct search *search, const struct lattice *lattice)
{
    struct lid_layout *tried = &search->tried, *best = &search->best;

    if (lattice_count(lattice) < (int)best->count || lattice_spacing(lattice) < search->lid->spacing_mm - SLACK_MM)
        return;
    if (lattice_count(lattice) > LID_CUPS) {
        search->too_many = true;
        return;
    }
    tried->pattern = lattice->pattern;
    tried->count = place(search->lid, lattice, tried->cup);
    if (tried->count < best->count || tried->count == 0)
        return;
    lid_measure(search->lid, tried);
    if (tried->count > best->count || better_by(tried, best) > 0.0)
        *best = *tried;
}

/* The step that sets each of gaps + 1 cups in the middle of its share of the side, as near as `least` and the room allow. */
static double even_step(double side, double room, double gaps, double least)
{
    return gaps > 0.0 ? fmin(fmax(side / (gaps + 1.0), least), room / gaps) : 0.0;
}

/* Least distance of rows that keeps cups `spacing` apart when those in a row are `step` apart. */
static double row_step_needed(enum lid_pattern pattern, double spacing, double step)
{
    double half = step / 2.0;

    if (pattern == LID_SQUARE)
        return spacing;
    return fmax(spacing / 2.0, half < spacing ? sqrt(spacing * spacing - half * half) : 0.0);
}

/* Tries the lattice with each cup in the middle of its share, at full width, drawn in until its corner cup clears a
 * rounded corner, and as near as the spacing allows; and the rows likewise.
 */
static void try_widths(struct search *search, struct lattice lattice, double gaps)
{
    const struct lid *lid = search->lid;
    double side = lid->lid_mm[lattice.along], room = search->room[lattice.along];
    double cross = lid->lid_mm[1 - lattice.along], cross_room = search->room[1 - lattice.along];
    double inset = fmax(0.0, corner_of(lid) - lid->edge_mm - lid->hole_mm / 2.0);
    double drawn_in = 2.0 * inset * (1.0 - sqrt(0.5)); /* of both sides: to where the arc's diagonal is */
    double row_gaps = lattice.rows - 1;
    double least = lattice.cups > 1 ? lid->spacing_mm : 0.0;
    double steps[] = {even_step(side, room, gaps, least), even_step(side, room, gaps, HUGE_VAL),
                      even_step(side, fmax(0.0, room - drawn_in), gaps, HUGE_VAL), fmin(least, even_step(side, room, gaps, HUGE_VAL))};

    for (int i = 0; i < 4; i++) {
        double needed = row_step_needed(lattice.pattern, lid->spacing_mm, steps[i]);
        double row_steps[] = {even_step(cross, cross_room, row_gaps, needed), even_step(cross, cross_room, row_gaps, HUGE_VAL),
                              even_step(cross, fmax(0.0, cross_room - drawn_in), row_gaps, HUGE_VAL),
                              fmin(needed, even_step(cross, cross_room, row_gaps, HUGE_VAL))};

        lattice.step = steps[i];
        for (int j = 0; j < 4; j++) {
            lattice.row_step = row_steps[j];
            keep_better(search, &lattice);
        }
    }
}

/* How many rows go into the room, `least` apart. */
static int rows_in(double room, double least)
{
    return 1 + (int)floor((room + SLACK_MM) / least);
}

static void try_square(struct search *search)
{
    double least = search->lid->spacing_mm;

    /* Fewer columns or rows than there is room for may hold more when corners are round: 2 x 1 stands where 2 x 2 does not. */
    for (int columns = rows_in(search->room[0], least); columns >= 1; columns--)
        for (int rows = rows_in(search->room[1], least); rows >= 1; rows--)
            try_widths(search, (struct lattice){.pattern = LID_SQUARE, .along = 0, .cups = columns, .rows = rows}, columns - 1);
}

static void try_staggered(struct search *search)
{
    double least = search->lid->spacing_mm;

    for (int along = 0; along < 2; along++)
        for (int cups = 1; cups <= rows_in(search->room[along], least); cups++)
            for (int shifted = ALIKE; shifted <= ONE_LESS_FIRST; shifted++) {
                double gaps = shifted == ALIKE ? cups - 0.5 : cups - 1.0;
                double step = gaps > 0.0 ? search->room[along] / gaps : 0.0;
                int rows = rows_in(search->room[1 - along], row_step_needed(LID_STAGGERED, least, step));

                if (cups == 1 && shifted != ALIKE)
                    continue; /* rows without a cup */
                for (int fewer = rows; fewer >= 1 && fewer >= rows - 1; fewer--)
                    try_widths(search,
                               (struct lattice){.pattern = LID_STAGGERED, .along = along, .cups = cups, .rows = fewer, .shifted = shifted},
                               gaps);
            }
}

/* ----------------------------------------------------------------------- public */

static int check(const struct lid *lid, struct fault *fault)
{
    struct fault found = {0};
    double r = corner_of(lid);

    for (int i = 0; i < 2; i++)
        if (!(lid->lid_mm[i] >= 20.0 && lid->lid_mm[i] <= 20000.0))
            fault_add(&found, FAULT_INPUT, i ? "/lid_mm/1" : "/lid_mm/0", "must be from 20 to 20000 mm, was %g", lid->lid_mm[i]);
    if (!(r >= 0.0 && r <= 10000.0))
        fault_add(&found, FAULT_INPUT, "/corner_mm", "must be from 0 to 10000 mm, was %g", r);
    else if (2.0 * r > fmin(lid->lid_mm[0], lid->lid_mm[1]))
        fault_add(&found, FAULT_INPUT, "/corner_mm", "must be at most half of the shorter side, was %g", r);
    if (!(lid->hole_mm >= 5.0 && lid->hole_mm <= 1000.0))
        fault_add(&found, FAULT_INPUT, "/hole_mm", "must be from 5 to 1000 mm, was %g", lid->hole_mm);
    if (!(lid->edge_mm >= 0.0 && lid->edge_mm <= 10000.0))
        fault_add(&found, FAULT_INPUT, "/edge_mm", "must be from 0 to 10000 mm, was %g", lid->edge_mm);
    if (!(lid->spacing_mm > lid->hole_mm && lid->spacing_mm <= 20000.0))
        fault_add(&found, FAULT_INPUT, "/spacing_mm", "must be more than the hole's %g mm and at most 20000, was %g", lid->hole_mm,
                  lid->spacing_mm);
    if (!(lid->pattern >= LID_SQUARE && lid->pattern <= LID_BEST))
        fault_add(&found, FAULT_INPUT, "/pattern", "must be square, staggered or best");
    return found.code == FAULT_NONE ? 0 : fault_under(fault, "", &found);
}

/* Cups along the x axis first, whichever way the rows ran. */
static void sort_by_row(struct lid_layout *layout)
{
    for (size_t i = 1; i < layout->count; i++) {
        struct lid_cup moved = layout->cup[i];
        size_t j = i;

        while (j > 0 && (layout->cup[j - 1].y_mm > moved.y_mm + 1e-6 ||
                         (layout->cup[j - 1].y_mm > moved.y_mm - 1e-6 && layout->cup[j - 1].x_mm > moved.x_mm))) {
            layout->cup[j] = layout->cup[j - 1];
            j--;
        }
        layout->cup[j] = moved;
    }
}

int lid_lay_out(const struct lid *lid, struct lid_layout *layout, struct fault *fault)
{
    struct search search = {.lid = lid};

    if (check(lid, fault))
        return -1;
    for (int i = 0; i < 2; i++) {
        search.room[i] = lid->lid_mm[i] - 2.0 * lid->edge_mm - lid->hole_mm;
        if (search.room[i] < -SLACK_MM)
            return fault_add(fault, FAULT_INPUT, "", "not one hole of %g mm fits with %g mm to the edge", lid->hole_mm, lid->edge_mm);
        search.room[i] = fmax(search.room[i], 0.0);
    }
    /* Far more than could be told need not be searched. */
    search.too_many = rows_in(search.room[0], lid->spacing_mm) * (double)rows_in(search.room[1], lid->spacing_mm) > 2.0 * LID_CUPS;
    if (!search.too_many && lid->pattern != LID_STAGGERED)
        try_square(&search);
    if (!search.too_many && lid->pattern != LID_SQUARE)
        try_staggered(&search);
    if (search.too_many)
        return fault_add(fault, FAULT_INPUT, "", "more than %d cups would fit; widen the spacing", LID_CUPS);
    if (search.best.count == 0)
        return fault_add(fault, FAULT_INPUT, "", "no hole of %g mm stands %g mm clear of the rounded corners", lid->hole_mm, lid->edge_mm);
    sort_by_row(&search.best);
    *layout = search.best;
    return 0;
}

void lid_underside(const struct lid *lid, const struct lid_layout *from, struct lid_layout *to)
{
    struct lid_layout turned = *from;

    for (size_t i = 0; i < turned.count; i++)
        turned.cup[i].x_mm = lid->lid_mm[0] - from->cup[i].x_mm;
    *to = turned;
}

void lid_drilling_list(const struct lid_layout *layout, struct lid_mark *mark)
{
    size_t row_start = 0, done = 0;

    for (int row = 0; row_start < layout->count; row++) {
        size_t row_end = row_start;

        while (row_end < layout->count && fabs(layout->cup[row_end].y_mm - layout->cup[row_start].y_mm) < 1e-3)
            row_end++;
        for (size_t i = 0; i < row_end - row_start; i++) {
            size_t cup = row % 2 ? row_end - 1 - i : row_start + i;

            mark[done++] = (struct lid_mark){.cup = cup + 1,
                                             .x_mm = (int)lround(layout->cup[cup].x_mm),
                                             .y_mm = (int)lround(layout->cup[cup].y_mm)};
        }
        row_start = row_end;
    }
    for (size_t i = 0; i + 1 < done; i++)
        mark[i].to_next_mm = hypot(mark[i + 1].x_mm - mark[i].x_mm, mark[i + 1].y_mm - mark[i].y_mm);
}
