//! A design check as text: the lines, what to look at, cable sizes, water by month.

use std::fmt::Write as _;

use wellwright_app::design::{CableOf, Design, Line, Month, Outcome, SunFrom};
use wellwright_app::page::design::{counts, full_sun, head};
use wellwright_app::text::{Quantity, Words, names};

use crate::term::{Ink, left, right, wrapped};

/// Columns of the table: verdict, line, value, limit. The rest is for whose limit it is.
const VERDICT: usize = 5;
const NAME: usize = 30;
const VALUE: usize = 9;
const LIMIT: usize = 18;
/// Width of a month's bar, columns.
const BAR: usize = 24;

/// The whole answer.
pub fn text(d: &Design, words: &Words<'_>, ink: &Ink) -> String {
    let mut out = format!("{}\n", words.fill("design.title", &[("system", &d.system)]));
    let head = head(d, words);
    let head = if d.verdict == Outcome::Fail { ink.strong_rust(&head) } else { ink.strong(&head) };
    let _ = writeln!(out, "{head}\n{}", counts(d, words));
    let _ = writeln!(out, "{}\n", wrapped(&full_sun(d, words), ink.width, 0));
    for line in &d.lines {
        row(&mut out, line, words, ink);
    }
    if !d.conductors.is_empty() {
        let _ = writeln!(out, "\n{}", ink.strong(words.texts.text("design.conductors")));
    }
    for a in &d.conductors {
        let name = words.texts.text(match a.cable {
            CableOf::DropCable => "design.conductor.drop_cable",
            CableOf::DcCable => "design.conductor.dc_cable",
        });
        let _ = writeln!(out, "{}", wrapped(&format!("{name}. {}", a.why), ink.width, 0));
    }
    if !d.conductors.is_empty() {
        let _ = writeln!(out, "{}", wrapped(words.texts.text("design.conductors.how"), ink.width, 0));
    }
    months(&mut out, d, words, ink);
    if !d.assumed.is_empty() {
        let fields: Vec<String> = d.assumed.iter().map(|k| names::field(words.texts, k)).collect();
        let said = format!("{}: {}.", words.texts.text("page.assumed"), fields.join(", "));
        let _ = writeln!(out, "\n{}", wrapped(&said, ink.width, 0));
    }
    let safety = ["safety.daylight", "safety.general", "safety.reads_only"].map(|id| words.texts.text(id));
    let _ = writeln!(out, "\n{}", wrapped(&safety.join(" "), ink.width, 0));
    out
}

fn row(out: &mut String, line: &Line, words: &Words<'_>, ink: &Ink) {
    let verdict = left(line.verdict.word(words), VERDICT);
    let verdict = match line.verdict {
        Outcome::Pass => verdict,
        Outcome::Look => ink.strong(&verdict),
        Outcome::Fail => ink.strong_rust(&verdict),
    };
    let table = format!(
        "{verdict}{}{}  {} {}",
        left(words.texts.text(line.code.texts().name), NAME),
        right(&line.value_shown(words), VALUE),
        left(&line.limit_shown(words), LIMIT - 1),
        line.whose.word(words),
    );
    let _ = writeln!(out, "{}", table.trim_end());
    if line.verdict != Outcome::Pass {
        let _ = writeln!(out, "{}{}", " ".repeat(VERDICT), wrapped(&line.why, ink.width, VERDICT));
    }
}

fn months(out: &mut String, d: &Design, words: &Words<'_>, ink: &Ink) {
    let _ = writeln!(out, "\n{}", ink.strong(words.texts.text("design.months")));
    let id = match d.sun_from {
        SunFrom::Record => "design.months.record",
        SunFrom::ClearSkyUsual => "design.months.usual",
    };
    let _ = writeln!(out, "{}", wrapped(words.texts.text(id), ink.width, 0));
    let most = d
        .months
        .iter()
        .flat_map(|m| [m.litres_per_day, m.demand_litres_per_day.unwrap_or(0.0)])
        .fold(1.0, f64::max);
    for m in &d.months {
        let litres = |l: f64| words.value(Quantity::Litres, l);
        let name = left(words.texts.text(&format!("month.{}", m.month)), VERDICT);
        let needed = m
            .demand_litres_per_day
            .map(|need| format!("{} {}", right(&litres(need), 9), words.texts.text("cli.design.needed")));
        let verdict = if m.verdict == Outcome::Fail {
            ink.rust(words.texts.text("cli.design.short"))
        } else {
            String::new()
        };
        let said = format!(
            "{name}{}  {}  {}  {verdict}",
            right(&litres(m.litres_per_day), 9),
            bar(m, most, ink),
            needed.unwrap_or_default()
        );
        let _ = writeln!(out, "{}", said.trim_end());
    }
}

/// The month's water as a bar, with a mark where the need is.
fn bar(m: &Month, most: f64, ink: &Ink) -> String {
    let cell = |litres: f64| ((litres / most * BAR as f64).round() as usize).min(BAR);
    let (full, empty, need) = if ink.blocks { ('█', ' ', '┊') } else { ('#', ' ', '|') };
    let mut cells: Vec<char> =
        (0..BAR).map(|i| if i < cell(m.litres_per_day) { full } else { empty }).collect();
    if let Some(demand) = m.demand_litres_per_day {
        let at = cell(demand).clamp(1, BAR) - 1;
        cells[at] = need;
    }
    cells.into_iter().collect()
}
