//! What is below ground: ruler, casing, water, riser, pump, motor, cable, joints.

use super::frame::{AXIS, CABLE, Frame, HALF, POST};
use crate::scene::build::{boxed, dashed, fill, line, polyline, rect, strokes, text};
use crate::scene::span::{SpanState, SpanView};
use crate::scene::view::{Moving, Place, Purpose, SectionView};
use crate::scene::{Anchor, Fill, Font, Item, Role, Step};
use crate::text::{DepthUnit, Quantity, Units};

const LEFT: f64 = AXIS - HALF;
const RIGHT: f64 = AXIS + HALF;

/// Ground, ruler and the ground's surface.
pub fn ground(f: &Frame, units: Units) -> Vec<Item> {
    let mut out = vec![
        rect(46.0, f.ground, 134.0, f.height - f.ground, fill(Role::Earth)),
        strokes(&[[(46.0, f.ground), (46.0, f.height)]], line(Role::Line, 1.5)),
    ];
    let depth_m = (f.bottom - f.ground) / f.scale;
    let (near, middle, far) = match units.depth {
        DepthUnit::Metres => (10.0, 20.0, 50.0),
        DepthUnit::Feet => (25.0, 50.0, 200.0),
    };
    let step = if depth_m <= 100.0 {
        near
    } else if depth_m <= 220.0 {
        middle
    } else {
        far
    };
    let per_unit = f.scale / Quantity::Depth.shown(units).factor;
    let mut ticks = Vec::new();
    let mut at = step;
    while f.ground + at * per_unit <= f.height - 6.0 {
        let y = f.ground + at * per_unit;
        ticks.push([(40.0, y), (46.0, y)]);
        out.push(text(36.0, y + 5.0, Anchor::End, format!("{at:.0}"), Font::Axis, Role::Ink2));
        at += step;
    }
    out.push(strokes(&ticks, line(Role::Line, 1.5)));
    out.push(strokes(&[[(8.0, f.ground), (180.0, f.ground)]], line(Role::EarthLine, 3.0)));
    out
}

/// The hole, its water, its resting level, its casing.
pub fn hole(view: &SectionView, f: &Frame) -> Vec<Item> {
    let rim = f.ground - 7.0;
    let width = 2.0 * HALF;
    let mut out = vec![rect(LEFT, rim, width, f.bottom - rim, fill(Role::Paper))];
    let rest = view.rest.map(|r| f.y(r.depth_m).min(f.bottom));
    let water = match (view.purpose, view.level_m) {
        (_, Some(level)) => Some((f.y(level).min(f.bottom), true)),
        (Purpose::Record, None) => rest.map(|y| (y, false)),
        (Purpose::Now, None) => None,
    };
    if let Some((y, is_level)) = water {
        out.push(rect(LEFT, y, width, f.bottom - y, fill(Role::WaterFill)));
        if is_level {
            out.push(strokes(&[[(LEFT, y), (RIGHT, y)]], line(Role::Water, 3.0)));
        }
    } else {
        let y = rest.unwrap_or(f.ground);
        out.push(rect(LEFT, y, width, f.bottom - y, boxed(Fill::Unknown, Role::Line, 1.0)));
    }
    if f.bottom_known {
        let casing = [(LEFT, rim), (LEFT, f.bottom), (RIGHT, f.bottom), (RIGHT, rim)];
        out.push(polyline(&casing, line(Role::Ink, 2.0)));
    } else {
        // nobody knows where it ends: the walls fade into dots below the intake
        let end = f.intake;
        out.push(strokes(&[[(LEFT, rim), (LEFT, end)], [(RIGHT, rim), (RIGHT, end)]], line(Role::Ink, 2.0)));
        let open = [[(LEFT, end), (LEFT, f.bottom)], [(RIGHT, end), (RIGHT, f.bottom)]];
        out.push(strokes(&open, dashed(Role::Ink, 2.0, 2.0, 6.0)));
    }
    if let Some(y) = rest {
        out.push(strokes(&[[(LEFT, y), (RIGHT + 10.0, y)]], dashed(Role::Water, 2.0, 5.0, 4.0)));
    }
    out
}

