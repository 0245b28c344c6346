//! Checks made by hand, as evidence and as things worth doing next.
//!
//! A check is described by what it would show under a hypothesis: a few features, each a number with a spread
//! or a yes with a probability. The same description weighs an answer that was given and foresees the answers
//! that could come. Every hypothesis foresees the same features, so that their densities can be compared; what a
//! check cannot see is foreseen alike under all. To add a check: write its file with a [`CheckModel`] and name it
//! in [`ALL`].

mod array_terminal_voltage;
mod bridge_dry_input;
mod bridge_float_input;
mod bucket_test;
mod clock_compare;
mod column_drain;
mod contradiction;
mod controller_display;
mod controller_touch;
mod dc_isolator_look;
mod dead_head_gauge;
mod drum_run;
mod far;
mod foreseen;
mod handheld_irradiance;
pub mod insulation_resistance;
mod lead_current;
mod lead_resistance;
mod look_and_listen;
mod moment;
mod prediction;
mod pull_pump;
mod record_count;
mod restart_controller;
mod resting_level;
mod resting_level_sounding;
mod string_current;
mod string_open_voltage;
mod swap_two_leads;
mod tank_look;
mod valve_position;
mod wash_modules;
mod water_level_sounding;
mod water_look;
mod wellhead_gauge;

pub use contradiction::{Beside, contradictions, leak_to_ground};
pub use controller_display::shows_running;
pub use far::is_far;
pub use foreseen::{Bell, Foreseen};
pub use prediction::{Here, Prediction, Sun, stands};

use wellwright_domain::cause::Cause;
use wellwright_domain::check::{Check, CheckMade};
use wellwright_physics::plant::Plant;

use crate::case::Case;
use crate::likelihood::log_sum_exp;
use crate::window::Outcome;

/// An answer that nothing could give.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CannotBe {
    /// Id of the sentence that says it.
    pub id: &'static str,
    /// What was told, and what this record gives, in the unit of the check.
    pub values: [f64; 2],
}

/// What one check would show.
pub trait CheckModel: Sync {
    /// Which check.
    fn check(&self) -> Check;

    /// Features under a hypothesis; as many under every hypothesis.
    fn foresee(&self, p: &Prediction) -> Vec<Foreseen>;

    /// The same features in an answer; `None` where the person left it out.
    fn read(&self, made: &CheckMade) -> Vec<Option<f64>>;

    /// Unit in which a feature is told, and whether it is a logarithm. `None`: it is a yes or no, or means nothing
    /// outside the ranking.
    fn unit(&self, _feature: usize) -> Option<(&'static str, bool)> {
        None
    }

    /// Field of the contract to which a yes or no answers, where a check asks for more than one.
    fn field(&self, _feature: usize) -> Option<&'static str> {
        None
    }

    /// What an answer says and what it should be about, where no fault of this system could give it: a slip of the unit
    /// or of the clips. It is left out, and said.
    fn cannot_be(&self, _made: &CheckMade, _healthy: &Plant) -> Option<CannotBe> {
        None
    }

    /// Could a fault that nothing here describes change the answer?
    fn may_surprise(&self) -> bool {
        true
    }

    /// Does it look at what the sun gives? In the dark it tells nothing.
    fn needs_sun(&self) -> bool {
        false
    }

    /// Made while the pump runs? Such a check is not offered when the pump must be stopped.
    fn while_running(&self) -> bool {
        false
    }

    /// Does it start the pump that may stand? Not offered either when the pump must be stopped.
    fn starts_pump(&self) -> bool {
        false
    }
}

