/* Vessels: published volumes, geometry of textbooks, and what must hold for any shape. */
#include "calc/lid.h"
#include "calc/units.h"
#include "calc/vessel.h"
#include "csv.h"
#include "runner.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define PI 3.14159265358979323846

static struct vessel_level at_waterline(const struct vessel *vessel, double waterline_mm)
{
    struct vessel_level level = {0};
    struct fault fault = {0};

    ck_assert_msg(vessel_at_waterline(vessel, waterline_mm, &level, &fault) == 0, "%s: %s", fault.item[0].at, fault.item[0].detail);
    return level;
}

static struct vessel round_of(double floor_mm, double rim_mm, double height_mm)
{
    return (struct vessel){.shape = VESSEL_ROUND, .floor_mm = {floor_mm}, .rim_mm = {rim_mm}, .height_mm = height_mm};
}

/* Rows "round tapered" of vessels.csv: school-mathematics answer pages on a bucket as a frustum, read; sources V1 to V4 of
 * fixtures/horticulture/README.md. Printed with pi as 22/7, or in units of pi.
 */
static const struct {
    const char *source_id;
    double floor_mm, rim_mm, height_mm, unit_l, printed_pi;
} buckets[] = {
    {"V1", 140, 280, 300, 1.0, 22.0 / 7.0},
    {"V2", 420, 560, 150, 1.0, 22.0 / 7.0},
    {"V3", 400, 600, 600, 1.0, 1.0},
    {"V4", 40, 100, 30, 1e-3, 1.0},
};

static size_t row_of(const struct csv *csv, const char *source_id)
{
    for (size_t row = 0; row < csv->rows; row++)
        if (strcmp(csv_text(csv, row, csv_column(csv, "source_id")), source_id) == 0)
            return row;
    ck_abort_msg("no row %s", source_id);
    return 0;
}

START_TEST(buckets_as_published)
{
    struct csv csv = csv_read(source_path("fixtures/horticulture/vessels.csv"));
    size_t row = row_of(&csv, buckets[_i].source_id);
    double exact = csv_number(&csv, row, csv_column(&csv, "exact"));
    double printed = atof(csv_text(&csv, row, csv_column(&csv, "printed"))); /* "38 pi": the number before it */
    struct vessel vessel = round_of(buckets[_i].floor_mm, buckets[_i].rim_mm, buckets[_i].height_mm);
    struct vessel_level level = at_waterline(&vessel, buckets[_i].height_mm);

    ck_assert_double_eq_tol(level.volume_l / buckets[_i].unit_l, exact, 5e-4 * (exact > 100 ? 10 : 1));
    if (strcmp(buckets[_i].source_id, "V4") == 0) {
        /* Wrong as published: 21 pi comes of pi h (R^2 - r^2) / 3, which takes the small base off. The same bucket as a stack
         * of 3000 discs, counted below, is 39 pi.
         */
        double discs = 0.0;

        for (int i = 0; i < 3000; i++) {
            double r = 2.0 + 3.0 * (i + 0.5) / 3000.0;

            discs += PI * r * r * 0.001;
        }
        ck_assert_double_eq_tol(printed, 3.0 * (5.0 * 5.0 - 2.0 * 2.0) / 3.0, 1e-12);
        ck_assert_double_eq_tol(discs, 39.0 * PI, 1e-4);
        ck_assert_double_eq_tol(level.volume_l * 1e3, 39.0 * PI, 1e-9);
    } else {
        ck_assert_double_eq_tol(level.volume_l / PI * buckets[_i].printed_pi, printed, 0.005);
    }
    csv_free(&csv);
}
END_TEST

static const struct vessel tapered = {
    .shape = VESSEL_BOX, .floor_mm = {500, 300}, .rim_mm = {580, 390}, .height_mm = 320, .corner_mm = 45};

/* Solid geometry, textbook: a cylinder, a prism, a frustum of a pyramid h/3 (A + sqrt(AB) + B), a prismatoid
 * h/6 (A + 4 M + B), which is exact for any box with flat walls.
 */
