//! Permanent-magnet motor with its cable: from torque and speed to current, voltage and power.

mod stuck;

pub use stuck::{Stuck, unbalance_pct};

use std::f64::consts::PI;

use wellwright_domain::record::Drive;

use crate::pump::centrifugal::omega_rad_s;

/// Motor data at 20 degC, one phase of a star.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Motor {
    /// Pole pairs.
    pub pole_pairs: u32,
    /// Back-EMF constant, V rms line to line per 1000 rpm.
    pub ke_v_per_krpm: f64,
    /// Resistance of one phase, ohm (half of what is measured between two leads).
    pub phase_ohm: f64,
    /// Inductance of one phase, H.
    pub phase_h: f64,
    /// Torque without load at rated speed, N m.
    pub no_load_nm: f64,
    /// Rated speed, rpm.
    pub rated_rpm: f64,
    /// Rated current, A rms.
    pub rated_a: f64,
}

/// What is wrong with motor and leads; the default is nothing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LeadCondition {
    /// Extra resistance in one lead, ohm.
    pub one_lead_ohm: f64,
    /// Resistance of all three leads over the record's.
    pub cable_ratio: f64,
    /// Share of the magnets' flux that is lost.
    pub flux_lost: f64,
    /// Share of one phase's turns that is shorted.
    pub shorted_turns: f64,
    /// Extra torque, as a share of rated torque.
    pub drag: f64,
    /// The drive tells the highest of three unequal line voltages instead of their symmetric part.
    pub tells_highest: bool,
    /// Carried by a second, parallel path to ground, A (leakage seen by the controller).
    pub leak_a: f64,
    /// Speed of the shaft over the speed that the controller tells: the record's pole pairs over the motor's.
    pub true_speed: f64,
}

impl Default for LeadCondition {
    fn default() -> Self {
        LeadCondition {
            one_lead_ohm: 0.0,
            cable_ratio: 1.0,
            flux_lost: 0.0,
            shorted_turns: 0.0,
            drag: 0.0,
            tells_highest: false,
            leak_a: 0.0,
            true_speed: 1.0,
        }
    }
}

/// Electrical state of motor and leads.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MotorPoint {
    /// Mean phase current, A rms.
    pub phase_a: f64,
    /// Voltage line to line that the controller must give, V rms: the highest of the three.
    pub line_v: f64,
    /// What a drive tells as its output: the symmetric part of the three, or the highest, line to line, V rms.
    pub told_line_v: f64,
    /// Power into the cable, W.
    pub cable_in_w: f64,
    /// Power into the motor, W.
    pub motor_in_w: f64,
    /// Power on the pump's shaft, W.
    pub shaft_w: f64,
    /// The three currents over their mean, U V W as seen from the lead with extra resistance first.
    pub unbalance: [f64; 3],
}

/// Back-EMF constant in V s/rad, line to line rms.
pub fn ke_v_s(ke_v_per_krpm: f64) -> f64 {
    ke_v_per_krpm * 30.0 / (1000.0 * PI)
}

/// Peak flux linkage of one phase, V s: Ke sqrt(2/3)/p; `ke_v_per_krpm` as in [`Motor`], p `pole_pairs`.
///
/// ```
/// # use wellwright_physics::motor::flux_linkage_v_s;
/// assert!((flux_linkage_v_s(30.0, 2) - 0.116955).abs() < 5e-7);
/// ```
pub fn flux_linkage_v_s(ke_v_per_krpm: f64, pole_pairs: u32) -> f64 {
    ke_v_s(ke_v_per_krpm) * (2.0_f64 / 3.0).sqrt() / f64::from(pole_pairs)
}

/// Electrical frequency, Hz: p n/60.
///
/// ```
/// assert_eq!(wellwright_physics::motor::frequency_hz(3000.0, 2), 100.0);
/// ```
pub fn frequency_hz(rpm: f64, pole_pairs: u32) -> f64 {
    rpm * f64::from(pole_pairs) / 60.0
}

