//! The ladder of doubt: causes as rungs, a bar of probability each, the evidence under the first.

use serde::{Deserialize, Serialize};
use wellwright_domain::cause::Cause;
use wellwright_domain::finding::{Finding, RankedCause, Verdict};

use super::build::{dashed, fill, group, line, rect, strokes, text};
use super::{Anchor, Fill, Font, Item, Paint, Role, Scene, measure};
use crate::text::{Words, evidence, names};

/// Width on a phone, dp.
pub const WIDTH: f64 = 379.0;
const RAIL: f64 = 4.0;
/// Bits from which a cause is told in one tick.
const LEAST_BITS: f64 = 0.5;

/// One piece of evidence in words.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Bits {
    /// Ticks, 1 to 5, one a bit.
    pub ticks: u8,
    /// The sentence.
    pub text: String,
}

/// What speaks for and against a cause.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct EvidenceView {
    /// For it, strongest first, three at most.
    pub speaks_for: Vec<Bits>,
    /// Against it, strongest first, two at most.
    pub against: Vec<Bits>,
    /// What cannot be seen.
    pub unseen: Vec<String>,
}

/// What a rung stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum RungKind {
    /// A cause, or a pair of causes.
    Cause,
    /// None of these.
    Unknown,
    /// All others together.
    Others,
}

/// One rung.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Rung {
    /// What it stands for.
    pub kind: RungKind,
    /// Code of the cause, when it is one.
    pub cause: Option<Cause>,
    /// Name.
    pub name: String,
    /// 0 to 1.
    pub probability: f64,
    /// In words, whole per cent.
    pub percent: String,
    /// Evidence, when the rung is open.
    pub open: Option<EvidenceView>,
}

/// The ladder.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LadderView {
    /// Rungs from the top.
    pub rungs: Vec<Rung>,
    /// Width, dp.
    pub width: f64,
}

impl LadderView {
    /// From a finding: the first cause, others of 5 % or more (four at most), "None of these" always,
    /// and the rest together. Pairs stand among the causes. The first rung is open, except when all is
    /// well.
    pub fn new(finding: &Finding, words: &Words<'_>) -> LadderView {
        let mut single: Vec<&RankedCause> = finding.causes.iter().collect();
        single.sort_by(|a, b| b.probability.total_cmp(&a.probability));
        let mut all: Vec<Rung> = single.iter().map(|c| rung(c, words)).collect();
        all.extend(finding.pairs.iter().map(|p| {
            let two = words.texts.list(&p.codes.map(|c| names::cause(words.texts, c)));
            let name = words.fill("ladder.pair", &[("x", &two)]);
            Rung {
                kind: RungKind::Cause,
                cause: None,
                name,
                probability: p.probability,
                percent: words.percent(p.probability),
                open: None,
            }
        }));
        all.sort_by(|a, b| b.probability.total_cmp(&a.probability));
        let mut rungs = Vec::new();
        let (mut rest, mut count, mut others) = (0.0, 0, 0);
        for (i, r) in all.into_iter().enumerate() {
            let unknown = r.kind == RungKind::Unknown;
            if i == 0 || unknown || (r.probability >= 0.05 && others < 4) {
                others += usize::from(i > 0 && !unknown);
                rungs.push(r);
            } else {
                rest += r.probability;
                count += 1;
            }
        }
        if count > 0 {
            let name = match count {
                1 => words.texts.text("ladder.other").to_owned(),
                n => words.fill("ladder.others", &[("n", &n.to_string())]),
            };
            rungs.push(Rung {
                kind: RungKind::Others,
                cause: None,
                name,
                probability: rest,
                percent: words.percent(rest),
                open: None,
            });
        }
        if let Some(first) = rungs.first_mut()
            && matches!(finding.verdict, Verdict::Fault | Verdict::TooLittle)
            && let Some(cause) = finding.causes.iter().find(|c| Some(c.code) == first.cause)
        {
            first.open = Some(open(cause, words)).filter(|e| *e != EvidenceView::default());
        }
        LadderView { rungs, width: WIDTH }
    }
}

fn rung(c: &RankedCause, words: &Words<'_>) -> Rung {
    Rung {
        kind: if c.code == Cause::Unknown { RungKind::Unknown } else { RungKind::Cause },
        cause: Some(c.code),
        name: names::cause(words.texts, c.code),
        probability: c.probability,
        percent: words.percent(c.probability),
        open: None,
    }
}

