#!/bin/sh
# Runs the tests of stations, commands and faults on a PostgreSQL server that they start themselves: plants that are scanned on
# in memory lie there, and commands typed into a file are typed into a copy of it there (tests/support_on_server.py). What
# follows goes to pytest: files, or -n 2 for two workers with a server each. It takes about twice as long as on files.
set -eu
cd "$(dirname "$0")/.."
export RUNOUT_TEST_ENGINE=postgresql RUNOUT_TEST_SERVER=required
# Left out: what is about the file itself. Why stands in DEVELOPERS.md.
exec .venv/bin/python -m pytest -q \
    --ignore tests/docs --ignore tests/differential --ignore tests/vectors \
    --ignore tests/e2e/test_backup.py --ignore tests/e2e/test_start.py --ignore tests/e2e/test_growth.py \
    --ignore tests/unit/test_store_migrations.py --ignore tests/unit/test_store_schema.py \
    "${@:-tests}"
