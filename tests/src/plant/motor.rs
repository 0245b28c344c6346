//! The motor and its leads: one phase of a synchronous machine as a phasor, with saturation, warm
//! magnets, warm windings, an angle error of the drive and current ripple.

use std::f64::consts::PI;

/// Motor, drop cable and joints, as built.
#[derive(Debug, Clone)]
pub struct Motor {
    /// Pole pairs.
    pub pole_pairs: f64,
    /// V rms line to line per 1000 rpm at 20 degC.
    pub ke: f64,
    /// Loss of back-EMF per K of the magnets.
    pub magnet_per_k: f64,
    /// Share of back-EMF lost at rated current.
    pub saturation: f64,
    /// Winding, one phase at 20 degC, ohm.
    pub winding: f64,
    /// Rated current, A rms.
    pub rated_a: f64,
    /// Bearings, seal, water drag and iron at rated speed, N m.
    pub no_load: f64,
    /// Rated speed, rpm.
    pub rated_rpm: f64,
    /// Inductance of one phase, H.
    pub inductance: f64,
    /// Drop cable, one lead at its temperature, ohm.
    pub lead: f64,
    /// Extra resistance in lead U, V, W, ohm.
    pub extra: [f64; 3],
    /// Lead that carries nothing.
    pub open: Option<usize>,
    /// Rubbing bearings or stator at low speed, N m; it fades by a seventh up to rated speed.
    pub drag: f64,
    /// Phase whose turns are shorted, the share of them, and the braking torque of the current in the short at
    /// rated speed, N m.
    pub shorted: Option<(usize, f64, f64)>,
    /// Phase that leaks to ground, and the resistance of the leak, ohm.
    pub earth: Option<(usize, f64)>,
    /// Fundamental torque current over all current (angle error of the drive).
    pub cos_error: f64,
    /// Measured rms over fundamental.
    pub ripple: f64,
    /// Block commutation.
    pub six_step: bool,
    /// K of the winding over the water per W of loss.
    pub warm_k_per_w: f64,
}

/// What the motor takes at a moment.
#[derive(Debug, Clone, Copy, Default)]
pub struct MotorPoint {
    /// Mean of the three currents, A rms.
    pub i: f64,
    /// The three currents, A rms.
    pub phases: [f64; 3],
    /// Line voltage that the controller must give, V rms.
    pub u: f64,
    /// Power at the controller's output, W.
    pub power_out: f64,
    /// Power at the motor's own leads, W.
    pub power_in: f64,
    /// Power at the shaft, W.
    pub shaft: f64,
}

impl Motor {
    /// Winding resistance of a phase at a temperature, ohm.
    fn hot_winding(&self, winding_c: f64) -> f64 {
        self.winding * (234.5 + winding_c) / 254.5
    }

    /// Torque at rated current and full flux, N m: sqrt 3 Ke I.
    pub fn rated_torque(&self) -> f64 {
        3.0_f64.sqrt() * self.ke * 30.0 / (1000.0 * PI) * self.rated_a
    }

    /// What it takes to give `pump_torque` at `n` rpm.
    pub fn at(&self, n: f64, pump_torque: f64, winding_c: f64) -> MotorPoint {
        let omega = n * PI / 30.0;
        let speed = n / self.rated_rpm;
        let rubs = self.drag * (1.07 - 0.14 * speed.min(2.0));
        let (share, brakes) = self.shorted.map_or((0.0, 0.0), |(_, share, torque)| (share, torque * speed));
        let torque = pump_torque + self.no_load * (0.5 + 0.5 * speed) + rubs + brakes;
        // Shorted turns no longer help to turn: a third of their share of one phase.
        let ke = self.ke * (1.0 - share / 3.0) * (1.0 - self.magnet_per_k * (winding_c - 20.0));
        let mut i = self.rated_a;
        for _ in 0..3 {
            let flux = 1.0 - self.saturation * (i / self.rated_a).min(2.5).powi(2);
            // 3 E I cos = torque x speed, E = ke n / 1000 / sqrt 3
            i = torque * PI / 30.0 * 1000.0 / (3.0_f64.sqrt() * ke * flux * self.cos_error);
        }
        let flux = 1.0 - self.saturation * (i / self.rated_a).min(2.5).powi(2);
        let e = ke * flux * n / 1000.0 / 3.0_f64.sqrt();
        let winding = self.hot_winding(winding_c) * (1.0 - share / 3.0);
        let r = winding + self.lead;
        let x =
            2.0 * PI * self.pole_pairs * n / 60.0 * self.inductance * if self.six_step { 0.5 } else { 1.0 };
        let phases = self.share(i, r, 0.0);
        let leak = self.earth.map_or(0.0, |(_, ohm)| (e * e / ohm).min(0.3 * torque * omega));
        let worst = self.extra.iter().copied().fold(0.0, f64::max);
        let u = 3.0_f64.sqrt() * ((e + i * r).powi(2) + (i * x).powi(2)).sqrt() + 0.87 * i * worst;
        let copper: f64 = phases.iter().zip(self.extra).map(|(i, extra)| i * i * (r + extra)).sum();
        let inside: f64 = phases.iter().map(|i| i * i * winding).sum();
        let gap = torque * omega;
        MotorPoint {
            i: i * self.ripple,
            phases: phases.map(|i| i * self.ripple),
            u,
            power_out: gap + copper + leak,
            power_in: gap + inside,
            shaft: pump_torque * omega,
        }
    }

    /// How the three currents differ. A field-oriented drive keeps them equal until its voltage is used
    /// up (`short` 0 to 1); a voltage-fed block drive never does.
    pub fn share(&self, i: f64, r: f64, short: f64) -> [f64; 3] {
        let mut even = [i; 3];
        if let Some((phase, turns, _)) = self.shorted {
            // Sine drives keep the currents nearly equal, block drives do not.
            even[phase] *= 1.0 + turns * if self.six_step { 0.8 } else { 0.2 + 0.3 * short };
        }
        if let Some((phase, ohm)) = self.earth {
            even[phase] += self.ke * self.rated_rpm / 1000.0 / 3.0_f64.sqrt() / ohm;
        }
        if self.extra.iter().all(|e| *e < 1e-6) {
            return even;
        }
        // Stiffness against unequal resistance: block drives chop one measured current.
        let weight = if self.six_step { 0.6 } else { 0.75 * short };
        let pair = |a: usize, b: usize| {
            1.0 / (1.0 + weight * (self.extra[a] + self.extra[b]) / (2.0 * r + 0.3 * self.stiff()))
        };
        let (uv, vw, wu) = (pair(0, 1), pair(1, 2), pair(2, 0));
        let raw = [
            f64::midpoint(uv * uv, wu * wu).sqrt(),
            f64::midpoint(uv * uv, vw * vw).sqrt(),
            f64::midpoint(vw * vw, wu * wu).sqrt(),
        ];
        let mean = raw.iter().sum::<f64>() / 3.0;
        std::array::from_fn(|k| even[k] * raw[k] / mean)
    }

    /// Rated impedance of the machine, ohm.
    fn stiff(&self) -> f64 {
        self.ke * self.rated_rpm / 1000.0 / 3.0_f64.sqrt() / self.rated_a
    }
}
