"""Pipes, pumps, wells and water beside fluids, SciPy, the EPANET engine and IAPWS."""

import tempfile

import fluids
import iapws
import numpy as np
import wntr
from scipy.interpolate import PchipInterpolator
from scipy.optimize import brentq
from scipy.special import exp1

G = 9.80665
# Swamee and Jain (1976) state 3 % of f for their formula, which the EPANET engine uses: half of that in flow.
SWAMEE_JAIN = 0.015
NU = 1.1e-5 * 0.3048**2  # EPANET's own viscosity, m2/s


def relative(a, b, floor=0.0):
    return abs(a - b) / max(abs(b), floor, 1e-300)


def friction(ours, ledger, rng, count):
    for _ in range(count):
        q = {"re": float(np.exp(rng.uniform(np.log(4001), np.log(1e8)))),
             "rel_rough": float(rng.choice([0.0, np.exp(rng.uniform(np.log(1e-6), np.log(0.05)))]))}
        b = fluids.friction_factor(Re=q["re"], eD=q["rel_rough"], Method="Colebrook")
        ledger.note("friction factor", "fluids Colebrook", relative(ours.ask("friction", **q)["f"], b), 1e-9, "-", q)


def random_meeting(rng):
    flow, head = np.exp(rng.uniform(np.log(0.5), np.log(12))), rng.uniform(20, 120)
    power, shut = rng.uniform(1.6, 2.4), rng.uniform(1.2, 1.5)
    rows = [[float(flow * x), float(head * (shut - (shut - 1) * x**power)), 0.5] for x in np.linspace(0, 1.5, 9)]
    rows = [r for r in rows if r[1] > 0.05 * head]
    return {
        "curve": rows, "rated_rpm": 3000.0, "rpm": float(rng.uniform(1800, 3300)),
        "lift_m": float(head * rng.uniform(0.05, 0.9)), "length_m": float(rng.uniform(20, 400)),
        "inner_mm": float(np.sqrt(flow / 3600 / rng.uniform(0.4, 2.0) / (np.pi / 4)) * 1000),
        "roughness_mm": float(rng.choice([0.0015, 0.045, 0.15])), "fittings_k": float(rng.uniform(0, 20)),
        "density_kg_m3": 998.2, "nu_m2_s": NU,
    }


def pump_and_pipe(ours, ledger, rng, count):
    """The meeting solved by SciPy with fluids' friction; in the laminar and turbulent range."""
    for _ in range(count):
        m = random_meeting(rng)
        a = ours.ask("meeting", **m)
        rows = np.array(m["curve"])
        curve = PchipInterpolator(rows[:, 0], rows[:, 1])
        w, d = m["rpm"] / m["rated_rpm"], m["inner_mm"] / 1000

        def gap(q):
            v = q / 3600 / (np.pi / 4 * d * d)
            re = v * d / NU
            f = fluids.friction_factor(Re=re, eD=m["roughness_mm"] / m["inner_mm"], Method="Colebrook") if re > 4000 else 64 / max(re, 1e-9)
            loss = (f * m["length_m"] / d + m["fittings_k"]) * v * v / (2 * G)
            return w * w * float(curve(q / w)) - m["lift_m"] - loss

        top = rows[-1, 0] * w
        if gap(1e-9) <= 0:
            ledger.note("pump meets pipe: no flow", "SciPy brentq, fluids", a["flow_m3_h"], 1e-9, "m3/h", m)
            continue
        if gap(top) >= 0:
            continue  # beyond the curve's last point, where each program extends it in its own way
        q = brentq(gap, 1e-9, top, xtol=1e-12)
        re = np.array([q, a["flow_m3_h"]]) / 3600 / (np.pi / 4 * d) / NU
        if np.any((re > 1990) & (re < 4010)):
            continue  # no agreed formula between laminar and turbulent
        ledger.note("pump meets pipe: flow", "SciPy brentq, fluids", relative(a["flow_m3_h"], q, 1e-3), 1e-7, "-", m)