START_TEST(boxes_as_in_textbooks)
{
    struct vessel prism = {.shape = VESSEL_BOX, .floor_mm = {600, 400}, .rim_mm = {600, 400}, .height_mm = 300, .corner_mm = NAN};
    struct vessel cylinder = {.shape = VESSEL_BOX, .floor_mm = {300, 300}, .rim_mm = {300, 300}, .height_mm = 250, .corner_mm = 150};
    struct vessel pyramid = {.shape = VESSEL_BOX, .floor_mm = {200, 400}, .rim_mm = {300, 600}, .height_mm = 300};
    struct vessel_level level;
    double cut = (4.0 - PI) * 45 * 45;

    level = at_waterline(&prism, 100);
    ck_assert_double_eq_tol(level.volume_l, 24.0, 1e-12);
    ck_assert_double_eq_tol(level.surface_cm2, 2400.0, 1e-9);
    ck_assert_double_eq_tol(level.brim_l, 72.0, 1e-12);
    level = at_waterline(&cylinder, 250);
    ck_assert_double_eq_tol(level.volume_l, PI * 1.5 * 1.5 * 2.5, 1e-12);
    ck_assert_double_eq_tol(level.surface_cm2, PI * 15 * 15, 1e-9);
    level = at_waterline(&pyramid, 300);
    ck_assert_double_eq_tol(level.volume_l, 3.0 / 3.0 * (8.0 + sqrt(8.0 * 18.0) + 18.0), 1e-12);
    level = at_waterline(&tapered, 320);
    ck_assert_double_eq_tol(level.volume_l,
                            3.2 / 6.0 * (500 * 300 - cut + 4.0 * (540 * 345 - cut) + 580 * 390 - cut) * 1e-4, 1e-9);
    ck_assert_double_eq(level.volume_l, level.brim_l);
}
END_TEST

/* A litre of solution weighs a kilogram, to a quarter of a percent: water at 20 C, vessels.csv, from memory. */
START_TEST(weight_as_of_water)
{
    struct csv csv = csv_read(source_path("fixtures/horticulture/vessels.csv"));
    double kg_per_l = NAN;

    for (size_t row = 0; row < csv.rows; row++)
        if (strcmp(csv_text(&csv, row, csv_column(&csv, "given")), "water at 20 C") == 0)
            kg_per_l = csv_number(&csv, row, csv_column(&csv, "printed"));
    ck_assert_double_eq_tol(at_waterline(&tapered, 300).solution_kg / at_waterline(&tapered, 300).volume_l, kg_per_l, 0.0025);
    csv_free(&csv);
}
END_TEST

/* ------------------------------------------------------------------- poured */

static const struct vessel_point pours[] = {{20, 1.5}, {60, 8}, {150, 21}, {260, 39.5}, {330, 44}};
static const struct vessel poured = {.shape = VESSEL_POURED, .points = pours, .point_count = COUNT(pours)};

/* Computed with PchipInterpolator of scipy 1.10.1 (Debian python3-scipy), the same method by other hands; points invented. */
static const struct {
    double waterline_mm, volume_l, slope_l_mm;
} pchip[] = {
    {5, 0.270847963483, 0.062157654494},
    {20, 1.500000000000, 0.098595505618},
    {33, 3.257931906569, 0.164218747866},
    {60, 8.000000000000, 0.154103343465},
    {100, 13.792577407244, 0.139522378317},
    {149, 20.845320220916, 0.154342450464},
    {200, 30.182038588145, 0.193396652633},
    {259, 39.408431007026, 0.093094389362},
    {300, 42.656409396337, 0.062999536336},
    {330, 44.000000000000, 0.023881673882},
};

START_TEST(poured_as_another_library_draws_it)
{
    struct vessel_level level = at_waterline(&poured, pchip[_i].waterline_mm);

    ck_assert_double_eq_tol(level.volume_l, pchip[_i].volume_l, 1e-11);
    ck_assert_double_eq_tol(level.surface_cm2 / 1e4, pchip[_i].slope_l_mm, 1e-11);
}
END_TEST

