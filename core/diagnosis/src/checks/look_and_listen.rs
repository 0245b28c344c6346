//! A look and a listen at wellhead, array and tank.
//!
//! Shade, dirt and a wet patch are seen by those who look, mostly; noise is told by those who know how it sounded
//! before. All shares are engineering judgement.

use wellwright_domain::cause::Cause;
use wellwright_domain::check::{Check, CheckMade};

use super::{CheckModel, Foreseen, Prediction, yes_no};

/// See the module.
pub struct LookAndListen;

const FIELDS: [&str; 5] = ["running", "unusual_noise", "leak_seen", "shade_seen", "dirt_seen"];

fn noise(cause: Cause) -> f64 {
    match cause {
        Cause::MechanicalDrag => 0.5,
        Cause::DryRunning | Cause::OpenPhase => 0.4,
        Cause::SeizedPump | Cause::GasInWater => 0.35,
        Cause::WellYieldLimit | Cause::BrokenShaft | Cause::Unknown => 0.2,
        Cause::WindingFault | Cause::CheckValveLeak | Cause::BlockedIntake => 0.15,
        Cause::ReversedRotation | Cause::WornPump => 0.12,
        _ => 0.06,
    }
}

/// A leak at the surface shows as a wet patch or a hiss; one inside the well is heard by some.
fn leak(p: &Prediction) -> f64 {
    match p.cause() {
        Cause::RiserLeak if p.plant.condition.water.surface_leak_m3_h > 0.0 => 0.75,
        Cause::RiserLeak => 0.15,
        _ => 0.02,
    }
}

/// Dirt is seen on many arrays that it hardly harms.
fn dirt(p: &Prediction) -> f64 {
    match p.cause() {
        Cause::Soiling => 0.6 + 0.8 * (1.0 - p.plant.condition.array.current_ratio).clamp(0.0, 0.4),
        _ => 0.12,
    }
}

impl CheckModel for LookAndListen {
    fn check(&self) -> Check {
        Check::LookAndListen
    }

    fn foresee(&self, p: &Prediction) -> Vec<Foreseen> {
        let shade = if p.cause() == Cause::PartialShade { 0.85 } else { 0.07 };
        let runs = 0.96 * p.runs() + 0.02;
        [runs, noise(p.cause()), leak(p), shade, dirt(p)].map(Foreseen::yes).to_vec()
    }

    fn field(&self, feature: usize) -> Option<&'static str> {
        FIELDS.get(feature).copied()
    }

    fn read(&self, made: &CheckMade) -> Vec<Option<f64>> {
        FIELDS.map(|f| yes_no(made, f)).to_vec()
    }
}
