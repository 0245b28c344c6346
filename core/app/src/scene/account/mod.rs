//! The account: the power that the sun gives, and where each watt goes, as it should be and as it is.

mod view;

pub use view::{AccountView, Part, Segment};

use crate::scene::build::{boxed, fill, group, line, polygon, polyline, rect, strokes, text};
use crate::scene::{Anchor, Fill, Font, Item, Paint, Role, Scene, labels, measure};
use crate::text::{Quantity, Words};

/// Height of the picture, dp.
pub const HEIGHT: f64 = 128.0;
/// Width on a phone, dp.
pub const WIDTH: f64 = 379.0;
/// Bars begin here, dp.
const LEFT: f64 = 56.0;
const BAR: f64 = 28.0;
const SHOULD_Y: f64 = 2.0;
const IS_Y: f64 = 50.0;
/// Nothing is drawn narrower, dp.
const LEAST: f64 = 1.5;
/// Expected watts stand inside segments at least this wide, dp.
const ROOM_FOR_NUMBER: f64 = 36.0;

/// A stretch of a bar, dp.
#[derive(Debug, Clone, Copy)]
struct Bar {
    x: f64,
    width: f64,
}

impl Bar {
    fn end(self) -> f64 {
        self.x + self.width
    }
    fn middle(self) -> f64 {
        self.x + self.width / 2.0
    }
}

/// Draws an account; `None` while nothing runs (no power to account for).
pub fn draw(view: &AccountView, words: &Words<'_>) -> Option<Scene> {
    let positive = |w: f64| if w.is_finite() { w.max(0.0) } else { 0.0 };
    if view.segments.is_empty() || positive(view.available_w) <= 0.0 {
        return None;
    }
    let unknown = view.unknown();
    let should: Vec<f64> = view.segments.iter().map(|s| positive(s.should_w)).collect();
    // the measured bar: known segments, and one block in place of those nobody measures
    let known: f64 = view.segments.iter().filter_map(|s| s.is_w).map(positive).sum();
    let mut is: Vec<f64> = view.segments.iter().map(|s| positive(s.is_w.unwrap_or(0.0))).collect();
    if let Some((a, b)) = unknown {
        let inside: f64 = is[a..b].iter().sum();
        is.splice(a..b, [positive(view.available_w - known + inside)]);
    }
    let full = view.available_w.max(should.iter().sum()).max(is.iter().sum());
    let scale = (view.width - LEFT) / full;
    let (top, low) = (bars(&should, scale), bars(&is, scale));
    let flagged = view.flagged().filter(|i| unknown.is_none_or(|(a, b)| *i < a || *i >= b));
    // index in the measured bar of a segment outside the unknown stretch
    let below = |i: usize| match unknown {
        Some((a, b)) if i >= b => Some(i - (b - a) + 1),
        Some((a, _)) if i >= a => None,
        _ => Some(i),
    };

    let now = if view.past { "account.was" } else { "account.now" };
    let mut out = vec![
        text(0.0, 21.0, Anchor::Start, words.texts.text("account.should"), Font::Label, Role::Ink2),
        text(0.0, 69.0, Anchor::Start, words.texts.text(now), Font::Strong, Role::Ink),
    ];
    if let Some(b) = flagged.and_then(below).and_then(|j| low.get(j)) {
        let a = top[flagged.unwrap_or_default()];
        let wedge = [(a.x, SHOULD_Y + BAR), (a.end(), SHOULD_Y + BAR), (b.end(), IS_Y), (b.x, IS_Y)];
        out.push(polygon(&wedge, boxed(Fill::Role(Role::DifferFill), Role::Differ, 1.0)));
    }
    for (i, upper) in top.iter().enumerate().skip(1) {
        let (Some(_), Some(j)) = (below(i - 1), below(i)) else { continue };
        out.push(strokes(&[[(upper.x, SHOULD_Y + BAR), (low[j].x, IS_Y)]], line(Role::Ink2, 1.0)));
    }
    if let Some((a, _)) = unknown.filter(|(a, _)| *a > 0) {
        out.push(strokes(&[[(top[a].x, SHOULD_Y + BAR), (low[a].x, IS_Y)]], line(Role::Ink2, 1.0)));
    }
    for (i, s) in view.segments.iter().enumerate() {
        out.push(rect(top[i].x, SHOULD_Y, top[i].width, BAR, paint(s.part, i)));
        out.extend(inside(words, s, top[i]));
    }
    for (i, s) in view.segments.iter().enumerate() {
        let Some(j) = below(i) else { continue };
        if Some(i) != flagged {
            out.push(rect(low[j].x, IS_Y, low[j].width, BAR, paint(s.part, i)));
        }
    }
    if let Some((a, _)) = unknown {
        out.push(rect(low[a].x, IS_Y, low[a].width, BAR, boxed(Fill::Unknown, Role::Line, 1.0)));
    }
    if let Some(b) = flagged.and_then(below).map(|j| low[j]) {
        out.push(rect(b.x, IS_Y, b.width, BAR, boxed(Fill::Differs, Role::Differ, 2.5)));
    }
    out.extend(names(view, words, &low, below, unknown, flagged));
    Some(Scene { width: view.width, height: HEIGHT, description: spoken(view, words, flagged), items: out })
}

