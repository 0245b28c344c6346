//! With the motor turning, or trying to: tracking, limits, trips, and the open lead.

use wellwright_domain::flags::{Flag, Flags, PumpState};

use super::{Mode, Run, Truth};
use crate::plant::balance::{Held, Limit, Supply};
use crate::plant::drive::OpenLead;
use crate::plant::panel::Curve;
use crate::plant::plant::Load;

impl Run {
    /// The peak a controller finds when it comes from open circuit.
    pub(super) fn first_peak(&self, curve: &Curve) -> f64 {
        if self.plant.drive.scan_s.is_some() {
            return curve.best(self.plant.drive.min_v).0;
        }
        let peaks = curve.peaks(self.plant.drive.min_v);
        let (_, best) = curve.best(self.plant.drive.min_v);
        // A very small bump near open circuit does not hold a tracker.
        peaks.into_iter().rev().find(|v| curve.power(*v) > 0.4 * best).unwrap_or(self.plant.drive.min_v)
    }

    pub(super) fn supply<'a>(&mut self, t: f64, dt: f64, curve: &'a Curve, heat_c: f64) -> Supply<'a> {
        let drive = &self.plant.drive;
        let peaks = curve.peaks(drive.min_v);
        let from = self.peak;
        self.peak = peaks
            .into_iter()
            .min_by(|a, b| (a - from).abs().total_cmp(&(b - from).abs()))
            .unwrap_or(drive.min_v.min(curve.open_v()));
        if drive.scan_s.is_some_and(|s| t - self.scanned > s) {
            self.scanned = t;
            self.peak = curve.best(drive.min_v).0;
        }
        let keep = (-dt / 8.0).exp();
        self.wander =
            self.wander * keep + self.dice.normal(0.0, drive.track_wander) * (1.0 - keep * keep).sqrt();
        let aim = drive.stuck_v.unwrap_or(self.peak * (1.0 + drive.track_bias));
        let track =
            (aim * (1.0 + self.wander)).clamp(drive.min_v.min(0.99 * curve.open_v()), 0.99 * curve.open_v());
        let cool = drive.cool_share(heat_c);
        Supply { curve, peak: self.peak, track, ripple: drive.track_ripple, cool }
    }

    /// One step with the motor turning: `since` while starting.
    pub(super) fn turn(
        &mut self,
        t: f64,
        dt: f64,
        since: Option<f64>,
        curve: &Curve,
        truth: &mut Truth,
    ) -> Option<Load> {
        let drive = self.plant.drive.clone();
        let supply = self.supply(t, dt, curve, truth.heat_c);
        let slowest = 0.04 * drive.max_rpm;
        let before = self.n;
        let wish = (self.n.max(slowest) + drive.ramp * dt).clamp(slowest, drive.max_rpm);
        let floor = if since.is_some() { slowest } else { 0.97 * drive.min_rpm };
        match self.plant.hold(floor, wish.max(floor), &supply, &self.view) {
            Ok(held) => {
                self.n = held.n;
                let slow = held.n < 0.97 * drive.min_rpm;
                self.low_for_s = if slow { self.low_for_s + dt } else { 0.0 };
                let patience = drive.min_rpm / drive.ramp + 8.0;
                if slow && since.is_some_and(|s| t - s > patience) {
                    let (flag, trips) = match held.limit {
                        Limit::Current => (drive.stall_flag, true),
                        _ => (Flag::LowPower, false),
                    };
                    self.stop(t, flag, trips, truth);
                    return None;
                }
                if !slow && since.is_some() {
                    self.mode = Mode::Running;
                }
                truth.state = if slow { PumpState::Starting } else { PumpState::Running };
                self.show(&held, truth);
                if drive.says_hot && supply.cool < 0.97 {
                    truth.flags = Flags::NONE.with(Flag::OverTemperature);
                }
                if self.under_load(dt, &held) {
                    self.stop(t, Flag::UnderLoad, true, truth);
                    return None;
                }
                Some(held.load)
            }
            Err(limit) => {
                let (flag, trips) = match limit {
                    Limit::Current => (drive.stall_flag, true),
                    _ => (Flag::LowPower, false),
                };
                // The moment of the trip: current at its limit, hardly any speed.
                if trips {
                    let n = before.max(slowest);
                    let a = drive.max_a;
                    let r = self.plant.motor.winding + self.plant.motor.lead;
                    truth.phases = self.plant.motor.share(a, r, 0.0);
                    truth.rpm = n.min(0.3 * drive.min_rpm);
                    truth.output_v = 3.0_f64.sqrt() * a * r * 1.1;
                    let dc = drive.input(3.0 * a * a * r + 0.1 * drive.max_power * n / drive.max_rpm);
                    truth.v = curve.above(supply.peak, dc.min(curve.power(supply.peak)));
                    truth.a = curve.current(truth.v);
                }
                self.stop(t, flag, trips, truth);
                None
            }
        }
    }

    /// Ends the run; the row of that moment may still show the last values.
    pub(super) fn stop(&mut self, t: f64, flag: Flag, tripped: bool, truth: &mut Truth) {
        let drive = self.plant.drive.clone();
        let seconds = if tripped { drive.rest_s } else { drive.low_rest_s };
        // Some controllers name the same event now one way, now the other.
        let flag = if flag == Flag::Stall && self.dice.chance(0.35) { Flag::OverCurrent } else { flag };
        self.rest(t, seconds, flag, tripped);
        truth.state = if tripped { PumpState::Tripped } else { PumpState::Stopped };
        truth.flags = if drive.late_flag { Flags::NONE } else { Flags::NONE.with(flag) };
        if !drive.late_values {
            truth.rpm = 0.0;
            truth.phases = [0.0; 3];
            truth.output_v = 0.0;
            truth.limit = None;
            (truth.v, truth.a) = self.idle_va;
        }
        truth.chain = [0.0; 6];
    }

    pub(super) fn show(&self, held: &Held, truth: &mut Truth) {
        let motor = held.load.motor;
        truth.rpm = held.n;
        truth.v = held.v;
        truth.a = held.load.dc / held.v.max(1.0);
        truth.limit = Some(held.limit);
        truth.output_v = motor.u;
        let room = self.plant.drive.modulation * held.v;
        let short = ((motor.u / room - 0.92) / 0.08).clamp(0.0, 1.0);
        let r = self.plant.motor.winding + self.plant.motor.lead;
        truth.phases = self.plant.motor.share(motor.i, r, short);
        let dc = truth.v * truth.a;
        let array = dc + truth.a * truth.a * self.plant.panels.dc_ohm;
        truth.chain = [array, dc, motor.power_out, motor.power_in, motor.shaft, held.load.hydraulic];
    }

    pub(super) fn under_load(&mut self, dt: f64, held: &Held) -> bool {
        let drive = &self.plant.drive;
        let Some(least) = drive.least_torque(held.n) else { return false };
        let light = held.load.pump.torque < least && held.n > 1.1 * drive.min_rpm;
        self.light_for_s = if light { self.light_for_s + dt } else { 0.0 };
        self.light_for_s > drive.under_load_hold_s
    }

    /// A start with a lead that carries nothing: two equal currents and no turning field.
    pub(super) fn open_lead(&mut self, t: f64, curve: &Curve, truth: &mut Truth) -> Option<Load> {
        let drive = self.plant.drive.clone();
        let open = self.plant.motor.open.unwrap_or(0);
        let blind = drive.open_lead == OpenLead::Blind;
        if !blind && t >= self.open_until {
            let flag = match drive.open_lead {
                OpenLead::Other(flag) => flag,
                _ => Flag::PhaseLoss,
            };
            self.rest(t, drive.rest_s, flag, true);
            truth.state = PumpState::Tripped;
            truth.flags = if drive.late_flag { Flags::NONE } else { Flags::NONE.with(flag) };
            if !drive.late_values {
                return None;
            }
        } else {
            truth.state = if blind { PumpState::Running } else { PumpState::Starting };
        }
        let share = if blind { 0.6 } else { self.dice.uniform(0.3, 1.0) };
        let a = share * if blind { self.plant.motor.rated_a } else { drive.max_a };
        let r = self.plant.motor.winding + self.plant.motor.lead;
        truth.phases = [a; 3];
        truth.phases[open] = 0.0;
        truth.output_v = a * 2.0 * r * 1.1;
        self.n = if blind {
            (self.n + drive.ramp).min(0.75 * drive.max_rpm)
        } else {
            self.dice.uniform(0.0, 0.1) * drive.max_rpm
        };
        truth.rpm = self.n;
        let out = 2.0 * a * a * r;
        let (peak, most) = curve.best(drive.min_v.min(0.5 * curve.open_v()));
        let dc = drive.input(out).min(most);
        truth.v = curve.above(peak, dc);
        truth.a = dc / truth.v.max(1.0);
        let array = dc + truth.a * truth.a * self.plant.panels.dc_ohm;
        truth.chain = [array, dc, out.min(dc), 2.0 * a * a * self.plant.motor.winding, 0.0, 0.0];
        None
    }
}
