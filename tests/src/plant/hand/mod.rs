//! What a person measures by hand at the plant of a case: one answer to each check of the contract.
//!
//! The answer comes from what really stands there ([`Case::plant`], [`Case::truth`]), seen through the person's
//! own instruments and eyes. How far those err is stated beside each check; the shares of what a person
//! misjudges are engineering judgement (common practice, no single source). A check that cannot be made here
//! (the pump does not run, no access, nothing to bridge) has no answer.
//!
//! | checks | file |
//! |---|---|
//! | eyes and ears, displays, tank, valves | [`look`] |
//! | bucket, gauge, sounder, water column | [`water`] |
//! | motor leads, inputs of the controller | [`electric`] |
//! | panels, DC side, sun | [`array`] |
//! | the pump on the ground | [`lift`] |

mod array;
mod electric;
mod lift;
mod look;
mod moment;
#[cfg(test)]
mod tests;
mod water;

use std::collections::BTreeMap;

use wellwright_domain::check::{Answer, Check, CheckMade};

use super::case::Case;
use super::dice::Dice;
use moment::Moment;

/// Fields with their answers.
type Fields = Vec<(&'static str, Answer)>;

/// The draws of the person at this case, the same for the same case.
pub fn dice(case: &Case, purpose: u64) -> Dice {
    // FNV-1a over the name; the start of the window parts equal names of different sets.
    let name = case
        .name
        .bytes()
        .fold(0xcbf2_9ce4_8422_2325_u64, |h, b| (h ^ u64::from(b)).wrapping_mul(0x0100_0000_01b3));
    Dice::new(name, case.window.start.to_bits(), purpose)
}

/// What the person answers to a check; `None` when it cannot be made here.
pub fn answer(case: &Case, check: Check, dice: &mut Dice) -> Option<CheckMade> {
    let now = Moment::now(case)?;
    let running = Moment::running(case);
    let (moment, fields) = match check {
        Check::LookAndListen => (now, look::look_and_listen(&now, dice)),
        Check::ControllerDisplay => (now, look::controller_display(&now)?),
        // The pump hangs in the well.
        Check::DrumRun => return None,
        Check::TankLook => (now, look::tank_look(&now, dice)),
        Check::ValvePosition => (now, look::valve_position(&now, dice)),
        Check::ClockCompare => (now, look::clock_compare(&now, dice)),
        Check::RecordCount => (now, look::record_count(&now, dice)),
        Check::ControllerTouch => (now, look::controller_touch(&now, dice)),
        Check::WaterLook => (running?, look::water_look(&running?, dice)?),
        Check::BucketTest => (running?, water::bucket_test(&running?, dice)?),
        Check::WellheadGauge => (running?, water::wellhead_gauge(&running?, dice)?),
        Check::DeadHeadGauge => (running?, water::dead_head_gauge(&running?, dice)?),
        Check::WaterLevelSounding => (running?, water::water_level_sounding(&running?, dice)?),
        Check::RestingLevelSounding => (Moment::end(case)?, water::resting_level_sounding(&now, dice)?),
        Check::ColumnDrain => (running?, water::column_drain(&running?, dice)),
        Check::LeadCurrent => {
            let turning = Moment::turning(case)?;
            (turning, electric::lead_current(&turning, dice))
        }
        Check::LeadResistance => (Moment::end(case)?, electric::lead_resistance(&now, dice)),
        Check::InsulationResistance => (Moment::end(case)?, electric::insulation_resistance(&now, dice)),
        Check::SwapTwoLeads => (running?, electric::swap_two_leads(&running?, dice)?),
        Check::BridgeDryInput => (now, electric::bridge_dry_input(&now, dice)?),
        Check::BridgeFloatInput => (now, electric::bridge_float_input(&now, dice)?),
        Check::RestartController => (now, electric::restart_controller(&now, dice)?),
        Check::ArrayTerminalVoltage => {
            let moment = running.unwrap_or(now);
            (moment, array::array_terminal_voltage(&moment, dice)?)
        }
        Check::StringCurrent => (running?, array::string_current(&running?, dice)),
        Check::StringOpenVoltage => (now, array::string_open_voltage(&now, dice)?),
        Check::WashModules => {
            let moment = Moment::sun_limited(case)?;
            (moment, array::wash_modules(&moment, dice))
        }
        Check::DcIsolatorLook => (now, array::dc_isolator_look(&now, dice)),
        Check::HandheldIrradiance => (now, array::handheld_irradiance(&now, dice)?),
        Check::PullPump => (Moment::end(case)?, lift::pull_pump(&now, dice)),
    };
    let answers: BTreeMap<String, Answer> = fields.into_iter().map(|(k, v)| (k.to_owned(), v)).collect();
    Some(CheckMade { check, at: Some(moment.at()), answers })
}

/// A number, rounded to the step of the instrument.
fn number(value: f64, step: f64) -> Answer {
    Answer::Number((value / step).round() * step)
}

/// A yes or no that the person gets wrong with probability `wrong`.
fn seen(truth: bool, wrong: f64, dice: &mut Dice) -> Answer {
    Answer::Bool(truth != dice.chance(wrong))
}

/// Yes with probability `p`.
fn yes(p: f64, dice: &mut Dice) -> Answer {
    Answer::Bool(dice.chance(p))
}
