//! Axes for curves and bars: a few round ticks, hairlines, numbers in the units that the person reads.

use super::build::{line, polyline, strokes, text};
use super::{Anchor, Font, Item, Paint, Role, measure};
use crate::text::{Quantity, Words};

/// One axis.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Axis {
    /// What it counts; values are in its stored unit.
    pub quantity: Quantity,
    /// Highest value that must fit, stored unit, more than 0.
    pub most: f64,
    /// About how many ticks.
    pub ticks: u32,
}

/// A plot's area inside a scene, dp, with its axes; both begin at zero.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Plot {
    /// Leading edge.
    pub left: f64,
    /// Top edge.
    pub top: f64,
    /// Width.
    pub width: f64,
    /// Height.
    pub height: f64,
    /// Highest value of x, in its stored unit.
    pub x_most: f64,
    /// Highest value of y, in its stored unit.
    pub y_most: f64,
}

impl Plot {
    /// Place of a value of x, dp; held inside the plot.
    pub fn x(&self, value: f64) -> f64 {
        self.left + self.width * (value / self.x_most).clamp(0.0, 1.0)
    }

    /// Place of a value of y, dp; held inside the plot.
    pub fn y(&self, value: f64) -> f64 {
        self.top + self.height * (1.0 - (value / self.y_most).clamp(0.0, 1.0))
    }

    /// Lower edge, dp.
    pub fn bottom(&self) -> f64 {
        self.top + self.height
    }

    /// A curve through points; what lies above the plot is cut off there.
    pub fn curve(&self, points: impl Iterator<Item = (f64, f64)>, paint: Paint) -> Vec<Item> {
        let mut stretches: Vec<Vec<(f64, f64)>> = vec![Vec::new()];
        let mut last: Option<(f64, f64)> = None;
        for p in points {
            let inside = |y: f64| y <= self.y_most;
            if let Some(before) = last.filter(|b| inside(b.1) != inside(p.1)) {
                let share = (self.y_most - before.1) / (p.1 - before.1);
                let edge = (before.0 + share * (p.0 - before.0), self.y_most);
                if inside(before.1) {
                    stretches.last_mut().into_iter().for_each(|s| s.push(edge));
                    stretches.push(Vec::new());
                } else {
                    stretches.push(vec![edge]);
                }
            }
            if inside(p.1) {
                stretches.last_mut().into_iter().for_each(|s| s.push(p));
            }
            last = Some(p);
        }
        stretches
            .into_iter()
            .filter(|s| s.len() > 1)
            .map(|s| polyline(&s.iter().map(|&(x, y)| (self.x(x), self.y(y))).collect::<Vec<_>>(), paint))
            .collect()
    }

    /// Hairlines and numbers of y at the leading edge, the unit in the corner above.
    pub fn y_axis(&self, axis: Axis, words: &Words<'_>) -> Vec<Item> {
        let mut out = Vec::new();
        let unit = axis.quantity.shown(words.units).unit;
        out.push(text(self.left - 6.0, self.top - 8.0, Anchor::End, unit, Font::Axis, Role::Ink2));
        for (i, (value, number)) in ticks(axis, words).into_iter().enumerate() {
            let y = self.y(value);
            let role = if i == 0 { Role::Line } else { Role::Hair };
            out.push(strokes(&[[(self.left, y), (self.left + self.width, y)]], line(role, 1.0)));
            // the unit stands in the corner; a number that would touch it is left out
            if y > self.top + 6.0 {
                out.push(text(self.left - 6.0, y + 5.0, Anchor::End, number, Font::Axis, Role::Ink2));
            }
        }
        out
    }

    /// Numbers of x, below; the unit beside the last.
    pub fn x_axis(&self, axis: Axis, words: &Words<'_>) -> Vec<Item> {
        let mut out = Vec::new();
        let base = self.bottom() + 18.0;
        let unit = axis.quantity.shown(words.units).unit;
        let mut free_to = self.left + self.width - measure::width(unit, Font::Axis) - 6.0;
        if unit.is_empty() {
            free_to += 12.0;
        }
        out.push(text(self.left + self.width, base, Anchor::End, unit, Font::Axis, Role::Ink2));
        for (value, number) in ticks(axis, words) {
            let x = self.x(value);
            out.push(strokes(&[[(x, self.bottom()), (x, self.bottom() + 4.0)]], line(Role::Line, 1.0)));
            if x + measure::width(&number, Font::Axis) / 2.0 < free_to {
                out.push(text(x, base, Anchor::Middle, number, Font::Axis, Role::Ink2));
            }
        }
        out
    }
}

/// Ticks from zero: value in the stored unit, and the number that is written.
fn ticks(axis: Axis, words: &Words<'_>) -> Vec<(f64, String)> {
    let factor = axis.quantity.shown(words.units).factor;
    let step = round_step(axis.most * factor / f64::from(axis.ticks.max(1)));
    let count = (axis.most * factor / step + 1e-9).floor() as u32;
    (0..=count)
        .map(|k| {
            let shown = step * f64::from(k);
            let number = match step {
                _ if k == 0 => words.count(0),
                s if s < 0.1 => format!("{shown:.2}"),
                s if s < 1.0 => format!("{shown:.1}"),
                _ => words.count(shown.round() as usize),
            };
            (shown / factor, number)
        })
        .collect()
}

/// A step of 1, 2 or 5 times a power of ten, at most a fifth smaller than asked for.
fn round_step(least: f64) -> f64 {
    if !(least > 0.0 && least.is_finite()) {
        return 1.0;
    }
    let ten = 10f64.powf(least.log10().floor());
    [1.0, 2.0, 5.0, 10.0].into_iter().map(|m| m * ten).find(|s| *s >= 0.8 * least).unwrap_or(10.0 * ten)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scene::build::line;

    #[test]
    fn ticks_are_round_in_the_unit_that_is_read() {
        let w = Words::english();
        let axis = Axis { quantity: Quantity::Flow, most: 5.3, ticks: 5 };
        let numbers: Vec<String> = ticks(axis, &w).into_iter().map(|t| t.1).collect();
        assert_eq!(numbers, ["0", "1", "2", "3", "4", "5"]);
        let us = Words { units: crate::text::Units::US, ..w };
        let feet = ticks(Axis { quantity: Quantity::Depth, most: 80.0, ticks: 4 }, &us);
        assert_eq!(feet.last().unwrap().1, "200");
        assert!((feet[1].0 - 30.48).abs() < 1e-9, "100 ft");
        assert_eq!([0.3, 1.2, 23.0, 65.0].map(round_step), [0.5, 1.0, 20.0, 100.0]);
        assert_eq!(round_step(f64::NAN), 1.0);
    }

    #[test]
    fn a_curve_ends_at_the_edge_of_its_plot() {
        let plot = Plot { left: 0.0, top: 0.0, width: 100.0, height: 100.0, x_most: 10.0, y_most: 10.0 };
        let over = plot.curve([(0.0, 20.0), (5.0, 10.0), (10.0, 0.0)].into_iter(), line(Role::Ink, 1.0));
        assert_eq!(over.len(), 1);
        let Item::Path { steps, .. } = &over[0] else { panic!() };
        assert!(steps.iter().all(|s| !matches!(s, crate::scene::Step::Line { y, .. } if *y < 0.0)));
        assert!(plot.curve([(0.0, 20.0), (1.0, 30.0)].into_iter(), line(Role::Ink, 1.0)).is_empty());
        assert_eq!((plot.x(f64::MAX), plot.y(-1.0)), (100.0, 100.0));
    }
}
