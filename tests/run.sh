#!/bin/sh
# Sets up everything a fresh Debian or Ubuntu machine with Python 3.11 or later needs, then checks style and types and
# runs the tests: all but the long ones, with --whole all of them. What follows goes to pytest. Can be run again at any
# time.
set -eu
cd "$(dirname "$0")/.."
quick=--quick
if [ "${1:-}" = --whole ]; then
    quick=
    shift
fi
. demo/setup.sh
set_up '.[dev,postgres]'
want_library dmtx libdmtx0b
want_server
want_browser

echo "== Style"
"$VENV/bin/ruff" check .
"$VENV/bin/ruff" format --check .
echo "== Types"
"$VENV/bin/mypy"
echo "== Tests"
# Whoever is done first takes over tests of the other, so that both end together.
"$VENV/bin/python" -m pytest -q -n 2 --dist worksteal $quick "$@"
if [ -n "$quick" ]; then
    echo "$(wc -l <tests/long_tests.txt) long test functions were left out: sh tests/run.sh --whole runs them too."
fi
