# pack.awk - one page's modules as one file: awk -v folder=www -f pack.awk today.js
#
# A phone asks for six files at a time and waits for each round; a page of twenty modules took four rounds before it
# showed anything of the garden. Each module becomes a function that is called once and gives back what it exports; the
# page's own module comes last, as it is. It knows the forms that our modules use, and fails on any other:
#   import { a, b as c } from './x.js';      export const|function|async function|class NAME      export { a, b };
# What is exported must not be assigned to later: importers keep the value that it had when its module was done.
# Comments that have lines of their own stay behind.

function complain(text) {
    print "pack.awk: " text > "/dev/stderr"
    failed = 1
    exit 1
}

# The names of "a, b as c", as an object's pattern: "a, b: c".
function pattern(names) {
    gsub(/ as /, ": ", names)
    return names
}

# Reads one module with all that it imports, once. The page's own module is the only one that is not wrapped.
function take(name, whole, path, line, text, given, parts, comment, imported) {
    if (state[name] == "done")
        return
    if (state[name] == "open")
        complain(name " imports itself by way of others")
    state[name] = "open"
    path = folder "/" name
    text = given = ""
    comment = 0
    while ((read_from = (getline line < path)) > 0) {
        if (comment || line ~ /^[ \t]*\/\*/) {
            comment = line !~ /\*\//
            if (!comment && line !~ /\*\/[ \t]*$/)
                complain(name ": code behind a comment: " line)
            continue
        }
        if (line ~ /^[ \t]*\/\// || line ~ /^[ \t]*$/)
            continue
        if (line ~ /^import /) {
            if (line !~ /^import \{ [^}]* \} from '\.\/[^']*';$/)
                complain(name ": " line)
            imported = line
            sub(/^.* from '\.\//, "", imported)
            sub(/';$/, "", imported)
            take(imported, 0)
            sub(/^import \{ /, "", line)
            sub(/ \} from .*$/, "", line)
            text = text "const { " pattern(line) " } = " called[imported] ";\n"
            continue
        }
        if (line ~ /^export \{ [^}]* \};$/) {
            sub(/^export \{ /, "", line)
            sub(/ \};$/, "", line)
            if (line ~ / as /)
                complain(name ": export { " line " }")
            given = given (given == "" ? "" : ", ") line
            continue
        }
        if (line ~ /^export /) {
            sub(/^export /, "", line)
            if (line !~ /^(const|function|async function|class) [A-Za-z_$][A-Za-z0-9_$]*/)
                complain(name ": export " line)
            parts = line
            sub(/^(const|async function|function|class) /, "", parts)
            match(parts, /^[A-Za-z0-9_$]+/)
            given = given (given == "" ? "" : ", ") substr(parts, 1, RLENGTH)
        }
        text = text line "\n"
    }
    if (read_from < 0)
        complain(path " cannot be read")
    close(path)
    state[name] = "done"
    called[name] = "$" ++modules
    if (whole)
        printf "%s", text
    else
        printf "const %s = (() => {\n%sreturn { %s };\n})();\n", called[name], text, given
}

BEGIN {
    take(ARGV[1], 1)
}
