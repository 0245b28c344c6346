//! Numbers as people read them: few digits, a unit, intervals in words.

use super::catalogue::Catalogue;
use super::quantity::{Quantity, Units};

/// No-break space: between a number and its unit there is no line break.
pub const NBSP: char = '\u{a0}';

/// A number and its unit, written apart because pictures set them in different sizes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Amount {
    /// The number.
    pub number: String,
    /// The unit; empty when there is none.
    pub unit: &'static str,
}

impl std::fmt::Display for Amount {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        if self.unit.is_empty() {
            f.write_str(&self.number)
        } else {
            write!(f, "{}{NBSP}{}", self.number, self.unit)
        }
    }
}

/// A language and a choice of units: what every text is written with.
#[derive(Debug, Clone, Copy)]
pub struct Words<'a> {
    /// Texts.
    pub texts: &'a Catalogue,
    /// Units at display.
    pub units: Units,
}

impl Words<'static> {
    /// English, metric.
    pub fn english() -> Words<'static> {
        Words { texts: Catalogue::english(), units: Units::METRIC }
    }
}

impl<'a> Words<'a> {
    /// A text by id.
    pub fn t(&self, id: &'a str) -> &'a str {
        self.texts.text(id)
    }

    /// A text by id with its places filled.
    pub fn fill(&self, id: &str, places: &[(&str, &str)]) -> String {
        self.texts.fill(id, places)
    }

    /// A stored value as number and unit.
    ///
    /// At most three significant figures, no finer than the quantity's own step, and no finer than a
    /// third of `uncertainty` (1 sigma, stored unit; 0 when not known).
    pub fn amount(&self, quantity: Quantity, stored: f64, uncertainty: f64) -> Amount {
        let shown = quantity.shown(self.units);
        let step = step(quantity, stored * shown.factor, uncertainty.abs() * shown.factor, shown.step);
        Amount { number: write(stored * shown.factor, step), unit: shown.unit }
    }

    /// A stored value with its unit in one text, no break inside.
    pub fn value(&self, quantity: Quantity, stored: f64) -> String {
        self.amount(quantity, stored, 0.0).to_string()
    }

    /// An interval without unit: "4.7 to 5.2"; one number when both ends read the same.
    pub fn interval(&self, quantity: Quantity, lo: f64, hi: f64) -> String {
        let shown = quantity.shown(self.units);
        let (lo, hi) = (lo.min(hi) * shown.factor, lo.max(hi) * shown.factor);
        let step = step(quantity, lo.abs().max(hi.abs()), 0.0, shown.step);
        let (lo, hi) = (write(lo, step), write(hi, step));
        if lo == hi { lo } else { self.fill("interval", &[("lo", &lo), ("hi", &hi)]) }
    }

    /// An interval with its unit at the end.
    pub fn interval_unit(&self, quantity: Quantity, lo: f64, hi: f64) -> String {
        let number = self.interval(quantity, lo, hi);
        Amount { number, unit: quantity.shown(self.units).unit }.to_string()
    }

    /// A value with its unit as it is spoken: "32.2 metres".
    pub fn spoken(&self, quantity: Quantity, stored: f64) -> String {
        let amount = self.amount(quantity, stored, 0.0);
        self.spoken_with(quantity, &amount.number)
    }

    /// Numbers already written, with the unit as it is spoken.
    pub fn spoken_with(&self, quantity: Quantity, numbers: &str) -> String {
        match quantity.shown(self.units).unit {
            "" => numbers.to_owned(),
            unit => format!("{numbers} {}", self.texts.text(&format!("unit.{unit}"))),
        }
    }

    /// A count of things, whole.
    pub fn count(&self, n: usize) -> String {
        write(n as f64, 1.0)
    }

    /// A probability as whole per cent; never 0 and never 100.
    pub fn percent(&self, probability: f64) -> String {
        let p = probability * 100.0;
        if p.is_nan() || p < 1.0 {
            self.texts.text("percent.under").replace(' ', "\u{a0}")
        } else if p > 99.0 {
            self.texts.text("percent.over").replace(' ', "\u{a0}")
        } else {
            self.fill("percent", &[("n", &format!("{p:.0}"))]).replace(' ', "\u{a0}")
        }
    }
}

/// The step a value is rounded to, in the shown unit.
fn step(quantity: Quantity, shown: f64, uncertainty: f64, finest: f64) -> f64 {
    let size = shown.abs();
    let mut step = finest;
    if quantity == Quantity::Litres {
        step = if size >= 1000.0 { 100.0 } else { finest };
    }
    if size > 0.0 && size.is_finite() {
        // three significant figures: 10^(digits before the point - 3)
        step = step.max(10f64.powi(size.log10().floor() as i32 - 2));
    }
    let wanted = uncertainty / 3.0;
    if wanted.is_finite() && wanted > step && size > 0.0 {
        // never so coarse that the value itself would vanish
        let cap = 10f64.powi(size.log10().floor() as i32);
        step = step.max(10f64.powi(wanted.log10().ceil() as i32).min(cap));
    }
    step
}

/// Writes a value rounded to a step (a power of ten), with thousands parted by commas.
fn write(value: f64, step: f64) -> String {
    if !value.is_finite() {
        return "?".to_owned();
    }
    let rounded = (value / step).round() * step;
    let decimals = if step < 1.0 { (-step.log10()).ceil() as usize } else { 0 };
    let text = format!("{:.decimals$}", rounded.abs());
    let (whole, fraction) = text.split_at(text.find('.').unwrap_or(text.len()));
    let mut out = String::new();
    if rounded < 0.0 && text.chars().any(|c| c.is_ascii_digit() && c != '0') {
        out.push('-');
    }
    for (i, c) in whole.chars().enumerate() {
        if i > 0 && (whole.len() - i).is_multiple_of(3) {
            out.push(',');
        }
        out.push(c);
    }
    out + fraction
}

#[cfg(test)]
mod tests {
    use super::*;

