/* Hole patterns: geometry that can be counted by hand, and rules that hold for any lid. */
#include "calc/lid.h"
#include "runner.h"

#include <math.h>
#include <string.h>

static struct lid_layout laid_out(struct lid lid)
{
    static struct lid_layout layout;
    struct fault fault = {0};

    ck_assert_msg(lid_lay_out(&lid, &layout, &fault) == 0, "%s %s", fault.item[0].at, fault.item[0].detail);
    return layout;
}

/* Holes of 50 mm, 25 mm to the edge: centres have the lid less 100 mm. Counted by hand. */
static const struct {
    struct lid lid;
    size_t count;
    const char *how;
} counted[] = {
    {{{100, 100}, 0, 50, 25, 60, LID_SQUARE}, 1, "room for a point"},
    {{{300, 100}, 0, 50, 25, 100, LID_SQUARE}, 3, "0, 100, 200"},
    {{{299, 100}, 0, 50, 25, 100, LID_SQUARE}, 2, "one mm short of a third"},
    {{{400, 300}, 0, 50, 25, 100, LID_SQUARE}, 12, "4 x 3"},
    {{{400, 300}, NAN, 50, 25, 100, LID_SQUARE}, 12, "no corner given: square corners"},
    /* Rows 86.6 mm apart in 200 mm: three rows of 3, 2, 3 cups fit where square holds 3 x 3; 274 mm room holds four rows. */
    {{{300, 300}, 0, 50, 25, 100, LID_STAGGERED}, 8, "3 + 2 + 3"},
    {{{300, 360}, 0, 50, 25, 100, LID_STAGGERED}, 10, "260 mm: 3 + 2 + 3 + 2"},
    {{{350, 360}, 0, 50, 25, 100, LID_STAGGERED}, 12, "250 mm hold rows of 3, shifted by half a step; 260 mm hold four of them"},
    {{{300, 300}, 0, 50, 25, 100, LID_BEST}, 9, "square wins"},
    {{{350, 360}, 0, 50, 25, 100, LID_BEST}, 12, "staggered wins over 3 x 3"},
    /* Zigzag: two cups 100 mm apart on the diagonal of a square of 71 mm room. */
    {{{171, 171}, 0, 50, 25, 100, LID_SQUARE}, 1, "no two in a row"},
    {{{171, 171}, 0, 50, 25, 100, LID_STAGGERED}, 2, "on the diagonal"},
    {{{299, 110}, 0, 50, 25, 100, LID_SQUARE}, 2, "199 mm: one short of three in a line"},
    {{{299, 110}, 0, 50, 25, 100, LID_BEST}, 3, "the third between them, 10 mm aside: 99.5 and 10 mm are 100.0 apart"},
    /* Round corners of 150 mm on a 300 mm lid make a disc; centres stay in a disc of 100 mm radius. */
    {{{300, 300}, 150, 50, 25, 100, LID_SQUARE}, 5, "the 3 x 3 of the square lid without its corners"},
    {{{300, 300}, 150, 50, 25, 141, LID_SQUARE}, 4, "2 x 2 just inside the circle: 100 x sqrt(2) apart"},
    {{{300, 300}, 150, 50, 25, 142, LID_SQUARE}, 2, "and no longer"},
    {{{300, 300}, 150, 50, 25, 100, LID_STAGGERED}, 7, "one in the middle, six round it: the hexagon on its circle"},
};

START_TEST(cups_as_counted_by_hand)
{
    struct lid_layout layout = laid_out(counted[_i].lid);

    ck_assert_msg(layout.count == counted[_i].count, "%zu cups, not %zu: %s", layout.count, counted[_i].count, counted[_i].how);
}
END_TEST

/* Where the spacing allows it each cup stands in the middle of its share of the lid: a third and a half here. */
START_TEST(cups_share_the_lid_evenly)
{
    struct lid_layout layout = laid_out((struct lid){{600, 400}, 0, 50, 25, 180, LID_SQUARE});

    ck_assert_uint_eq(layout.count, 6);
    for (size_t i = 0; i < 6; i++) {
        ck_assert_double_eq_tol(layout.cup[i].x_mm, 100.0 + 200.0 * (double)(i % 3), 1e-9);
        ck_assert_double_eq_tol(layout.cup[i].y_mm, 100.0 + 200.0 * (double)(i / 3), 1e-9);
    }
    ck_assert_double_eq_tol(layout.least_spacing_mm, 200, 1e-9);
    ck_assert_double_eq_tol(layout.least_web_mm, 75, 1e-9);
}
END_TEST

