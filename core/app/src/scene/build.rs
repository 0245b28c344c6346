//! Short ways to write a display list down.

use super::{Anchor, Fill, Font, Item, Paint, Role, Run, Step, Stroke};

/// A filled area without outline.
pub const fn fill(role: Role) -> Paint {
    Paint { fill: Some(Fill::Role(role)), stroke: None }
}

/// An outline without fill.
pub const fn line(role: Role, width: f64) -> Paint {
    Paint { fill: None, stroke: Some(Stroke { role, width, dash: None }) }
}

/// A broken outline without fill.
pub const fn dashed(role: Role, width: f64, on: f64, off: f64) -> Paint {
    Paint { fill: None, stroke: Some(Stroke { role, width, dash: Some([on, off]) }) }
}

/// A filled area with outline.
pub const fn boxed(inside: Fill, role: Role, width: f64) -> Paint {
    Paint { fill: Some(inside), stroke: Some(Stroke { role, width, dash: None }) }
}

/// Upright rectangle.
pub const fn rect(x: f64, y: f64, width: f64, height: f64, paint: Paint) -> Item {
    Item::Rect { x, y, width, height, paint }
}

/// Circle.
pub const fn circle(x: f64, y: f64, radius: f64, paint: Paint) -> Item {
    Item::Circle { x, y, radius, paint }
}

/// Straight strokes through points, open.
pub fn polyline(points: &[(f64, f64)], paint: Paint) -> Item {
    Item::Path { steps: through(points), paint }
}

/// Straight strokes through points, closed.
pub fn polygon(points: &[(f64, f64)], paint: Paint) -> Item {
    let mut steps = through(points);
    steps.push(Step::Close);
    Item::Path { steps, paint }
}

/// Several separate strokes in one item.
pub fn strokes(lines: &[[(f64, f64); 2]], paint: Paint) -> Item {
    Item::Path { steps: lines.iter().flat_map(|l| through(l)).collect(), paint }
}

/// Pen steps through points.
pub fn through(points: &[(f64, f64)]) -> Vec<Step> {
    points
        .iter()
        .enumerate()
        .map(|(i, &(x, y))| if i == 0 { Step::Move { x, y } } else { Step::Line { x, y } })
        .collect()
}

/// A stretch of text.
pub fn run(text: impl Into<String>, font: Font, role: Role) -> Run {
    Run { text: text.into(), font, role }
}

/// One line of text in one font.
pub fn text(x: f64, y: f64, anchor: Anchor, words: impl Into<String>, font: Font, role: Role) -> Item {
    Item::Text { x, y, anchor, runs: vec![run(words, font, role)] }
}

/// Things that belong together, moved, with what is said for them.
pub fn group(description: impl Into<String>, x: f64, y: f64, items: Vec<Item>) -> Item {
    Item::Group { description: description.into(), x, y, items }
}
