//! The span: a number against what it should be. A mark against a band, never a needle.

use serde::{Deserialize, Serialize};

use super::build::{boxed, dashed, fill, line, polygon, polyline, rect, strokes};
use super::{Fill, Item, Paint, Role, Scene};

/// Height of a span, dp.
pub const HEIGHT: f64 = 18.0;
/// The track begins and ends so far inside the width, dp.
const INSET: f64 = 3.0;
/// Height of the track inside the picture, dp.
const TRACK_Y: f64 = 9.0;

/// The five states of a number against its band.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SpanState {
    /// Measured, and inside.
    Inside,
    /// Measured, and outside.
    Outside,
    /// There is a sensor, but no reading now.
    Unknown,
    /// There is no sensor.
    Absent,
    /// Measured, and cannot be true.
    Implausible,
}

/// What a span is drawn from. Values in the quantity's stored unit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SpanView {
    /// Low end of the 80 % interval of what should be.
    pub lo: f64,
    /// High end.
    pub hi: f64,
    /// Measured.
    pub measured: Option<f64>,
    /// The quantity has a natural zero (flow, litres, power).
    pub zero: bool,
    /// State.
    pub state: SpanState,
    /// A second source beside the first (bucket beside meter): a hollow diamond.
    pub second: Option<f64>,
    /// Earlier values (visits): thin ticks.
    pub history: Vec<f64>,
}

impl SpanView {
    /// Judges a value against its band: inside, outside, or unknown when there is none.
    pub fn judge(lo: f64, hi: f64, measured: Option<f64>, zero: bool) -> SpanView {
        let (lo, hi) = (lo.min(hi), lo.max(hi));
        let measured = measured.filter(|m| m.is_finite());
        let state = match measured {
            None => SpanState::Unknown,
            Some(m) if m < lo || m > hi => SpanState::Outside,
            Some(_) => SpanState::Inside,
        };
        SpanView { lo, hi, measured, zero, state, second: None, history: Vec::new() }
    }

    /// No sensor.
    pub fn absent() -> SpanView {
        let view = SpanView::judge(0.0, 0.0, None, false);
        SpanView { state: SpanState::Absent, ..view }
    }

    /// A value that cannot be true, against the band it should be in.
    pub fn implausible(lo: f64, hi: f64, zero: bool) -> SpanView {
        let view = SpanView::judge(lo, hi, None, zero);
        SpanView { state: SpanState::Implausible, ..view }
    }

    /// True when the number differs: outside, or cannot be true.
    pub fn differs(&self) -> bool {
        matches!(self.state, SpanState::Outside | SpanState::Implausible)
    }
}

/// Which values stand at the two ends of the track.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct SpanScale {
    /// Value at the leading end.
    pub from: f64,
    /// Value at the trailing end.
    pub to: f64,
    /// Zero stands at the leading end and has a tick.
    pub zero_tick: bool,
}

impl SpanScale {
    /// The scale for a view: the band in the middle third while the mark is inside it; else wide enough
    /// for both, from zero when zero means something and the mark is far off.
    pub fn of(view: &SpanView) -> SpanScale {
        let width = band_width(view);
        let mid = f64::midpoint(view.lo, view.hi);
        let centred = SpanScale { from: mid - 1.5 * width, to: mid + 1.5 * width, zero_tick: false };
        let scale = match (view.state, view.measured) {
            (SpanState::Outside, Some(m)) => {
                let distance = (view.lo - m).max(m - view.hi);
                if view.zero && distance > 2.0 * width {
                    SpanScale { from: m.min(0.0), to: 1.12 * view.hi.max(m).max(0.0), zero_tick: m >= 0.0 }
                } else if m < view.lo {
                    SpanScale { from: m - 0.4 * width, to: view.hi + 0.5 * width, zero_tick: false }
                } else {
                    SpanScale { from: view.lo - 0.5 * width, to: m + 0.4 * width, zero_tick: false }
                }
            }
            _ => centred,
        };
        let extra = view.second.iter().chain(&view.history).copied().filter(|v| v.is_finite());
        extra.fold(scale, |s, v| SpanScale {
            from: s.from.min(v - 0.1 * width),
            to: s.to.max(v + 0.1 * width),
            zero_tick: s.zero_tick && v >= 0.0,
        })
    }

