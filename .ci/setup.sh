#!/bin/sh
# Makes this checkout ready to use, and does nothing where nothing is missing.
#
#   sh .ci/setup.sh run     system packages, .venv, the planner with its locked packages
#   sh .ci/setup.sh test    the same, and what tests and checks need
#   sh .ci/setup.sh system  only the system packages
#
# PYTHON=/path/to/python chooses the interpreter; WITHOUT_PDF=1 goes on where Pango cannot be installed.
set -eu
cd "$(dirname "$0")/.."

SUBSETTER=libharfbuzz-subset0 # cuts fonts to size: PDFs are made without it too, but more slowly
KNOWN_PYTHONS="python3 python3.13 python3.12 python3.14 python3.11"

say() { printf '%s\n' "$*" >&2; }

stop() {
    say "$*"
    exit 1
}

# The locked packages come as wheels for these versions; an older one cannot run the code.
python_fits() {
    "$1" -c 'import sys; sys.exit(not (3, 11) <= sys.version_info[:2] <= (3, 14))' 2>/dev/null
}

choose_python() {
    if [ -n "${PYTHON:-}" ]; then
        python_fits "$PYTHON" || stop "PYTHON=$PYTHON is no Python of 3.11 to 3.14."
        echo "$PYTHON"
        return
    fi
    for name in $KNOWN_PYTHONS; do
        if python_fits "$name"; then
            echo "$name"
            return
        fi
    done
    say "No fitting Python: looked for $KNOWN_PYTHONS; one of 3.11 to 3.14 is needed."
    say "Install one, then run make again:"
    say "    Debian, Ubuntu   apt-get install python3 python3-venv   (or python3.12 where python3 is older)"
    say "    Fedora           dnf install python3                    (or python3.13)"
    say "    macOS            brew install python@3.13"
    stop "Or name it: make demo PYTHON=/path/to/python3"
}

package_manager() {
    for name in apt-get dnf brew; do
        if command -v "$name" >/dev/null; then
            echo "$name"
            return
        fi
    done
    echo none
}

# Names of the packages that bring what the probe found missing, for one package manager.
packages_for() {
    manager=$1
    shift
    for part in "$@"; do
        case "$manager/$part" in
            apt-get/venv) "$python" -c 'import sys; print("python%d.%d-venv" % sys.version_info[:2])' ;;
            apt-get/pango)
                echo libpango-1.0-0 libpangoft2-1.0-0
                ! apt-cache show "$SUBSETTER" >/dev/null 2>&1 || echo "$SUBSETTER" # older releases have it elsewhere
                ;;
            dnf/venv) echo python3 ;;
            brew/venv) echo python@3.13 ;;
            */pango) echo pango ;;
            */fontconfig) echo fontconfig ;;
        esac
    done | tr '\n' ' ' | sed 's/ $//'
}

# Root installs straight away, a person at a terminal is asked by sudo, anyone else is told the command.
install_packages() {
    manager=$1
    shift
    case $manager in
        apt-get) refresh="apt-get update -q" && order="apt-get install -y -q --no-install-recommends $*" ;;
        dnf) refresh=true && order="dnf install -y -q $*" ;;
        brew) refresh=true && order="brew install -q $*" ;;
    esac
    if [ "$manager" = brew ] || [ "$(id -u)" -eq 0 ]; then
        as_root=
    elif [ -t 0 ] && command -v sudo >/dev/null; then
        as_root=sudo
    else
        say "Some system packages are missing, and only root can install them. Run this, then make again:"
        [ "$refresh" = true ] || say "    sudo $refresh"
        stop "    sudo $order"
    fi
    say "Installing system packages: ${as_root:+$as_root }$order"
    # shellcheck disable=SC2086  # words on purpose
    { $as_root $refresh && $as_root env DEBIAN_FRONTEND=noninteractive $order; } >&2 ||
        stop "The system packages could not be installed; the reason stands above."
}

missing_parts() {
    "$python" .ci/probe.py "$@" | tr '\n' ' ' | sed 's/ $//'
}

