//! What stands above ground: sun, array, controller, tank.

use super::frame::{Frame, POST};
use crate::scene::build::{boxed, dashed, fill, line, polyline, rect, strokes};
use crate::scene::view::SectionView;
use crate::scene::{Fill, Item, Role, build};

/// The sun's disc and its ray to the array; the ray is as wide as the sun is strong.
pub fn sun(view: &SectionView, f: &Frame) -> Vec<Item> {
    let (Some((x, y)), Some(sun)) = (f.sun, view.sun) else { return Vec::new() };
    let (dx, dy) = (f.array.0 - x, f.array.1 - y);
    let length = dx.hypot(dy).max(1.0);
    let (ux, uy) = (dx / length, dy / length);
    let ray = [(x + 10.0 * ux, y + 10.0 * uy), (f.array.0 - 3.0 * ux, f.array.1 - 3.0 * uy)];
    let paint = match sun.irradiance_w_m2.filter(|g| g.is_finite()) {
        Some(g) => line(Role::SunFill, 1.5 + 5.0 * (g / 1000.0).clamp(0.0, 1.6)),
        // no sensor for it
        None => dashed(Role::Sun, 1.5, 2.0, 6.0),
    };
    vec![polyline(&ray, paint), build::circle(x, y, 10.0, boxed(Fill::Role(Role::SunFill), Role::Sun, 1.5))]
}

/// The array at its true tilt on its post, with the controller.
pub fn array(_view: &SectionView, f: &Frame) -> Vec<Item> {
    let (x, y) = f.array;
    let (ex, ey) = f.array_end();
    vec![
        strokes(&[[(POST, y), (POST, f.ground)]], line(Role::Ink, 2.0)),
        rect(POST - 9.0, f.ground - 44.0, 18.0, 22.0, boxed(Fill::Role(Role::Paper), Role::Ink, 2.0)),
        strokes(&[[(2.0 * x - ex, 2.0 * y - ey), (ex, ey)]], line(Role::Ink, 6.0)),
    ]
}

/// The tank under the outlet: filled as far as measured, striped when nobody measures it.
pub fn tank(view: &SectionView, f: &Frame) -> Vec<Item> {
    let (left, width) = (14.0, 52.0);
    let top = f.outlet + 6.0;
    let bottom = (f.ground - 1.0).min(top + 26.0).max(top + 7.0);
    let inside = bottom - top;
    let mut out = Vec::new();
    match view.tank_share.filter(|s| s.is_finite()) {
        Some(share) => {
            let level = bottom - (inside - 2.0) * share.clamp(0.0, 1.0);
            out.push(rect(left, level, width, bottom - level, fill(Role::WaterFill)));
            out.push(strokes(&[[(left, level), (left + width, level)]], line(Role::Water, 2.0)));
        }
        None => out.push(rect(left, top + 2.0, width, inside - 2.0, boxed(Fill::Unknown, Role::Line, 1.0))),
    }
    let (l, r) = (left, left + width);
    out.push(polyline(&[(l, top), (l, bottom), (r, bottom), (r, top)], line(Role::Ink, 2.0)));
    if bottom < f.ground - 2.0 {
        let legs = [[(l + 6.0, bottom), (l + 6.0, f.ground)], [(r - 6.0, bottom), (r - 6.0, f.ground)]];
        out.push(strokes(&legs, line(Role::Ink, 2.0)));
    }
    out
}
