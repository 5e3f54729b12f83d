#!/bin/sh
# The example of a systemd service is one that systemd takes, and keeps the daemon in a small room.
set -eu
# shellcheck source=tests/setup/lib.sh
. "$(dirname "$0")/lib.sh"

command -v systemd-analyze >/dev/null || { echo "systemd-analyze is not installed"; exit 77; }
unit=$work/tidemarkd.service
built=${TIDEMARK_BUILDDIR:-$top/build}/fixtures/systemd/tidemarkd.service

expect "no placeholder is left" test -z "$(grep -n '@[a-z]*dir@' "$built")"
expect "it starts the daemon with the pages" grep -q '^ExecStart=/.*/tidemarkd .*--www /.*/www' "$built"

# The daemon need not be installed to look at the rest of its unit.
sed 's,^ExecStart=[^ ]*,ExecStart=/bin/true,' "$built" >"$unit"
expect "systemd-analyze verify" test -z "$(systemd-analyze verify "$unit" 2>&1 | grep tidemarkd)"

# Our own goal; 10 is a service that may do all.
expect "exposure of 1.5 at most" systemd-analyze security --offline=yes --threshold=15 "$unit"
closing_line
