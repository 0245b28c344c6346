"""Our speed beside that of the same chain written with pvlib and SciPy; see speed.sh."""

import sys
import time

from chain import Chain
from ours import Ours

YEAR = {"unix_s": 1_767_225_600, "air_c": 25.0, "linke_turbidity": 3.0}  # 2026
OURS = 200_000
GOALS = {"operating points": 100.0, "year, hour by hour": 20.0}


def seconds_of_points(theirs, count):
    start = time.perf_counter()
    for k in range(count):
        theirs.point(150 + 900 * k / count, 25 + 30 * k / count)
    return time.perf_counter() - start


def main():
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 100
    ours = Ours()
    theirs = Chain(ours.ask("plant"))
    sound = True
    # the two must agree before their speed means anything
    worst = 0.0
    for k in range(40):
        g, cell_c = 30 + 27 * k, 20 + k
        a, b = ours.ask("point", irradiance_w_m2=g, cell_c=cell_c), theirs.point(g, cell_c)
        if (a["load"] is None) != (b is None):
            print(f"at {g} W/m2 one of the two stands still")
            sound = False
        elif b:
            rpm, flow, dc = b
            far = max(abs(rpm / a["load"]["rpm"] - 1), abs(flow - a["load"]["flow_m3_h"]), abs(dc / a["dc_w"] - 1))
            worst = max(worst, far)
    print(f"largest difference of speed, flow (m3/h) and DC power over 40 moments: {worst:.1e}")
    sound &= worst < 1e-5

    ours.ask("time_points", count=OURS // 10)  # warm up
    # the best of five each: whatever else the machine does only ever slows them
    rate_ours = max(OURS / ours.ask("time_points", count=OURS)["seconds"] for _ in range(5))
    rate_theirs = max(count / seconds_of_points(theirs, count) for _ in range(5))

    start = time.perf_counter()
    m3_theirs = theirs.year(YEAR["unix_s"], YEAR["air_c"], YEAR["linke_turbidity"])
    year_theirs = time.perf_counter() - start
    answer = ours.ask("time_year", **YEAR)
    print(f"water of a clear year: {answer['m3']:.1f} m3 ours, {m3_theirs:.1f} m3 theirs")
    sound &= abs(answer["m3"] / m3_theirs - 1) < 2e-3

    print(f"\n{'one core, best of 5':22} {'Rust':>14} {'pvlib + SciPy':>16} {'ratio':>8} {'goal':>6}")
    rows = [
        ("operating points", f"{rate_ours:,.0f}/s", f"{rate_theirs:,.0f}/s", rate_ours / rate_theirs),
        ("year, hour by hour", f"{answer['seconds'] * 1e3:,.0f} ms", f"{year_theirs * 1e3:,.0f} ms",
         year_theirs / answer["seconds"]),
    ]
    for what, a, b, ratio in rows:
        print(f"{what:22} {a:>14} {b:>16} {ratio:8,.0f} {GOALS[what]:6,.0f}")
        sound &= ratio >= GOALS[what]
    sound &= rate_ours >= 200_000
    print("all goals met" if sound else "NOT all goals met")
    sys.exit(0 if sound else 1)


if __name__ == "__main__":
    main()