    /// True when band and mark of a view lie on this scale, so that a screen may keep it for a while.
    pub fn fits(&self, view: &SpanView) -> bool {
        let values = [Some(view.lo), Some(view.hi), view.measured, view.second];
        values
            .into_iter()
            .flatten()
            .chain(view.history.iter().copied())
            .all(|v| v >= self.from && v <= self.to)
    }

    /// Place of a value on a span of this width, dp. Never outside the track.
    pub fn x(&self, value: f64, width: f64) -> f64 {
        let share = (value - self.from) / (self.to - self.from);
        let share = if share.is_finite() { share.clamp(0.0, 1.0) } else { 0.5 };
        INSET + share * (width - 2.0 * INSET)
    }
}

/// Width of the band for the scale: at least 1 % of its high end, and never nothing.
fn band_width(view: &SpanView) -> f64 {
    let width = (view.hi - view.lo).max(0.01 * view.hi.abs());
    if width > 0.0 && width.is_finite() { width } else { 1.0 }
}

/// What is drawn for a view, `width` dp wide and [`HEIGHT`] high.
pub fn items(view: &SpanView, width: f64) -> Vec<Item> {
    items_on(view, SpanScale::of(view), width)
}

/// The same on a scale that the caller holds.
pub fn items_on(view: &SpanView, scale: SpanScale, width: f64) -> Vec<Item> {
    let track = [(INSET, TRACK_Y), (width - INSET, TRACK_Y)];
    if view.state == SpanState::Absent {
        return vec![polyline(&track, dashed(Role::Line, 1.5, 2.0, 6.0))];
    }
    let mut out = vec![polyline(&track, line(Role::Line, 1.5))];
    if scale.zero_tick {
        out.push(strokes(&[[(INSET, 4.0), (INSET, 14.0)]], line(Role::Line, 1.5)));
    }
    let (lo, hi) = (scale.x(view.lo, width), scale.x(view.hi, width));
    let band = if view.state == SpanState::Unknown {
        boxed(Fill::Unknown, Role::Line, 1.0)
    } else {
        fill(Role::Band)
    };
    out.push(rect(lo, 3.0, hi - lo, 12.0, band));
    out.push(strokes(&[[(lo, 2.0), (lo, 16.0)], [(hi, 2.0), (hi, 16.0)]], line(Role::BandLine, 2.0)));
    for &h in view.history.iter().filter(|h| h.is_finite()) {
        let x = scale.x(h, width);
        out.push(strokes(&[[(x, 5.0), (x, 13.0)]], line(Role::Ink2, 1.5)));
    }
    match (view.state, view.measured) {
        (SpanState::Inside, Some(m)) => {
            out.push(rect(scale.x(m, width) - 2.5, 0.0, 5.0, HEIGHT, fill(Role::Ink)));
        }
        (SpanState::Outside, Some(m)) => {
            let x = scale.x(m, width);
            let near = if m < view.lo { lo } else { hi };
            out.push(polyline(&[(x, TRACK_Y), (near, TRACK_Y)], line(Role::Differ, 3.0)));
            out.push(rect(x - 3.0, 0.0, 6.0, HEIGHT, fill(Role::Differ)));
        }
        (SpanState::Implausible, _) => {
            let x = width - 8.0;
            let zigzag = [(x, 0.0), (x - 4.0, 4.5), (x + 4.0, 7.5), (x - 4.0, 10.5), (x, 18.0)];
            out.push(polyline(&zigzag, line(Role::Differ, 2.5)));
        }
        _ => {}
    }
    if let Some(s) = view.second.filter(|s| s.is_finite()) {
        let x = scale.x(s, width);
        let diamond = [(x, 1.0), (x + 5.0, 9.0), (x, 17.0), (x - 5.0, 9.0)];
        out.push(polygon(&diamond, DIAMOND));
    }
    out
}

const DIAMOND: Paint = boxed(Fill::Role(Role::Paper), Role::Ink, 2.0);