/// Evidence of a cause in words.
pub fn open(c: &RankedCause, words: &Words<'_>) -> EvidenceView {
    let pick = |sign: f64, most: usize| {
        let mut chosen: Vec<_> = c.evidence.iter().filter(|e| e.weight_bits * sign >= LEAST_BITS).collect();
        chosen.sort_by(|a, b| (b.weight_bits * sign).total_cmp(&(a.weight_bits * sign)));
        let bits = chosen.into_iter().take(most).map(|e| Bits {
            ticks: (e.weight_bits * sign).round().clamp(1.0, 5.0) as u8,
            text: evidence::sentence(words, e),
        });
        bits.collect::<Vec<_>>()
    };
    EvidenceView {
        speaks_for: pick(1.0, 3),
        against: pick(-1.0, 2),
        unseen: c.not_seen.iter().take(3).map(|code| names::by_code(words.texts, code)).collect(),
    }
}

/// Draws a ladder.
pub fn draw(view: &LadderView, words: &Words<'_>) -> Scene {
    let w = view.width;
    let mut y = 0.0;
    let mut rungs = Vec::new();
    for (i, r) in view.rungs.iter().enumerate() {
        let first = i == 0;
        let (font, head, bar) =
            if first { (Font::FirstCause, 38.0, 18.0) } else { (Font::Cause, 33.0, 12.0) };
        let percent_room = measure::width(&r.percent, font) + 12.0;
        let names = measure::wrap(&r.name, font, w - 32.0 - percent_room);
        let line_height = font.size() * 1.14;
        let extra = names.len().saturating_sub(1) as f64 * line_height;
        let mut items = Vec::new();
        for (k, n) in names.iter().enumerate() {
            let at = y + head - 10.0 + k as f64 * line_height;
            items.push(text(16.0, at, Anchor::Start, n.clone(), font, Role::Ink));
        }
        items.push(text(w - 16.0, y + head - 10.0, Anchor::End, r.percent.clone(), font, Role::Ink));
        y += head + extra;
        let (inner, middle) = (w - 2.0 * RAIL, y + bar / 2.0);
        items.push(strokes(&[[(RAIL, middle), (w - RAIL, middle)]], line(Role::Line, 1.5)));
        let p = if r.probability.is_finite() { r.probability.clamp(0.0, 1.0) } else { 0.0 };
        let paint = match r.kind {
            RungKind::Unknown => Paint { fill: Some(Fill::Unknown), ..line(Role::Line, 1.0) },
            _ => fill(Role::Ink),
        };
        items.push(rect(RAIL, y, (p * inner).max(10.0), bar, paint));
        y += bar;
        if let Some(e) = &r.open {
            y = evidence_items(e, y + 6.0, w, words, &mut items);
        }
        rungs.push(group(rung_spoken(r, words), 0.0, 0.0, items));
        y += 4.0;
    }
    let height = (y + 10.0).ceil();
    let rails =
        [rect(0.0, 0.0, RAIL, height, fill(Role::Ink)), rect(w - RAIL, 0.0, RAIL, height, fill(Role::Ink))];
    let description = view
        .rungs
        .iter()
        .map(|r| {
            words.fill("ladder.said", &[("name", &r.name), ("percent", &spoken_percent(&r.percent, words))])
        })
        .collect::<Vec<_>>()
        .join(" ");
    Scene { width: w, height, description, items: rails.into_iter().chain(rungs).collect() }
}

/// Where the sentences begin, dp.
const TEXT_X: f64 = 68.0;
const LINE: f64 = 19.0;