/// Places of segments along a bar; none narrower than it can be seen, the widest gives the room.
fn bars(watts: &[f64], scale: f64) -> Vec<Bar> {
    let mut widths: Vec<f64> = watts.iter().map(|w| (w * scale).max(LEAST)).collect();
    let surplus = widths.iter().sum::<f64>() - watts.iter().sum::<f64>() * scale;
    if let Some(widest) = widths.iter_mut().max_by(|a, b| a.total_cmp(b)) {
        *widest = (*widest - surplus).max(LEAST);
    }
    let mut x = LEFT;
    widths
        .into_iter()
        .map(|width| {
            let bar = Bar { x, width };
            x += width;
            bar
        })
        .collect()
}

fn paint(part: Part, index: usize) -> Paint {
    match part {
        Part::NotUsed => boxed(Fill::Unused, Role::Ink, 1.0),
        Part::Water => boxed(Fill::Role(Role::Water), Role::Ink, 1.0),
        _ if index % 2 == 1 => boxed(Fill::Role(Role::Hair), Role::Ink, 1.0),
        _ => boxed(Fill::Role(Role::Panel), Role::Ink, 1.0),
    }
}

/// Expected watts inside a segment, where there is room.
fn inside(words: &Words<'_>, s: &Segment, bar: Bar) -> Vec<Item> {
    let number = words.amount(Quantity::Power, s.should_w, 0.0).number;
    let (font, role) = match s.part {
        Part::Water => (Font::AxisStrong, Role::Paper),
        _ => (Font::Axis, Role::Ink),
    };
    let width = measure::width(&number, font);
    if bar.width < ROOM_FOR_NUMBER.max(width + 6.0) {
        return Vec::new();
    }
    let mut out = Vec::new();
    if s.part == Part::NotUsed {
        out.push(rect(
            bar.middle() - width / 2.0 - 3.0,
            SHOULD_Y + 5.0,
            width + 6.0,
            18.0,
            fill(Role::Paper),
        ));
    }
    out.push(text(bar.middle(), 21.0, Anchor::Middle, number, font, role));
    out
}

/// Measured watts and names under the bars.
fn names(
    view: &AccountView,
    words: &Words<'_>,
    low: &[Bar],
    below: impl Fn(usize) -> Option<usize>,
    unknown: Option<(usize, usize)>,
    flagged: Option<usize>,
) -> Vec<Item> {
    struct Under {
        bar: Bar,
        number: Option<String>,
        name: String,
        role: Role,
        spoken: String,
    }
    let mut all = Vec::new();
    for (i, s) in view.segments.iter().enumerate() {
        if let Some((a, _)) = unknown
            && i == a
        {
            let name = words.texts.text("account.not_measured").to_owned();
            all.push(Under { bar: low[a], number: None, spoken: String::new(), name, role: Role::Ink2 });
        }
        let (Some(j), Some(w)) = (below(i), s.is_w) else { continue };
        all.push(Under {
            bar: low[j],
            number: Some(words.amount(Quantity::Power, w, 0.0).number),
            name: words.texts.text(s.part.id()).to_owned(),
            role: if flagged == Some(i) { Role::Differ } else { Role::Ink },
            spoken: part_spoken(words, s),
        });
    }
    let width = |n: &Under| {
        let number = n.number.as_ref().map_or(0.0, |t| measure::width(t, Font::Strong));
        number.max(measure::width(&n.name, Font::Axis)) + 5.0
    };
    let sizes: Vec<f64> = all.iter().map(width).collect();
    let ideal: Vec<f64> = all.iter().map(|n| n.bar.middle()).collect();
    let centres = labels::place(&ideal, &sizes, 0.0, view.width);
    let mut out = Vec::new();
    for (n, x) in all.into_iter().zip(centres) {
        let mut items = Vec::new();
        match n.number {
            Some(number) => {
                items.push(polyline(&[(n.bar.middle(), IS_Y + BAR + 1.0), (x, 88.0)], line(Role::Ink2, 1.0)));
                items.push(text(x, 103.0, Anchor::Middle, number, Font::Strong, n.role));
                items.push(text(x, 120.0, Anchor::Middle, n.name, Font::Axis, Role::Ink2));
            }
            None => items.push(text(x, 103.0, Anchor::Middle, n.name, Font::Label, Role::Ink2)),
        }
        out.push(group(n.spoken, 0.0, 0.0, items));
    }
    out
}

