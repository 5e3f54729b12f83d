#!/bin/sh
# A position and all else that exiftool (Debian libimage-exiftool-perl) can write into a picture is gone after stripping, by what
# exiftool finds then; and djpeg (Debian libjpeg-turbo-progs) draws the same pixels from it. Skipped where one is missing, not in CI.
for tool in exiftool djpeg jpegtran; do
  command -v $tool >/dev/null && continue
  if [ "${CI:-}" = true ]; then
    echo "$tool is missing, and in CI this comparison may not be skipped (apt: libimage-exiftool-perl libjpeg-turbo-progs)"
    exit 1
  fi
  echo "skipped: no $tool here (apt: libimage-exiftool-perl libjpeg-turbo-progs)"
  exit 77
done
set -eu
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
passed=0 failed=0

check() { # WHAT COMMAND ...
  what=$1
  shift
  if "$@"; then passed=$((passed + 1)); else failed=$((failed + 1)); echo "not so: $what"; fi
}
groups() { exiftool -a -G1 -s -ee "$1" | sed 's/^\[\([^]]*\)\].*/\1/' | sort -u; }
says_where() { exiftool -a -s -ee "$1" | grep -q GPS; }
says_nothing() { [ -z "$(groups "$1" | grep -v -e '^ExifTool$' -e '^System$' -e '^File$' -e '^JFIF$' -e '^Composite$')" ] && ! says_where "$1" && ! grep -aq -e SECRET -e Exif "$1"; }
same_pixels() { djpeg -bmp "$1" >"$work/a.bmp" && djpeg -bmp "$2" >"$work/b.bmp" && cmp -s "$work/a.bmp" "$work/b.bmp"; }

for name in baseline progressive restarts gray; do
  clean=$TIDEMARK_SRCDIR/fixtures/photos/$name.jpg
  full=$work/$name.jpg
  left=$work/$name.left.jpg
  cp "$clean" "$full"
  exiftool -q -overwrite_original -GPSLatitude=47.1 -GPSLatitudeRef=N -GPSLongitude=15.4 -GPSLongitudeRef=E -GPSAltitude=353 \
    -Make=SECRET -Model=SECRET -Orientation#=6 -DateTimeOriginal='2026:05:01 07:30:00' -XMP:City=SECRET -XMP-exif:GPSLatitude=47.1 \
    -IPTC:City=SECRET -Comment=SECRET "-ThumbnailImage<=$clean" "$full"
  cat "$full" >>"$full.two" && cat "$full" "$full.two" >"$full.both" && mv "$full.both" "$full" # a second picture behind the end
  check "$name: exiftool wrote a position into it" says_where "$full"
  check "$name: it is taken" ./tests/format/jpeg_file "$full" "$left"
  check "$name: exiftool finds nothing but the picture" says_nothing "$left"
  check "$name: djpeg draws the same pixels" same_pixels "$clean" "$left"
done
# A lossless turn by another program, with its Adobe note or without, is a picture like any other.
jpegtran -rotate 90 -copy all "$work/baseline.jpg" >"$work/turned.jpg" 2>/dev/null
check "turned by jpegtran: it is taken" ./tests/format/jpeg_file "$work/turned.jpg" "$work/turned.left.jpg"
check "turned by jpegtran: the same pixels" same_pixels "$work/turned.jpg" "$work/turned.left.jpg"
check "turned by jpegtran: nothing but the picture" says_nothing "$work/turned.left.jpg"

echo "$passed passed, $failed failed"
[ "$failed" = 0 ]
