# Tests of the calculations: one program a subject, tables of published values beside them.
if HAVE_CHECK
check_LIBRARIES += tests/libtest.a
tests_libtest_a_SOURCES = tests/csv.c tests/csv.h tests/runner.c tests/runner.h
tests_libtest_a_CFLAGS = $(TEST_CFLAGS)

CALC_TEST_LDADD = tests/libtest.a libtidemark-calc.a $(CHECK_LIBS) -lm

check_PROGRAMS += tests/calc/fault
tests_calc_fault_SOURCES = tests/calc/fault.c
tests_calc_fault_CFLAGS = $(TEST_CFLAGS)
tests_calc_fault_LDADD = $(CALC_TEST_LDADD)

TESTS += tests/calc/fault

check_PROGRAMS += tests/calc/lid
tests_calc_lid_SOURCES = tests/calc/lid.c
tests_calc_lid_CFLAGS = $(TEST_CFLAGS)
tests_calc_lid_LDADD = $(CALC_TEST_LDADD)
TESTS += tests/calc/lid

check_PROGRAMS += tests/calc/dilute
tests_calc_dilute_SOURCES = tests/calc/dilute.c
tests_calc_dilute_CFLAGS = $(TEST_CFLAGS)
tests_calc_dilute_LDADD = $(CALC_TEST_LDADD)
TESTS += tests/calc/dilute

check_PROGRAMS += tests/calc/recipe
tests_calc_recipe_SOURCES = tests/calc/recipe.c
tests_calc_recipe_CFLAGS = $(TEST_CFLAGS)
tests_calc_recipe_LDADD = $(CALC_TEST_LDADD)
TESTS += tests/calc/recipe

check_PROGRAMS += tests/calc/nitrate
tests_calc_nitrate_SOURCES = tests/calc/nitrate.c
tests_calc_nitrate_CFLAGS = $(TEST_CFLAGS)
tests_calc_nitrate_LDADD = $(CALC_TEST_LDADD)
TESTS += tests/calc/nitrate

check_PROGRAMS += tests/calc/nnls
tests_calc_nnls_SOURCES = tests/calc/nnls.c
tests_calc_nnls_CFLAGS = $(TEST_CFLAGS)
tests_calc_nnls_LDADD = $(CALC_TEST_LDADD)
TESTS += tests/calc/nnls

check_PROGRAMS += tests/calc/nnls_cases
tests_calc_nnls_cases_SOURCES = tests/calc/nnls_cases.c
tests_calc_nnls_cases_CFLAGS = $(TEST_CFLAGS)
tests_calc_nnls_cases_LDADD = libtidemark-calc.a -lm
TESTS += tests/calc/nnls_against_scipy.sh

check_PROGRAMS += tests/calc/label
tests_calc_label_SOURCES = tests/calc/label.c
tests_calc_label_CFLAGS = $(TEST_CFLAGS)
tests_calc_label_LDADD = $(CALC_TEST_LDADD)
TESTS += tests/calc/label

check_PROGRAMS += tests/calc/units
tests_calc_units_SOURCES = tests/calc/units.c
tests_calc_units_CFLAGS = $(TEST_CFLAGS)
tests_calc_units_LDADD = $(CALC_TEST_LDADD)
TESTS += tests/calc/units

check_PROGRAMS += tests/calc/vessel
tests_calc_vessel_SOURCES = tests/calc/vessel.c
tests_calc_vessel_CFLAGS = $(TEST_CFLAGS)
tests_calc_vessel_LDADD = $(CALC_TEST_LDADD)
TESTS += tests/calc/vessel

check_PROGRAMS += tests/calc/salts
tests_calc_salts_SOURCES = tests/calc/salts.c
tests_calc_salts_CFLAGS = $(TEST_CFLAGS)
tests_calc_salts_LDADD = $(CALC_TEST_LDADD)
TESTS += tests/calc/salts

