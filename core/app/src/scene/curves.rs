//! Two curves of a design: the pump against well and pipes at three lights, and flow over light.

use super::build::{circle, dashed, fill, line, polygon, polyline, strokes, text};
use super::plot::{Axis, Plot};
use super::{Anchor, Fill, Font, Item, Paint, Role, Scene, Stroke, measure};
use crate::design::Design;
use crate::design::curves::{AtLight, FlowHead};
use crate::text::{Quantity, Words};

/// Width of each picture, dp.
pub const WIDTH: f64 = 412.0;
const HEIGHT: f64 = 230.0;
const LEFT: f64 = 44.0;
const TOP: f64 = 22.0;
/// Height of a row of the key, dp.
const ROW: f64 = 24.0;

/// Pump and pipes: head over flow, with the meeting points of three lights.
pub fn pump(d: &Design, words: &Words<'_>) -> Scene {
    let c = &d.curves;
    let head = |points: &[FlowHead]| points.iter().map(|p| p.head_m).fold(0.0, f64::max);
    let meets = c.lights.iter().filter_map(|l| l.meets);
    let asked = meets.clone().map(|m| m.head_m).fold(c.system.first().map_or(10.0, |p| p.head_m), f64::max);
    let made = c.lights.iter().map(|l| head(&l.pump)).fold(0.0, f64::max);
    let y_most = made.clamp(1.15 * asked, 2.0 * asked).max(1.0) * 1.06;
    let widest = c.lights.iter().flat_map(|l| &l.pump).filter(|p| p.head_m <= y_most).map(|p| p.flow_m3_h);
    let x_most = widest.fold(0.5, f64::max) * 1.06;
    let plot =
        Plot { left: LEFT, top: TOP, width: WIDTH - LEFT - 8.0, height: HEIGHT - TOP - 26.0, x_most, y_most };
    let mut out = plot.y_axis(Axis { quantity: Quantity::Depth, most: y_most, ticks: 5 }, words);
    out.extend(plot.x_axis(Axis { quantity: Quantity::Flow, most: x_most, ticks: 6 }, words));
    let points = |list: &[FlowHead]| list.iter().map(|p| (p.flow_m3_h, p.head_m)).collect::<Vec<_>>();
    out.extend(plot.curve(points(&c.system).into_iter(), line(Role::Water, 3.0)));
    let count = c.lights.len();
    for (i, light) in c.lights.iter().enumerate() {
        out.extend(plot.curve(points(&light.pump).into_iter(), of_light(i + 3 - count)));
    }
    for (i, light) in c.lights.iter().enumerate() {
        out.extend(light.meets.map(|m| mark(plot.x(m.flow_m3_h), plot.y(m.head_m), i + 3 - count)));
    }
    let mut y = HEIGHT + 18.0;
    out.push(strokes(&[[(LEFT, y - 5.0), (LEFT + 34.0, y - 5.0)]], line(Role::Water, 3.0)));
    out.push(text(LEFT + 44.0, y, Anchor::Start, words.t("design.pump.system"), Font::Label, Role::Ink));
    let mut spoken = Vec::new();
    for (i, light) in c.lights.iter().enumerate().rev() {
        y += ROW;
        let weight = i + 3 - count;
        out.push(strokes(&[[(LEFT, y - 5.0), (LEFT + 34.0, y - 5.0)]], of_light(weight)));
        out.push(mark(LEFT + 17.0, y - 5.0, weight));
        out.push(text(LEFT + 44.0, y, Anchor::Start, key(light, words), Font::Label, Role::Ink));
        spoken.extend(light.meets.map(|m| said(light, m, words)));
    }
    let description = words.fill("design.pump.spoken", &[("x", &spoken.join(" "))]);
    Scene { width: WIDTH, height: y + 8.0, description, items: out }
}

/// "1,000 W/m2, 3,300 rpm: 5.4 m3/h at 47 m"
fn key(light: &AtLight, words: &Words<'_>) -> String {
    let sun = words.value(Quantity::Irradiance, light.irradiance_w_m2);
    let rpm = words.value(Quantity::Speed, light.rpm);
    match light.meets {
        Some(m) => words.fill(
            "design.pump.light",
            &[
                ("sun", &sun),
                ("rpm", &rpm),
                ("flow", &words.value(Quantity::Flow, m.flow_m3_h)),
                ("head", &words.value(Quantity::Depth, m.head_m)),
            ],
        ),
        None => words.fill("design.pump.light.dry", &[("sun", &sun), ("rpm", &rpm)]),
    }
}

fn said(light: &AtLight, m: FlowHead, words: &Words<'_>) -> String {
    words.fill(
        "design.pump.spoken.one",
        &[
            ("sun", &words.spoken(Quantity::Irradiance, light.irradiance_w_m2)),
            ("flow", &words.spoken(Quantity::Flow, m.flow_m3_h)),
            ("head", &words.spoken(Quantity::Depth, m.head_m)),
        ],
    )
}

/// The brighter the light, the fuller the line.
fn of_light(weight: usize) -> Paint {
    match weight {
        0 => dashed(Role::Ink, 1.5, 2.0, 4.0),
        1 => dashed(Role::Ink, 1.5, 9.0, 4.0),
        _ => line(Role::Ink, 2.0),
    }
}

