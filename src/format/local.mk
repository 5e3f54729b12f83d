# Writers of formats that others read: pure, no store, no rules.
noinst_LIBRARIES += libtidemark-format.a
libtidemark_format_a_SOURCES = \
	src/format/csv.c src/format/csv.h \
	src/format/csv_read.c src/format/csv_read.h \
	src/format/html.c src/format/html.h \
	src/format/ical.c src/format/ical.h \
	src/format/jpeg.c src/format/jpeg.h \
	src/format/qr.c src/format/qr.h
libtidemark_format_a_CFLAGS = $(AM_CFLAGS) $(QRENCODE_CFLAGS) $(ICAL_CFLAGS)
