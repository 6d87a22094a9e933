#!/bin/sh
# Sets up everything a fresh Debian or Ubuntu machine with Python 3.11 or later needs, then plays the demo
# plant and tells its story. Can be run again at any time; what it makes lies in demo/out.
set -eu
cd "$(dirname "$0")/.."
. demo/setup.sh
set_up .

say "Playing the demo plant"
"$VENV/bin/runout" demo demo/out
say "To open it from here: .venv/bin/runout --ledger demo/out/runout.db serve --port 8080"