/* A tapered box, calibrated by eight pours, is the box again within 0.2 % of its brim: our bound. */
START_TEST(poured_follows_a_known_shape)
{
    struct vessel_point point[8];
    struct vessel calibrated = {.shape = VESSEL_POURED, .points = point, .point_count = COUNT(point)};

    for (size_t i = 0; i < COUNT(point); i++) {
        point[i].waterline_mm = 40.0 * (double)(i + 1);
        point[i].volume_l = at_waterline(&tapered, point[i].waterline_mm).volume_l;
    }
    for (double z = 0.0; z <= 320.0; z += 7.0)
        ck_assert_double_eq_tol(at_waterline(&calibrated, z).volume_l, at_waterline(&tapered, z).volume_l,
                                0.002 * at_waterline(&tapered, 320.0).volume_l);
}
END_TEST

START_TEST(two_pours_make_a_straight_line)
{
    struct vessel_point point[] = {{0, 2}, {100, 12}}; /* two litres that never leave: a ribbed floor */
    struct vessel vessel = {.shape = VESSEL_POURED, .points = point, .point_count = 2};
    struct vessel_level level;
    struct fault fault = {0};

    ck_assert_double_eq_tol(at_waterline(&vessel, 25).volume_l, 4.5, 1e-12);
    ck_assert_int_eq(vessel_at_volume(&vessel, 2.0, &level, &fault), 0);
    ck_assert_double_eq_tol(level.waterline_mm, 0.0, 1e-9);
    ck_assert_int_eq(vessel_at_volume(&vessel, 1.9, &level, &fault), -1);
    ck_assert_str_eq(fault.item[0].at, "/volume_l");
}
END_TEST

/* Found by tests/fuzz: about the kinks of this table (invented) plain Newton goes round in a circle, 15 mm beside the root, for eight
 * of these waterlines.
 */
START_TEST(a_kinked_table_goes_there_and_back)
{
    struct vessel_point point[] = {{83, 3.6}, {101, 12.4}, {111, 15.4}, {160, 22.8}, {163, 27.6}, {237, 35.6}, {304, 40.4}, {349, 42.4}};
    struct vessel vessel = {.shape = VESSEL_POURED, .points = point, .point_count = COUNT(point)};
    struct vessel_level level;

    for (double z = 0.0; z <= 349.0; z += 0.01) {
        ck_assert_int_eq(vessel_at_volume(&vessel, at_waterline(&vessel, z).volume_l, &level, 0), 0);
        ck_assert_double_eq_tol(level.waterline_mm, z, 1e-6);
    }
}
END_TEST

/* Cups as wide as the water between two pours (a waist, 0.02 L/mm) would leave no room for solution. */
START_TEST(cups_do_not_fit_into_a_waist)
{
    struct vessel_point point[] = {{100, 20}, {200, 40}, {220, 40.4}, {240, 44}, {260, 48}};
    struct vessel vessel = {.shape = VESSEL_POURED, .points = point, .point_count = COUNT(point)};
    struct vessel_cups cups = {6, 76, 76, 55, 0.5};
    struct vessel_start start;
    struct fault fault = {0};

    ck_assert_int_eq(vessel_start(&vessel, &cups, &start, &fault), -1);
    ck_assert_str_eq(fault.item[0].at, "/cup/top_mm");
    cups.height_mm = 30; /* above the waist */
    ck_assert_int_eq(vessel_start(&vessel, &cups, &start, 0), 0);
}
END_TEST

/* --------------------------------------------------------------- any shape */

static const struct vessel *shape_of(int i)
{
    static const struct vessel bucket = {.shape = VESSEL_ROUND, .floor_mm = {260}, .rim_mm = {300}, .height_mm = 356};
    static const struct vessel jug = {.shape = VESSEL_ROUND, .floor_mm = {300}, .rim_mm = {60}, .height_mm = 400};
    static const struct vessel *const shapes[] = {&tapered, &bucket, &jug, &poured};

    return shapes[i];
}

