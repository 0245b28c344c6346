#!/bin/sh
# Second opinions: our numbers beside those of independent libraries, at random inputs.
#
#   tests/opinions/run.sh [inputs of each kind] [seed]
#
# Prints the largest differences and fails beyond tolerances. Needs Python 3.11 and, the first time, a network.
. "$(dirname "$0")/prepare.sh"
exec "$venv/bin/python" tests/opinions/compare.py "$@"