def epanet(ours, ledger, rng, count):
    """The same by the EPANET 2.2 engine, which knows friction by Swamee and Jain only."""
    with tempfile.TemporaryDirectory() as folder:
        for k in range(max(count // 10, 20)):
            m = random_meeting(rng)
            flow, head = np.exp(rng.uniform(np.log(0.5), np.log(12))), rng.uniform(20, 120)
            # EPANET takes a power law through three points
            law = lambda q: head * (4 / 3 - 1 / 3 * (q / flow) ** 2)  # noqa: E731
            m["curve"] = [[float(q), float(law(q)), 0.5] for q in np.linspace(0, 1.9 * flow, 39)]
            m["lift_m"] = float(head * rng.uniform(0.1, 0.9))
            m["inner_mm"] = float(np.sqrt(flow / 3600 / rng.uniform(0.4, 2.0) / (np.pi / 4)) * 1000)
            a = ours.ask("meeting", **m)
            net = wntr.network.WaterNetworkModel()
            net.options.hydraulic.headloss = "D-W"
            net.options.hydraulic.accuracy = 1e-8
            net.options.time.duration = 0
            net.add_reservoir("well", base_head=0.0)
            net.add_junction("out", base_demand=0.0, elevation=0.0)
            net.add_reservoir("tank", base_head=m["lift_m"])
            net.add_curve("c", "HEAD", [(flow / 3600, head)])
            net.add_pump("pump", "well", "out", pump_type="HEAD", pump_parameter="c", speed=m["rpm"] / m["rated_rpm"])
            net.add_pipe("riser", "out", "tank", length=m["length_m"], diameter=m["inner_mm"] / 1000,
                         roughness=m["roughness_mm"] / 1000, minor_loss=m["fittings_k"])
            result = wntr.sim.EpanetSimulator(net).run_sim(file_prefix=f"{folder}/{k}")
            q = float(result.link["flowrate"]["riser"].iloc[0]) * 3600
            lib = "EPANET 2.2 (wntr)"
            if m["lift_m"] >= law(0) * (m["rpm"] / m["rated_rpm"]) ** 2:
                ledger.note("pump meets pipe: no flow", lib, a["flow_m3_h"], 1e-9, "m3/h", m)
                continue
            re = q / 3600 / (np.pi / 4 * m["inner_mm"] / 1000) / NU
            if re > 4000:  # below, the engine bends from laminar to turbulent in its own way
                ledger.note("pump meets pipe: flow", lib, relative(a["flow_m3_h"], q), SWAMEE_JAIN, "-", m)


def theis(ours, ledger, rng, count):
    for _ in range(count):
        q = {"flow_m3_d": float(rng.uniform(1, 2000)), "radius_m": float(np.exp(rng.uniform(np.log(0.05), np.log(200)))),
             "transmissivity_m2_d": float(np.exp(rng.uniform(0, np.log(5000)))),
             "storativity": float(np.exp(rng.uniform(np.log(1e-6), np.log(0.3)))),
             "time_d": float(np.exp(rng.uniform(np.log(1e-4), np.log(1000))))}
        u = q["radius_m"] ** 2 * q["storativity"] / (4 * q["transmissivity_m2_d"] * q["time_d"])
        b = q["flow_m3_d"] * exp1(u) / (4 * np.pi * q["transmissivity_m2_d"])
        ledger.note("Theis drawdown", "SciPy exp1", relative(ours.ask("theis", **q)["drawdown_m"], b, 1e-12), 1e-10, "-", q)


def water(ours, ledger, rng, count):
    for _ in range(min(count, 200)):
        t = float(rng.uniform(0.1, 59.9))
        a = ours.ask("water", water_c=t)
        state = iapws.IAPWS95(T=t + 273.15, P=0.101325)
        ledger.note("water: density", "iapws IAPWS-95", relative(a["density_kg_m3"], state.rho), 3e-5, "-", t)
        ledger.note("water: viscosity", "iapws IAPWS-95", relative(a["viscosity_pa_s"], state.mu), 1e-3, "-", t)
        vapour = iapws.iapws97._PSat_T(t + 273.15) * 1e6
        ledger.note("water: vapour pressure", "iapws IF97", relative(a["vapour_pa"], vapour), 1e-3, "-", t)


PARTS = (friction, pump_and_pipe, epanet, theis, water)