/// Beside the casing a span on end: where the level should be now, and where it is.
pub fn level_span(view: &SectionView, f: &Frame) -> Vec<Item> {
    let row = view.rows.iter().find(|r| r.place == Place::Level);
    let Some(span) = row.and_then(|r| r.span.as_ref()) else { return Vec::new() };
    if span.state == SpanState::Absent {
        return Vec::new();
    }
    let x = 79.0;
    let (top, bottom) = (f.y(span.lo), f.y(span.hi));
    let band = match span.state {
        SpanState::Unknown => boxed(Fill::Unknown, Role::Line, 1.0),
        _ => fill(Role::Band),
    };
    let mut out = vec![
        rect(x - 6.0, top, 12.0, bottom - top, band),
        strokes(
            &[[(x - 7.0, top), (x + 7.0, top)], [(x - 7.0, bottom), (x + 7.0, bottom)]],
            line(Role::BandLine, 2.0),
        ),
    ];
    let SpanView { state, measured: Some(m), .. } = span else { return out };
    let y = f.y(*m);
    match state {
        SpanState::Inside => out.push(rect(x - 9.0, y - 2.5, 18.0, 5.0, fill(Role::Ink))),
        SpanState::Outside => {
            let near = if *m < span.lo { top } else { bottom };
            out.push(strokes(&[[(x, y), (x, near)]], line(Role::Differ, 3.0)));
            out.push(rect(x - 9.0, y - 2.5, 18.0, 5.0, fill(Role::Differ)));
        }
        SpanState::Unknown | SpanState::Absent | SpanState::Implausible => {}
    }
    out
}

/// The riser from the pump to the outlet, with what moves in it.
pub fn riser(view: &SectionView, f: &Frame) -> Vec<Item> {
    let path = [(AXIS, f.pump_top), (AXIS, f.outlet), (40.0, f.outlet), (40.0, f.outlet + 9.0)];
    let mut out = vec![polyline(&path, line(Role::Ink, 8.0))];
    let core = |role| polyline(&path, line(role, 4.5));
    match view.moving {
        Moving::Water => out.push(core(Role::WaterFill)),
        Moving::Trickle => {
            out.push(core(Role::Paper));
            out.push(polyline(&path, dashed(Role::Water, 1.5, 3.0, 7.0)));
        }
        Moving::Nothing => out.push(core(Role::Paper)),
        Moving::Unknown => {
            out.push(core(Role::Paper));
            let stripes = crate::scene::Paint { fill: Some(Fill::Unknown), stroke: None };
            out.push(rect(AXIS - 2.2, f.outlet, 4.5, f.pump_top - f.outlet, stripes));
            out.push(rect(40.0 - 2.2, f.outlet - 2.2, AXIS - 40.0 + 4.4, 4.5, stripes));
        }
    }
    out
}

/// Pump, intake and motor.
pub fn pump(f: &Frame) -> Vec<Item> {
    let (l, r) = (AXIS - 9.0, AXIS + 9.0);
    let foot = f.motor_top + f.motor_height;
    let motor = Item::Path {
        steps: vec![
            Step::Move { x: l, y: f.motor_top },
            Step::Line { x: r, y: f.motor_top },
            Step::Line { x: r, y: foot },
            Step::Curve { x1: r, y1: foot + 4.0, x2: r - 2.0, y2: foot + 6.0, x: r - 6.0, y: foot + 6.0 },
            Step::Line { x: l + 6.0, y: foot + 6.0 },
            Step::Curve { x1: l + 2.0, y1: foot + 6.0, x2: l, y2: foot + 4.0, x: l, y: foot },
            Step::Close,
        ],
        paint: fill(Role::Ink),
    };
    vec![
        rect(l, f.pump_top, 18.0, f.intake - f.pump_top, boxed(Fill::Role(Role::Paper), Role::Ink, 2.0)),
        rect(l, f.intake + 1.0, 18.0, 4.0, fill(Role::Paper)),
        strokes(&[[(l, f.intake + 3.0), (r, f.intake + 3.0)]], dashed(Role::Ink, 4.0, 2.5, 2.5)),
        motor,
    ]
}

/// The drop cable from the motor to the controller, with its joints at their depths.
pub fn cable(view: &SectionView, f: &Frame) -> Vec<Item> {
    let top = f.ground - 13.0;
    let path = [
        (AXIS + 9.0, f.motor_top + 4.0),
        (CABLE, f.motor_top + 4.0),
        (CABLE, top),
        (POST, top),
        (POST, f.ground - 22.0),
    ];
    let mut out = vec![polyline(&path, line(Role::Ink, 1.5))];
    for joint in &view.joints {
        let role = if joint.odd { Role::Differ } else { Role::Paper };
        let edge = if joint.odd { Role::Differ } else { Role::Ink };
        let y = f.joint_y(joint.depth_m);
        out.push(rect(CABLE - 5.0, y - 4.0, 10.0, 8.0, boxed(Fill::Role(role), edge, 2.0)));
    }
    out
}
