#!/bin/sh
# Every shell script reads under dash and is given no warning by shellcheck.
set -eu
# shellcheck source=tests/setup/lib.sh
. "$(dirname "$0")/lib.sh"

command -v shellcheck >/dev/null || { echo "shellcheck is not installed"; exit 77; }
for script in "$top/bootstrap" "$top/.ci/run" $(grep -rlE '^#!/(bin/sh|usr/bin/env bash)' "$top/tests" "$top/fixtures" "$top/www" 2>/dev/null); do
    [ -e "$script" ] || continue # .ci is not in the tarball
    read -r first <"$script"
    case $first in
    *bash) ;;
    *) expect "dash: $script" dash -n "$script" ;;
    esac
    expect "shellcheck: $script" shellcheck -S warning -x -P "$top" "$script"
done
closing_line
