//! Controllers and rotors that do not turn whatever the sun: no supply, a failed controller, a locked rotor.

use wellwright_domain::flags::{Flag, Flags, PumpState};

use super::{Run, Truth};
use crate::plant::drive::Failed;
use crate::plant::panel::Curve;
use crate::plant::plant::{Load, NoSupply};

impl Run {
    /// Once silent, no more rows come.
    pub fn rows_end(&self) -> bool {
        self.plant.no_supply == Some(NoSupply::RowsEnd)
    }

    /// Nothing arrives, or the controller is dead: fills in what is seen then.
    pub(super) fn lifeless(&mut self, t: f64, dt: f64, curve: &Curve, truth: &mut Truth) -> bool {
        let lost = Flags::NONE.with(Flag::CommsLost);
        if let Some(kind) = self.plant.no_supply {
            // What leaks over an open contact.
            truth.v = (0.004 * curve.open_v()).min(1.5);
            truth.flags = match kind {
                NoSupply::Zero(flags) => flags,
                NoSupply::CommsLost => lost,
                NoSupply::RowsEnd if t > self.scene.last_row => lost,
                NoSupply::RowsEnd => Flags::NONE,
            };
            return true;
        }
        let Some(kind) = self.plant.drive.failed else { return false };
        self.idle(truth, curve);
        match kind {
            Failed::Rests(flags) => truth.flags = flags,
            Failed::CommsLost => truth.flags = lost,
            Failed::Starts => {
                let night = truth.a <= 0.0;
                // A start that never comes to anything, given up and tried again.
                self.odd.phase_s = (self.odd.phase_s + dt) % 90.0;
                truth.state =
                    if night || self.odd.phase_s > 35.0 { PumpState::Stopped } else { PumpState::Starting };
            }
        }
        true
    }

    /// A start against a rotor that does not move: current at its limit, then a trip.
    pub(super) fn locked_rotor(&mut self, t: f64, curve: &Curve, truth: &mut Truth) -> Option<Load> {
        let drive = self.plant.drive.clone();
        let a = drive.max_a * self.dice.uniform(0.9, 1.0);
        let r = self.plant.motor.winding + self.plant.motor.lead;
        truth.phases = self.plant.motor.share(a, r, 0.0);
        truth.output_v = 3.0_f64.sqrt() * a * r * 1.1;
        // The controller shows the field that it turns.
        truth.rpm = self.dice.uniform(0.0, 0.12) * drive.max_rpm;
        let (peak, most) = curve.best(drive.min_v.min(0.5 * curve.open_v()));
        let dc = drive.input(3.0 * a * a * r).min(most);
        truth.v = curve.above(peak, dc);
        truth.a = dc / truth.v.max(1.0);
        let array = dc + truth.a * truth.a * self.plant.panels.dc_ohm;
        let out = (3.0 * a * a * r).min(dc);
        truth.chain = [array, dc, out, (3.0 * a * a * self.plant.motor.winding).min(out), 0.0, 0.0];
        truth.state = PumpState::Starting;
        if t >= self.open_until {
            self.stop(t, drive.stall_flag, true, truth);
        }
        None
    }

    /// The leak to ground is below what the controller allows.
    pub(super) fn trips_to_ground(&self) -> bool {
        let limit = self.plant.drive.earth_trip_ohm;
        let leak = self.plant.motor.earth;
        limit.zip(leak).is_some_and(|(limit, (_, ohm))| ohm < limit)
    }
}