START_TEST(there_and_back)
{
    const struct vessel *vessel = shape_of(_i);
    double height = vessel_height_mm(vessel), before = -1.0;
    struct vessel_cups cups = {.count = 3, .height_mm = 50, .top_mm = 30, .bottom_mm = 20, .medium_fraction = 0.6};

    for (int step = 0; step <= 1000; step++) {
        double z = height * step / 1000.0, solution_l = NAN, back = NAN;
        struct vessel_level level = at_waterline(vessel, z), found;

        ck_assert_double_gt(level.volume_l, before);
        before = level.volume_l;
        ck_assert_int_eq(vessel_at_volume(vessel, level.volume_l, &found, 0), 0);
        ck_assert_double_eq_tol(found.waterline_mm, z, 1e-6);
        ck_assert_int_eq(vessel_solution_l(vessel, &cups, z, &solution_l, 0), 0);
        ck_assert_double_le(solution_l, level.volume_l);
        ck_assert_int_eq(vessel_solution_waterline_mm(vessel, &cups, solution_l, &back, 0), 0);
        ck_assert_double_eq_tol(back, z, 1e-6);
    }
}
END_TEST

/* The surface is the slope of the volume: a waterline that fell by 1 mm. */
START_TEST(surface_is_the_slope_of_the_volume)
{
    const struct vessel *vessel = shape_of(_i);
    double height = vessel_height_mm(vessel);

    for (double z = 1.0; z < height - 1.0; z += 3.7) {
        double slope = (at_waterline(vessel, z + 1e-3).volume_l - at_waterline(vessel, z - 1e-3).volume_l) / 2e-3;

        ck_assert_double_eq_tol(at_waterline(vessel, z).surface_cm2 / 1e4, slope, 2e-5);
    }
}
END_TEST

/* ------------------------------------------------------------------- refused */

static const struct vessel_point falling[] = {{50, 5}, {100, 5}, {150, 9}}, unsorted[] = {{50, 5}, {40, 6}}, dry[] = {{50, 0}, {60, 1}};

static const struct {
    struct vessel vessel;
    const char *at;
} refused[] = {
    {{.shape = VESSEL_BOX, .floor_mm = {0, 300}, .rim_mm = {580, 390}, .height_mm = 320}, "/floor_mm/0"},
    {{.shape = VESSEL_BOX, .floor_mm = {500, NAN}, .rim_mm = {580, 390}, .height_mm = 320}, "/floor_mm/1"},
    {{.shape = VESSEL_BOX, .floor_mm = {500, 300}, .rim_mm = {-580, 390}, .height_mm = 320}, "/rim_mm/0"},
    {{.shape = VESSEL_BOX, .floor_mm = {500, 300}, .rim_mm = {580, 20001}, .height_mm = 320}, "/rim_mm/1"},
    {{.shape = VESSEL_BOX, .floor_mm = {500, 300}, .rim_mm = {580, 390}, .height_mm = HUGE_VAL}, "/height_mm"},
    {{.shape = VESSEL_BOX, .floor_mm = {500, 300}, .rim_mm = {580, 390}, .height_mm = 320, .corner_mm = 150.1}, "/corner_mm"},
    {{.shape = VESSEL_BOX, .floor_mm = {500, 300}, .rim_mm = {580, 200}, .height_mm = 320, .corner_mm = 101}, "/corner_mm"},
    {{.shape = VESSEL_BOX, .floor_mm = {500, 300}, .rim_mm = {580, 390}, .height_mm = 320, .corner_mm = -1}, "/corner_mm"},
    {{.shape = VESSEL_ROUND, .floor_mm = {4}, .rim_mm = {300}, .height_mm = 300}, "/floor_mm"},
    {{.shape = VESSEL_ROUND, .floor_mm = {300}, .rim_mm = {NAN}, .height_mm = 300}, "/rim_mm"},
    {{.shape = VESSEL_ROUND, .floor_mm = {300}, .rim_mm = {300}, .height_mm = 0}, "/height_mm"},
    {{.shape = VESSEL_POURED, .points = falling, .point_count = COUNT(falling)}, "/points/1"},
    {{.shape = VESSEL_POURED, .points = unsorted, .point_count = COUNT(unsorted)}, "/points/1"},
    {{.shape = VESSEL_POURED, .points = dry, .point_count = COUNT(dry)}, "/points/0"},
    {{.shape = VESSEL_POURED, .points = pours, .point_count = 1}, "/points"},
    {{.shape = VESSEL_POURED, .points = pours, .point_count = 65}, "/points"},
    {{.shape = VESSEL_POURED, .points = 0, .point_count = 3}, "/points"},
    {{.shape = VESSEL_POURED, .points = pours, .point_count = COUNT(pours), .height_mm = 320}, "/height_mm"},
    {{.shape = (enum vessel_shape)3}, "/shape"},
};

