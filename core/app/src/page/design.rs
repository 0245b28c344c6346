//! The page of a design check: the lines with what to look at, the curves, water by month, cable sizes.

use maud::{Markup, html};

use super::{document, parts, picture};
use crate::design::line::shown;
use crate::design::{Advice, CableOf, Choice, Design, Line, Outcome, SunFrom, trade_name};
use crate::scene::{curves, months};
use crate::text::{Quantity, Words, time};

/// What this page adds to the common style.
const OWN: &str = include_str!("lines.css");

/// Writes the page.
pub fn render(d: &Design, words: &Words<'_>) -> String {
    let title = words.fill("design.title", &[("system", &d.system)]);
    let body = html! {
        header { strong { (d.system) } span { (words.texts.text("design.kind")) } }
        div.verdict.differs[d.verdict == Outcome::Fail] {
            h1 { (head(d, words)) }
            p { (counts(d, words)) }
            p.regime { (full_sun(d, words)) }
        }
        (lines(d, words))
        main {
            div.column { (drawn("design.pump", &curves::pump(d, words), "pump", words)) }
            div.column { (drawn("design.flow", &curves::flow(d, words), "flow", words)) }
        }
        (water(d, words))
        (sizes(d, words))
        section { (parts::list_of_assumed(&d.assumed, words)) }
        section { (parts::cautions(words)) }
        footer { span { (words.texts.text("design.by")) } span { (words.texts.text("page.made")) } }
    };
    document(&title, OWN, &body)
}

/// The sentence that answers.
pub fn head(d: &Design, words: &Words<'_>) -> String {
    match (d.verdict, d.counts.fail) {
        (Outcome::Pass, _) => words.texts.text("design.head.pass").to_owned(),
        (Outcome::Look, _) => words.texts.text("design.head.look").to_owned(),
        (Outcome::Fail, 1) => words.texts.text("design.head.fail.one").to_owned(),
        (Outcome::Fail, n) => words.fill("design.head.fail", &[("n", &words.count(n))]),
    }
}

/// "12 pass, 3 look, 0 fail."
pub fn counts(d: &Design, words: &Words<'_>) -> String {
    let n = [d.counts.pass, d.counts.look, d.counts.fail].map(|n| words.count(n));
    words.fill("design.counts", &[("pass", &n[0]), ("look", &n[1]), ("fail", &n[2])])
}

/// What full sun stands for and what it gives.
pub fn full_sun(d: &Design, words: &Words<'_>) -> String {
    let f = &d.full_sun;
    let said = words.fill(
        "design.full_sun",
        &[
            ("sun", &words.value(Quantity::Irradiance, f.irradiance_w_m2)),
            ("air", &words.value(Quantity::Temperature, f.air_c)),
            ("minutes", &time::duration(words, f.minutes * 60.0)),
        ],
    );
    let gives = match (f.flow_m3_h.filter(|q| *q > 0.0), f.rpm, f.head_m) {
        (Some(flow), Some(rpm), Some(head)) => words.fill(
            "design.full_sun.gives",
            &[
                ("flow", &words.value(Quantity::Flow, flow)),
                ("rpm", &words.value(Quantity::Speed, rpm)),
                ("head", &words.value(Quantity::Depth, head)),
            ],
        ),
        _ => words.texts.text("design.full_sun.stands").to_owned(),
    };
    format!("{said} {gives}")
}

fn lines(d: &Design, words: &Words<'_>) -> Markup {
    let t = |id: &'static str| words.texts.text(id);
    html! {
        section.long {
            h2 { (t("design.lines")) }
            table.lines {
                thead {
                    tr {
                        th { (t("design.col.verdict")) }
                        th { (t("design.col.line")) }
                        th.number { (t("design.col.value")) }
                        th { (t("design.col.limit")) }
                        th { (t("design.col.whose")) }
                    }
                }
                @for line in &d.lines { (row(line, words)) }
            }
        }
    }
}

