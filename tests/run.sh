#!/bin/sh
# Sets up everything a fresh Debian or Ubuntu machine with Python 3.11 or later needs, then runs every check:
# style, types, tests. Can be run again at any time.
set -eu
cd "$(dirname "$0")/.."
. demo/setup.sh
set_up '.[dev,postgres]'
want_library dmtx libdmtx0b

echo "== Style"
"$VENV/bin/ruff" check .
"$VENV/bin/ruff" format --check .
echo "== Types"
"$VENV/bin/mypy"
echo "== Tests"
# Whoever is done first takes over tests of the other, so that both end together.
"$VENV/bin/python" -m pytest -q -n 2 --dist worksteal "$@"
