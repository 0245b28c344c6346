//! The next checks: the best as the one filled block, its cautions directly above it, the rest outlined.

use maud::{Markup, html};
use wellwright_domain::finding::{Finding, NextCheck, Verdict};

use crate::text::{Words, names, time};

/// Most checks that are shown.
const MOST: usize = 4;
/// Where nothing is wrong no check is shown that costs more, minutes.
const CALM_MINUTES: f64 = 10.0;

/// The checks that are worth showing: a few, and where nothing is wrong only one that costs little.
pub fn shown(f: &Finding) -> Vec<&NextCheck> {
    let calm = matches!(f.verdict, Verdict::Healthy | Verdict::StandingBy);
    let most = if calm { 1 } else { MOST };
    f.next_checks.iter().filter(|c| !calm || c.cost <= CALM_MINUTES).take(most).collect()
}

/// What is said when there is none.
pub fn none_id(f: &Finding) -> &'static str {
    if f.verdict == Verdict::Fault { "page.checks.none.fault" } else { "page.checks.none" }
}

/// The next checks of a finding.
pub fn next(f: &Finding, words: &Words<'_>) -> Markup {
    html! {
        section.long {
            h2 { (words.texts.text("page.checks")) }
            @if shown(f).is_empty() {
                p { (words.texts.text(none_id(f))) }
            }
            @for (i, check) in shown(f).into_iter().enumerate() {
                // a filled block asks to act; where nothing is wrong there is none
                (one(check, i == 0 && f.verdict != Verdict::Healthy, words))
            }
        }
    }
}

fn one(check: &NextCheck, filled: bool, words: &Words<'_>) -> Markup {
    let minutes = time::duration(words, check.minutes * 60.0);
    let tool = names::check_tool(words.texts, check.code);
    let parts: Vec<String> = check.separates.iter().take(4).map(|c| names::cause(words.texts, *c)).collect();
    html! {
        div.check {
            @if !check.cautions.is_empty() {
                div.care {
                    strong { (words.texts.text("caution.first")) } " "
                    @for (i, c) in check.cautions.iter().enumerate() {
                        @if i > 0 { " " }
                        (names::caution(words.texts, *c))
                    }
                }
            }
            div class=(if filled { "go" } else { "alt" }) {
                strong { (names::check(words.texts, check.code)) }
                span { (words.fill("page.check.how", &[("minutes", &minutes), ("tool", &tool)])) }
                span { (names::check_what(words.texts, check.code)) }
                @if parts.len() > 1 {
                    span { (words.fill("page.check.parts", &[("x", &parts.join(", "))])) }
                }
            }
        }
    }
}