/* A splitmix64 step: the same lids on every machine. */
static double uniform(unsigned long long *state, double low, double high)
{
    unsigned long long z = *state += 0x9E3779B97F4A7C15u;

    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9u;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBu;
    z ^= z >> 31;
    return low + (high - low) * (double)(z >> 11) / 9007199254740992.0;
}

static double to_edge(const struct lid *lid, const struct lid_cup *cup)
{
    /* Walks the edge of the rounded lid in small steps: slow, and nothing like the code under test. */
    double nearest = HUGE_VAL, r = lid->corner_mm, l = lid->lid_mm[0], w = lid->lid_mm[1];

    for (int i = 0; i < 4; i++) {
        double cx = i % 2 ? l - r : r, cy = i / 2 ? w - r : r;

        for (int step = 0; step <= 400; step++) {
            double angle = (step / 400.0) * 1.57079632679, x = cx + (i % 2 ? r : -r) * cos(angle), y = cy + (i / 2 ? r : -r) * sin(angle);

            nearest = fmin(nearest, hypot(cup->x_mm - x, cup->y_mm - y));
        }
    }
    if (cup->x_mm >= r && cup->x_mm <= l - r)
        nearest = fmin(nearest, fmin(cup->y_mm, w - cup->y_mm));
    if (cup->y_mm >= r && cup->y_mm <= w - r)
        nearest = fmin(nearest, fmin(cup->x_mm, l - cup->x_mm));
    return nearest;
}

/* For 300 lids: nothing too near, the webs are what they are said to be, mirrored left to right the lid is the same or
 * turned by half it is, and best is never less than the other two.
 */
START_TEST(rules_hold_for_any_lid)
{
    unsigned long long state = 2;

    for (int i = 0; i < 300; i++) {
        struct lid lid = {.hole_mm = uniform(&state, 20, 120), .edge_mm = uniform(&state, 0, 60), .pattern = LID_BEST};
        struct lid_layout best, square, staggered;
        double web = HUGE_VAL, spacing = HUGE_VAL;

        lid.spacing_mm = lid.hole_mm + uniform(&state, 5, 200);
        lid.lid_mm[0] = lid.hole_mm + 2 * lid.edge_mm + uniform(&state, 0, 900);
        lid.lid_mm[1] = lid.hole_mm + 2 * lid.edge_mm + uniform(&state, 0, 600);
        lid.corner_mm = uniform(&state, 0, 0.5) * fmin(lid.lid_mm[0], lid.lid_mm[1]);
        best = laid_out(lid);
        lid.pattern = LID_SQUARE;
        square = laid_out(lid);
        lid.pattern = LID_STAGGERED;
        staggered = laid_out(lid);
        ck_assert_uint_eq(best.count, square.count > staggered.count ? square.count : staggered.count);
        for (size_t a = 0; a < best.count; a++) {
            double edge = to_edge(&lid, &best.cup[a]) - lid.hole_mm / 2.0;
            bool mirrored = false;

            ck_assert_double_ge(edge, lid.edge_mm - 1e-6);
            web = fmin(web, edge);
            for (size_t b = 0; b < best.count; b++) {
                double apart = hypot(best.cup[a].x_mm - best.cup[b].x_mm, best.cup[a].y_mm - best.cup[b].y_mm);

                if (a != b) {
                    ck_assert_double_ge(apart, lid.spacing_mm - 1e-6);
                    spacing = fmin(spacing, apart);
                    web = fmin(web, apart - lid.hole_mm);
                }
                mirrored = mirrored || hypot(lid.lid_mm[0] - best.cup[a].x_mm - best.cup[b].x_mm, best.cup[a].y_mm - best.cup[b].y_mm) < 1e-6 ||
                           hypot(lid.lid_mm[0] - best.cup[a].x_mm - best.cup[b].x_mm,
                                 lid.lid_mm[1] - best.cup[a].y_mm - best.cup[b].y_mm) < 1e-6 ||
                           hypot(best.cup[a].x_mm - best.cup[b].x_mm, lid.lid_mm[1] - best.cup[a].y_mm - best.cup[b].y_mm) < 1e-6;
            }
            ck_assert(mirrored);
        }
        ck_assert_double_eq_tol(best.least_web_mm, web, 0.05); /* the walk's step */
        if (best.count > 1)
            ck_assert_double_eq_tol(best.least_spacing_mm, spacing, 1e-9);
    }
}
END_TEST

START_TEST(from_the_underside_the_corner_is_on_the_other_hand)
{
    struct lid lid = {{400, 300}, 0, 50, 25, 100, LID_SQUARE};
    struct lid_layout layout = laid_out(lid), turned;

    layout.cup[0].x_mm = 40.0; /* so that it is not its own mirror image */
    lid_underside(&lid, &layout, &turned);
    ck_assert_double_eq(turned.cup[0].x_mm, 360.0);
    ck_assert_double_eq(turned.cup[0].y_mm, layout.cup[0].y_mm);
    lid_underside(&lid, &turned, &turned);
    ck_assert_double_eq(turned.cup[0].x_mm, 40.0);
}
END_TEST