fn evidence_items(e: &EvidenceView, mut y: f64, w: f64, words: &Words<'_>, out: &mut Vec<Item>) -> f64 {
    let room = w - TEXT_X - RAIL - 10.0;
    let heading = |y: &mut f64, id: &str, out: &mut Vec<Item>| {
        *y += 20.0;
        out.push(text(12.0, *y - 5.0, Anchor::Start, words.texts.text(id), Font::Strong, Role::Ink));
        *y += 1.0;
    };
    let sentence = |y: &mut f64, words: &str, out: &mut Vec<Item>| {
        for one in measure::wrap(words, Font::Label, room) {
            *y += LINE;
            out.push(text(TEXT_X, *y - 4.5, Anchor::Start, one, Font::Label, Role::Ink));
        }
        *y += 4.0;
    };
    for (id, bits, filled) in [("ladder.for", &e.speaks_for, true), ("ladder.against", &e.against, false)] {
        if bits.is_empty() {
            continue;
        }
        heading(&mut y, id, out);
        for b in bits {
            for t in 0..b.ticks {
                let x = TEXT_X - 10.0 - 9.0 * f64::from(b.ticks - t) + 3.0;
                out.push(if filled {
                    rect(x, y + 3.5, 6.0, 13.0, fill(Role::Ink))
                } else {
                    rect(x + 1.0, y + 4.5, 4.0, 11.0, line(Role::Ink, 2.0))
                });
            }
            sentence(&mut y, &b.text, out);
        }
        y += 3.0;
    }
    if !e.unseen.is_empty() {
        heading(&mut y, "ladder.unseen", out);
        for u in &e.unseen {
            let dots = [[(12.0, y + 10.0), (TEXT_X - 10.0, y + 10.0)]];
            out.push(strokes(&dots, dashed(Role::Ink2, 2.0, 2.0, 2.0)));
            sentence(&mut y, u, out);
        }
    }
    y
}

fn spoken_percent(percent: &str, words: &Words<'_>) -> String {
    percent.replace('\u{a0}', " ").replace('%', words.texts.text("unit.%"))
}

fn rung_spoken(r: &Rung, words: &Words<'_>) -> String {
    let percent = spoken_percent(&r.percent, words);
    let mut out = vec![words.fill("ladder.said", &[("name", &r.name), ("percent", &percent)])];
    let strength = |ticks: u8| {
        words.texts.text(match ticks {
            4.. => "ladder.strongly",
            2..=3 => "ladder.somewhat",
            _ => "ladder.slightly",
        })
    };
    if let Some(e) = &r.open {
        for (id, bits) in [("ladder.said.for", &e.speaks_for), ("ladder.said.against", &e.against)] {
            for b in bits {
                out.push(words.fill(id, &[("strength", strength(b.ticks)), ("text", &b.text)]));
            }
        }
        if !e.unseen.is_empty() {
            out.push(words.fill("ladder.said.unseen", &[("text", &e.unseen.join(", "))]));
        }
    }
    out.join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rung_of(kind: RungKind, name: &str, p: f64) -> Rung {
        let percent = Words::english().percent(p);
        Rung { kind, cause: None, name: name.into(), probability: p, percent, open: None }
    }

    #[test]
    fn bars_grow_with_probability_and_are_never_too_short_to_see() {
        let view = LadderView {
            rungs: vec![
                rung_of(RungKind::Cause, "A", 0.5),
                rung_of(RungKind::Unknown, "B", 0.001),
                rung_of(RungKind::Others, "C", f64::NAN),
            ],
            width: WIDTH,
        };
        let scene = draw(&view, &Words::english());
        let widths: Vec<f64> = scene
            .items
            .iter()
            .filter_map(|i| match i {
                Item::Group { items, .. } => items.iter().find_map(|i| match i {
                    Item::Rect { width, .. } => Some(*width),
                    _ => None,
                }),
                _ => None,
            })
            .collect();
        assert_eq!(widths, [0.5 * (WIDTH - 2.0 * RAIL), 10.0, 10.0]);
        assert_eq!(scene.description, "A, 50 percent. B, under 1 percent. C, under 1 percent.");
    }

    #[test]
    fn strength_is_spoken() {
        let bits = |ticks, text: &str| Bits { ticks, text: text.into() };
        let mut r = rung_of(RungKind::Cause, "A", 0.5);
        r.open = Some(EvidenceView {
            speaks_for: vec![bits(5, "x."), bits(2, "y.")],
            against: vec![bits(1, "z.")],
            unseen: vec!["Flow".into(), "Tank level".into()],
        });
        let said = rung_spoken(&r, &Words::english());
        assert!(said.contains("Speaks for it, strongly: x. Speaks for it, somewhat: y."), "{said}");
        assert!(said.contains("Speaks against it, slightly: z."), "{said}");
        assert!(said.ends_with("Cannot be seen from here: Flow, Tank level."), "{said}");
    }
}
