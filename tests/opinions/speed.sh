#!/bin/sh
# Speed: the chain from sun to tank in Rust and with pvlib and SciPy, one after the other in one run.
#
#   tests/opinions/speed.sh [operating points in Python]
. "$(dirname "$0")/prepare.sh"
exec "$venv/bin/python" tests/opinions/speed.py "$@"
