# The store: the only place with SQL. A migration is listed like a source file.
noinst_LIBRARIES += libtidemark-store.a
libtidemark_store_a_SOURCES = \
	src/store/arena.c src/store/arena.h \
	src/store/areas.c src/store/areas.h \
	src/store/backup.c src/store/backup.h src/store/backup_files.c src/store/backup_files.h \
	src/store/connection.h src/store/statements.c \
	src/store/corrections.c src/store/corrections.h \
	src/store/crops.c src/store/crops.h \
	src/store/doubts.c src/store/doubts.h \
	src/store/putoffs.c src/store/putoffs.h \
	src/store/duties.c src/store/duties.h \
	src/store/entries.c src/store/entries.h \
	src/store/feeds.c src/store/feeds.h \
	src/store/gardens.c src/store/gardens.h \
	src/store/members.c src/store/members.h \
	src/store/harvests.c src/store/harvests.h \
	src/store/lessons.c src/store/lessons.h \
	src/store/meters.c src/store/meters.h \
	src/store/mixes.c src/store/mixes.h \
	src/store/migrations.c src/store/migrations.h \
	src/store/photos.c src/store/photos.h \
	src/store/portable.c src/store/portable.h \
	src/store/queries.c \
	src/store/rounds.c src/store/rounds.h \
	src/store/round_days.c src/store/round_days.h \
	src/store/rows.c src/store/rows.h \
	src/store/salts.c src/store/salts.h \
	src/store/sensed.c src/store/sensed.h \
	src/store/sensed_imports.c src/store/sensed_imports.h \
	src/store/standings.c src/store/standings.h \
	src/store/sheet.c src/store/sheet.h \
	src/store/stage.c src/store/stage.h \
	src/store/store.c src/store/store.h \
	src/store/successions.c src/store/successions.h \
	src/store/tanks.c src/store/tanks.h \
	src/store/targets.c src/store/targets.h \
	src/store/vessels.c src/store/vessels.h \
	src/store/waters.c src/store/waters.h \
	src/store/0001.sql src/store/0002.sql src/store/0003.sql src/store/0004.sql src/store/0005.sql src/store/0006.sql src/store/0007.sql src/store/0008.sql src/store/0009.sql src/store/0010.sql src/store/0011.sql src/store/0012.sql src/store/0013.sql src/store/0014.sql src/store/0015.sql
libtidemark_store_a_CFLAGS = $(AM_CFLAGS) $(SQLITE_CFLAGS)
