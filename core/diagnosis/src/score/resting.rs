//! What parts healthy, low sun and standing by: the same healthy plant, in different company of sun and rest.

use wellwright_domain::cause::Cause;
use wellwright_domain::check::{Answer, Check};
use wellwright_physics::cell_temperature::noct;
use wellwright_physics::hydraulics::Level;
use wellwright_physics::operating_point::Moment;
use wellwright_physics::plant::Plant;

use crate::case::Case;
use crate::causes::Hypothesis;
use crate::checks::shows_running;
use crate::likelihood::logistic;
use crate::predict::outcome::{self, OutcomeTable};
use crate::predict::sky::{chance_below, is_day};
use crate::predict::sun::{SunFit, SunSide};
use crate::rank::TEMPER;
use crate::window::{Look, Outcome};

/// Flow of a healthy plant against irradiance, over its flow at 900 W/m2.
pub struct FlowOfSun {
    flow: Vec<f64>,
}

const STEP_W_M2: f64 = 75.0;

/// Below this share of the full flow the sun is called low.
const BARELY: f64 = 0.22;

impl FlowOfSun {
    /// Tabulates a plant.
    pub fn new(plant: &Plant) -> FlowOfSun {
        let at = |g: f64| {
            let moment = Moment {
                irradiance_w_m2: g,
                cell_c: noct(g, 22.0, plant.noct_c),
                level: Level::After { minutes: 60.0 },
                heat_share: 1.0,
            };
            plant.operating_point(&moment).load.map_or(0.0, |l| l.water.pump_m3_h)
        };
        let full = at(900.0).max(1e-3);
        FlowOfSun { flow: (0..=16).map(|k| at(f64::from(k) * STEP_W_M2) / full).collect() }
    }

    /// Share of full flow at an irradiance.
    pub fn share(&self, irradiance_w_m2: f64) -> f64 {
        let x = (irradiance_w_m2 / STEP_W_M2).clamp(0.0, (self.flow.len() - 1) as f64);
        let k = (x as usize).min(self.flow.len() - 2);
        self.flow[k] + (x - k as f64) * (self.flow[k + 1] - self.flow[k])
    }

    /// Irradiance below which it gives less than [`BARELY`], W/m2.
    pub fn barely_lifts_at(&self) -> f64 {
        let k = self.flow.iter().position(|share| *share >= BARELY).unwrap_or(self.flow.len() - 1).max(1);
        let (a, b) = (self.flow[k - 1], self.flow[k]);
        STEP_W_M2 * ((k - 1) as f64 + ((BARELY - a) / (b - a).max(1e-6)).clamp(0.0, 1.0))
    }
}

/// Share of the daylight in which it stood as meant: tank full or switched off.
fn meant(look: &Look) -> f64 {
    look.stops.share(Outcome::TankFull) + look.stops.share(Outcome::SwitchedOff)
}

/// Longer than this no controller rests in good sun, min (common practice, no single source).
const RESTS_MIN: f64 = 10.0;

/// So much more light than a healthy plant needs to lift is plenty.
const PLENTY: f64 = 1.5;

/// What a plant does, given that it stands, and has for a while, in measured light in which a healthy pump would lift.
pub fn in_this_light(table: OutcomeTable, look: &Look, healthy: &FlowOfSun) -> OutcomeTable {
    let light = look.stops.low_power_irradiance.or(look.stops.rest_irradiance);
    let plenty = light.is_some_and(|g| g > PLENTY * healthy.barely_lifts_at());
    if plenty && look.stops.stood_min > RESTS_MIN { outcome::stood_in_sun(table) } else { table }
}

/// True when it mostly stood as meant.
pub fn stands_as_meant(look: &Look) -> bool {
    meant(look) > 0.5
}

/// How surely it stands as meant where no row tells it, 0..1: as the controller's display was read last. `None` where
/// it was not read, or tells nothing of it.
pub fn shown(case: &Case, plant: &Plant) -> Option<f64> {
    let read = case.checks.iter().rev().find(|c| c.check == Check::ControllerDisplay)?;
    let runs = shows_running(read);
    let flagged = match read.answers.get("flags") {
        Some(Answer::Flags(f)) => Outcome::of_flags(*f),
        _ => None,
    };
    // a pump without a word of why it stands, at night
    let night = runs == Some(false) && flagged.is_none() && read.at.is_some_and(|at| !is_day(plant, at));
    if runs == Some(true) {
        Some(0.01)
    } else {
        (night || flagged.is_some_and(Outcome::is_meant)).then_some(0.99)
    }
}

/// log factor of a pump that no row tells of. `standing`: how surely it stands as meant ([`shown`]).
pub fn log_factor_by_hand(cause: Cause, standing: Option<f64>) -> f64 {
    let Some(standing) = standing else { return 0.0 };
    let p: f64 = match cause {
        Cause::StandingBy => standing,
        Cause::LowSun | Cause::Healthy => 1.0 - standing,
        Cause::StuckFloat => standing.max(0.02),
        _ => in_company(standing),
    };
    p.ln()
}

/// A fault may be looked at at rest, but people mostly look while it should run.
fn in_company(standing: f64) -> f64 {
    0.06 * standing + 0.94 * (1.0 - standing)
}

/// log factor of how the window rests and how much sun it has.
pub fn log_factor(h: &Hypothesis, look: &Look, healthy: &FlowOfSun, sun: &SunSide, fit: &SunFit) -> f64 {
    let only_night = look.stops.daylight() == 0 && look.stops.night > 0;
    let standing = if only_night { 0.995 } else { logistic((meant(look) - 0.5) / 0.07) };
    let low = low_sun(look, healthy, sun, fit);
    let p = match h.cause {
        Cause::StandingBy => standing,
        // the weather's own part of the score knows how seldom such a sky is; who is told of low sun has such a sky
        Cause::LowSun => {
            let usual = sun.mean_clear().map_or(low, |clear| chance_below(healthy.barely_lifts_at() / clear));
            (1.0 - standing) * low / usual.clamp(SELDOM, 1.0).powf(TEMPER)
        }
        Cause::Healthy => (1.0 - standing) * (1.0 - low),
        // by its signal it cannot be told from a full tank
        Cause::StuckFloat => standing.max(0.02),
        // a fault may be looked at in any sun, but people mostly look in good sun
        _ => (0.15 * low + 0.85 * (1.0 - low)) * in_company(standing),
    };
    p.max(1e-4).ln()
}

/// A sky too dark to lift is never taken for rarer than this.
const SELDOM: f64 = 0.04;

/// How surely the sun of this window is too little to lift water, 0..1.
fn low_sun(look: &Look, healthy: &FlowOfSun, sun: &SunSide, fit: &SunFit) -> f64 {
    let running = look.stops.count(Outcome::Runs) as f64;
    let dark = look.stops.count(Outcome::LowPower) as f64;
    let shares = sun.irradiance(fit);
    let share = if shares.is_empty() {
        match look.stops.rest_irradiance {
            Some(g) => healthy.share(g),
            // the controller itself says that the array cannot carry the lowest speed
            None if dark > 0.5 * look.stops.daylight() as f64 => return 0.85,
            None => return 0.05,
        }
    } else {
        let mean = shares.iter().map(|g| healthy.share(*g)).sum::<f64>() / shares.len() as f64;
        // the rest of it by the sensor, or as the controller has it
        let beside = look.stops.low_power_irradiance.map_or(0.0, |g| healthy.share(g));
        (mean * running + beside * dark) / (running + dark).max(1.0)
    };
    logistic((BARELY - share) / 0.035)
}