install_system_parts() {
    wanted="pango fontconfig"
    [ -z "${WITHOUT_PDF:-}" ] || wanted=
    venv_works || wanted="venv $wanted"
    # shellcheck disable=SC2086  # words on purpose
    missing=$(missing_parts $wanted)
    [ -n "$missing" ] || return 0
    manager=$(package_manager)
    if [ "$manager" = none ]; then
        say "Missing on this machine: $missing, and neither apt-get, dnf nor brew is here to install it."
        stop "Install it by hand (macOS: Homebrew brings brew), or go without PDFs: make demo WITHOUT_PDF=1"
    fi
    # shellcheck disable=SC2046,SC2086  # words on purpose
    install_packages "$manager" $(packages_for "$manager" $missing)
    # shellcheck disable=SC2086
    missing=$(missing_parts $missing)
    [ -z "$missing" ] || stop "Still missing after installing: $missing. Without PDFs: make demo WITHOUT_PDF=1"
}

# Where root may install without asking, what only makes PDFs faster or lets more tests run is tried once.
install_wish() {
    [ "$(package_manager)" = apt-get ] && [ "$(id -u)" -eq 0 ] || return 0
    say "Installing $1"
    { apt-get update -q && apt-get install -y -q --no-install-recommends "$1"; } >/dev/null 2>&1 ||
        say "$1 could not be installed; $2"
}

install_wishes() {
    [ -n "${WITHOUT_PDF:-}" ] || [ -z "$(missing_parts subsetter)" ] ||
        install_wish "$SUBSETTER" "PDFs are made without it."
    [ "$1" != test ] || command -v chromium >/dev/null ||
        install_wish chromium "the tests that need a browser are skipped."
}

# A virtual environment that was moved, or whose Python went away or no longer fits, is made anew.
venv_works() {
    [ -x .venv/bin/python ] && python_fits .venv/bin/python && .venv/bin/python -c 'import pip' 2>/dev/null &&
        grep -qF "$(pwd -P)/.venv" .venv/bin/activate
}

make_venv() {
    venv_works && return 0
    say "Making .venv with $python"
    rm -rf .venv
    "$python" -m venv .venv
}

pip_install() {
    # conflicts: the locks hold none among themselves, and what the recordings' package asks for is left out on purpose
    # most modules are never imported: each is compiled when it first is
    .venv/bin/python -m pip install -qq --no-warn-conflicts --no-input --no-compile --disable-pip-version-check "$@" >&2
}

# A stamp holds the fingerprint of what was asked for, and is written last: a broken set-up starts again.
fingerprint() { cat pyproject.toml "$1" | cksum; }

stamped() { [ -f ".venv/.$1-ready" ] && [ "$(cat ".venv/.$1-ready")" = "$(fingerprint "$2")" ]; }

stamp() { fingerprint "$2" >".venv/.$1-ready"; }

install_locked() {
    stamped "$1" "$2" && return 0
    install_wishes "$1"
    say "Installing the locked packages of $2 (a minute or two the first time)"
    pip_install --require-hashes --requirement "$2"
    pip_install --no-deps --editable .
    stamp "$1" "$2"
}

# What a few tests read and nothing else needs. Where it cannot be had those tests are skipped; the next set-up tries again.
install_recordings() {
    stamped recordings "$1" && return 0
    say "Installing the recordings of $1 (39 MB)"
    if pip_said=$(pip_install --require-hashes --no-deps --requirement "$1" 2>&1); then
        stamp recordings "$1"
    else
        reason=$(printf '%s\n' "$pip_said" | sed -n '/^ERROR/{p;q;}')
        say "The recordings of $1 cannot be had: the tests that read them are skipped. ${reason:-pip gave no reason}"
    fi
}

kind=${1:-}
case $kind in run | test | system) ;; *) stop "usage: sh .ci/setup.sh run|test|system" ;; esac
python=$(choose_python)
install_system_parts
[ "$kind" != system ] || exit 0
make_venv
if [ "$kind" = test ]; then
    install_locked test tests/requirements.lock
    stamp run requirements.lock # the test lock holds the other one whole, in the same versions
    install_recordings tests/recordings.lock
else
    install_locked run requirements.lock
fi