START_TEST(what_is_no_vessel_is_refused)
{
    struct fault fault = {0};
    struct vessel_level level = {.volume_l = 7.0};

    ck_assert_int_eq(vessel_check(&refused[_i].vessel, &fault), -1);
    ck_assert_int_eq(fault.code, FAULT_INPUT);
    ck_assert_uint_eq(fault.count, 1);
    ck_assert_str_eq(fault.item[0].at, refused[_i].at);
    ck_assert_int_eq(vessel_at_waterline(&refused[_i].vessel, 10, &level, 0), -1);
    ck_assert_int_eq(vessel_at_volume(&refused[_i].vessel, 1, &level, 0), -1);
    ck_assert_double_eq(level.volume_l, 7.0);
}
END_TEST

START_TEST(every_fault_of_a_shape_is_told)
{
    struct vessel vessel = {.shape = VESSEL_BOX, .floor_mm = {0, NAN}, .rim_mm = {580, 390}, .height_mm = -1};
    struct fault fault = {0};

    ck_assert_int_eq(vessel_check(&vessel, &fault), -1);
    ck_assert_uint_eq(fault.count, 3);
}
END_TEST

START_TEST(levels_out_of_the_vessel_are_refused)
{
    static const double waterlines[] = {-0.1, 320.1, NAN, HUGE_VAL};
    struct vessel_level level;
    double brim_l = at_waterline(&tapered, 0).brim_l;
    double volumes[] = {-0.1, brim_l * 1.001, NAN, HUGE_VAL};

    for (size_t i = 0; i < COUNT(waterlines); i++) {
        struct fault fault = {0};

        ck_assert_int_eq(vessel_at_waterline(&tapered, waterlines[i], &level, &fault), -1);
        ck_assert_str_eq(fault.item[0].at, "/waterline_mm");
        fault = (struct fault){0};
        ck_assert_int_eq(vessel_at_volume(&tapered, volumes[i], &level, &fault), -1);
        ck_assert_str_eq(fault.item[0].at, "/volume_l");
    }
    ck_assert_int_eq(vessel_at_volume(&tapered, brim_l, &level, 0), 0);
    ck_assert_int_eq(vessel_at_volume(&tapered, 0.0, &level, 0), 0);
}
END_TEST

/* ---------------------------------------------------------------------- cups */