    fn w() -> Words<'static> {
        Words::english()
    }

    #[test]
    fn numbers_as_the_look_gives_them() {
        let v = |q, x| w().amount(q, x, 0.0).number;
        assert_eq!(v(Quantity::Flow, 0.71), "0.7");
        assert_eq!(v(Quantity::Power, 1783.4), "1,780");
        assert_eq!(v(Quantity::Speed, 3300.0), "3,300");
        assert_eq!(v(Quantity::Irradiance, 947.6), "948");
        assert_eq!(v(Quantity::Depth, 32.23), "32.2");
        assert_eq!(v(Quantity::Depth, 152.04), "152");
        assert_eq!(v(Quantity::Resistance, 3.1149), "3.11");
        assert_eq!(v(Quantity::Litres, 7583.0), "7,600");
        // two rules meet here; the coarser wins (three figures of 14,000 end at the hundreds)
        assert_eq!(v(Quantity::Litres, 14_040.0), "14,000");
        assert_eq!(v(Quantity::Litres, 873.0), "870");
        assert_eq!(v(Quantity::Power, 1_234_567.0), "1,230,000");
        assert_eq!(v(Quantity::Flow, -0.04), "0.0");
        assert_eq!(v(Quantity::Temperature, -12.4), "-12");
        assert_eq!(v(Quantity::Flow, f64::NAN), "?");
    }

    #[test]
    fn counts_stay_whole() {
        assert_eq!([0, 999, 12_345, 1_234_567].map(|n| w().count(n)), ["0", "999", "12,345", "1,234,567"]);
    }

    #[test]
    fn an_uncertain_number_loses_digits() {
        assert_eq!(w().amount(Quantity::Power, 1783.0, 90.0).number, "1,800");
        assert_eq!(w().amount(Quantity::Depth, 32.23, 3.0).number, "32");
        assert_eq!(w().amount(Quantity::Depth, 32.23, 0.3).number, "32.2");
        assert_eq!(w().amount(Quantity::Depth, 3.4, 500.0).number, "3");
    }

    #[test]
    fn intervals_say_to_and_keep_the_unit_beside_the_number() {
        assert_eq!(w().interval(Quantity::Flow, 4.68, 5.21), "4.7 to 5.2");
        assert_eq!(w().interval_unit(Quantity::Depth, 38.7, 37.6), "37.6 to 38.7\u{a0}m");
        assert_eq!(w().interval(Quantity::Flow, 4.71, 4.72), "4.7");
        assert_eq!(w().value(Quantity::Irradiance, 948.0), "948\u{a0}W/m2");
        assert_eq!(w().spoken(Quantity::Flow, 0.7), "0.7 cubic metres an hour");
    }

    #[test]
    fn other_units_at_display_only() {
        let us = Words { texts: Catalogue::english(), units: Units::US };
        assert_eq!(us.value(Quantity::Depth, 31.5), "103\u{a0}ft");
        assert_eq!(us.value(Quantity::Flow, 5.6), "24.7\u{a0}gpm");
        assert_eq!(us.value(Quantity::Pressure, 62.0), "9\u{a0}psi");
        assert_eq!(us.spoken(Quantity::Depth, 31.5), "103 feet");
    }

    #[test]
    fn percent_is_whole_and_never_certain() {
        let p = |x| w().percent(x).replace('\u{a0}', " ");
        assert_eq!(p(0.891), "89 %");
        assert_eq!(p(0.0), "under 1 %");
        assert_eq!(p(0.0099), "under 1 %");
        assert_eq!(p(0.999), "over 99 %");
        assert_eq!(p(1.0), "over 99 %");
        assert_eq!(p(f64::NAN), "under 1 %");
    }

    #[test]
    fn every_unit_that_is_shown_is_also_spoken() {
        let all = [
            Quantity::Flow,
            Quantity::Litres,
            Quantity::Total,
            Quantity::Depth,
            Quantity::Pressure,
            Quantity::Power,
            Quantity::Energy,
            Quantity::Current,
            Quantity::Voltage,
            Quantity::Speed,
            Quantity::Temperature,
            Quantity::Irradiance,
            Quantity::Resistance,
            Quantity::Insulation,
            Quantity::Leakage,
            Quantity::Hours,
            Quantity::Percent,
            Quantity::Seconds,
            Quantity::Minutes,
        ];
        for units in [Units::METRIC, Units::US] {
            for q in all {
                let id = format!("unit.{}", q.shown(units).unit);
                assert!(Catalogue::english().get(&id).is_some(), "{id}");
            }
        }
    }
}
