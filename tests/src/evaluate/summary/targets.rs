//! What is asked of the diagnosis, beside what was measured.

use serde::Serialize;
use wellwright_domain::cause::Cause;

use super::{Mixed, Summary};
use crate::evaluate::stats::Share;

/// Which side of the bound is good.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Bound {
    /// This or more.
    AtLeast,
    /// This or less.
    AtMost,
}

/// One number that is asked for.
#[derive(Debug, Clone, Serialize)]
pub struct Target {
    /// What.
    pub what: String,
    /// Bound.
    pub bound: Bound,
    /// Asked.
    pub asked: f64,
    /// Measured, with its interval.
    pub measured: f64,
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
    /// Cases behind it.
    pub of: usize,
}

impl Target {
    fn share(what: String, bound: Bound, asked: f64, s: &Share) -> Target {
        Target { what, bound, asked, measured: s.share, low: s.low, high: s.high, of: s.of }
    }

    /// Met by the measured value itself.
    pub fn met(&self) -> bool {
        match self.bound {
            Bound::AtLeast => self.measured >= self.asked,
            Bound::AtMost => self.measured <= self.asked,
        }
    }
}

fn of_sensors(mix: &str, mixed: &Mixed, asked: &[(&str, f64, f64)], out: &mut Vec<Target>) {
    for (sensors, first, three) in asked {
        let Some(own) = mixed.by_sensors.iter().find(|s| s.sensors == *sensors) else { continue };
        let name = |place: &str| format!("{mix}, {sensors} sensors: {place}");
        out.push(Target::share(name("first"), Bound::AtLeast, *first, &own.alone.first));
        out.push(Target::share(name("in the first three"), Bound::AtLeast, *three, &own.alone.three));
    }
}

fn of_checks(mix: &str, mixed: &Mixed, out: &mut Vec<Target>) {
    for own in mixed.by_sensors.iter().filter(|s| s.after_few.first.of > 0) {
        let name = |place: &str| format!("{mix}, {} sensors, at most four checks: {place}", own.sensors);
        out.push(Target::share(name("first"), Bound::AtLeast, 0.95, &own.after_few.first));
        out.push(Target::share(name("in the first three"), Bound::AtLeast, 0.99, &own.after_few.three));
    }
    if let Some(w) = &mixed.walked {
        let ratio = w.suggested.minutes[0] / w.textbook.minutes[0].max(1e-9);
        let spread = w.suggested.minutes[1] / w.suggested.minutes[0].max(1e-9);
        let other = w.textbook.minutes[1] / w.textbook.minutes[0].max(1e-9);
        let half = 1.96 * ratio * spread.hypot(other);
        out.push(Target {
            what: format!("{mix}: minutes to the right answer over those of the textbook order"),
            bound: Bound::AtMost,
            asked: 0.5,
            measured: ratio,
            low: (ratio - half).max(0.0),
            high: ratio + half,
            of: w.cases,
        });
    }
}

impl Summary {
    /// Every number that is asked for and was measured.
    pub fn targets(&self) -> Vec<Target> {
        let mut out = Vec::new();
        if let Some(priors) = &self.priors {
            of_sensors("priors' mix", priors, &[("full", 0.95, 0.99)], &mut out);
            if let Some(c) = &priors.calibration {
                out.push(Target {
                    what: "priors' mix: expected calibration error".into(),
                    bound: Bound::AtMost,
                    asked: 0.05,
                    measured: c.error,
                    low: c.low,
                    high: c.high,
                    of: priors.all.first.of,
                });
            }
            of_checks("priors' mix", priors, &mut out);
        }
        if let Some(uniform) = &self.uniform {
            let asked = [("full", 0.85, 0.97), ("middling", 0.78, 0.94), ("lean", 0.68, 0.86)];
            of_sensors("uniform mix", uniform, &asked, &mut out);
            of_checks("uniform mix", uniform, &mut out);
        }
        let healthy = self.alarms.kinds.iter().find(|k| k.cause == Cause::Healthy);
        if let Some(k) = healthy.filter(|k| k.called_right.of > 0) {
            out.push(Target::share("healthy called healthy".into(), Bound::AtLeast, 0.99, &k.called_right));
        }
        for (what, open) in [("outside the catalogue", &self.outside), ("cause left out", &self.left_out)] {
            if open.owned.of > 0 {
                let name = |said: &str| format!("{what}: {said}");
                out.push(Target::share(name("unknown or too little"), Bound::AtLeast, 0.7, &open.owned));
                let sure = name("a wrong cause at 0.8 or more");
                out.push(Target::share(sure, Bound::AtMost, 0.05, &open.misled));
            }
        }
        out
    }
}