/// A span as a picture of its own.
pub fn scene(view: &SpanView, width: f64, description: impl Into<String>) -> Scene {
    Scene { width, height: HEIGHT, description: description.into(), items: items(view, width) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn inside_the_band_is_the_middle_third() {
        let v = SpanView::judge(4.7, 5.2, Some(4.9), true);
        let s = SpanScale::of(&v);
        assert_eq!(v.state, SpanState::Inside);
        assert!((s.x(4.7, 199.0) - (3.0 + 193.0 / 3.0)).abs() < 1e-9);
        assert!((s.x(5.2, 199.0) - (3.0 + 193.0 * 2.0 / 3.0)).abs() < 1e-9);
        assert!(!s.zero_tick);
    }

    #[test]
    fn far_outside_a_quantity_with_zero_begins_at_zero() {
        let v = SpanView::judge(5.3, 5.9, Some(0.7), true);
        let s = SpanScale::of(&v);
        assert_eq!((s.from, s.zero_tick), (0.0, true));
        assert!((s.to - 1.12 * 5.9).abs() < 1e-9);
        // the place that the drawn screen has: 23.4 of 199 for the mark, 157.8 for the near bracket
        assert!((s.x(0.7, 199.0) - 23.4).abs() < 0.1 && (s.x(5.3, 199.0) - 157.8).abs() < 0.3);
    }

    #[test]
    fn outside_without_zero_reaches_from_mark_to_band() {
        let v = SpanView::judge(37.6, 38.7, Some(32.2), false);
        let s = SpanScale::of(&v);
        assert!((s.from - (32.2 - 0.44)).abs() < 1e-9 && (s.to - (38.7 + 0.55)).abs() < 1e-9);
        let high = SpanScale::of(&SpanView::judge(1.0, 2.0, Some(3.0), true));
        assert!((high.from - 0.5).abs() < 1e-9 && (high.to - 3.4).abs() < 1e-9);
    }

    #[test]
    fn nothing_is_ever_drawn_outside() {
        let odd = [
            SpanView::judge(0.0, 0.0, Some(0.0), true),
            SpanView::judge(0.0, 0.0, Some(5.0), true),
            SpanView::judge(5.0, 5.0, Some(-3.0), true),
            SpanView::judge(2.0, 1.0, Some(1e9), false),
            SpanView::judge(1.0, 2.0, Some(f64::NAN), false),
            SpanView::judge(f64::NAN, 2.0, Some(1.0), false),
            SpanView {
                second: Some(40.0),
                history: vec![-3.0],
                ..SpanView::judge(1.0, 2.0, Some(1.5), true)
            },
        ];
        for v in odd {
            let s = SpanScale::of(&v);
            for value in [v.lo, v.hi, v.measured.unwrap_or(0.0)] {
                let x = s.x(value, 100.0);
                assert!((3.0..=97.0).contains(&x), "{v:?}: {value} at {x}");
            }
        }
    }

    #[test]
    fn a_scale_is_kept_while_both_fit() {
        let v = SpanView::judge(5.3, 5.9, Some(0.7), true);
        let held = SpanScale::of(&v);
        assert!(held.fits(&SpanView::judge(5.0, 5.6, Some(1.4), true)));
        assert!(!held.fits(&SpanView::judge(6.5, 7.1, Some(1.4), true)));
    }

    #[test]
    fn every_state_has_its_own_shape() {
        let outlines = |v: &SpanView| {
            items(v, 199.0)
                .iter()
                .map(|i| match i {
                    Item::Rect { width, .. } => format!("rect {width:.0}"),
                    Item::Path { steps, .. } => format!("path {}", steps.len()),
                    _ => "other".into(),
                })
                .collect::<Vec<_>>()
                .join(", ")
        };
        let states = [
            SpanView::judge(4.7, 5.2, Some(4.9), true),
            SpanView::judge(4.7, 5.2, Some(4.5), true),
            SpanView::judge(4.7, 5.2, None, true),
            SpanView::absent(),
            SpanView::implausible(40.0, 60.0, false),
        ];
        let mut shapes: Vec<String> = states.iter().map(outlines).collect();
        shapes.sort();
        shapes.dedup();
        assert_eq!(shapes.len(), 5, "{shapes:?}");
    }
}