check_PROGRAMS += tests/calc/solution
tests_calc_solution_SOURCES = tests/calc/solution.c tests/calc/rows.c tests/calc/rows.h
tests_calc_solution_CFLAGS = $(TEST_CFLAGS)
tests_calc_solution_LDADD = $(CALC_TEST_LDADD)
TESTS += tests/calc/solution
check_PROGRAMS += tests/calc/solution_rows
tests_calc_solution_rows_SOURCES = tests/calc/solution_rows.c tests/calc/rows.c tests/calc/rows.h
tests_calc_solution_rows_CFLAGS = $(TEST_CFLAGS)
tests_calc_solution_rows_LDADD = $(CALC_TEST_LDADD)
TESTS += tests/calc/solution_rows

check_PROGRAMS += tests/calc/compare
tests_calc_compare_SOURCES = tests/calc/compare.c tests/calc/rows.c tests/calc/rows.h
tests_calc_compare_CFLAGS = $(TEST_CFLAGS)
tests_calc_compare_LDADD = $(CALC_TEST_LDADD)
TESTS += tests/calc/compare

check_PROGRAMS += tests/calc/drift
tests_calc_drift_SOURCES = tests/calc/drift.c tests/calc/rows.c tests/calc/rows.h
tests_calc_drift_CFLAGS = $(TEST_CFLAGS)
tests_calc_drift_LDADD = $(CALC_TEST_LDADD)
TESTS += tests/calc/drift

check_PROGRAMS += tests/calc/water
tests_calc_water_SOURCES = tests/calc/water.c tests/calc/rows.c tests/calc/rows.h
tests_calc_water_CFLAGS = $(TEST_CFLAGS)
tests_calc_water_LDADD = $(CALC_TEST_LDADD)
TESTS += tests/calc/water

check_PROGRAMS += tests/calc/ec_meter
tests_calc_ec_meter_SOURCES = tests/calc/ec_meter.c tests/calc/rows.c tests/calc/rows.h
tests_calc_ec_meter_CFLAGS = $(TEST_CFLAGS)
tests_calc_ec_meter_LDADD = $(CALC_TEST_LDADD)
TESTS += tests/calc/ec_meter

check_PROGRAMS += tests/calc/concentrate
tests_calc_concentrate_SOURCES = tests/calc/concentrate.c tests/calc/rows.c tests/calc/rows.h
tests_calc_concentrate_CFLAGS = $(TEST_CFLAGS)
tests_calc_concentrate_LDADD = $(CALC_TEST_LDADD)
TESTS += tests/calc/concentrate

check_PROGRAMS += tests/calc/mixing
tests_calc_mixing_SOURCES = tests/calc/mixing.c tests/calc/rows.c tests/calc/rows.h
tests_calc_mixing_CFLAGS = $(TEST_CFLAGS)
tests_calc_mixing_LDADD = $(CALC_TEST_LDADD)
TESTS += tests/calc/mixing

check_PROGRAMS += tests/calc/precipitate
tests_calc_precipitate_SOURCES = tests/calc/precipitate.c tests/calc/rows.c tests/calc/rows.h
tests_calc_precipitate_CFLAGS = $(TEST_CFLAGS)
tests_calc_precipitate_LDADD = $(CALC_TEST_LDADD)
TESTS += tests/calc/precipitate

check_PROGRAMS += tests/calc/acid
tests_calc_acid_SOURCES = tests/calc/acid.c tests/calc/rows.c tests/calc/rows.h
tests_calc_acid_CFLAGS = $(TEST_CFLAGS)
tests_calc_acid_LDADD = $(CALC_TEST_LDADD)
TESTS += tests/calc/acid
check_PROGRAMS += tests/calc/climate
tests_calc_climate_SOURCES = tests/calc/climate.c
tests_calc_climate_CFLAGS = $(TEST_CFLAGS)
tests_calc_climate_LDADD = $(CALC_TEST_LDADD)
TESTS += tests/calc/climate

