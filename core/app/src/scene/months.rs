//! Water by month as bars, what is needed as a dotted line across each.

use super::build::{boxed, dashed, fill, rect, strokes, text};
use super::plot::{Axis, Plot};
use super::{Anchor, Fill, Font, Role, Scene};
use crate::design::{Design, Month, Outcome};
use crate::text::{Quantity, Words};

/// Width on a page, dp.
pub const WIDE: f64 = 848.0;
/// Width on a phone, dp.
pub const NARROW: f64 = 412.0;
const HEIGHT: f64 = 230.0;
const LEFT: f64 = 64.0;
const TOP: f64 = 22.0;

/// Draws the months of a design, `width` dp wide.
pub fn draw(d: &Design, width: f64, words: &Words<'_>) -> Scene {
    let most = d
        .months
        .iter()
        .flat_map(|m| [m.litres_per_day, m.demand_litres_per_day.unwrap_or(0.0)])
        .fold(100.0, f64::max);
    let plot = Plot {
        left: LEFT,
        top: TOP,
        width: width - LEFT - 4.0,
        height: HEIGHT - TOP - 24.0,
        x_most: 12.0,
        y_most: 1.06 * most,
    };
    let mut out = plot.y_axis(Axis { quantity: Quantity::Litres, most: plot.y_most, ticks: 4 }, words);
    let mut spoken = Vec::new();
    for (i, m) in d.months.iter().enumerate() {
        let (from, to) = (plot.x(i as f64 + 0.16), plot.x(i as f64 + 0.84));
        let top = plot.y(m.litres_per_day);
        let short = m.verdict == Outcome::Fail && m.demand_litres_per_day.is_some();
        let paint = if short { boxed(Fill::Differs, Role::Differ, 2.0) } else { fill(Role::Water) };
        out.push(rect(from, top, to - from, plot.bottom() - top, paint));
        if let Some(need) = m.demand_litres_per_day {
            let (y, ends) = (plot.y(need), [plot.x(i as f64 + 0.02), plot.x(i as f64 + 0.98)]);
            // on paper above the bar, on water inside it: a pale ground keeps the dots readable on both
            out.push(rect(ends[0], y - 2.5, ends[1] - ends[0], 5.0, fill(Role::Paper)));
            out.push(strokes(&[[(ends[0], y), (ends[1], y)]], dashed(Role::Ink, 2.5, 2.5, 3.5)));
        }
        let name = words.texts.text(&format!("month.{}", m.month)).to_owned();
        let role = if short { Role::Differ } else { Role::Ink2 };
        let font = if short { Font::Strong } else { Font::Axis };
        out.push(text(plot.x(i as f64 + 0.5), plot.bottom() + 18.0, Anchor::Middle, name, font, role));
        spoken.push(said(m, words));
    }
    let description = words.fill("design.months.spoken", &[("x", &spoken.join("; "))]);
    Scene { width, height: HEIGHT, description, items: out }
}

fn said(m: &Month, words: &Words<'_>) -> String {
    let month = words.texts.text(&format!("month.{}", m.month)).to_owned();
    let litres = words.spoken(Quantity::Litres, m.litres_per_day);
    match m.demand_litres_per_day {
        Some(need) => {
            let demand = words.spoken(Quantity::Litres, need);
            words.fill(
                "design.months.spoken.of",
                &[("month", &month), ("litres", &litres), ("demand", &demand)],
            )
        }
        None => words.fill("design.months.spoken.one", &[("month", &month), ("litres", &litres)]),
    }
}
