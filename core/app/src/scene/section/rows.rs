//! Labels beside the section: their heights, their places, their leaders.

use super::frame::{Frame, LABELS, LABELS_END};
use crate::scene::build::{circle, fill, group, line, polyline, run, text};
use crate::scene::view::{Place, ReadingRow, SectionView, Tone};
use crate::scene::{Anchor, Font, Item, Role, labels, lead_map, measure, span};

/// Width of a label, dp.
const ROOM: f64 = LABELS_END - LABELS;
/// Height of a name with its value.
const NAME: f64 = 28.0;
/// A span under it.
const SPAN: f64 = 20.0;
/// A line of a note.
const NOTE: f64 = 18.0;

/// A label at its place.
pub struct Label {
    row: ReadingRow,
    /// Lines of the note.
    note: Vec<String>,
    /// The value stands under the name, because both are long.
    two_lines: bool,
    feature: (f64, f64),
    /// The leader first climbs to this height, to pass above the array.
    climb: Option<f64>,
    /// What it names is not drawn.
    hidden: bool,
    top: f64,
}

impl Label {
    fn new(row: ReadingRow, frame: &Frame, view: &SectionView) -> Label {
        let value = measure::width(&row.value, value_font(row.tone))
            + if row.unit.is_empty() { 0.0 } else { measure::width(&row.unit, Font::Label) + 4.0 };
        let two_lines = measure::width(&row.name, Font::Label) + value > ROOM && !row.value.is_empty();
        let font = if row.note.as_ref().is_some_and(|n| n.differs) { Font::Strong } else { Font::Label };
        let note = row.note.as_ref().map(|n| measure::wrap(&n.text, font, ROOM)).unwrap_or_default();
        let feature = frame.feature(row.place, view);
        let sun = row.place == Place::Sun;
        let clear = frame.array_end().1 - 8.0;
        let climb = (sun && feature.1 > clear).then_some(clear.max(6.0));
        Label { row, note, two_lines, feature, climb, hidden: sun && frame.sun.is_none(), top: 0.0 }
    }

    /// From the label's top to the end of the name and value.
    fn head(&self) -> f64 {
        NAME + if self.two_lines { 22.0 } else { 0.0 }
    }

    fn height(&self) -> f64 {
        if self.row.leads.is_some() {
            return 100.0;
        }
        let span = if self.row.span.is_some() { SPAN } else { 0.0 };
        self.head() + span + NOTE * self.note.len() as f64
    }

    /// Middle of the name, where the leader arrives.
    fn arrives(&self) -> f64 {
        self.top + 14.0
    }

    /// No leader where there is nothing to point at.
    fn points(&self) -> bool {
        let absent = self.row.span.as_ref().is_some_and(|s| s.state == span::SpanState::Absent);
        !absent && !self.hidden
    }
}

const fn value_font(tone: Tone) -> Font {
    match tone {
        Tone::Words => Font::Label,
        Tone::Plain | Tone::Differs => Font::Value,
    }
}

/// Orders labels by depth and places them; drops notes, then plain rows, when there is no room, and lets
/// the picture grow when even that is not enough. Returns what is drawn and what is listed instead.
pub fn arrange(view: &SectionView, frame: &mut Frame) -> (Vec<Label>, Vec<ReadingRow>) {
    let labels = view.rows.iter().map(|r| Label::new(r.clone(), frame, view));
    let mut all: Vec<Label> = labels.collect();
    all.sort_by(|a, b| a.feature.1.total_cmp(&b.feature.1));
    let need = |all: &[Label]| all.iter().map(Label::height).sum::<f64>();
    for i in (0..all.len()).rev() {
        let keep = all[i].row.note.as_ref().is_none_or(|n| n.differs);
        if need(&all) > frame.height && !keep {
            all[i].note.clear();
        }
    }
    let mut listed = Vec::new();
    for place in [Place::Bottom, Place::Rest, Place::Intake] {
        while need(&all) > frame.height {
            let Some(i) = all.iter().position(|l| l.row.place == place && !l.row.differs()) else { break };
            listed.push(all.remove(i).row);
        }
    }
    let sizes: Vec<f64> = all.iter().map(Label::height).collect();
    frame.height = frame.height.max(labels::needed(&sizes));
    let ideal: Vec<f64> = all.iter().zip(&sizes).map(|(l, h)| l.feature.1 - 14.0 + h / 2.0).collect();
    let centres = labels::place(&ideal, &sizes, 0.0, frame.height);
    for ((label, centre), size) in all.iter_mut().zip(centres).zip(sizes) {
        label.top = centre - size / 2.0;
    }
    (all, listed)
}

/// Leaders: a dot on the feature, level, slanted, level. Order is kept, so none crosses another.
pub fn leaders(labels: &[Label]) -> Vec<Item> {
    let mut out = Vec::new();
    for l in labels.iter().filter(|l| l.points()) {
        let ((x, y), end) = (l.feature, l.arrives());
        let level = l.climb.unwrap_or(y);
        let path = [(x, y), (x + y - level, level), (x.max(164.0), level), (188.0, end), (193.0, end)];
        let path = if l.climb.is_some() { &path[..] } else { &path[1..] };
        out.push(polyline(path, line(Role::Ink2, 1.0)));
        out.push(circle(x, y, 2.6, fill(Role::Ink2)));
    }
    out
}

/// The labels themselves.
pub fn items(labels: Vec<Label>) -> Vec<Item> {
    labels.into_iter().map(|l| group(l.row.spoken.clone(), LABELS, l.top, inner(&l))).collect()
}

fn inner(l: &Label) -> Vec<Item> {
    let row = &l.row;
    let mut out = vec![text(0.0, 19.0, Anchor::Start, row.name.clone(), Font::Label, Role::Ink2)];
    if !row.value.is_empty() {
        let role = match row.tone {
            Tone::Plain => Role::Ink,
            Tone::Differs => Role::Differ,
            Tone::Words => Role::Ink2,
        };
        let mut runs = vec![run(row.value.clone(), value_font(row.tone), role)];
        if !row.unit.is_empty() {
            runs.push(run(format!("\u{a0}{}", row.unit), Font::Label, Role::Ink2));
        }
        out.push(Item::Text { x: ROOM, y: l.head() - 8.0, anchor: Anchor::End, runs });
    }
    let mut y = l.head() - 2.0;
    if let Some(view) = &row.span {
        out.push(group("", 0.0, y, span::items(view, ROOM)));
        y += SPAN + 2.0;
    } else {
        y = l.head();
    }
    if let Some(leads) = &row.leads {
        let (font, role) = if leads.odd { (Font::Strong, Role::Differ) } else { (Font::Strong, Role::Ink) };
        let said = row.spoken.trim_end_matches('.').rsplit(": ").next().unwrap_or_default().to_owned();
        out.push(text(0.0, 37.0, Anchor::Start, said, font, role));
        out.push(group("", 0.0, 43.0, lead_map::items(leads)));
    }
    let differs = row.note.as_ref().is_some_and(|n| n.differs);
    let (font, role) = if differs { (Font::Strong, Role::Differ) } else { (Font::Label, Role::Ink2) };
    for (i, words) in l.note.iter().enumerate() {
        let line = if row.span.is_some() { y + 13.0 } else { y + 10.0 };
        out.push(text(0.0, line + NOTE * i as f64, Anchor::Start, words.clone(), font, role));
    }
    out
}
