# The grower's rules over log and calculation.
noinst_LIBRARIES += libtidemark-garden.a
libtidemark_garden_a_SOURCES = \
	src/garden/advice.c src/garden/advice.h \
	src/garden/areas.c src/garden/areas.h \
	src/garden/backup.c src/garden/backup.h src/garden/backup_watch.c \
	src/garden/calendar.c src/garden/calendar.h \
	src/garden/cheapest.c src/garden/cheapest.h \
	src/garden/clock.c src/garden/clock.h \
	src/garden/crops.c src/garden/crops.h \
	src/garden/doubts.c \
	src/garden/putoffs.c src/garden/putoffs.h \
	src/garden/feeds.c src/garden/feeds.h \
	src/garden/duties.c src/garden/duties.h \
	src/garden/fills.c src/garden/fills.h \
	src/garden/garden.c src/garden/garden.h \
	src/garden/harvests.c src/garden/harvests.h \
	src/garden/import_garden.c src/garden/import_garden.h \
	src/garden/jobs.c src/garden/jobs.h \
	src/garden/lessons.c src/garden/lessons.h \
	src/garden/log.c src/garden/log.h \
	src/garden/meters.c src/garden/meters.h \
	src/garden/mix.c src/garden/mix.h \
	src/garden/mixes.c src/garden/mixes.h \
	src/garden/nitrate.c src/garden/nitrate.h \
	src/garden/past_readings.c src/garden/past_readings.h \
	src/garden/people.c src/garden/people.h src/garden/people_cache.c src/garden/people_cache.h \
	src/garden/photos.c src/garden/photos.h \
	src/garden/place.c src/garden/place.h \
	src/garden/readings.c src/garden/readings.h \
	src/garden/readings_import.c src/garden/readings_import.h \
	src/garden/refill.c src/garden/refill.h \
	src/garden/resend.c src/garden/resend.h \
	src/garden/rounds.c src/garden/rounds.h src/garden/round_make.c \
	src/garden/round_days.c src/garden/round_days.h \
	src/garden/seasons.c src/garden/seasons.h \
	src/garden/shelf.c src/garden/shelf.h \
	src/garden/standing.c src/garden/standing.h src/garden/standing_cache.c \
	src/garden/standing_keeper.c src/garden/standing_keeper.h \
	src/garden/standing_pack.c src/garden/standing_pack.h \
	src/garden/tank_drift.c src/garden/tank_drift.h \
	src/garden/tank_log.c src/garden/tank_log.h \
	src/garden/successions.c src/garden/successions.h src/garden/succession.c src/garden/succession.h src/garden/succession_place.c src/garden/succession_place.h \
	src/garden/tank_state.c src/garden/tank_state.h \
	src/garden/targets.c src/garden/targets.h \
	src/garden/token.c src/garden/token.h \
	src/garden/waters.c src/garden/waters.h \
	src/garden/walk.c src/garden/walk.h \
	src/garden/weather.c src/garden/weather.h
libtidemark_garden_a_CFLAGS = $(AM_CFLAGS) $(SQLITE_CFLAGS) $(ICAL_CFLAGS) $(SODIUM_CFLAGS)
