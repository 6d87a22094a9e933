# Shared by demo/run.sh and tests/run.sh: a virtual environment with the program, and the zbar library.
# Sourced, not run; the caller stands in the checkout.

VENV="$PWD/.venv"

say() { echo "== $*"; }

find_python() {
    for name in python3.14 python3.13 python3.12 python3.11 python3; do
        if command -v "$name" >/dev/null 2>&1 &&
            "$name" -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null; then
            command -v "$name"
            return
        fi
    done
    echo "Python 3.11 or later is needed and was not found. Install it: apt-get install python3 python3-venv" >&2
    exit 2
}

# $1 is the shared library as the loader names it, $2 the Debian package that has it.
need_library() {
    if "$PYTHON" -c "import ctypes.util, sys; sys.exit(ctypes.util.find_library('$1') is None)"; then
        return
    fi
    say "Installing $2 (a library that reads bar codes)"
    if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null 2>&1; then
        apt-get update -qq && DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends "$2"
        return
    fi
    echo "The library $2 is missing and may not be installed from here. Run this once, then try again:" >&2
    echo "    sudo apt-get install $2" >&2
    exit 2
}

# Installs what only makes more of the tests run, and goes on without it: $1 is the Debian package, $2 what it is, for people.
install_wanted() {
    if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null 2>&1; then
        say "Installing $1 ($2, for tests)"
        apt-get update -qq && DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends "$1" ||
            say "$1 could not be installed; its tests are skipped"
    else
        say "$1 is not installed; its tests are skipped (sudo apt-get install $1)"
    fi
}

# Like need_library, for what only makes more of the tests run.
want_library() {
    "$PYTHON" -c "import ctypes.util, sys; sys.exit(ctypes.util.find_library('$1') is None)" ||
        install_wanted "$2" "a second reader of Data Matrix symbols"
}

# A PostgreSQL server that tests can start; where it must be there, they fail without it (RUNOUT_TEST_SERVER=required).
want_server() {
    command -v initdb >/dev/null 2>&1 || ls /usr/lib/postgresql/*/bin/initdb >/dev/null 2>&1 ||
        install_wanted postgresql "a database server"
}

# A browser, in which tests open pages; with CI=true they fail without one.
want_browser() {
    command -v chromium >/dev/null 2>&1 || command -v chromium-browser >/dev/null 2>&1 ||
        command -v google-chrome >/dev/null 2>&1 || install_wanted chromium "a browser"
}

# $1 is what to install, such as '.' or '.[dev]'.
set_up() {
    PYTHON="$(find_python)"
    need_library zbar libzbar0
    if ! "$VENV/bin/python" -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null; then
        say "Making a virtual environment in .venv"
        if ! "$PYTHON" -m venv --clear "$VENV"; then
            echo "The venv module is missing. Run this once, then try again: sudo apt-get install python3-venv" >&2
            exit 2
        fi
    fi
    say "Installing the program and what it needs"
    "$VENV/bin/python" -m pip install --quiet --disable-pip-version-check -e "$1"
}