START_TEST(drilling_list_names_every_hole_once_and_nears_the_next)
{
    struct lid lid = {{400, 300}, 0, 50, 25, 100, LID_SQUARE};
    struct lid_layout layout = laid_out(lid);
    struct lid_mark mark[LID_CUPS];
    unsigned seen = 0;

    lid_drilling_list(&layout, mark);
    for (size_t i = 0; i < layout.count; i++) {
        seen |= 1u << (mark[i].cup - 1);
        ck_assert_double_eq_tol(mark[i].x_mm, layout.cup[mark[i].cup - 1].x_mm, 0.5);
        ck_assert_double_eq_tol(mark[i].y_mm, layout.cup[mark[i].cup - 1].y_mm, 0.5);
        ck_assert_double_eq_tol(mark[i].to_next_mm, i + 1 < layout.count ? 100.0 : 0.0, 1e-9);
    }
    ck_assert_uint_eq(seen, (1u << 12) - 1);
}
END_TEST

/* Holes that a person put too near each other or over the edge are told, not hidden. */
START_TEST(placed_by_hand_is_measured)
{
    struct lid lid = {{400, 300}, 0, 50, 25, 100, LID_SQUARE};
    struct lid_layout layout = {.count = 2, .cup = {{100, 100}, {140, 100}}};

    lid_measure(&lid, &layout);
    ck_assert_double_eq_tol(layout.least_web_mm, -10.0, 1e-9);
    layout.cup[1] = (struct lid_cup){390, 100};
    lid_measure(&lid, &layout);
    ck_assert_double_eq_tol(layout.least_web_mm, -15.0, 1e-9);
    layout.count = 0;
    lid_measure(&lid, &layout);
    ck_assert_double_eq(layout.least_web_mm, 0.0);
}
END_TEST

static const struct {
    struct lid lid;
    const char *at;
} refused[] = {
    {{{10, 300}, 0, 50, 25, 100, LID_BEST}, "/lid_mm/0"},
    {{{300, NAN}, 0, 50, 25, 100, LID_BEST}, "/lid_mm/1"},
    {{{300, 300}, 151, 50, 25, 100, LID_BEST}, "/corner_mm"},
    {{{300, 200}, 101, 50, 25, 100, LID_BEST}, "/corner_mm"},
    {{{300, 300}, -1, 50, 25, 100, LID_BEST}, "/corner_mm"},
    {{{300, 300}, 0, 0, 25, 100, LID_BEST}, "/hole_mm"},
    {{{300, 300}, 0, 50, -1, 100, LID_BEST}, "/edge_mm"},
    {{{300, 300}, 0, 50, 25, 50, LID_BEST}, "/spacing_mm"},
    {{{300, 300}, 0, 50, 25, HUGE_VAL, LID_BEST}, "/spacing_mm"},
    {{{300, 300}, 0, 50, 126, 100, LID_BEST}, ""},                                 /* not one fits */
    {{{300, 300}, 150, 50, 125.0001, 100, LID_SQUARE}, ""},                        /* nor here, in a disc */
    {{{20000, 20000}, 0, 5, 0, 6, LID_BEST}, ""},                                  /* too many by far */
    {{{2350, 2350}, 0, 50, 25, 100, LID_SQUARE}, ""},                              /* 23 x 23 = 529 */
};

START_TEST(what_is_no_lid_is_refused)
{
    struct fault fault = {0};
    struct lid_layout layout = {.count = 77};

    ck_assert_int_eq(lid_lay_out(&refused[_i].lid, &layout, &fault), -1);
    ck_assert_int_eq(fault.code, FAULT_INPUT);
    ck_assert_str_eq(fault.item[0].at, refused[_i].at);
    ck_assert_uint_eq(layout.count, 77);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("lid");
    TCase *tcase = tcase_create("lid");

    tcase_add_loop_test(tcase, cups_as_counted_by_hand, 0, COUNT(counted));
    tcase_add_test(tcase, cups_share_the_lid_evenly);
    tcase_add_test(tcase, rules_hold_for_any_lid);
    tcase_add_test(tcase, from_the_underside_the_corner_is_on_the_other_hand);
    tcase_add_test(tcase, drilling_list_names_every_hole_once_and_nears_the_next);
    tcase_add_test(tcase, placed_by_hand_is_measured);
    tcase_add_loop_test(tcase, what_is_no_lid_is_refused, 0, COUNT(refused));
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