START_TEST(cups_displace_what_hangs_below_the_waterline)
{
    /* Ten solid cylinders of 50 mm, 60 mm high, in a box of 600 x 400 x 300: wholly, half, not at all in. */
    struct vessel prism = {.shape = VESSEL_BOX, .floor_mm = {600, 400}, .rim_mm = {600, 400}, .height_mm = 300};
    struct vessel_cups cups = {.count = 10, .height_mm = 60, .top_mm = 50, .bottom_mm = 50, .medium_fraction = 1.0};
    double litre_each = PI / 4.0 * 0.5 * 0.5 * 0.6, displaced_l = NAN;
    struct vessel_start start;

    ck_assert_int_eq(vessel_displaced_l(&prism, &cups, 300, &displaced_l, 0), 0);
    ck_assert_double_eq_tol(displaced_l, 10 * litre_each, 1e-12);
    ck_assert_int_eq(vessel_displaced_l(&prism, &cups, 270, &displaced_l, 0), 0);
    ck_assert_double_eq_tol(displaced_l, 5 * litre_each, 1e-12);
    ck_assert_int_eq(vessel_displaced_l(&prism, &cups, 240, &displaced_l, 0), 0);
    ck_assert_double_eq(displaced_l, 0.0);
    ck_assert_int_eq(vessel_start(&prism, &cups, &start, 0), 0);
    ck_assert_double_eq_tol(start.waterline_mm, 270, 1e-12);
    ck_assert_double_eq_tol(start.volume_l, 64.8, 1e-12);
    ck_assert_double_eq_tol(start.solution_l, 64.8 - 5 * litre_each, 1e-12);
    cups.medium_fraction = 0.0; /* an empty mesh */
    ck_assert_int_eq(vessel_start(&prism, &cups, &start, 0), 0);
    ck_assert_double_eq_tol(start.solution_l, 64.8, 1e-12);
}
END_TEST

START_TEST(cups_that_cannot_be_are_refused)
{
    static const struct {
        struct vessel_cups cups;
        const char *at;
    } rows[] = {
        {{6, 400, 76, 55, 0.5}, "/cup/height_mm"},  {{6, NAN, 76, 55, 0.5}, "/cup/height_mm"},
        {{6, 76, 0, 55, 0.5}, "/cup/top_mm"},       {{6, 76, 76, NAN, 0.5}, "/cup/bottom_mm"},
        {{6, 76, 76, 55, 1.1}, "/cup/medium_fraction"}, {{6, 76, 76, 55, NAN}, "/cup/medium_fraction"},
        {{60, 76, 76, 55, 0.5}, "/cup/top_mm"}, /* sixty of them do not go into this vessel side by side */
    };
    struct vessel_start start = {.solution_l = 7.0};

    for (size_t i = 0; i < COUNT(rows); i++) {
        struct fault fault = {0};

        ck_assert_int_eq(vessel_start(&tapered, &rows[i].cups, &start, &fault), -1);
        ck_assert_str_eq(fault.item[0].at, rows[i].at);
    }
    ck_assert_double_eq(start.solution_l, 7.0);
}
END_TEST

/* Four long cups of 100 mm stand side by side under a wide rim, but not in a foot of 150 mm: and the other way up. */
START_TEST(cups_fit_where_the_vessel_is_narrowest)
{
    struct vessel funnel = {.shape = VESSEL_ROUND, .floor_mm = {150}, .rim_mm = {500}, .height_mm = 400}, jug = funnel;
    struct vessel_cups shallow = {4, 60, 100, 100, 0.5}, deep = {4, 390, 100, 100, 0.5};

    ck_assert_int_eq(vessel_cups_check(&funnel, &shallow, 0), 0);
    ck_assert_int_eq(vessel_cups_check(&funnel, &deep, 0), -1);
    jug.floor_mm[0] = 500;
    jug.rim_mm[0] = 150;
    ck_assert_int_eq(vessel_cups_check(&jug, &shallow, 0), -1);
}
END_TEST

/* Poured up to 330 mm, the lid at 420 mm: nobody knows the volume at the start, 382 mm. */
START_TEST(a_poured_table_must_reach_the_start)
{
    struct vessel high = poured;
    struct vessel_cups cups = {3, 76, 50, 40, 0.5};
    struct vessel_start start;
    struct fault fault = {0};

    high.height_mm = 420;
    ck_assert_int_eq(vessel_start(&high, &cups, &start, &fault), -1);
    ck_assert_str_eq(fault.item[0].at, "/points");
    high.height_mm = 360;
    ck_assert_int_eq(vessel_start(&high, &cups, &start, 0), 0);
    ck_assert_double_eq_tol(start.waterline_mm, 322, 1e-12);
}
END_TEST

