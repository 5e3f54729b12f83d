#!/bin/sh
# bootstrap asks before it installs, installs only what is missing, removes nothing, and shows the log of what failed.
#
# apt-get, sudo, make and the like are stand-ins here that note how they were called; fresh-debian
# is the same with the real ones.
set -eu
# shellcheck source=tests/setup/lib.sh
. "$(dirname "$0")/lib.sh"

tree=$work/tree
calls=$work/calls
mkdir -p "$tree" "$work/bin"
cp "$top/bootstrap" "$tree/"
chmod u+w "$tree/bootstrap"

# stand_in NAME: what it does is read from standard input; each call is noted.
stand_in() {
    {
        # shellcheck disable=SC2016 # $* is the stand-in's own
        printf '#!/bin/sh\necho "%s $*" >>"%s"\nwork=%s\n' "$1" "$calls" "$work"
        cat
    } >"$work/bin/$1"
    chmod +x "$work/bin/$1"
}
stand_in id <<'END'
cat "$work/uid"
END
stand_in pkg-config <<'END'
! grep -qx "$2" "$work/absent"
END
stand_in apt-get <<'END'
case " $* " in *" install "*) : >"$work/absent" ;; esac
END
stand_in sudo <<'END'
[ "$1" = -v ] || exec "$@"
END
stand_in autoreconf <<'END'
printf '#!/bin/sh\n: >config.status; chmod +x config.status\n' >configure
chmod +x configure
: >Makefile.in
END
stand_in make <<'END'
[ ! -e "$work/broken" ] || { echo "vessel.c:12: error: that does not compile"; exit 2; }
printf '#!/bin/sh\necho "daemon $*"\n' >build/tidemarkd
chmod +x build/tidemarkd
END
export PATH="$work/bin:$PATH"

# as UID MISSING-LIBRARY...: from here on, and with no call noted.
as() {
    echo "$1" >"$work/uid"
    shift
    : >"$work/absent"
    for library in "$@"; do echo "$library" >>"$work/absent"; done
    : >"$calls"
}
bootstrap() { "$tree/bootstrap" "$@" >"$work/out" 2>&1 </dev/null; }
# in_terminal ANSWER ARGUMENT...: util-linux' script gives the terminal.
in_terminal() {
    answer=$1
    shift
    (sleep 1; echo "$answer"; sleep 1) | script -qec "$tree/bootstrap $*" /dev/null >"$work/out" 2>&1
}
called() { grep -qe "$1" "$calls"; }
said() { grep -qe "$1" "$work/out"; }
not() { ! "$@"; }

as 0
expect "root, all there" bootstrap build
expect "says so" said '^packages \.\.\. all there$'
expect "apt-get is left alone" not called '^apt-get'
expect "the daemon is built" test -x "$tree/build/tidemarkd"

as 0 jansson libsodium
expect "root, two missing" bootstrap build
expect "just these two, in a call that cannot remove" \
    called '^apt-get .*--no-remove.* install libjansson-dev libsodium-dev$'
expect "root needs no sudo" not called '^sudo'
expect "nothing is removed or upgraded" not called ' \(remove\|purge\|autoremove\|upgrade\|dist-upgrade\)'

as 1000 jansson
expect "a user without a terminal gets an error" not bootstrap build
expect "that names what is missing" said 'apt-get install libjansson-dev$'
expect "and nothing is installed" not called '^apt-get'

as 1000 jansson
expect "a user with -y" bootstrap -y build
expect "by sudo" called '^sudo env .*apt-get .* install libjansson-dev$'

as 1000 jansson
expect "-y after the word" bootstrap build -y

as 1000 jansson
expect "a user who says no" not in_terminal n build
expect "was asked" said 'sudo apt-get? \[y/N\]'
expect "and nothing is installed" not called '^apt-get'

as 1000 jansson
expect "a user who says yes" in_terminal y build
expect "has it installed" called '^apt-get .* install libjansson-dev$'

as 0
expect "run starts the invented garden" bootstrap run
expect "with the pages" said "^daemon --www $tree/build/site --demo\$"
expect "run with options" bootstrap run --garden mine
expect "passes them on" said "^daemon --www $tree/build/site --garden mine\$"

: >"$work/broken"
expect "a failed step ends it" not bootstrap build
expect "shows the log" said 'that does not compile'
expect "and says which step" said '^building build/tidemarkd \.\.\. failed'
expect "and keeps the whole log" grep -q 'that does not compile' "$tree/build/bootstrap.log"
rm "$work/broken"

expect "no word is an error" not bootstrap
expect "an unknown word is an error" not bootstrap biuld
expect "help" bootstrap --help
expect "names the four words" said 'clean'

mkdir "$work/a b"
cp "$tree/bootstrap" "$work/a b/"
# shellcheck disable=SC2016 # expanded by the inner shell
expect "a path that configure does not take" not \
    sh -c 'cd "$1" && ./bootstrap build >"$2" 2>&1' sh "$work/a b" "$work/out"
expect "is named" said 'clone it elsewhere'

expect "clean" bootstrap clean
expect "takes away all that was made" test "$(ls -A "$tree")" = bootstrap
closing_line
