"""Largest differences between our physics and independent libraries at random inputs; see run.sh."""

import sys

import numpy as np

import sun_and_array
import water_side
from ours import Ours


class Ledger:
    """The largest difference of each quantity, with the inputs where it was."""

    def __init__(self):
        self.rows = {}

    def note(self, what, library, difference, tolerance, unit, inputs):
        worst = self.rows.setdefault((what, library), [0, -1.0, tolerance, unit, None])
        worst[0] += 1
        if not difference <= worst[1]:  # not a number counts as worst
            worst[1], worst[4] = difference, inputs

    def report(self):
        """Prints the table; true when all is within tolerance."""
        print(f"{'quantity':34} {'beside':26} {'inputs':>6} {'largest':>10} {'allowed':>9} unit")
        sound = True
        for (what, library), (count, worst, tolerance, unit, inputs) in self.rows.items():
            within = worst <= tolerance
            sound &= within
            mark = "" if within else f"  BEYOND at {short(inputs)}"
            print(f"{what:34} {library:26} {count:6} {worst:10.2e} {tolerance:9.1e} {unit}{mark}")
        return sound


def short(inputs):
    """Inputs without their curves."""
    return {k: v for k, v in inputs.items() if k != "curve"} if isinstance(inputs, dict) else inputs


def main():
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 500
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    ours, ledger = Ours(), Ledger()
    for part in (*sun_and_array.PARTS, *water_side.PARTS):
        part(ours, ledger, np.random.default_rng(seed), count)
    print(f"{count} inputs of each kind (pump meetings by EPANET: fewer), seed {seed}")
    sys.exit(0 if ledger.report() else 1)


if __name__ == "__main__":
    main()