fn part_spoken(words: &Words<'_>, s: &Segment) -> String {
    let number = |w: f64| words.amount(Quantity::Power, w, 0.0).number;
    let is = s.is_w.map_or_else(|| words.texts.text("span.unknown").to_owned(), number);
    let should = number(s.should_w);
    let name = words.texts.text(s.part.id());
    words.fill("account.said.part", &[("name", name), ("is", &is), ("should", &should)])
}

fn spoken(view: &AccountView, words: &Words<'_>, flagged: Option<usize>) -> String {
    let total = words.spoken(Quantity::Power, view.available_w);
    let mut out = words.fill("account.said", &[("total", &total)]);
    let parts: Vec<String> =
        view.segments.iter().filter(|s| s.is_w.is_some()).map(|s| part_spoken(words, s)).collect();
    out.push(' ');
    out.push_str(&parts.join("; "));
    out.push('.');
    if let Some(s) = flagged.map(|i| &view.segments[i]) {
        out.push(' ');
        out.push_str(&words.fill("account.said.flag", &[("name", words.texts.text(s.part.id()))]));
    }
    if view.unknown().is_some() {
        out.push(' ');
        out.push_str(words.texts.text("account.said.unknown"));
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn seg(part: Part, should_w: f64, is_w: Option<f64>) -> Segment {
        Segment { part, should_w, interval_w: [0.8 * should_w, 1.2 * should_w], is_w }
    }

    fn backwards() -> AccountView {
        AccountView::new(
            2110.0,
            vec![
                seg(Part::NotUsed, 260.0, Some(324.0)),
                seg(Part::Wires, 105.0, Some(100.0)),
                seg(Part::Motor, 152.0, Some(146.0)),
                seg(Part::Pump, 808.0, Some(1460.0)),
                seg(Part::Pipe, 130.0, Some(2.0)),
                seg(Part::Water, 651.0, Some(73.0)),
            ],
        )
    }

    #[test]
    fn the_largest_excess_is_flagged_and_less_water_is_not() {
        assert_eq!(backwards().flagged(), Some(3));
        let mut v = backwards();
        v.segments[3].is_w = Some(800.0);
        // 324 is more than 1.2 x 260
        assert_eq!(v.flagged(), Some(0));
        v.segments[0].is_w = Some(300.0);
        assert_eq!(v.flagged(), None);
    }

    #[test]
    fn every_segment_is_seen_and_the_bar_keeps_its_length() {
        let b = bars(&[324.0, 100.0, 146.0, 1460.0, 2.0, 73.0], 323.0 / 2105.0);
        assert!(b.iter().all(|b| b.width >= LEAST));
        assert!((b[5].end() - 379.0).abs() < 1e-9);
    }

    #[test]
    fn what_no_sensor_tells_is_one_block() {
        let mut v = backwards();
        for i in 3..6 {
            v.segments[i].is_w = None;
        }
        let s = draw(&v, &Words::english()).unwrap();
        let striped = s
            .items
            .iter()
            .filter(|i| matches!(i, Item::Rect { paint, .. } if paint.fill == Some(Fill::Unknown)))
            .count();
        assert_eq!(striped, 1);
        assert!(s.description.ends_with("The rest is not measured."), "{}", s.description);
        // two gaps with a known part between them are still one block
        v.segments[4].is_w = Some(10.0);
        assert!(draw(&v, &Words::english()).is_some());
        for i in 0..6 {
            v.segments[i].is_w = None;
        }
        assert!(draw(&v, &Words::english()).is_some());
    }

    #[test]
    fn nothing_is_drawn_while_nothing_runs() {
        for w in [0.0, -5.0, f64::NAN] {
            assert_eq!(draw(&AccountView { available_w: w, ..backwards() }, &Words::english()), None);
        }
        assert_eq!(draw(&AccountView::new(100.0, vec![]), &Words::english()), None);
    }

    #[test]
    fn it_says_what_it_shows() {
        let s = draw(&backwards(), &Words::english()).unwrap();
        assert!(
            s.description.contains("pump 1,460, should be 808; pipe 2, should be 130"),
            "{}",
            s.description
        );
        assert!(s.description.ends_with("The difference stands at: pump."));
    }
}
