# lib.sh - what the shell tests share: each is sourced after `set -eu`, and ends with closing_line.
# shellcheck shell=sh
# shellcheck disable=SC2034 # top and work are for the tests that source this
top=${TIDEMARK_SRCDIR:-$(CDPATH='' cd -- "$(dirname -- "$0")/../.." && pwd -P)}
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
passed=0
failed=0

ok() { passed=$((passed + 1)); }

# wrong WHAT [FILE]: notes a failure and shows what was printed.
wrong() {
    failed=$((failed + 1))
    printf 'wrong: %s\n' "$1"
    [ $# -lt 2 ] || sed 's/^/    | /' "$2"
}

# expect WHAT COMMAND...: the command ends with 0.
expect() {
    what=$1
    shift
    if "$@" >"$work/expect.out" 2>&1; then ok; else wrong "$what" "$work/expect.out"; fi
}

closing_line() {
    printf '%d passed, %d failed\n' $passed $failed
    [ $failed = 0 ]
}
