"""The chain from sun to tank of the centrifugal demo system, written with pvlib and SciPy.

The same sub-models and numbers as ours (asked from it), solved the way such a chain is written with these
libraries: pvlib for sun, sky, plane and module, SciPy's PCHIP for the pump's curve, its Wright omega function
for Colebrook's friction, and `brentq` for the two meetings (pump and pipe, load and limits).
"""

import numpy as np
import pandas as pd
import pvlib
from scipy.interpolate import PchipInterpolator
from scipy.optimize import brentq
from scipy.special import wrightomega

G = 9.80665
TWO_LOG = 2 / np.log(10)


class Pipe:
    """A straight pipe: head loss over flow."""

    def __init__(self, length_m, inner_mm, rough_mm, nu):
        self.length, self.d, self.nu = length_m, inner_mm / 1000, nu
        self.area = np.pi / 4 * self.d**2
        self.r = rough_mm / inner_mm / 3.7

    def velocity(self, q):
        return q / 3600 / self.area

    def turbulent(self, re):
        """Colebrook in closed form: z + ln z = w."""
        cs = TWO_LOG * 2.51 / re
        x = TWO_LOG * float(wrightomega(self.r / cs - np.log(cs))) - self.r * re / 2.51
        return 1 / x**2, TWO_LOG * 2.51 / re / (self.r + 2.51 / re * x)

    def loss(self, q):
        v = self.velocity(q)
        re = v * self.d / self.nu
        if re <= 2000:
            return 32 * self.nu * self.length * v / (G * self.d**2)
        if re >= 4000:
            f = self.turbulent(re)[0]
        else:  # a cubic in ln f over ln Re from laminar to turbulent
            f1, m = self.turbulent(4000.0)
            width = np.log(2)
            y0, y1, d0, d1 = np.log(0.032), np.log(f1), -width, -2 * m / (1 + m) * width
            t = np.log(re / 2000) / width
            s = 1 - t
            f = np.exp((1 + 2 * t) * s * s * y0 + t * s * s * d0 + t * t * (3 - 2 * t) * y1 - t * t * s * d1)
        return f * self.length / self.d * v * v / (2 * G)