check_PROGRAMS += tests/calc/outlook
tests_calc_outlook_SOURCES = tests/calc/outlook.c
tests_calc_outlook_CFLAGS = $(TEST_CFLAGS)
tests_calc_outlook_LDADD = $(CALC_TEST_LDADD)
TESTS += tests/calc/outlook

check_PROGRAMS += tests/calc/spread
tests_calc_spread_SOURCES = tests/calc/spread.c
tests_calc_spread_CFLAGS = $(TEST_CFLAGS)
tests_calc_spread_LDADD = $(CALC_TEST_LDADD)
TESTS += tests/calc/spread

check_PROGRAMS += tests/calc/topup
tests_calc_topup_SOURCES = tests/calc/topup.c
tests_calc_topup_CFLAGS = $(TEST_CFLAGS)
tests_calc_topup_LDADD = $(CALC_TEST_LDADD)
TESTS += tests/calc/topup

check_PROGRAMS += tests/calc/growth
tests_calc_growth_SOURCES = tests/calc/growth.c
tests_calc_growth_CFLAGS = $(TEST_CFLAGS)
tests_calc_growth_LDADD = $(CALC_TEST_LDADD)
TESTS += tests/calc/growth
endif

EXTRA_DIST += tests/calc/nnls_against_scipy.sh tests/calc/nnls_against_scipy.py
EXTRA_DIST += \
	fixtures/horticulture/README.md \
	fixtures/horticulture/salts-worked-examples.csv \
	fixtures/horticulture/solution-salts.csv \
	fixtures/horticulture/solutions.csv \
	fixtures/horticulture/vessels.csv

TESTS += tests/calc/library_test.sh
EXTRA_DIST += tests/calc/library_test.sh

EXTRA_DIST += \
	fixtures/chemistry/README.md \
	fixtures/chemistry/acid-worked-examples.csv \
	fixtures/chemistry/concentrate-limits.csv \
	fixtures/chemistry/facts-aqueous.csv \
	fixtures/chemistry/facts-atomic-masses.csv \
	fixtures/chemistry/facts-conductivity.csv \
	fixtures/chemistry/facts-constants-compared.csv \
	fixtures/chemistry/facts-ec-compensation.csv \
	fixtures/chemistry/facts-label.csv \
	fixtures/chemistry/facts-minerals-compared.csv \
	fixtures/chemistry/facts-minerals.csv \
	fixtures/chemistry/facts-salts.csv \
	fixtures/chemistry/facts-water.csv \
	fixtures/chemistry/measured-nutrient-samples.csv \
	fixtures/chemistry/published-ec.csv \
	fixtures/chemistry/solutions-acid.csv \
	fixtures/chemistry/solutions-citric.csv \
	fixtures/chemistry/solutions-concentrates.csv \
	fixtures/chemistry/solutions-dissolving.csv \
	fixtures/chemistry/solutions-full.csv \
	fixtures/chemistry/solutions-household.csv \
	fixtures/chemistry/solutions-mixes.csv \
	fixtures/chemistry/solutions-single-salts.csv \
	fixtures/chemistry/standards.csv \
	fixtures/chemistry/waters.csv \
	fixtures/horticulture/fao56-examples.csv \
	fixtures/horticulture/fao56-tables.csv \
	fixtures/horticulture/kc.csv fixtures/horticulture/nitrate-limits.csv \
	fixtures/horticulture/water-use.csv \
	fixtures/horticulture/passive-tank.csv \
	fixtures/horticulture/crops.csv \
	fixtures/horticulture/lettuce-greenhouse-2022/LICENCE.txt \
	fixtures/horticulture/lettuce-greenhouse-2022/climate-daily.csv \
	fixtures/horticulture/lettuce-greenhouse-2022/density.csv \
	fixtures/horticulture/lettuce-greenhouse-2022/final-harvest.csv \
	fixtures/horticulture/lettuce-greenhouse-2022/weather-daily.csv \
	fixtures/horticulture/lettuce-greenhouse-2022/weights.csv
