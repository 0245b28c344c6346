//! What the controller was seen to do, against what a hypothesis makes it do.

use wellwright_domain::cause::Cause;

use crate::predict::outcome::{self, OutcomeTable};
use crate::window::Outcome;

/// Natural log of the chance that it does what was seen.
pub fn log_likelihood(cause: Cause, seen: Outcome, table: &OutcomeTable) -> f64 {
    match cause {
        Cause::Unknown => outcome::of_unknown(seen).ln(),
        Cause::StandingBy => match seen {
            Outcome::TankFull | Outcome::SwitchedOff => f64::ln(0.46),
            Outcome::Runs => f64::ln(0.3),
            _ => f64::ln(0.004),
        },
        Cause::LowSun => match seen {
            Outcome::LowPower => f64::ln(0.35),
            Outcome::BadVoltage => f64::ln(0.05),
            Outcome::Runs => f64::ln(0.55),
            // little power at little speed can look like under-load
            Outcome::UnderLoad => f64::ln(0.02),
            _ => f64::ln(0.003),
        },
        _ => table[seen as usize].ln(),
    }
}
