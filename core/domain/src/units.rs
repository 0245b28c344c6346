//! Units at display only: litres or gallons, metres or feet, kilopascals or pounds-force per square inch.
//!
//! Everything inside is metric; a number is converted as the last thing before it is shown. Factors:
//! NIST Special Publication 811 (2008), appendix B.8, and NIST Handbook 44, appendix C: the US gallon is
//! 231 cubic inches and the inch 25.4 mm, both exact; the pound-force is 0.453 592 37 kg x 9.806 65 m/s2,
//! both exact. The definitions and the places named are cited from memory.

/// Litres in a US gallon, exact: 231 in3 x (0.254 dm)^3.
pub const LITRES_PER_US_GALLON: f64 = 3.785411784;
/// Metres in an international foot, exact.
pub const METRES_PER_FOOT: f64 = 0.3048;
/// Metres in an inch, exact.
const METRES_PER_INCH: f64 = 0.0254;
/// Newtons in a pound-force, exact.
const NEWTONS_PER_POUND_FORCE: f64 = 0.45359237 * 9.80665;
/// Kilopascals in a pound-force per square inch: exact ratio, 6.894 757 293 168 ...
pub const KPA_PER_PSI: f64 = NEWTONS_PER_POUND_FORCE / (METRES_PER_INCH * METRES_PER_INCH) / 1000.0;

/// Which units a person reads.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum UnitSystem {
    /// Litres, metres, kilopascals.
    #[default]
    Metric,
    /// US gallons, feet, pounds-force per square inch.
    UsCustomary,
}

/// A quantity that is shown in either system.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Quantity {
    /// Held in litres; shown in L or gal.
    Volume,
    /// Held in m3/h; shown in m3/h or gal/min.
    Flow,
    /// Held in m; shown in m or ft.
    Length,
    /// Held in kPa; shown in kPa or psi.
    Pressure,
}

impl UnitSystem {
    /// The value to show, and its unit, for a value as it is held.
    pub fn show(self, quantity: Quantity, held: f64) -> (f64, &'static str) {
        let (per_unit, unit) = self.scale(quantity);
        (held / per_unit, unit)
    }

    /// The value to hold, for a value that a person typed in the unit shown.
    pub fn hold(self, quantity: Quantity, shown: f64) -> f64 {
        shown * self.scale(quantity).0
    }

    /// How much of the held unit is one of the shown unit, and the shown unit's name.
    const fn scale(self, quantity: Quantity) -> (f64, &'static str) {
        match (self, quantity) {
            (UnitSystem::Metric, Quantity::Volume) => (1.0, "L"),
            (UnitSystem::Metric, Quantity::Flow) => (1.0, "m3/h"),
            (UnitSystem::Metric, Quantity::Length) => (1.0, "m"),
            (UnitSystem::Metric, Quantity::Pressure) => (1.0, "kPa"),
            (UnitSystem::UsCustomary, Quantity::Volume) => (LITRES_PER_US_GALLON, "gal"),
            (UnitSystem::UsCustomary, Quantity::Flow) => (LITRES_PER_US_GALLON * 60.0 / 1000.0, "gal/min"),
            (UnitSystem::UsCustomary, Quantity::Length) => (METRES_PER_FOOT, "ft"),
            (UnitSystem::UsCustomary, Quantity::Pressure) => (KPA_PER_PSI, "psi"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// NIST SP 811 (2008), appendix B.8, to the seven digits printed there: gallon (US) 3.785 412 L; foot
    /// 0.3048 m exact; psi 6.894 757 kPa; gallon per minute 6.309 020 E-05 m3/s. From memory of the table.
    #[test]
    fn factors_agree_with_the_published_table() {
        let us = |q| UnitSystem::UsCustomary.hold(q, 1.0);
        assert!((us(Quantity::Volume) - 3.785412).abs() < 5e-7);
        assert_eq!(us(Quantity::Length), 0.3048);
        assert!((us(Quantity::Pressure) - 6.894757).abs() < 5e-7);
        assert!((us(Quantity::Flow) / 3600.0 - 6.309020e-5).abs() < 5e-12);
    }

    #[test]
    fn the_gallon_is_231_cubic_inches() {
        assert!((LITRES_PER_US_GALLON - 231.0 * 0.254_f64.powi(3)).abs() < 1e-14);
    }

    #[test]
    fn what_is_shown_is_held_again_and_metric_changes_nothing() {
        for q in [Quantity::Volume, Quantity::Flow, Quantity::Length, Quantity::Pressure] {
            let (shown, unit) = UnitSystem::UsCustomary.show(q, 123.4);
            assert!((UnitSystem::UsCustomary.hold(q, shown) - 123.4).abs() < 1e-12, "{unit}");
            assert_eq!(UnitSystem::Metric.show(q, 123.4).0, 123.4);
        }
        assert_eq!(UnitSystem::UsCustomary.show(Quantity::Length, 30.48), (100.0, "ft"));
    }
}