/* A trade habit: a tote sold as 27 US gal takes 25 US gal when filled to half-way up 3 in (76 mm) cups hung in its
 * lid; six plants share that fill; the holes are drilled with a 3 in saw; it weighs about 95 kg. Common practice, no source.
 *
 * No inner measures are known. Assumed here (ours): 620 x 400 mm at the floor, 700 x 450 mm at the rim, 383 mm high, corners of
 * 45 mm; cups 55 mm wide at the bottom, half of their inside solid; holes 40 mm from the edge and 230 mm apart.
 *
 * The figures pin each other down: half a cup is 38 mm, and over a rim of 0.3 m2 that is 12 L, 3 US gal. So 25 US gal at the
 * start mean some 28 US gal to the brim; "27" is then a rounded or usable figure, as container sizes commonly are.
 */
START_TEST(tote_of_common_practice_holds_together)
{
    struct vessel tote = {.shape = VESSEL_BOX, .floor_mm = {620, 400}, .rim_mm = {700, 450}, .height_mm = 383, .corner_mm = 45};
    double cup_mm = units_to_base(UNIT_IN, 3.0);
    struct vessel_cups cups = {.count = 6, .height_mm = cup_mm, .top_mm = cup_mm, .bottom_mm = 55, .medium_fraction = 0.5};
    struct lid lid = {.lid_mm = {700, 450}, .corner_mm = 45, .hole_mm = cup_mm, .edge_mm = 40, .spacing_mm = 230, .pattern = LID_BEST};
    struct vessel_start start;
    struct lid_layout layout;

    ck_assert_double_eq_tol(cup_mm, 76.0, 0.5);
    ck_assert_int_eq(vessel_start(&tote, &cups, &start, 0), 0);
    ck_assert_double_eq_tol(start.waterline_mm, 383 - 38.1, 1e-9);
    ck_assert_double_eq_tol(units_from_base(UNIT_US_GAL, start.solution_l), 25.0, 0.1);
    ck_assert_double_ge(units_from_base(UNIT_US_GAL, start.brim_l), 27.0);
    ck_assert_double_le(units_from_base(UNIT_US_GAL, start.brim_l), 28.5);
    ck_assert_double_eq_tol(start.solution_kg, 95.0, 1.0);
    ck_assert_int_eq(lid_lay_out(&lid, &layout, 0), 0);
    ck_assert_uint_eq(layout.count, cups.count);
    ck_assert_double_gt(layout.least_web_mm, 40.0);
    /* 15.8 L a plant: above the 3 to 6 L that one lettuce drinks to harvest (University of Hawaii CTAHR, VC-1 (2010), by a page
     * that repeats it), so six may share it.
     */
    ck_assert_double_gt(start.solution_l / 6.0, 6.0);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("vessel");
    TCase *tcase = tcase_create("vessel");

    tcase_add_loop_test(tcase, buckets_as_published, 0, COUNT(buckets));
    tcase_add_test(tcase, boxes_as_in_textbooks);
    tcase_add_test(tcase, weight_as_of_water);
    tcase_add_loop_test(tcase, poured_as_another_library_draws_it, 0, COUNT(pchip));
    tcase_add_test(tcase, poured_follows_a_known_shape);
    tcase_add_test(tcase, two_pours_make_a_straight_line);
    tcase_add_test(tcase, a_kinked_table_goes_there_and_back);
    tcase_add_test(tcase, cups_do_not_fit_into_a_waist);
    tcase_add_loop_test(tcase, there_and_back, 0, 4);
    tcase_add_loop_test(tcase, surface_is_the_slope_of_the_volume, 0, 4);
    tcase_add_loop_test(tcase, what_is_no_vessel_is_refused, 0, COUNT(refused));
    tcase_add_test(tcase, every_fault_of_a_shape_is_told);
    tcase_add_test(tcase, levels_out_of_the_vessel_are_refused);
    tcase_add_test(tcase, cups_displace_what_hangs_below_the_waterline);
    tcase_add_test(tcase, cups_that_cannot_be_are_refused);
    tcase_add_test(tcase, cups_fit_where_the_vessel_is_narrowest);
    tcase_add_test(tcase, a_poured_table_must_reach_the_start);
    tcase_add_test(tcase, tote_of_common_practice_holds_together);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
