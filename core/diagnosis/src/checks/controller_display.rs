//! The controller's own display: does it run, which fault does it name, and what do its numbers say?
//!
//! Where telemetry already says what the controller does, the display repeats it and parts nothing. Without
//! telemetry it is the telemetry: the power at the speed it shows is the torque of the pump, and the voltage
//! tells array and temperature. Error: display V 1 %, A 2 %; the load 8 %; the sun is mostly not known.

use wellwright_domain::cause::Cause;
use wellwright_domain::check::{Answer, Check, CheckMade};
use wellwright_domain::flags::PumpState;

use super::{CheckModel, Foreseen, Prediction};
use crate::window::Outcome;

/// See the module.
pub struct ControllerDisplay;

/// What its flags tell that parts causes.
const TOLD: [Outcome; 11] = [
    Outcome::PhaseLoss,
    Outcome::Overload,
    Outcome::UnderLoad,
    Outcome::Dry,
    Outcome::TankFull,
    Outcome::GroundFault,
    Outcome::TooHot,
    Outcome::BadVoltage,
    Outcome::LowPower,
    Outcome::SwitchedOff,
    Outcome::CommsLost,
];

/// Telemetry has told it already.
fn told(p: &Prediction) -> bool {
    p.observed().is_some_and(|o| !matches!(o, Outcome::CommsLost | Outcome::Silent))
}

impl CheckModel for ControllerDisplay {
    fn check(&self) -> Check {
        Check::ControllerDisplay
    }

    fn foresee(&self, p: &Prediction) -> Vec<Foreseen> {
        if told(p) {
            return vec![Foreseen::Known; TOLD.len() + 3];
        }
        // in the dark it stands, whatever is wrong: where no row was seen by day it tells nothing else
        let runs = if p.look.rows == 0 && p.is_dark() { 0.01 } else { p.chance(Outcome::Runs) };
        let mut out = vec![Foreseen::yes(runs)];
        // of one that stands each flag in its turn, where none before it was shown: they add up to one
        let mut left = 1.0 - p.chance(Outcome::Runs);
        for o in TOLD {
            let chance = p.chance(o);
            out.push(Foreseen::yes(chance / left.max(chance).max(1e-6)));
            left -= chance;
        }
        let h = p.hypothesis;
        let spread = 0.08f64.hypot(h.torque_sigma).hypot(h.loose_electrical);
        let power = p.load().map_or((0.0, 3.0), |l| (l.dc_w.max(1.0).ln(), spread));
        let volts =
            p.operating_point().filter(|_| !p.is_dark()).map_or((0.0, 3.0), |o| (o.dc.v.max(1.0).ln(), 0.06));
        out.push(Foreseen::number(power.0, power.1));
        out.push(match p.cause() {
            Cause::NoDcSupply if !p.is_dark() => Foreseen::number(0.0, 1.0),
            _ => Foreseen::number(volts.0, volts.1),
        });
        out
    }

    fn field(&self, feature: usize) -> Option<&'static str> {
        match feature.checked_sub(1) {
            None => Some("running"),
            Some(k) => TOLD.get(k).map(|o| o.code()),
        }
    }

    fn read(&self, made: &CheckMade) -> Vec<Option<f64>> {
        let number = |b: bool| f64::from(u8::from(b));
        // a start is neither
        let starts = made.answers.get("state") == Some(&Answer::State(PumpState::Starting));
        let runs = shows_running(made).filter(|_| !starts).map(number);
        let flags = match made.answers.get("flags") {
            Some(Answer::Flags(f)) => Some(*f),
            _ => None,
        };
        // flags tell why it stands; after the first the others are told
        let flags = flags.filter(|_| runs != Some(1.0));
        let mut out = vec![runs];
        let mut shown = false;
        for o in TOLD {
            let flagged = flags.map(|f| o.is_flagged(f));
            out.push(flagged.filter(|_| !shown).map(number));
            shown |= flagged == Some(true);
        }
        let (volts, amps) = (made.number("array_v"), made.number("array_a"));
        let turning = made.number("rpm").is_some_and(|n| n > 0.0);
        out.push(volts.zip(amps).filter(|_| turning).map(|(v, a)| (v * a).max(1.0).ln()));
        out.push(volts.map(|v| v.max(1.0).ln()));
        out
    }
}

/// Whether a display showed it running, or about to; `None` when it was read for something else.
pub fn shows_running(made: &CheckMade) -> Option<bool> {
    let turns = made.number("rpm").map(|n| n > 0.0);
    match made.answers.get("state") {
        // the number of turns knows better than the word
        Some(Answer::State(PumpState::Running)) => Some(turns.unwrap_or(true)),
        Some(Answer::State(state)) => Some(*state == PumpState::Starting),
        _ => turns,
    }
}
