# What the scripts share: steps that say what they do and how long it took, and which compiler makes WebAssembly.
# Sourced, never run.

root=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd)
cd "$root"
logs="$root/target/logs"
mkdir -p "$logs"

# step NAME COMMAND…: runs a command with its output in target/logs; prints the name and the seconds, and on failure
# what went wrong by its log.
step() {
    local name=$1 began=$EPOCHREALTIME log status=0
    shift
    log=$(log_of "$name")
    printf '  %-44s' "$name"
    "$@" > "$log" 2>&1 < /dev/null || status=$?
    if [ "$status" = 0 ]; then
        printf '%6s s\n' "$(seconds_since "$began")"
    else
        printf ' FAILED after %s s; from %s:\n' "$(seconds_since "$began")" "${log#"$root/"}"
        what_failed "$log"
    fi
    return "$status"
}

# what_failed LOG: what node's runner ("failing tests:") and cargo's ("failures:") say of the tests that failed, wherever
# it stands in the log; where neither counted one, the end of the log.
what_failed() {
    awk '
        /^✖ failing tests:$/ || /^failures:$/ { tells = 1 }
        /^(✔|▶|test result: )/ { tells = 0 }
        tells
    ' "$1" | head -n 120 | grep . || tail -n 40 "$1"
}

log_of() {
    printf '%s/%s.log' "$logs" "$(printf '%s' "$1" | tr -c 'a-zA-Z0-9' '-')"
}

seconds_since() {
    awk -v a="$1" -v b="$EPOCHREALTIME" 'BEGIN { printf "%.1f", b - a }'
}

# The compiler's library sources, where Debian puts them.
debian_library=/usr/lib/rustlib/src/rust/library

rustup_has_wasm() {
    [ -d "$(rustc --print sysroot)/lib/rustlib/wasm32-unknown-unknown" ]
}

debian_has_wasm() {
    [ -x /usr/bin/cargo ] && [ -x /usr/bin/rust-lld ] && [ -d "$debian_library/std" ]
}

# wasm_cargo build|clippy FLAG…: cargo for the page's module. Where the installed toolchain has no wasm32 target,
# Debian's compiler builds the standard library from its sources.
#
# The doors of the rooms are found by what the linker writes beside the code (--emit-relocs).
# The page's small module does without the texts of panics (a quick one has them): what breaks is told to the person by
# the page, not by the text.
wasm_cargo() {
    local command=$1 debian=(/usr/bin/cargo) rustflags="-Clink-args=--emit-relocs"
    local flags=(--locked --package riffloom --lib --target wasm32-unknown-unknown)
    flags+=(--target-dir "$root/target/web")
    shift
    if rustup_has_wasm; then
        RUSTFLAGS="$rustflags" cargo "$command" "${flags[@]}" "$@"
        return
    fi
    # Cargo would look for its subcommand in ~/.cargo/bin first and find the other toolchain's.
    if [ "$command" = clippy ]; then debian=(/usr/bin/cargo-clippy); fi
    case " $* " in
        *" --profile web "*)
            rustflags="-Zunstable-options -Cpanic=immediate-abort -Zlocation-detail=none -Zfmt-debug=none $rustflags"
            ;;
    esac
    env --unset=RUSTUP_TOOLCHAIN RUSTFLAGS="$rustflags" PATH="/usr/bin:/bin" CARGO=/usr/bin/cargo RUSTC=/usr/bin/rustc \
        RUSTDOC=/usr/bin/rustdoc RUSTC_BOOTSTRAP=1 \
        "${debian[@]}" "$command" "${flags[@]}" -Zbuild-std=std,panic_abort -Zbuild-std-features=optimize_for_size "$@"
}