impl Motor {
    /// Rated torque, N m: sqrt(3) Ke I.
    pub fn rated_torque_nm(&self) -> f64 {
        3f64.sqrt() * ke_v_s(self.ke_v_per_krpm) * self.rated_a
    }

    /// Own losses as torque at a speed, N m: half independent of speed, half proportional to it
    /// (engineering judgement: bearings and seal against drag and iron).
    pub fn own_torque_nm(&self, rpm: f64) -> f64 {
        self.no_load_nm * (0.5 + 0.5 * rpm / self.rated_rpm)
    }

    /// Electrical state at a pump torque and speed.
    ///
    /// Equation: T = sqrt(3) Ke I; V^2 = (E + I R)^2 + (w_e L I)^2 per phase, E = Ke w / sqrt(3);
    /// loss 3 I^2 R; between a phase that needs A and one that needs B, 120 degrees apart, the line needs
    /// sqrt(A^2 + B^2 + A B). Current lies on the q axis (no field weakening).
    /// Symbols: `cable_ohm` one lead of the drop cable at its temperature.
    /// Source: any text on permanent-magnet machines; power identity closes exactly.
    pub fn at(
        &self,
        rpm: f64,
        pump_torque_nm: f64,
        cable_ohm: f64,
        drive: Drive,
        c: &LeadCondition,
    ) -> MotorPoint {
        let omega = omega_rad_s(rpm);
        // shorted turns of one phase no longer turn the rotor: a third of their share of the machine
        let ke = ke_v_s(self.ke_v_per_krpm) * (1.0 - c.flux_lost) * (1.0 - c.shorted_turns / 3.0);
        let drag = c.drag * self.rated_torque_nm();
        let torque = pump_torque_nm + self.own_torque_nm(rpm) + drag;
        // shorted turns carry a braking current of their own: extra torque that grows with speed
        let short_torque = c.shorted_turns * 0.8 * self.rated_torque_nm() * (rpm / self.rated_rpm).min(1.5);
        let phase_a = (torque + short_torque) / (3f64.sqrt() * ke);
        let cable = cable_ohm * c.cable_ratio;
        let copper_motor = 3.0 * phase_a * phase_a * self.phase_ohm;
        let copper_cable = phase_a * phase_a * (3.0 * cable + c.one_lead_ohm);
        let motor_in_w = (torque + short_torque) * omega + copper_motor;
        // the controller fixes the electrical speed, whatever motor hangs on it
        let omega_e = omega / c.true_speed * f64::from(self.pole_pairs);
        let emf = ke * omega / 3f64.sqrt();
        let r = self.phase_ohm + cable;
        let x = omega_e * self.phase_h;
        // equal currents: the bad lead's phase needs more, and the lines to it carry the difference
        let sound = (emf + phase_a * r).hypot(phase_a * x);
        let bad = (emf + phase_a * (r + c.one_lead_ohm)).hypot(phase_a * x);
        let symmetric = (emf + phase_a * (r + c.one_lead_ohm / 3.0)).hypot(phase_a * x);
        let unbalance = match drive {
            Drive::FieldOriented => [1.0; 3],
            Drive::SixStep => voltage_fed_unbalance(r, x, phase_a, c.one_lead_ohm),
        };
        let line_v = (bad * bad + sound * sound + bad * sound).sqrt();
        MotorPoint {
            phase_a,
            line_v,
            told_line_v: if c.tells_highest { line_v } else { 3f64.sqrt() * symmetric },
            cable_in_w: motor_in_w + copper_cable,
            motor_in_w,
            shaft_w: pump_torque_nm * omega,
            unbalance,
        }
    }
}

