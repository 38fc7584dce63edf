# What the scripts share: steps that say what they do and how long it took. Sourced, never run.

root=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd)
cd "$root"
logs="$root/target/logs"
mkdir -p "$logs"

# step NAME COMMAND…: runs a command with its output in target/logs; prints the name and the seconds, and on failure
# the end of the log.
step() {
    local name=$1 began=$EPOCHREALTIME log
    shift
    log="$logs/$(printf '%s' "$name" | tr -c 'a-zA-Z0-9' '-').log"
    printf '  %-44s' "$name"
    if "$@" > "$log" 2>&1 < /dev/null; then
        printf '%6.1f s\n' "$(seconds_since "$began")"
    else
        printf ' FAILED\n'
        tail -n 40 "$log"
        return 1
    fi
}

seconds_since() {
    awk -v a="$1" -v b="$EPOCHREALTIME" 'BEGIN { printf "%.1f", b - a }'
}

# as_root COMMAND…: system packages need it; says so where it is not to be had.
as_root() {
    if [ "$(id -u)" = 0 ]; then "$@"; elif command -v sudo > /dev/null; then sudo "$@"; else
        echo "This needs root rights: $*" >&2
        return 1
    fi
}
