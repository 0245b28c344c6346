//! Before lowering: the pump in a drum of water, through its final joints and controller.
//!
//! The best proof of rotation while the pump is on the ground. A helical rotor that turns backwards brings none;
//! a centrifugal one still lifts over the edge of a drum (up to 0.44 of its best flow at no head, published
//! four-quadrant data), so water alone proves less there. Well, riser and valves do not take part. Shares are
//! engineering judgement.

use wellwright_domain::cause::Cause;
use wellwright_domain::check::{Check, CheckMade};
use wellwright_domain::record::PumpKind;

use super::{CheckModel, Foreseen, Prediction, yes_no};

/// See the module.
pub struct DrumRun;

/// How surely water comes over the edge of the drum, 0..1.
fn comes(p: &Prediction) -> f64 {
    let helical = p.plant.kind == PumpKind::HelicalRotor;
    match p.cause() {
        Cause::ReversedRotation if helical => 0.03,
        // whatever may be wrong, water comes over the edge of a drum more often than not
        Cause::ReversedRotation | Cause::Unknown => 0.6,
        Cause::OpenPhase
        | Cause::SeizedPump
        | Cause::BrokenShaft
        | Cause::ControllerFailed
        | Cause::NoDcSupply => 0.03,
        // the float and the probe may not be wired yet
        Cause::LowSun | Cause::InsulationFault | Cause::StuckFloat | Cause::FalseDrySignal => 0.4,
        // its check valve sits at the pump; a crushed riser is not there yet
        Cause::BlockedRiser => 0.5,
        Cause::BlockedIntake => 0.8,
        _ => 0.97,
    }
}

impl CheckModel for DrumRun {
    fn check(&self) -> Check {
        Check::DrumRun
    }

    fn foresee(&self, p: &Prediction) -> Vec<Foreseen> {
        let slow = matches!(p.cause(), Cause::ReversedRotation | Cause::BlockedIntake);
        let seconds = if slow { 12.0f64 } else { 5.0 };
        vec![Foreseen::yes(comes(p)), Foreseen::number(seconds.ln(), 0.7)]
    }

    fn read(&self, made: &CheckMade) -> Vec<Option<f64>> {
        let came = yes_no(made, "water_came");
        // without water the seconds are those waited
        let until = made.number("seconds").filter(|s| *s > 0.0 && came == Some(1.0));
        vec![came, until.map(|s| s.max(1.0).ln())]
    }

    fn starts_pump(&self) -> bool {
        true
    }
}
