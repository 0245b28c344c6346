//! Which numbers an answer may hold, by field and unit.
//!
//! As with the record: what cannot be, not what is unusual (engineering judgement). Volts and amperes of
//! the DC side may be negative, because a string connected the wrong way round shows itself like that.

/// Lowest and highest possible answer; `whole` for counts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Limit {
    pub(super) min: f64,
    pub(super) max: f64,
    pub(super) whole: bool,
}

pub(super) fn of(field: &str, unit: &str) -> Limit {
    let real = |min, max| Limit { min, max, whole: false };
    match (field, unit) {
        ("depth_m", _) => real(-5.0, 1000.0),
        ("test_v", _) => real(1.0, 15000.0),
        ("offset_h", _) => real(-1e6, 1e6),
        ("isc_a", _) => real(0.0, 60.0),
        ("voc_v", _) => real(0.0, 400.0),
        (_, "count") => Limit { min: 1.0, max: 1000.0, whole: true },
        (_, "L" | "s") => real(0.0, 1e6),
        (_, "%") => real(0.0, 100.0),
        (_, "V") => real(-1500.0, 1500.0),
        (_, "A") => real(-500.0, 500.0),
        (_, "A rms" | "m3/h") => real(0.0, 500.0),
        (_, "rpm") => real(0.0, 30000.0),
        (_, "ohm" | "Mohm") => real(0.0, 1e7),
        (_, "kPa" | "kPa gauge") => real(-101.0, 10000.0),
        (_, "degC") => real(-60.0, 150.0),
        (_, "W/m2") => real(0.0, 1800.0),
        _ => real(f64::MIN, f64::MAX),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::{Check, FieldKind};

    #[test]
    fn every_number_that_a_check_asks_has_a_limit() {
        for check in Check::ALL {
            for (field, kind) in &check.info().fields {
                if let FieldKind::Number(unit) | FieldKind::List(unit) = kind {
                    let limit = of(field, unit);
                    assert!(limit.max < f64::MAX && limit.min < limit.max, "{} {field} {unit}", check.code());
                }
            }
        }
    }
}