class Chain:
    """The demo plant; `numbers` is our answer to `plant`."""

    def __init__(self, numbers):
        self.sky, self.array, self.drive, self.water = (numbers[k] for k in ("sky", "array", "drive", "water"))
        w = self.water
        rows = np.array(w["curve"])
        self.head = PchipInterpolator(rows[:, 0], rows[:, 1])
        with np.errstate(divide="ignore", invalid="ignore"):
            power = w["density_kg_m3"] * G * rows[:, 0] / 3600 * rows[:, 1] / rows[:, 2]
        best = int(np.argmax(rows[:, 2]))
        power[0] = w["shutoff_power_share"] * power[best]
        self.best_efficiency = rows[best, 2]
        self.power = PchipInterpolator(rows[:, 0], power)
        self.last = rows[-1, 0]
        self.beyond = [(float(c(self.last)), float(c(self.last, 1))) for c in (self.head, self.power)]
        self.riser = Pipe(w["riser_m"], w["riser_mm"], w["riser_rough_mm"], w["nu_m2_s"])
        self.surface = Pipe(w["surface_m"], w["surface_mm"], w["surface_rough_mm"], w["nu_m2_s"])

    def on_curve(self, curve, beyond, q):
        """Straight beyond the last point."""
        return float(curve(q)) if q <= self.last else beyond[0] + beyond[1] * (q - self.last)

    def asked_head(self, q):
        w = self.water
        level = w["static_m"] + q * (w["drawdown_b"] + w["drawdown_c"] * q)
        fittings = w["fittings_k"] * self.surface.velocity(q) ** 2 / (2 * G)
        return level + w["outlet_m"] + self.riser.loss(q) + self.surface.loss(q) + fittings

    def load(self, rpm):
        """Flow, head, DC power, phase current and line voltage at a speed."""
        w, d = self.water, self.drive
        n = rpm / w["rated_rpm"]
        gap = lambda q: n * n * self.on_curve(self.head, self.beyond[0], q / n) - self.asked_head(q)  # noqa: E731
        top = n * (self.last - self.beyond[0][0] / self.beyond[0][1])
        q = brentq(gap, 0.0, top, xtol=1e-9) if gap(0.0) > 0 else 0.0
        omega = rpm * np.pi / 30
        most = min(0.02, 0.1 * self.best_efficiency)
        shift = min(max((1 - self.best_efficiency) * (1 - n**-0.1), -most), most)
        pump_w = n**3 * self.on_curve(self.power, self.beyond[1], q / n)
        torque = pump_w / omega * self.best_efficiency / (self.best_efficiency + shift)
        torque += d["no_load_nm"] * (0.5 + 0.5 * rpm / d["motor_rated_rpm"])
        ke = d["ke_v_per_krpm"] * 30 / (1000 * np.pi)
        amps = torque / (np.sqrt(3) * ke)
        ohm = d["phase_ohm"] + d["cable_ohm"]
        dc = (torque * omega + 3 * amps**2 * ohm) / d["efficiency"] + d["standby_w"]
        x = omega * d["pole_pairs"] * d["phase_h"]
        line = np.sqrt(3) * np.hypot(ke * omega / np.sqrt(3) + amps * ohm, amps * x)
        return q, dc, amps, line

    def module(self, g, cell_c):
        """Parameters of the whole array as one cell behind its cable."""
        a = self.array
        il, i0, rs, rsh, nn = pvlib.pvsystem.calcparams_desoto(
            g * a["current_share"], cell_c, a["alpha_isc"], a["a"], a["il"], a["i0"], a["rsh"], a["rs"]
        )
        series = a["series"] * a["voltage_share"]
        s = a["strings"]
        return il * s, i0 * s, rs * series / s + a["dc_ohm"], rsh * series / s, nn * series

    def operating_point(self, cell, best_v, best_w):
        """Speed, flow and DC power; nothing when it stands still."""
        d = self.drive
        if best_v < d["min_v"]:
            return None

        def room(rpm):
            q, dc, amps, line = self.load(rpm)
            left = min(best_w / dc, d["max_phase_a"] / amps, d["max_power_w"] / dc)
            if line > d["voltage_ratio"] * best_v:
                left = min(left, d["voltage_ratio"] * self.voltage(cell, best_v, best_w, dc) / line)
            return np.log(left)

        low, high = d["min_rpm"], d["max_rpm"]
        if room(high) >= 0:
            rpm = high
        elif room(low) < 0:
            return None
        else:
            rpm = brentq(room, low, high, xtol=1e-7)
        q, dc, _, _ = self.load(rpm)
        return rpm, q, dc

    def voltage(self, cell, best_v, best_w, power_w):
        if power_w >= best_w:
            return best_v
        voc = float(pvlib.pvsystem.v_from_i(0.0, *cell))
        return brentq(lambda v: v * float(pvlib.pvsystem.i_from_v(v, *cell)) - power_w, best_v, voc, xtol=1e-9)

    def point(self, g, cell_c):
        """Sun on the plane to water in the tank, one moment."""
        cell = self.module(g, cell_c)
        best = pvlib.pvsystem.max_power_point(*cell, method="newton")
        return self.operating_point(cell, float(best["v_mp"]), float(best["p_mp"]))

    def year(self, first_unix_s, air_c, linke_turbidity):
        """Litres of a year hour by hour, m3: sun, sky, plane and module at once, the meetings one by one."""
        k = self.sky
        t = pd.date_range(pd.Timestamp(first_unix_s + 1800, unit="s", tz="UTC"), periods=8760, freq="h")
        lat, lon, alt = k["latitude_deg"], k["longitude_deg"], k["altitude_m"]
        pressure = pvlib.atmosphere.alt2pres(alt)
        sun = pvlib.solarposition.spa_python(t, lat, lon, alt, pressure=pressure, temperature=20)
        extra = pvlib.irradiance.get_extra_radiation(t, method="spencer", solar_constant=1366.1)
        airmass = pvlib.atmosphere.get_relative_airmass(sun["apparent_zenith"], model="kastenyoung1989")
        ama = pvlib.atmosphere.get_absolute_airmass(airmass, pressure)
        clear = pvlib.clearsky.ineichen(
            sun["apparent_zenith"], ama, linke_turbidity, altitude=alt, dni_extra=extra
        ).fillna(0)
        edge = np.array(k["horizon"])
        skyline = np.interp(sun["azimuth"], edge[:, 0], edge[:, 1], period=360)
        hidden = (90 - sun["apparent_zenith"]) < skyline
        plane = pvlib.irradiance.get_total_irradiance(
            k["tilt_deg"], k["azimuth_deg"], sun["apparent_zenith"], sun["azimuth"], clear["dni"], clear["ghi"],
            clear["dhi"], dni_extra=extra, albedo=k["albedo"], model="haydavies",
        )
        isotropic = clear["dhi"] * (1 - (clear["dni"] / extra).clip(0, 1)) * (1 + np.cos(np.radians(k["tilt_deg"]))) / 2
        lit = (clear["dhi"] / clear["ghi"]).clip(0, 1).fillna(1)
        behind = isotropic + plane["poa_ground_diffuse"] * lit
        light = plane["poa_global"].where(~hidden, behind).fillna(0).to_numpy()
        cell_c = air_c + light * (k["noct_c"] - 20) / 800
        day = np.flatnonzero(light > 3)
        cells = self.module(light[day], cell_c[day])
        best = pvlib.pvsystem.max_power_point(*cells, method="newton")
        litres = 0.0
        for j in range(len(day)):
            cell = [np.broadcast_to(c, len(day))[j] for c in cells]
            found = self.operating_point(cell, best["v_mp"][j], best["p_mp"][j])
            litres += found[1] if found else 0.0
        return litres
