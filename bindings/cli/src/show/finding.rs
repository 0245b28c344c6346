//! The answer as text: verdict, what was measured, the ladder of doubt, what to do, the next checks.

use std::fmt::Write as _;

use wellwright_app::page::PageView;
use wellwright_app::page::checks::{reason, said_first, shown};
use wellwright_app::scene::ladder::{EvidenceView, LadderView, Rung, RungKind};
use wellwright_app::scene::view::{Place, ReadingRow};
use wellwright_app::text::headline::{Headline, headline, stop_now};
use wellwright_app::text::{Quantity, Words, names, time, why};
use wellwright_domain::cause::Cause;
use wellwright_domain::finding::{Finding, NextCheck, RankedCause, Verdict};

use crate::show::live;
use crate::term::{Ink, left, right, wrapped};

/// Columns of a bar of probability.
const BAR: usize = 32;
/// Columns before a sentence of evidence.
const INDENT: usize = 8;

/// The whole answer.
pub fn text(view: &PageView, words: &Words<'_>, ink: &Ink) -> String {
    let f = &view.finding;
    let mut out = String::new();
    if let Some(stop) = stop_now(words, f) {
        let _ = writeln!(out, "{}\n", ink.strong_rust(&wrapped(&stop, ink.width, 0)));
    }
    verdict(&mut out, view, words, ink);
    measured(&mut out, view, words, ink);
    ladder(&mut out, f, words, ink);
    disagree(&mut out, f, words, ink);
    to_do(&mut out, f, words, ink);
    checks(&mut out, f, words, ink);
    cannot(&mut out, f, words, ink);
    let safety = ["safety.daylight", "safety.general", "safety.reads_only"].map(|id| words.texts.text(id));
    let _ = writeln!(out, "{}", wrapped(&safety.join(" "), ink.width, 0));
    out
}

fn heading(out: &mut String, text: &str, ink: &Ink) {
    let _ = writeln!(out, "{}", ink.strong(text));
}

fn verdict(out: &mut String, view: &PageView, words: &Words<'_>, ink: &Ink) {
    let f = &view.finding;
    let head: Headline = headline(words, f, view.flow(), view.why.as_deref());
    let when = match (f.window.from, f.window.to) {
        (Some(from), Some(to)) => time::window(words, from, to),
        _ => words.texts.text("page.window.none").to_owned(),
    };
    let _ = writeln!(out, "{}, {when}", f.system);
    let title = if head.differs { ink.strong_rust(&head.title) } else { ink.strong(&head.title) };
    let _ = writeln!(out, "{title}");
    let said = wrapped(&head.text, ink.width, 0);
    let said = match &head.stress {
        Some(stress) => said.replace(stress.as_str(), &ink.rust(stress)),
        None => said,
    };
    let _ = writeln!(out, "{said}\n");
}

fn measured(out: &mut String, view: &PageView, words: &Words<'_>, ink: &Ink) {
    let in_record = |p: Place| matches!(p, Place::Rest | Place::Intake | Place::Bottom | Place::Joint(_));
    let rows: Vec<&ReadingRow> = view.section.rows.iter().filter(|r| !in_record(r.place)).collect();
    if rows.is_empty() {
        return;
    }
    heading(out, words.texts.text("page.now"), ink);
    for r in rows {
        let span = r.span.as_ref();
        let judged = span.filter(|s| s.lo < s.hi || s.hi > 0.0);
        let should = judged.map(|s| words.interval(quantity(r), s.lo, s.hi));
        let note = r.note.as_ref().filter(|n| n.differs).map(|n| n.text.as_str());
        let _ = writeln!(
            out,
            "{}",
            live::line(&r.name, &r.value, &r.unit, span, should.as_deref(), note, r.differs(), ink)
        );
    }
    out.push('\n');
}

/// What a row counts, by its place.
fn quantity(row: &ReadingRow) -> Quantity {
    match row.place {
        Place::Sun => Quantity::Irradiance,
        Place::Flow => Quantity::Flow,
        Place::Pressure => Quantity::Pressure,
        Place::Level => Quantity::Depth,
        Place::Pump => Quantity::Speed,
        Place::Motor => Quantity::Current,
        Place::Tank => Quantity::Percent,
        _ => Quantity::Power,
    }
}

fn ladder(out: &mut String, f: &Finding, words: &Words<'_>, ink: &Ink) {
    heading(out, words.texts.text("page.causes"), ink);
    let rungs = LadderView::new(f, words).rungs;
    for (i, r) in rungs.iter().enumerate() {
        let name = left(&r.name, 28);
        let name = if i == 0 { ink.strong(&name) } else { name };
        let _ = writeln!(out, "{name} {}  {}", right(&r.percent, 9), bar(r, ink));
        if let Some(e) = &r.open {
            evidence(out, e, words, ink);
        }
    }
    out.push('\n');
}

/// The bar between its two rails.
fn bar(r: &Rung, ink: &Ink) -> String {
    let p = if r.probability.is_finite() { r.probability.clamp(0.0, 1.0) } else { 0.0 };
    let n = ((p * BAR as f64).round() as usize).clamp(1, BAR);
    let (rail, full, unknown, thin) =
        if ink.blocks { ("│", "█", "▒", "▏") } else { ("|", "#", "/", ".") };
    let mark = match r.kind {
        RungKind::Unknown => unknown,
        _ if p < 0.5 / BAR as f64 => thin,
        _ => full,
    };
    format!("{rail}{}{}{rail}", mark.repeat(n), " ".repeat(BAR - n))
}