/// A meeting point: hollow in dim light, filled in full sun.
fn mark(x: f64, y: f64, weight: usize) -> Item {
    let inside = match weight {
        0 => Role::Paper,
        1 => Role::Hair,
        _ => Role::Ink,
    };
    let stroke = Some(Stroke { role: Role::Ink, width: 2.0, dash: None });
    circle(x, y, 5.5, Paint { fill: Some(Fill::Role(inside)), stroke })
}

/// Flow over light: where water begins, and what the neediest month asks for while it comes.
pub fn flow(d: &Design, words: &Words<'_>) -> Scene {
    let most_light = d.curves.flow.iter().map(|p| p.irradiance_w_m2).fold(1.0, f64::max);
    let needed = needed(d);
    let most_flow = d.curves.flow.iter().map(|p| p.flow_m3_h).fold(needed.map_or(0.1, |n| n.1), f64::max);
    let plot = Plot {
        left: LEFT,
        top: TOP,
        width: WIDTH - LEFT - 8.0,
        height: HEIGHT - TOP - 26.0,
        x_most: most_light,
        y_most: 1.1 * most_flow,
    };
    let mut curve: Vec<(f64, f64)> =
        d.curves.flow.iter().map(|p| (p.irradiance_w_m2, p.flow_m3_h)).filter(|p| p.1 > 0.0).collect();
    if let (Some(start), Some(first)) = (d.start_irradiance_w_m2, curve.first().copied()) {
        // a helical rotor gives water at once; a centrifugal pump begins with none
        let at_start = start.min(first.0);
        curve.insert(0, (at_start, 0.0));
    }
    let mut out = Vec::new();
    if let (Some(&(from, _)), Some(&(to, _))) = (curve.first(), curve.last()) {
        let mut area: Vec<(f64, f64)> = curve.iter().map(|&(x, y)| (plot.x(x), plot.y(y))).collect();
        area.extend([(plot.x(to), plot.bottom()), (plot.x(from), plot.bottom())]);
        out.push(polygon(&area, fill(Role::WaterFill)));
    }
    out.extend(plot.y_axis(Axis { quantity: Quantity::Flow, most: plot.y_most, ticks: 5 }, words));
    out.extend(plot.x_axis(Axis { quantity: Quantity::Irradiance, most: most_light, ticks: 6 }, words));
    out.extend(plot.curve(curve.into_iter(), line(Role::Water, 3.0)));
    let mut spoken = vec![start_said(d, words)];
    if let Some(start) = d.start_irradiance_w_m2 {
        let x = plot.x(start);
        out.push(polyline(
            &[(x, plot.bottom()), (x, plot.y(0.55 * plot.y_most))],
            dashed(Role::Sun, 2.0, 6.0, 4.0),
        ));
    }
    let mut y = HEIGHT + 18.0;
    if let Some((month, need)) = needed {
        let at = plot.y(need);
        out.push(strokes(
            &[[(plot.left, at), (plot.left + plot.width, at)]],
            dashed(Role::Ink, 2.0, 2.0, 5.0),
        ));
        out.push(strokes(&[[(LEFT, y - 5.0), (LEFT + 34.0, y - 5.0)]], dashed(Role::Ink, 2.0, 2.0, 5.0)));
        let name = words.texts.text(&format!("month.{month}")).to_owned();
        let flow = words.value(Quantity::Flow, need);
        let said = words.fill("design.flow.needed", &[("month", &name), ("flow", &flow)]);
        for (i, part) in measure::wrap(&said, Font::Label, WIDTH - LEFT - 48.0).into_iter().enumerate() {
            y += if i > 0 { 19.0 } else { 0.0 };
            out.push(text(LEFT + 44.0, y, Anchor::Start, part, Font::Label, Role::Ink));
        }
        spoken.push(said);
        y += ROW;
    }
    out.push(strokes(&[[(LEFT, y - 5.0), (LEFT + 34.0, y - 5.0)]], dashed(Role::Sun, 2.0, 6.0, 4.0)));
    out.push(text(LEFT + 44.0, y, Anchor::Start, start_said(d, words), Font::Label, Role::Ink));
    if let Some(full) = d.full_sun.flow_m3_h {
        let flow = words.spoken(Quantity::Flow, full);
        spoken.push(words.fill("design.flow.spoken.full", &[("flow", &flow)]));
    }
    let description = words.fill("design.flow.spoken", &[("x", &spoken.join(". "))]);
    Scene { width: WIDTH, height: y + 8.0, description, items: out }
}

fn start_said(d: &Design, words: &Words<'_>) -> String {
    match d.start_irradiance_w_m2 {
        Some(g) => words.fill("design.flow.start", &[("sun", &words.value(Quantity::Irradiance, g))]),
        None => words.t("design.flow.never").to_owned(),
    }
}

/// The month that is shortest of water, and the mean flow it needs while water comes, m3/h.
fn needed(d: &Design) -> Option<(u32, f64)> {
    let share =
        |m: &crate::design::Month| m.demand_litres_per_day.map(|need| m.litres_per_day / need.max(1e-9));
    let month = d
        .months
        .iter()
        .filter(|m| m.hours_with_water > 0.0)
        .filter_map(|m| Some((m, share(m)?)))
        .min_by(|a, b| a.1.total_cmp(&b.1))?
        .0;
    Some((month.month, month.demand_litres_per_day? / 1000.0 / month.hours_with_water))
}
