"""Sun, glass and modules beside pvlib."""

import numpy as np
import pandas as pd
import pvlib


def relative(a, b, floor=0.0):
    return abs(a - b) / max(abs(b), floor, 1e-300)


def solar_position(ours, ledger, rng, count):
    for _ in range(count):
        q = {
            "unix_s": float(rng.integers(315_532_800, 4_070_908_800)),  # 1980 to 2098
            "latitude_deg": float(rng.uniform(-90, 90)),
            "longitude_deg": float(rng.uniform(-180, 180)),
            "altitude_m": float(rng.uniform(0, 4000)),
        }
        a = ours.ask("sun", **q)
        t = pd.DatetimeIndex([pd.Timestamp(q["unix_s"], unit="s", tz="UTC")])
        b = pvlib.solarposition.spa_python(
            t, q["latitude_deg"], q["longitude_deg"], q["altitude_m"], pressure=a["pressure_pa"],
            temperature=a["air_c"], delta_t=a["delta_t_s"],
        ).iloc[0]
        lib = "pvlib spa_python"
        ledger.note("sun: true zenith", lib, abs(a["zenith_deg"] - b["zenith"]), 1e-3, "deg", q)
        # both programs refract until the disc is down, but stop at slightly different heights
        if b["apparent_elevation"] > 0.0:
            seen = abs(a["apparent_zenith_deg"] - b["apparent_zenith"])
            ledger.note("sun: zenith as seen", lib, seen, 1e-3, "deg", q)
        turn = (a["azimuth_deg"] - b["azimuth"] + 180) % 360 - 180
        across = abs(turn) * np.sin(np.radians(b["zenith"]))
        ledger.note("sun: azimuth, on the sphere", lib, across, 1e-3, "deg", q)


def random_cell(rng):
    il = rng.uniform(0.05, 15)
    a = rng.uniform(0.8, 3.0)
    voc = a * rng.uniform(18, 30)
    return {
        "il": float(il),
        "i0": float(il / np.expm1(voc / a)),
        "rs": float(rng.uniform(0.005, 0.06) * voc / il),
        "rsh": float(rng.uniform(5, 500) * voc / il),
        "a": float(a),
    }


def single_diode(ours, ledger, rng, count):
    for _ in range(count):
        c = random_cell(rng)
        v = float(rng.uniform(-0.2, 1.02) * c["a"] * np.log1p(c["il"] / c["i0"]))
        a = ours.ask("diode", v=v, **c)
        p = (c["il"], c["i0"], c["rs"], c["rsh"], c["a"])
        i = pvlib.pvsystem.i_from_v(v, *p, method="lambertw")
        best = pvlib.pvsystem.singlediode(*p, method="newton")
        q = {**c, "v": v}
        ledger.note("single diode: I(V), of IL", "pvlib lambertw", abs(a["i"] - i) / c["il"], 1e-8, "-", q)
        newton = "pvlib bishop88 newton"
        ledger.note("single diode: best power", newton, relative(a["pmp"], best["p_mp"]), 1e-8, "-", q)
        ledger.note("single diode: best voltage", newton, relative(a["vmp"], best["v_mp"]), 1e-4, "-", q)
        ledger.note("single diode: open circuit", newton, relative(a["voc"], best["v_oc"]), 1e-8, "-", q)


def de_soto(ours, ledger, rng, count):
    # a generic 60-cell module of the public CEC database
    m = {"a": 1.5161, "il": 8.884117, "i0": 1.497143e-10, "rs": 0.3233, "rsh": 697.390381, "alpha_isc": 0.003907}
    for _ in range(count):
        g, t = float(rng.uniform(20, 1300)), float(rng.uniform(-20, 85))
        a = ours.ask("module", irradiance_w_m2=g, cell_c=t, **m)
        p = pvlib.pvsystem.calcparams_desoto(g, t, m["alpha_isc"], m["a"], m["il"], m["i0"], m["rsh"], m["rs"])
        b = pvlib.pvsystem.singlediode(*p, method="newton")
        q = {"irradiance_w_m2": g, "cell_c": t}
        ledger.note("module: best power", "pvlib desoto", relative(a["pmp"], b["p_mp"]), 1e-6, "-", q)
        ledger.note("module: open circuit", "pvlib desoto", relative(a["voc"], b["v_oc"]), 1e-6, "-", q)


def perez(ours, ledger, rng, count):
    for _ in range(count):
        zenith = float(rng.uniform(0, 88))
        extra = float(rng.uniform(1320, 1415))
        dni = float(rng.uniform(0, 1000))
        dhi = float(rng.uniform(5, 450))
        q = {
            "apparent_zenith_deg": zenith, "sun_azimuth_deg": float(rng.uniform(0, 360)),
            "ghi": dni * np.cos(np.radians(zenith)) + dhi, "dni": dni, "dhi": dhi,
            "tilt_deg": float(rng.uniform(0, 90)), "azimuth_deg": float(rng.uniform(0, 360)),
            "albedo": float(rng.uniform(0, 0.7)), "extraterrestrial": extra,
        }
        a = ours.ask("perez", **q)
        airmass = pvlib.atmosphere.get_relative_airmass(zenith, model="kastenyoung1989")
        b = pvlib.irradiance.get_total_irradiance(
            q["tilt_deg"], q["azimuth_deg"], zenith, q["sun_azimuth_deg"], dni, q["ghi"], dhi,
            dni_extra=extra, airmass=airmass, albedo=q["albedo"], model="perez",
        )
        ledger.note("plane: Perez, all light", "pvlib perez", abs(a["total"] - b["poa_global"]), 1e-6, "W/m2", q)


def glass(ours, ledger, rng, count):
    for tilt in np.linspace(0, 90, 46):
        a = ours.ask("glass", tilt_deg=float(tilt))
        b = pvlib.iam.marion_diffuse("physical", float(tilt))
        lib = "pvlib marion_diffuse"
        ledger.note("glass: even sky", lib, abs(a["sky"] - b["sky"]), 0.015, "-", tilt)
        if tilt >= 10:  # below, hardly any light comes from the ground
            ledger.note("glass: ground", lib, abs(a["ground"] - b["ground"]), 0.06, "-", tilt)


PARTS = (solar_position, single_diode, de_soto, perez, glass)
