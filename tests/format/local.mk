# Tests of the writers: read back by programs that are not ours.
if HAVE_CHECK
FORMAT_TEST_LDADD = tests/libtest.a libtidemark-format.a libtidemark-calc.a $(CHECK_LIBS) -lm

check_PROGRAMS += tests/format/qr
tests_format_qr_SOURCES = tests/format/qr.c
tests_format_qr_CFLAGS = $(TEST_CFLAGS)
tests_format_qr_LDADD = $(FORMAT_TEST_LDADD) $(QRENCODE_LIBS)
TESTS += tests/format/qr

check_PROGRAMS += tests/format/ical
tests_format_ical_SOURCES = tests/format/ical.c
tests_format_ical_CFLAGS = $(TEST_CFLAGS)
tests_format_ical_LDADD = $(FORMAT_TEST_LDADD) $(ICAL_LIBS)
TESTS += tests/format/ical

check_PROGRAMS += tests/format/csv_out
tests_format_csv_out_SOURCES = tests/format/csv_out.c
tests_format_csv_out_CFLAGS = $(TEST_CFLAGS)
tests_format_csv_out_LDADD = $(FORMAT_TEST_LDADD)
TESTS += tests/format/csv_out

check_PROGRAMS += tests/format/csv_read
tests_format_csv_read_SOURCES = tests/format/csv_read.c
tests_format_csv_read_CFLAGS = $(TEST_CFLAGS)
tests_format_csv_read_LDADD = $(FORMAT_TEST_LDADD)
TESTS += tests/format/csv_read

check_PROGRAMS += tests/format/jpeg
tests_format_jpeg_SOURCES = tests/format/jpeg.c
tests_format_jpeg_CFLAGS = $(TEST_CFLAGS)
tests_format_jpeg_LDADD = $(FORMAT_TEST_LDADD)
TESTS += tests/format/jpeg

check_PROGRAMS += tests/format/jpeg_file
tests_format_jpeg_file_SOURCES = tests/format/jpeg_file.c
tests_format_jpeg_file_LDADD = libtidemark-format.a libtidemark-calc.a -lm
TESTS += tests/format/jpeg_outside.sh
endif

EXTRA_DIST += tests/format/jpeg_outside.sh fixtures/photos/README.md \
	fixtures/photos/baseline.jpg fixtures/photos/progressive.jpg fixtures/photos/restarts.jpg fixtures/photos/gray.jpg \
	tests/format/ical_read.py tests/format/csv_read.py tests/format/csv_write.py
