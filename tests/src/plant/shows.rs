//! Whether a recording is what its cause says.

use wellwright_domain::cause::Cause;
use wellwright_domain::flags::{Flag, PumpState};

use super::faults::{Fault, StandBy};
use super::plant::Plant;
use super::run::Truth;

/// The recording is what its cause says: a stand-by stands, low sun lifts next to nothing, a well that gives too
/// little is drawn down to where the pump stops or takes air, and what shows at a start has one.
pub(super) fn shows(fault: &Fault, stand_by: Option<StandBy>, plant: &Plant, truth: &[Truth]) -> bool {
    let n = truth.len();
    if n < 20 {
        return false;
    }
    let share = |of: &dyn Fn(&Truth) -> bool| truth.iter().filter(|t| of(t)).count() as f64 / n as f64;
    if stand_by.is_some() {
        return share(&|t| t.state == PumpState::Stopped) > 0.6 && truth[n - 1].state == PumpState::Stopped;
    }
    // A tank that happens to be full for long would be a stand-by, not this cause.
    if fault.cause != Cause::StuckFloat && share(&|t| t.flags.has(Flag::TankFull)) > 0.25 {
        return false;
    }
    if fault.stops
        && !truth.windows(2).any(|w| w[0].state != PumpState::Running && w[1].state == PumpState::Running)
    {
        return false;
    }
    match fault.cause {
        Cause::LowSun => share(&|t| t.flow > 0.3) < 0.1,
        Cause::WellYieldLimit => truth.iter().any(|t| {
            t.depth > plant.well.intake - 0.15 || t.flags.has(Flag::DryProbe) || t.flags.has(Flag::UnderLoad)
        }),
        _ => true,
    }
}