/// Every check, in the order of the contract.
pub static ALL: &[&dyn CheckModel] = &[
    &look_and_listen::LookAndListen,
    &controller_display::ControllerDisplay,
    &drum_run::DrumRun,
    &tank_look::TankLook,
    &bucket_test::BucketTest,
    &wellhead_gauge::WellheadGauge,
    &dead_head_gauge::DeadHeadGauge,
    &valve_position::ValvePosition,
    &water_level_sounding::WaterLevelSounding,
    &resting_level_sounding::RestingLevelSounding,
    &column_drain::ColumnDrain,
    &lead_current::LeadCurrent,
    &array_terminal_voltage::ArrayTerminalVoltage,
    &string_current::StringCurrent,
    &string_open_voltage::StringOpenVoltage,
    &lead_resistance::LeadResistance,
    &insulation_resistance::InsulationResistance,
    &swap_two_leads::SwapTwoLeads,
    &bridge_dry_input::BridgeDryInput,
    &bridge_float_input::BridgeFloatInput,
    &restart_controller::RestartController,
    &wash_modules::WashModules,
    &clock_compare::ClockCompare,
    &dc_isolator_look::DcIsolatorLook,
    &handheld_irradiance::HandheldIrradiance,
    &record_count::RecordCount,
    &controller_touch::ControllerTouch,
    &water_look::WaterLook,
    &pull_pump::PullPump,
];

/// The model of a check.
pub fn model(check: Check) -> Option<&'static dyn CheckModel> {
    ALL.iter().copied().find(|m| m.check() == check)
}

/// An answer that something could give.
pub fn counts(made: &CheckMade, healthy: &Plant) -> bool {
    model(made.check).is_none_or(|m| m.cannot_be(made, healthy).is_none())
}

/// A fault that nothing here describes shows in so many checks (engineering judgement).
const SURPRISES: f64 = 0.4;

/// log likelihood of one answer.
pub fn log_likelihood_of(made: &CheckMade, p: &Prediction) -> f64 {
    let Some(model) = model(made.check) else { return 0.0 };
    if model.needs_sun() && p.is_dark() || !counts(made, p.healthy) {
        return 0.0;
    }
    let (foreseen, seen) = (model.foresee(p), model.read(made));
    let likely = |made_of: fn(Foreseen) -> Foreseen| -> f64 {
        let told = foreseen.iter().zip(&seen).filter_map(|(f, s)| Some((made_of(*f), (*s)?)));
        told.map(|(f, s)| f.log_density(s)).sum()
    };
    if !(p.is_unknown() && model.may_surprise()) {
        return likely(|f| f);
    }
    // most parts of a system that something else ails are sound
    log_sum_exp([(1.0 - SURPRISES).ln() + likely(|f| f), SURPRISES.ln() + likely(Foreseen::loosened)])
}

/// log likelihood of all answers. Repeats of one check share most of their error: they count as their mean.
pub fn log_likelihood(case: &Case, predict: impl Fn(&CheckMade) -> f64) -> f64 {
    let mut total = 0.0;
    for check in Check::ALL {
        let answers: Vec<f64> = case.checks.iter().filter(|m| m.check == *check).map(&predict).collect();
        if !answers.is_empty() {
            total += answers.iter().sum::<f64>() / answers.len() as f64;
        }
    }
    total
}

/// 1 or 0 for a yes or no that was given.
fn yes_no(made: &CheckMade, field: &str) -> Option<f64> {
    made.yes(field).map(|b| f64::from(u8::from(b)))
}

/// How surely the pump starts once the input that makes it stop as `stop` is bridged, 0..1.
fn starts_when_bridged(p: &Prediction, stop: Outcome) -> f64 {
    // what no bridge helps against
    let held = matches!(
        p.cause(),
        Cause::OpenPhase | Cause::SeizedPump | Cause::NoDcSupply | Cause::ControllerFailed | Cause::LowSun
    );
    let by_cause = match (p.cause(), stop) {
        (Cause::FalseDrySignal, Outcome::Dry) | (Cause::StuckFloat, Outcome::TankFull) => Some(0.93),
        (Cause::FalseDrySignal | Cause::StuckFloat, _) => Some(0.03),
        _ => None,
    };
    by_cause.unwrap_or_else(|| match p.observed() {
        _ if held => 0.04,
        Some(o) if o == stop => 0.9,
        Some(Outcome::Runs) => 0.95,
        Some(_) => 0.04 + p.table[stop as usize],
        None => 0.93 * (p.chance(stop) + p.chance(Outcome::Runs)),
    })
}
