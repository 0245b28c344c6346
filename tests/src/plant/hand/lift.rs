//! The pump on the ground: what must come out is found, what sits elsewhere is not.

use wellwright_domain::cause::{Cause, PumpOut};
use wellwright_domain::check::Answer;

use super::Fields;
use super::moment::Moment;
use crate::plant::dice::Dice;

/// What inspection finds: a fault in the well in 95 %, one that may sit in the well in 60 % (it does in so many), a
/// reversed motor when it is tried in a drum in half, a thin cable in 70 %.
pub fn pull_pump(m: &Moment, dice: &mut Dice) -> Fields {
    let cause = m.case.cause;
    let found = match cause.info().pump_out {
        _ if cause == Cause::Unknown => 0.7,
        PumpOut::Yes => 0.95,
        PumpOut::Maybe => 0.6,
        PumpOut::No if cause == Cause::ReversedRotation => 0.5,
        PumpOut::No if cause == Cause::UndersizedDropCable => 0.7,
        PumpOut::No => 0.0,
    };
    let finding = if dice.chance(found) { cause } else { Cause::Healthy };
    vec![("finding", Answer::Cause(finding))]
}
