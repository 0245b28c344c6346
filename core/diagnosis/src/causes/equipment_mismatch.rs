//! Pump or motor is not the one in the record.
//!
//! Head or volume differ by a ratio from the first day, or the motor has other poles, so that the shaft turns at
//! another speed than the controller tells. Never explains: what came by itself in service.

use wellwright_domain::cause::Cause;
use wellwright_domain::record::PumpKind;
use wellwright_domain::situation::Touched;
use wellwright_physics::plant::Condition;

use super::{CauseModel, Context, Hypothesis, on_grid};

/// See the module.
pub struct EquipmentMismatch;

/// Head (centrifugal) or volume (helical rotor) over the record's: a smaller pump, and a larger one. What lies between
/// is the pump of the record.
const SMALLER: [f64; 4] = [0.42, 0.52, 0.64, 0.78];
const LARGER: [f64; 5] = [1.25, 1.4, 1.55, 1.75, 1.95];

/// Pole pairs of the record over those of the motor.
const POLES: [f64; 4] = [0.5, 2.0 / 3.0, 1.5, 2.0];

impl CauseModel for EquipmentMismatch {
    fn cause(&self) -> Cause {
        Cause::EquipmentMismatch
    }

    fn worked_on(&self) -> &'static [(Touched, f64)] {
        &[(Touched::Pump, 2.6), (Touched::Motor, 2.6)]
    }

    fn hypotheses(&self, context: &Context) -> Vec<Hypothesis> {
        let of = |c: &mut Condition, ratio| c.pump.size_ratio = ratio;
        let mut sizes = on_grid(self.cause(), SMALLER, of);
        sizes.extend(on_grid(self.cause(), LARGER, of));
        for h in &mut sizes {
            h.weight = 0.08;
        }
        let poles = POLES.into_iter().map(|ratio| {
            let head: f64 = match context.plant.kind {
                PumpKind::Centrifugal => ratio * ratio,
                PumpKind::HelicalRotor => ratio,
            };
            let mut h = Hypothesis::new(self.cause()).at(head.clamp(0.4, 2.0)).weighing(0.07);
            h.condition.lead.true_speed = ratio;
            // another motor has another constant, too
            h.loose_electrical = 0.15;
            h
        });
        sizes.into_iter().chain(poles).collect()
    }
}
