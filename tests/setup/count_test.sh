#!/bin/sh
# The sum at the end of ./bootstrap check is what the tests said, and a part that ran nothing fails.
set -eu
# shellcheck source=tests/setup/lib.sh
. "$(dirname "$0")/lib.sh"

# sum_is WHAT CODE LAST-LINE NAME...: what count says of the logs that were put into $work.
sum_is() {
    what=$1 code=$2 line=$3
    shift 3
    status=0
    printf '%s\n' "$@" | "$top/tests/setup/count" "$work" >"$work/out" || status=$?
    if [ "$status" = "$code" ] && [ "$(tail -n 1 "$work/out")" = "$line" ]; then ok; else wrong "$what" "$work/out"; fi
}

log() { printf '%s\n' "$2" >"$work/$1.log"; }

log check 'Running suite(s): vessel
97%: Checks: 40, Failures: 1, Errors: 0'
log clean '100%: Checks: 12, Failures: 0, Errors: 0
100%: Checks: 3, Failures: 0, Errors: 0'
log plain '7 passed, 0 failed'
log named 'pages: 5 passed, 0 failed, 0 skipped'
log node '# tests 4
# pass 4
# fail 0
# cancelled 0
# skipped 0'
log empty '100%: Checks: 0, Failures: 0, Errors: 0'
log silent 'ok'
log left '7 passed, 0 failed, 2 skipped'
log partly 'skipped: no zbarimg here
100%: Checks: 4, Failures: 0, Errors: 0'
log skip '7 passed, 0 failed'
echo ':global-test-result: SKIP' >"$work/skip.trs"
log elsewhere 'not here: the sanitizers call what they like'
echo ':global-test-result: SKIP' >"$work/elsewhere.trs"
log dead '7 passed, 0 failed'
echo ':global-test-result: ERROR' >"$work/dead.trs"

sum_is "libcheck, several suites in a log" 0 "15 passed, 0 failed" clean
sum_is "one of each kind" 0 "31 passed, 0 failed" clean plain named node
sum_is "a failure" 1 "39 passed, 1 failed" check
sum_is "a suite without a test" 1 "15 passed, 1 failed" clean empty
sum_is "a log without a closing line" 1 "15 passed, 1 failed" clean silent
sum_is "a test that left no log" 1 "15 passed, 1 failed" clean absent
sum_is "a test that skipped a part" 1 "22 passed, 1 failed" clean left
sum_is "a suite that left out a part" 1 "19 passed, 1 failed" clean partly
sum_is "a test that was skipped" 1 "22 passed, 1 failed" clean skip
sum_is "a test that means nothing in this build" 0 "15 passed, 0 failed" clean elsewhere
sum_is "that test alone" 1 "0 passed, 1 failed" elsewhere
sum_is "a test that died after its closing line" 1 "22 passed, 1 failed" clean dead
status=0
"$top/tests/setup/count" "$work" </dev/null >"$work/out" || status=$?
if [ $status = 1 ]; then ok; else wrong "no test at all" "$work/out"; fi
closing_line
