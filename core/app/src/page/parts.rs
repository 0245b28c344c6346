//! The parts of the page: pictures, conditions, what was assumed, what cannot be said, safety.

use maud::{Markup, html};
use wellwright_domain::cause::Cause;
use wellwright_domain::channel::Channel;
use wellwright_domain::finding::{Finding, RankedCause, Verdict};

use super::{PageView, picture};
use crate::scene::ladder::{self, LadderView};
use crate::scene::{account, section};
use crate::text::{Quantity, Words, baseline, names, time, why};

/// "Pump at top speed, 948 W/m2 on the array"
pub fn regime_line(view: &PageView, words: &Words<'_>) -> String {
    let regime = names::regime(words.texts, view.finding.regime);
    match view.section.sun.and_then(|s| s.irradiance_w_m2) {
        Some(g) => {
            let sun = words.value(Quantity::Irradiance, g);
            words.fill("regime.line.with_sun", &[("x", &regime), ("sun", &sun)])
        }
        None => words.fill("regime.line", &[("x", &regime)]),
    }
}

/// The section with its readings.
pub fn section(view: &PageView, words: &Words<'_>) -> Markup {
    let drawn = section::draw(&view.section, words);
    html! {
        section {
            h2 { (words.texts.text("page.now")) }
            (picture(&drawn.scene, "section"))
            @if !drawn.listed.is_empty() {
                h3 { (words.texts.text("page.under")) }
                table {
                    @for row in &drawn.listed {
                        tr { th scope="row" { (row.name) } td { (row.value) "\u{a0}" (row.unit) } }
                    }
                }
            }
            p.small { (words.texts.text("page.how")) }
        }
    }
}

/// Where the power goes.
pub fn account(view: &PageView, words: &Words<'_>) -> Markup {
    let scene = view.account.as_ref().and_then(|a| account::draw(a, words));
    html! {
        @if let Some(scene) = scene {
            section {
                h2 { (words.texts.text("account.title")) " " small { (words.texts.text("account.in_watts")) } }
                (picture(&scene, "account"))
            }
        }
    }
}

/// The ladder of doubt.
pub fn ladder(f: &Finding, words: &Words<'_>) -> Markup {
    html! {
        section {
            h2 { (words.texts.text("page.causes")) }
            (picture(&ladder::draw(&LadderView::new(f, words), words), "ladder"))
        }
    }
}

/// Answers that cannot both be right.
pub fn disagree(f: &Finding, words: &Words<'_>) -> Markup {
    html! {
        @if !f.contradictions.is_empty() {
            section {
                h2 { (words.texts.text("page.disagree")) }
                ul { @for c in &f.contradictions { li { (why::contradiction(words, c)) } } }
            }
        }
    }
}

/// What the leading cause means, how bad it is, and what to do about it.
pub fn to_do(f: &Finding, words: &Words<'_>) -> Markup {
    let mut leading = f.to_act_on();
    leading.retain(|c| f.verdict == Verdict::Fault && c.code != Cause::Unknown);
    html! {
        @if !leading.is_empty() {
            section {
                h2 { (words.texts.text("page.to_do")) }
                @for c in &leading {
                p {
                    strong { (names::cause(words.texts, c.code)) "." } " "
                    (names::cause_about(words.texts, c.code))
                }
                @if let Some(how_much) = severity(c, words) { p { (how_much) "." } }
                p { strong { (words.texts.text("page.to_do.if")) } " " (names::cause_do(words.texts, c.code)) }
                }
            }
        }
    }
}

fn severity(c: &RankedCause, words: &Words<'_>) -> Option<String> {
    let s = c.severity.as_ref()?;
    let quantity = Quantity::of_unit(&s.unit);
    let name = names::cause_how_much(words.texts, c.code)?;
    let value = words.value(quantity, s.value);
    let interval = words.interval(quantity, s.interval[0], s.interval[1]);
    Some(words.fill("severity", &[("name", &name), ("value", &value), ("interval", &interval)]))
}

/// When it was looked at and under which conditions.
pub fn conditions(view: &PageView, words: &Words<'_>) -> Markup {
    let w = &view.finding.window;
    let t = |id: &'static str| words.texts.text(id).to_owned();
    let mut rows = Vec::new();
    match (w.from, w.to) {
        (Some(from), Some(to)) => rows.push((t("page.when"), time::window(words, from, to))),
        _ => rows.push((t("page.when"), t("page.window.none"))),
    }
    if w.rows > 0 {
        let (used, all) = (words.count(w.used), words.count(w.rows));
        rows.push((t("page.rows"), words.fill("page.rows.value", &[("used", &used), ("rows", &all)])));
        rows.push((t("page.rows.aside"), words.count(w.set_aside)));
    }
    rows.push((t("page.held"), names::regime(words.texts, view.finding.regime)));
    rows.extend(view.conditions.iter().cloned());
    html! {
        section.late {
            h2 { (words.texts.text("page.conditions")) }
            table { @for (name, value) in &rows { tr { th scope="row" { (name) } td { (value) } } } }
            @if let Some(b) = &view.finding.baseline { p { (baseline::said(words, b)) } }
        }
    }
}

/// What was assumed because the record does not hold it.
pub fn assumed(f: &Finding, words: &Words<'_>) -> Markup {
    html! {
        section.late { (list_of_assumed(&f.assumed, words)) }
    }
}

/// Fields that the record does not hold, under their heading.
pub fn list_of_assumed(fields: &[String], words: &Words<'_>) -> Markup {
    html! {
        h2 { (words.texts.text("page.assumed")) }
        @if fields.is_empty() {
            p { (words.texts.text("page.assumed.none")) }
        } @else {
            ul { @for key in fields { li { (names::field(words.texts, key)) } } }
        }
    }
}

/// What cannot be seen: what the leading causes would speak of, each once.
pub fn cannot(f: &Finding, words: &Words<'_>) -> Markup {
    let mut codes: Vec<&String> = Vec::new();
    for (i, c) in f.causes.iter().enumerate() {
        if i > 0 && c.probability < 0.05 {
            break;
        }
        for code in &c.not_seen {
            if !codes.contains(&code) {
                codes.push(code);
            }
        }
    }
    let line = |code: &str| {
        let id = match Channel::from_code(code) {
            Some(_) => "page.cannot.channel",
            None => "page.cannot.check",
        };
        words.fill(id, &[("x", &names::by_code(words.texts, code))])
    };
    html! {
        section.late {
            h2 { (words.texts.text("page.cannot")) }
            @if codes.is_empty() {
                p { (words.texts.text("page.cannot.none")) }
            } @else {
                ul { @for code in codes { li { (line(code)) } } }
            }
        }
    }
}

/// What always holds.
pub fn safety(words: &Words<'_>) -> Markup {
    html! {
        section.late { (cautions(words)) }
    }
}

/// What holds whatever is done there, under its heading.
pub fn cautions(words: &Words<'_>) -> Markup {
    html! {
        h2 { (words.texts.text("page.safety")) }
        div.care {
            @for id in ["safety.daylight", "safety.general", "safety.reads_only"] {
                p { (words.texts.text(id)) }
            }
        }
    }
}