fn evidence(out: &mut String, e: &EvidenceView, words: &Words<'_>, ink: &Ink) {
    let tick = if ink.blocks { "▮" } else { "*" };
    for (id, bits) in [("ladder.for", &e.speaks_for), ("ladder.against", &e.against)] {
        if bits.is_empty() {
            continue;
        }
        let _ = writeln!(out, "  {}", words.texts.text(id));
        for b in bits {
            let ticks = left(&tick.repeat(usize::from(b.ticks)), INDENT - 3);
            let _ = writeln!(out, "  {ticks} {}", wrapped(&b.text, ink.width, INDENT));
        }
    }
    if !e.unseen.is_empty() {
        let said = format!("{}: {}.", words.texts.text("ladder.unseen"), e.unseen.join(", "));
        let _ = writeln!(out, "  {}", wrapped(&said, ink.width, 2));
    }
}

/// Answers that cannot both be right.
fn disagree(out: &mut String, f: &Finding, words: &Words<'_>, ink: &Ink) {
    if f.contradictions.is_empty() {
        return;
    }
    heading(out, words.texts.text("page.disagree"), ink);
    for c in &f.contradictions {
        let _ = writeln!(out, "{}", wrapped(&why::contradiction(words, c), ink.width, 0));
    }
    out.push('\n');
}

fn to_do(out: &mut String, f: &Finding, words: &Words<'_>, ink: &Ink) {
    let mut leading = f.to_act_on();
    leading.retain(|c| f.verdict == Verdict::Fault && c.code != Cause::Unknown);
    if !leading.is_empty() {
        heading(out, words.texts.text("page.to_do"), ink);
    }
    for c in leading {
        one_to_do(out, c, words, ink);
    }
}

fn one_to_do(out: &mut String, c: &RankedCause, words: &Words<'_>, ink: &Ink) {
    let mut said =
        format!("{}. {}", names::cause(words.texts, c.code), names::cause_about(words.texts, c.code));
    if let (Some(s), Some(name)) = (&c.severity, names::cause_how_much(words.texts, c.code)) {
        let q = Quantity::of_unit(&s.unit);
        let (value, interval) = (words.value(q, s.value), words.interval(q, s.interval[0], s.interval[1]));
        let places = [("name", name.as_str()), ("value", &value), ("interval", &interval)];
        let _ = write!(said, " {}.", words.fill("severity", &places));
    }
    let _ = writeln!(out, "{}", wrapped(&said, ink.width, 0));
    let what = format!("{} {}", words.texts.text("page.to_do.if"), names::cause_do(words.texts, c.code));
    let _ = writeln!(out, "{}\n", wrapped(&what, ink.width, 0));
}

fn checks(out: &mut String, f: &Finding, words: &Words<'_>, ink: &Ink) {
    heading(out, words.texts.text("page.checks"), ink);
    if let Some(said) = said_first(f, words) {
        let _ = writeln!(out, "{}", wrapped(&said, ink.width, 0));
    }
    for (i, check) in shown(f).into_iter().enumerate() {
        one_check(out, i + 1, check, words, ink);
    }
    out.push('\n');
}

fn one_check(out: &mut String, n: usize, check: &NextCheck, words: &Words<'_>, ink: &Ink) {
    let minutes = time::duration(words, check.minutes * 60.0);
    let tool = names::check_tool(words.texts, check.code);
    let how = words.fill("page.check.how", &[("minutes", &minutes), ("tool", &tool)]);
    let _ = writeln!(out, "{n}. {}  {how}", ink.strong(&names::check(words.texts, check.code)));
    if !check.cautions.is_empty() {
        let cautions: Vec<String> = check.cautions.iter().map(|c| names::caution(words.texts, *c)).collect();
        let said = format!("{} {}", words.texts.text("caution.first"), cautions.join(" "));
        let lines = wrapped(&said, ink.width, 3);
        let set: Vec<String> = lines.lines().map(|l| ink.rust(l.trim_start())).collect();
        let _ = writeln!(out, "   {}", set.join("\n   "));
    }
    let _ = writeln!(out, "   {}", wrapped(&names::check_what(words.texts, check.code), ink.width, 3));
    if let Some(said) = reason(check, words) {
        let _ = writeln!(out, "   {}", wrapped(&said, ink.width, 3));
    }
}

fn cannot(out: &mut String, f: &Finding, words: &Words<'_>, ink: &Ink) {
    if f.assumed.is_empty() {
        return;
    }
    let fields: Vec<String> = f.assumed.iter().map(|k| names::field(words.texts, k)).collect();
    let said = format!("{}: {}.", words.texts.text("page.assumed"), fields.join(", "));
    let _ = writeln!(out, "{}\n", wrapped(&said, ink.width, 0));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bar_is_never_too_short_to_see_and_doubt_is_striped() {
        let ink = Ink { colour: false, blocks: false, width: 80, columns: 80 };
        let rung = |kind, probability| Rung {
            kind,
            cause: None,
            name: String::new(),
            probability,
            percent: String::new(),
            open: None,
        };
        assert_eq!(bar(&rung(RungKind::Cause, 0.5), &ink), format!("|{}{}|", "#".repeat(16), " ".repeat(16)));
        assert_eq!(bar(&rung(RungKind::Others, 0.0), &ink), format!("|.{}|", " ".repeat(31)));
        assert_eq!(bar(&rung(RungKind::Unknown, 0.04), &ink), format!("|/{}|", " ".repeat(31)));
        assert_eq!(bar(&rung(RungKind::Cause, f64::NAN), &ink).len(), 34);
    }
}
