//! The controller's own display: does it run, and does it name a fault?

use wellwright_domain::check::{Answer, Check, CheckMade};
use wellwright_domain::flags::{Flag, PumpState};

use super::{CheckModel, Foreseen, Prediction};
use crate::window::Outcome;

/// See the module.
pub struct ControllerDisplay;

/// The flags that part causes, with the outcome each stands for.
const TOLD: [(Flag, Outcome); 5] = [
    (Flag::PhaseLoss, Outcome::PhaseLoss),
    (Flag::OverCurrent, Outcome::Overload),
    (Flag::UnderLoad, Outcome::UnderLoad),
    (Flag::DryProbe, Outcome::Dry),
    (Flag::TankFull, Outcome::TankFull),
];

impl CheckModel for ControllerDisplay {
    fn check(&self) -> Check {
        Check::ControllerDisplay
    }

    fn foresee(&self, p: &Prediction) -> Vec<Foreseen> {
        let chance = |o: Outcome| Foreseen::yes(p.table[o as usize]);
        let mut out = vec![chance(Outcome::Runs)];
        out.extend(TOLD.iter().map(|(_, o)| chance(*o)));
        out
    }

    fn read(&self, made: &CheckMade) -> Vec<Option<f64>> {
        let number = |b: bool| f64::from(u8::from(b));
        let runs = match made.answers.get("state") {
            Some(Answer::State(s)) => Some(number(*s == PumpState::Running)),
            _ => None,
        };
        let flags = match made.answers.get("flags") {
            Some(Answer::Flags(f)) => Some(*f),
            _ => None,
        };
        let mut out = vec![runs];
        out.extend(TOLD.iter().map(|(flag, _)| {
            let f = flags?;
            // two flags stand for an overload
            let stalled = *flag == Flag::OverCurrent && f.has(Flag::Stall);
            Some(number(f.has(*flag) || stalled))
        }));
        out
    }
}
