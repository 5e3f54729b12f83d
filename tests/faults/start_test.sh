#!/bin/sh
# The daemon starts on what is a garden, says in one line why it does not start on anything else and leaves that as it
# was, and ends cleanly when it is asked to.
set -eu
# shellcheck source=tests/setup/lib.sh
. "$(dirname "$0")/../setup/lib.sh"

daemon=${TIDEMARK_BUILDDIR:-$top/build}/tidemarkd
www=${TIDEMARK_BUILDDIR:-$top/build}/site
pid=
trap '[ -z "$pid" ] || kill -9 "$pid" 2>/dev/null; rm -rf "$work"' EXIT

# start OPTION...: leaves pid, and url once it listens; 1 when it ends without.
start() {
    : >"$work/log"
    url=
    "$daemon" --www "$www" --listen 127.0.0.1:0 "$@" >"$work/log" 2>&1 &
    pid=$!
    while [ -z "$url" ]; do
        kill -0 "$pid" 2>/dev/null || { wait "$pid" || true; pid=; return 1; }
        sleep 0.05
        url=$(sed -n 's/^[^ ]* listening at \([^,]*\),.*/\1/p' "$work/log")
    done
}

# stop SIGNAL: leaves status.
stop() {
    kill -"$1" "$pid"
    status=0
    wait "$pid" || status=$?
    pid=
}

# refuses WHAT WORDS OPTION...: ends by itself with an error and these words in its log.
refuses() {
    what=$1 words=$2
    shift 2
    status=0
    timeout 60 "$daemon" --www "$www" --listen 127.0.0.1:0 "$@" >"$work/log" 2>&1 || status=$?
    if [ "$status" -gt 0 ] && [ "$status" -lt 100 ] && grep -qi -e "$words" "$work/log"; then
        ok
    else
        wrong "$what: ended with $status" "$work/log"
    fi
}
answers() { [ "$(curl -s -o "$work/answer" -w '%{http_code}' "$url$1")" = "$2" ]; }
logged() { grep -q -e "$1" "$work/log"; }
not() { ! "$@"; }
same() { sum=$1 && [ "$(cksum <"$2")" = "$sum" ]; }

# --- it starts and ends

for signal in TERM INT HUP; do
    if start --garden "$work/roof.garden"; then ok; else wrong "starts before SIG$signal" "$work/log"; fi
    expect "the first page" answers / 200
    expect "the garden" answers /api/v1/garden 200
    stop $signal
    expect "SIG$signal ends it without an error, not $status" test "$status" = 0
    expect "and it says so" logged ' stopped '
    expect "the log beside the file is put away" test "$(echo "$work"/roof.garden*)" = "$work/roof.garden"
    expect "the file is whole" test "$(sqlite3 -readonly "$work/roof.garden" 'PRAGMA integrity_check')" = ok
done

# --- a request under way is finished; a client that says nothing does not hold it up

start --garden "$work/roof.garden"
mkfifo "$work/body"
curl -s -o "$work/answer" -w '%{http_code}' -H 'Content-Type: application/json' -H "Origin: $url" -H 'Expect:' \
    -T - "$url/api/v1/calc/vessel" -X POST <"$work/body" >"$work/code" &
client=$!
exec 3>"$work/body"
printf '{"vessel":{"shape":"round","floor_mm":200,"rim_mm":200,' >&3
sleep 1
kill -TERM "$pid"
sleep 1
printf '"height_mm":300},"waterline_mm":100}' >&3
exec 3>&-
wait $client || true
expect "half a request at SIGTERM gets its answer" test "$(cat "$work/code")" = 200
status=0
wait "$pid" || status=$?
pid=
expect "and then it ends without an error, not $status" test "$status" = 0

# --- the invented garden is thrown away

mkdir "$work/tmp"
if TMPDIR=$work/tmp start --demo; then ok; else wrong "the invented garden starts" "$work/log"; fi
expect "it has tanks" answers '/api/v1/tanks?limit=500' 200
expect "about twelve" test "$(grep -o '"code"' "$work/answer" | wc -l)" -ge 10
expect "and a day's work" answers /api/v1/today 200
stop TERM
expect "it ends without an error, not $status" test "$status" = 0
expect "nothing is left of it" test -z "$(ls -A "$work/tmp")"

# --- what is no garden of ours is refused and stays as it was

printf 'a diary of last summer\n%2000s' '' >"$work/text"
refuses "a text file" garden --garden "$work/text"
expect "the text is as it was" test "$(head -n 1 "$work/text")" = 'a diary of last summer'

sqlite3 "$work/other" 'CREATE TABLE books (title TEXT); INSERT INTO books VALUES (1)'
before=$(cksum <"$work/other")
refuses "a database of something else" 'not a garden' --garden "$work/other"
expect "the database is as it was" same "$before" "$work/other"

sqlite3 "$work/roof.garden" 'PRAGMA user_version = 9999' >/dev/null
before=$(cksum <"$work/roof.garden")
refuses "a garden of a later version" newer --garden "$work/roof.garden"
expect "the later garden is as it was" same "$before" "$work/roof.garden"

head -c 5000 "$work/roof.garden" >"$work/half.garden"
refuses "half a garden" garden --garden "$work/half.garden"

refuses "a folder" "$work" --garden "$work"
refuses "a folder that is not there" 'absent/' --garden "$work/absent/roof.garden"

# --- two daemons on one file would be two writers

start --garden "$work/bay.garden"
first=$pid
port=${url##*:}
refuses "a garden that is open already" 'in use' --garden "$work/bay.garden"
expect "the first one goes on" answers /api/v1/garden 200
refuses "a port that is taken" "$port" --garden "$work/third.garden" --listen "127.0.0.1:$port"
pid=$first
stop TERM

# --- options

refuses "no garden" 'which garden' --pool 2
refuses "an unknown option" 'gardn' --gardn "$work/x"
refuses "a folder without pages" 'absent' --garden "$work/x" --www "$work/absent"
expect "--version" sh -c "'$daemon' --version | grep -q '^tidemarkd [0-9]'"
expect "--help" sh -c "'$daemon' --help | grep -q -e --garden"
closing_line