fn row(line: &Line, words: &Words<'_>) -> Markup {
    html! {
        tbody class=(line.verdict.code()) {
            tr {
                td.mark { span aria-hidden="true" {} (line.verdict.word(words)) }
                th scope="row" { (words.texts.text(line.code.texts().name)) }
                td.number { (line.value_shown(words)) }
                td { (line.limit_shown(words)) span.who { (line.whose.word(words)) } }
                td { (line.whose.word(words)) }
            }
            tr.why { td {} td colspan="4" { (line.why) } }
        }
    }
}

fn drawn(title: &'static str, scene: &crate::scene::Scene, prefix: &str, words: &Words<'_>) -> Markup {
    html! { section { h2 { (words.texts.text(title)) } (picture(scene, prefix)) } }
}

fn water(d: &Design, words: &Words<'_>) -> Markup {
    let t = |id: &'static str| words.texts.text(id);
    let from = match d.sun_from {
        SunFrom::Record => "design.months.record",
        SunFrom::ClearSkyUsual => "design.months.usual",
    };
    html! {
        section {
            h2 { (t("design.months")) }
            div.wide { (picture(&months::draw(d, months::WIDE, words), "months")) }
            div.narrow { (picture(&months::draw(d, months::NARROW, words), "months-narrow")) }
            p.small { (t("design.months.key")) " " (t(from)) }
        }
        section {
            h2 { (t("design.hours")) }
            (hours(d, words))
            p.small { (t("design.hours.how")) }
        }
    }
}

/// Flow by month and hour, for the hours in which any month has water.
fn hours(d: &Design, words: &Words<'_>) -> Markup {
    let wet = |h: &usize| d.months.iter().any(|m| m.flow_m3_h_by_hour[*h] > 0.0);
    let first = (0..24).find(wet).unwrap_or(6);
    let last = (0..24).rev().find(wet).unwrap_or(18).max(first);
    let unit = Quantity::Flow.shown(words.units).unit;
    html! {
        table.hours {
            thead { tr { th { (unit) } @for h in first..=last { th.number { (h) } } } }
            tbody {
                @for m in &d.months {
                    tr {
                        th scope="row" { (words.texts.text(&format!("month.{}", m.month))) }
                        @for h in first..=last {
                            td.number { (flow(m.flow_m3_h_by_hour[h], words)) }
                        }
                    }
                }
            }
        }
    }
}

/// One decimal in metric units, none in gallons a minute; nothing where nothing flows.
fn flow(m3_h: f64, words: &Words<'_>) -> String {
    let shown = Quantity::Flow.shown(words.units);
    match m3_h * shown.factor {
        v if v <= 0.0 => String::new(),
        v if shown.factor > 2.0 => format!("{v:.0}"),
        v => format!("{v:.1}"),
    }
}

fn sizes(d: &Design, words: &Words<'_>) -> Markup {
    html! {
        @if !d.conductors.is_empty() {
            section {
                h2 { (words.texts.text("design.conductors")) }
                @for a in &d.conductors { (advice(a, words)) }
                p.small { (words.texts.text("design.conductors.how")) }
            }
        }
    }
}

fn advice(a: &Advice, words: &Words<'_>) -> Markup {
    let name = match a.cable {
        CableOf::DropCable => "design.conductor.drop_cable",
        CableOf::DcCable => "design.conductor.dc_cable",
    };
    let size = |c: &Choice| c.conductor.parse().map_or_else(|_| c.conductor.clone(), trade_name);
    let is = |c: &Choice, o: Option<&Choice>| o.is_some_and(|o| o.conductor == c.conductor);
    html! {
        p { strong { (words.texts.text(name)) "." } " " (a.why) }
        table.sizes {
            tbody {
                tr {
                    @for c in &a.sizes {
                        th.number.here[is(c, a.recorded.as_ref())] { (size(c)) }
                    }
                }
                tr {
                    @for c in &a.sizes {
                        td.number.over[c.drop_pct > a.limit_pct].here[is(c, a.recorded.as_ref())] {
                            (shown(c.drop_pct, "%", words))
                        }
                    }
                }
            }
        }
        @if let Some(r) = &a.recorded {
            p.small { (words.fill("design.conductor.recorded", &[("x", &size(r))])) }
        }
    }
}
