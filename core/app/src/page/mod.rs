//! One self-contained HTML page of a look at the wellhead: it opens anywhere, without a network, prints on
//! A4, and holds no script and nothing from outside.

pub mod checks;
pub mod design;
mod parts;

use maud::{DOCTYPE, Markup, PreEscaped, html};
use wellwright_domain::finding::Finding;

use crate::scene::account::AccountView;
use crate::scene::span::SpanState;
use crate::scene::svg::{self, SvgStyle};
use crate::scene::view::{Place, SectionView};
use crate::scene::{Scene, Theme};
use crate::text::headline::{self, FlowNow, Headline};
use crate::text::{Words, time};

/// What a page is made from.
#[derive(Debug, Clone, PartialEq)]
pub struct PageView {
    /// The verdict with its evidence.
    pub finding: Finding,
    /// The installation with its readings.
    pub section: SectionView,
    /// Where the power goes; `None` while nothing runs.
    pub account: Option<AccountView>,
    /// Why it stands still as meant: `tank_full`, `switched_off` or `night`.
    pub why: Option<String>,
    /// A line at the top that says what kind of page this is (a demo, an example).
    pub note: Option<String>,
    /// Further conditions: name and value, both in words.
    pub conditions: Vec<(String, String)>,
}

impl PageView {
    /// A page of a finding and the installation it is about.
    pub fn new(finding: Finding, section: SectionView) -> PageView {
        PageView { finding, section, account: None, why: None, note: None, conditions: Vec::new() }
    }

    /// Flow against its band, when the section holds both.
    pub fn flow(&self) -> Option<FlowNow> {
        let row = self.section.rows.iter().find(|r| r.place == Place::Flow)?;
        let span = row.span.as_ref()?;
        let judged = matches!(span.state, SpanState::Inside | SpanState::Outside);
        Some(FlowNow { measured: span.measured.filter(|_| judged)?, lo: span.lo, hi: span.hi })
    }
}

const STYLE: &str = include_str!("style.css");

/// A page from its title, its body and what it adds to the common style.
fn document(title: &str, own_style: &str, body: &Markup) -> String {
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (title) }
                style { (PreEscaped(STYLE)) (PreEscaped(own_style)) }
            }
            body { (body) }
        }
    };
    page.into_string()
}

/// Writes the page.
pub fn render(view: &PageView, words: &Words<'_>) -> String {
    let f = &view.finding;
    let head = headline::headline(words, f, view.flow(), view.why.as_deref());
    let title = words.fill("page.title", &[("system", &f.system), ("verdict", &head.title)]);
    let window = match (f.window.from, f.window.to) {
        (Some(from), Some(to)) => time::window(words, from, to),
        _ => words.texts.text("page.window.none").to_owned(),
    };
    let body = html! {
        header { strong { (f.system) } span { (window) } }
        @if let Some(note) = &view.note { p.note { (note) } }
        @if let Some(stop) = headline::stop_now(words, f) {
            p.stop role="alert" { (stop) }
        }
        div.verdict.differs[head.differs] {
            h1 { (head.title) }
            p { (stressed(&head)) }
            p.regime { (parts::regime_line(view, words)) }
        }
        main {
            // on a phone the columns melt into one, what proves before what explains
            div.column {
                (parts::section(view, words))
                (parts::account(view, words))
                (parts::conditions(view, words))
                (parts::assumed(f, words))
            }
            div.column {
                (parts::ladder(f, words))
                (parts::disagree(f, words))
                (parts::to_do(f, words))
                (checks::next(f, words))
                (parts::cannot(f, words))
                (parts::safety(words))
            }
        }
        footer {
            span {
                (words.fill("page.provenance", &[
                    ("version", &f.model.version),
                    ("hash", f.model.record_hash.get(..12).unwrap_or(&f.model.record_hash)),
                ]))
            }
            span { (words.texts.text("page.made")) }
        }
    };
    document(&title, "", &body)
}

/// The text under the headline, the distance in rust.
fn stressed(head: &Headline) -> Markup {
    let parts = head.stress.as_deref().and_then(|s| Some((s, head.text.split_once(s)?)));
    html! {
        @match parts {
            Some((stress, (before, after))) => { (before) b { (stress) } (after) }
            None => { (head.text) }
        }
    }
}

/// A picture as part of the page.
fn picture(scene: &Scene, prefix: &str) -> PreEscaped<String> {
    PreEscaped(svg::render(scene, SvgStyle { theme: Theme::Print, prefix, alone: false }))
}