/// Currents over their mean when three equal voltages feed a machine with `extra` ohm in the first lead.
///
/// Equation: star with floating neutral, I_k = (V_k - E_k - V_n) / Z_k, sum of I = 0.
fn voltage_fed_unbalance(r: f64, x: f64, phase_a: f64, extra: f64) -> [f64; 3] {
    if extra <= 0.0 || phase_a <= 0.0 {
        return [1.0; 3];
    }
    // Voltage that would drive phase_a with the mean impedance, on the q axis of phase k.
    let drive = Complex(phase_a * (r + extra / 3.0), phase_a * x);
    let turn = |k: f64| Complex((2.0 * PI * k / 3.0).cos(), (2.0 * PI * k / 3.0).sin());
    // the EMFs are balanced and cancel: only the drop across the impedances is unbalanced
    let z = [Complex(r + extra, x), Complex(r, x), Complex(r, x)];
    let u = [drive.times(turn(0.0)), drive.times(turn(-1.0)), drive.times(turn(1.0))];
    let mut num = Complex(0.0, 0.0);
    let mut den = Complex(0.0, 0.0);
    for k in 0..3 {
        let y = z[k].inverse();
        num = num.plus(u[k].times(y));
        den = den.plus(y);
    }
    let neutral = num.times(den.inverse());
    let amps =
        [0, 1, 2].map(|k: usize| u[k].plus(neutral.times(Complex(-1.0, 0.0))).times(z[k].inverse()).abs());
    let mean = (amps[0] + amps[1] + amps[2]) / 3.0;
    amps.map(|a| a / mean)
}

#[derive(Clone, Copy)]
struct Complex(f64, f64);

impl Complex {
    fn times(self, o: Complex) -> Complex {
        Complex(self.0 * o.0 - self.1 * o.1, self.0 * o.1 + self.1 * o.0)
    }
    fn plus(self, o: Complex) -> Complex {
        Complex(self.0 + o.0, self.1 + o.1)
    }
    fn inverse(self) -> Complex {
        let n = self.0 * self.0 + self.1 * self.1;
        Complex(self.0 / n, -self.1 / n)
    }
    fn abs(self) -> f64 {
        self.0.hypot(self.1)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Derived: Ke 30 V rms line to line per 1000 rpm is 0.286479 V s/rad; 5 A gives 2.48098 N m; at
    /// 3000 rpm 779.42 W = sqrt(3) x 90 V x 5 A. The power identity closes to 1e-12.
    #[test]
    fn torque_and_power_identity() {
        assert!((ke_v_s(30.0) - 0.286479).abs() < 1e-6);
        let m = Motor {
            pole_pairs: 2,
            ke_v_per_krpm: 30.0,
            phase_ohm: 0.0,
            phase_h: 0.0,
            no_load_nm: 0.0,
            rated_rpm: 3000.0,
            rated_a: 5.0,
        };
        assert!((m.rated_torque_nm() - 2.48098).abs() < 1e-5);
        let p = m.at(3000.0, m.rated_torque_nm(), 0.0, Drive::FieldOriented, &LeadCondition::default());
        assert!((p.phase_a - 5.0).abs() < 1e-12);
        assert!((p.motor_in_w - 779.42).abs() < 0.005);
        assert!((p.motor_in_w / (3f64.sqrt() * 90.0 * 5.0) - 1.0).abs() < 1e-12);
        assert!((p.line_v - 90.0).abs() < 1e-9);
    }

    #[test]
    fn a_bad_joint_unbalances_a_voltage_fed_drive_only() {
        let m = Motor {
            pole_pairs: 2,
            ke_v_per_krpm: 30.0,
            phase_ohm: 0.5,
            phase_h: 0.001,
            no_load_nm: 0.1,
            rated_rpm: 3000.0,
            rated_a: 5.0,
        };
        let c = LeadCondition { one_lead_ohm: 0.5, ..LeadCondition::default() };
        let six = m.at(3000.0, 2.0, 0.2, Drive::SixStep, &c);
        assert!(six.unbalance[0] < 0.97, "{:?}", six.unbalance);
        assert_eq!(m.at(3000.0, 2.0, 0.2, Drive::FieldOriented, &c).unbalance, [1.0; 3]);
    }
}
