//! The next checks: the best as the one filled block, its cautions directly above it, the rest outlined.

use maud::{Markup, html};
use wellwright_domain::cause::Cause;
use wellwright_domain::finding::{Finding, NextCheck, Verdict};

use crate::text::{Words, names, time, why};

/// Most checks that are shown.
const MOST: usize = 4;
/// Where nothing is wrong no check is shown that costs more, minutes.
const CALM_MINUTES: f64 = 10.0;
/// From this probability that nothing is wrong on, nobody is asked to make sure of it.
const CALM: f64 = 0.8;
/// Most checks where nothing seems wrong, and it is not sure.
const FEW: usize = 2;

/// The checks that are worth showing: a few, and where surely nothing is wrong only one that costs little.
pub fn shown(f: &Finding) -> Vec<&NextCheck> {
    let calm = matches!(f.verdict, Verdict::Healthy | Verdict::StandingBy);
    let sure = calm && f.fine() >= CALM;
    let most = match (calm, sure) {
        (true, true) => 1,
        (true, false) => FEW,
        _ => MOST,
    };
    let calm = sure;
    f.next_checks.iter().filter(|c| !calm || c.cost <= CALM_MINUTES).take(most).collect()
}

/// What is said when there is none, or only one that confirms.
pub fn said_first(f: &Finding, words: &Words<'_>) -> Option<String> {
    let shown = shown(f);
    let confirms = |n: &NextCheck| n.why.as_ref().is_some_and(|w| w.id == "next.confirms");
    let single = f.leading().filter(|_| f.leading_pair().is_none());
    let known = single.filter(|c| f.verdict == Verdict::Fault && c.code != Cause::Unknown);
    let enough = known.filter(|_| shown.iter().all(|n| confirms(n)));
    match (enough, shown.is_empty()) {
        (Some(c), none) => {
            let id = if none { "page.checks.enough" } else { "page.checks.enough.confirm" };
            Some(words.fill(id, &[("cause", &names::cause(words.texts, c.code))]))
        }
        (None, false) => None,
        (None, true) if f.verdict == Verdict::Fault => Some(words.t("page.checks.none.fault").to_owned()),
        (None, true) => Some(words.t("page.checks.none").to_owned()),
    }
}

/// Why a check is worth its minutes: what it tells apart.
pub fn reason(check: &NextCheck, words: &Words<'_>) -> Option<String> {
    why::next(words, check).or_else(|| {
        let parts: Vec<String> =
            check.separates.iter().take(4).map(|c| names::cause(words.texts, *c)).collect();
        (parts.len() > 1).then(|| words.fill("page.check.parts", &[("x", &parts.join(", "))]))
    })
}

/// The next checks of a finding.
pub fn next(f: &Finding, words: &Words<'_>) -> Markup {
    html! {
        section.long {
            h2 { (words.texts.text("page.checks")) }
            @if let Some(said) = said_first(f, words) {
                p { (said) }
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
                @if let Some(reason) = reason(check, words) {
                    span { (reason) }
                }
            }
        }
    }
}
