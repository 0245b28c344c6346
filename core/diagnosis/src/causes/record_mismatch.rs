//! Modules in series, strings, module type, tilt or azimuth are not those of the record.
//!
//! The whole array is another one, from the first day: voltage or current off by a ratio of small whole numbers, or
//! the sun of the day misplaced. Never explains: what came by itself in service.

use wellwright_domain::cause::Cause;
use wellwright_domain::situation::Touched;

use super::{CauseModel, Context, Hypothesis};
use crate::predict::sky::SkyShift;

/// See the module.
pub struct RecordMismatch;

/// How far voltage or current may lie from the record (contract).
const RANGE: (f64, f64) = (0.4, 2.0);

/// Module of another type: voltage, current.
const MODULES: [(f64, f64); 6] = [(0.82, 1.0), (1.2, 1.0), (1.0, 0.75), (1.0, 1.3), (0.82, 1.2), (1.2, 0.82)];

/// Tilt and azimuth off by so many degrees.
const TURNED: [(&str, f64); 10] = [
    ("tilt", -30.0),
    ("tilt", -18.0),
    ("tilt", 18.0),
    ("tilt", 30.0),
    ("azimuth", -90.0),
    ("azimuth", -45.0),
    ("azimuth", 45.0),
    ("azimuth", 90.0),
    ("azimuth", 180.0),
    ("azimuth", 135.0),
];

impl CauseModel for RecordMismatch {
    fn cause(&self) -> Cause {
        Cause::RecordMismatch
    }

    fn worked_on(&self) -> &'static [(Touched, f64)] {
        &[(Touched::Array, 2.2)]
    }

    fn hypotheses(&self, context: &Context) -> Vec<Hypothesis> {
        let array = &context.plant.array;
        let of = |what, severity: f64, weight: f64| {
            let mut h = Hypothesis::new(self.cause()).at(severity.clamp(RANGE.0, RANGE.1)).weighing(weight);
            h.of = Some(what);
            h
        };
        let mut out = Vec::new();
        for (what, n) in [("series", array.series), ("strings", array.strings)] {
            let counts = (1..=n.saturating_mul(2)).filter(|m| *m != n);
            let ratios: Vec<f64> = counts
                .map(|m| f64::from(m) / f64::from(n))
                .filter(|r| (RANGE.0..=RANGE.1).contains(r))
                .collect();
            // one more or less than written is the usual slip
            let weight = |r: f64| 1.0 / ((r - 1.0).abs() * f64::from(n)).max(1.0);
            let sum: f64 = ratios.iter().map(|r| weight(*r)).sum();
            out.extend(ratios.into_iter().map(|r| {
                of(what, r, 0.25 * weight(r) / sum).with(|c| match what {
                    "series" => c.array.voltage_ratio = r,
                    _ => c.array.current_ratio = r,
                })
            }));
        }
        out.extend(MODULES.into_iter().map(|(v, i)| {
            let most = if (v - 1.0f64).abs() >= (i - 1.0f64).abs() { v } else { i };
            of("module", most, 0.2 / MODULES.len() as f64).with(|c| {
                c.array.voltage_ratio = v;
                c.array.current_ratio = i;
            })
        }));
        out.extend(TURNED.into_iter().map(|(what, by)| {
            let (tilt_deg, azimuth_deg) = if what == "tilt" { (by, 0.0) } else { (0.0, by) };
            let sky = SkyShift { tilt_deg, azimuth_deg, clock_h: 0.0 };
            let mut h = of(what, sky.current_ratio(context), 0.3 / TURNED.len() as f64);
            h.sky = sky;
            h
        }));
        out
    }
}
