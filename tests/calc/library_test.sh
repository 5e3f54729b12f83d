#!/bin/sh
# Others can link the calculations: the library calls nothing but the C library's maths, memory and
# formatting, it installs with its headers, and the example builds against what was installed.
set -eu
# shellcheck source=tests/setup/lib.sh
. "${TIDEMARK_SRCDIR:-.}/tests/setup/lib.sh"
built=${TIDEMARK_BUILDDIR:-.}

if nm -u "$built/libtidemark-calc.a" | grep -q '__asan_\|__ubsan_'; then
    echo 'not here: the sanitizers call what they like'
    exit 77
fi

# What it may call: maths, memory and strings, formatting into a buffer; the compiler's own helpers begin with two underscores.
cat >"$work/may" <<'END'
acos asin atan atan2 cbrt ceil cos cosh erf erfc exp exp2 expm1 fabs floor fmax fmin fmod hypot isnan llround log log10 log1p log2 lround
nearbyint pow rint round sin sincos sinh sqrt tan tanh trunc nextafter ldexp frexp
memchr memcmp memcpy memmove memset strchr strcmp strlen strncmp strnlen strstr
snprintf vsnprintf
END
tr ' ' '\n' <"$work/may" | sort >"$work/allowed"
nm --defined-only "$built/libtidemark-calc.a" | awk 'NF == 3 { print $3 }' | sort -u >"$work/own"
nm -u "$built/libtidemark-calc.a" | awk '$1 == "U" { print $2 }' | grep -v '^__\|^_GLOBAL_OFFSET_TABLE_$' | sort -u >"$work/wanted"
comm -23 "$work/wanted" "$work/own" | comm -23 - "$work/allowed" >"$work/foreign"
if [ -s "$work/foreign" ]; then wrong 'the library calls what it should not' "$work/foreign"; else ok; fi
grep -qx snprintf "$work/wanted" && ok || wrong 'nm saw nothing: this test tests nothing'

# No state of its own either: nothing writable, no data but constants.
nm "$built/libtidemark-calc.a" | awk 'NF == 3 && $2 ~ /^[bBdDcC]$/ && $3 !~ /^__/ { print $3 }' >"$work/state"
# Tables of pointers to strings are constant, but position independent code lists them as data (.data.rel.ro).
objdump -t "$built/libtidemark-calc.a" | awk '$4 == ".data.rel.ro" || $4 == ".data.rel.ro.local" || $5 ~ /^\.data\.rel\.ro/ { print $NF }' | sort -u >"$work/constant"
sort -u "$work/state" | comm -23 - "$work/constant" >"$work/writable"
if [ -s "$work/writable" ]; then wrong 'the library keeps state' "$work/writable"; else ok; fi

# Installed, found by pkg-config, linked, run.
expect 'install' make -C "$built" install-libLIBRARIES install-calcincludeHEADERS install-pkgconfigDATA DESTDIR="$work/root"
file=$(find "$work/root" -name libtidemark-calc.pc)
if [ -n "$file" ]; then
    PKG_CONFIG_PATH=$(dirname "$file") PKG_CONFIG_SYSROOT_DIR="$work/root"
    export PKG_CONFIG_PATH PKG_CONFIG_SYSROOT_DIR
    # shellcheck disable=SC2046 # flags are words
    expect 'build the example' "${CC:-cc}" -std=c11 -o "$work/example" "$top/tests/calc/library_example.c" $(pkg-config --cflags --libs libtidemark-calc)
    expect 'run the example' "$work/example"
    "$work/example" >"$work/said" 2>&1 || true
    grep -q '^pH 7.* EC .* mS/cm$' "$work/said" && ok || wrong 'what the example says' "$work/said"
    # every installed header stands by itself
    find "$work/root" -path '*tidemark/calc/*.h' -exec basename {} \; >"$work/headers"
    while read -r header; do
        echo "#include <calc/$header>" >"$work/alone.c"
        # shellcheck disable=SC2046
        expect "$header alone" "${CC:-cc}" -std=c11 -Wall -Wextra -Werror -c -o "$work/alone.o" "$work/alone.c" $(pkg-config --cflags libtidemark-calc)
    done <"$work/headers"
else
    wrong 'no libtidemark-calc.pc was installed'
fi
closing_line
