# The calculations: pure C, no library but the C library. Others can link it.
lib_LIBRARIES += libtidemark-calc.a
libtidemark_calc_a_SOURCES = \
	src/calc/fault.c src/calc/fault.h \
	src/calc/dilute.c src/calc/dilute.h \
	src/calc/label.c src/calc/label.h \
	src/calc/lid.c src/calc/lid.h \
	src/calc/nitrate.c src/calc/nitrate.h \
	src/calc/nnls.c src/calc/nnls.h \
	src/calc/recipe.c src/calc/recipe.h \
	src/calc/recipe_why.c src/calc/recipe_rows.h \
	src/calc/units.c src/calc/units.h \
	src/calc/vessel.c src/calc/vessel.h \
	src/calc/climate.c src/calc/climate.h \
	src/calc/crops.c src/calc/crops.h \
	src/calc/days.c src/calc/days.h \
	src/calc/canopy.c src/calc/canopy.h \
	src/calc/outlook.c src/calc/outlook.h src/calc/outlook_inside.h \
	src/calc/outlook_check.c src/calc/outlook_harvest.c \
	src/calc/outlook_learn.c src/calc/outlook_mixture.c src/calc/outlook_place.c src/calc/outlook_world.c \
	src/calc/planning.c src/calc/planning.h \
	src/calc/spread.c src/calc/spread.h \
	src/calc/targets.c src/calc/targets.h \
	src/calc/topup.c src/calc/topup.h

calcincludedir = $(includedir)/tidemark/calc
calcinclude_HEADERS = \
	src/calc/fault.h \
	src/calc/dilute.h \
	src/calc/label.h \
	src/calc/lid.h \
	src/calc/nnls.h \
	src/calc/recipe.h \
	src/calc/units.h \
	src/calc/vessel.h \
	src/calc/climate.h \
	src/calc/crops.h \
	src/calc/days.h \
	src/calc/canopy.h \
	src/calc/outlook.h \
	src/calc/planning.h \
	src/calc/spread.h \
	src/calc/targets.h \
	src/calc/topup.h

# Solution chemistry
libtidemark_calc_a_SOURCES += \
	src/calc/acid.c \
	src/calc/precipitate.c \
	src/calc/mixing.c \
	src/calc/concentrate.c \
	src/calc/ec_meter.c \
	src/calc/water.c \
	src/calc/drift.c \
	src/calc/compare.c \
	src/calc/ions.c \
	src/calc/salts.c \
	src/calc/solution.c src/calc/solution_build.c \
	src/calc/solution_data.c src/calc/solution_data.h \
	src/calc/solution_newton.c src/calc/solution_tell.c src/calc/solution_work.h

calcinclude_HEADERS += \
	src/calc/acid.h \
	src/calc/compare.h \
	src/calc/concentrate.h \
	src/calc/drift.h \
	src/calc/ec_meter.h \
	src/calc/ions.h \
	src/calc/mixing.h \
	src/calc/precipitate.h \
	src/calc/salts.h \
	src/calc/solution.h \
	src/calc/water.h

pkgconfig_DATA = src/calc/libtidemark-calc.pc
EXTRA_DIST += src/calc/libtidemark-calc.pc.in tests/calc/library_example.c
