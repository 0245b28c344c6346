//! What a recording from a good day added, in words.

use wellwright_domain::baseline::{BaselineRefused, BaselineUse};

use super::number::Words;
use super::time;

/// Most quantities named.
const NAMED: usize = 5;

/// One or two sentences: used or not and why, which rows, and what is known better with it.
pub fn said(words: &Words<'_>, b: &BaselineUse) -> String {
    let date = b.from.map_or_else(|| words.t("baseline.no_date").to_owned(), |at| time::date(words, at));
    let rows = words.count(b.rows);
    let id = match b.refused {
        None if b.narrowed.is_empty() => "baseline.used.nothing",
        None => "baseline.used",
        Some(BaselineRefused::NothingToCompare) => "baseline.refused.nothing_to_compare",
        Some(BaselineRefused::StopsItself) => "baseline.refused.stops_itself",
        Some(BaselineRefused::NotHealthy) => "baseline.refused.not_healthy",
    };
    let better: Vec<String> = b.narrowed.iter().take(NAMED).map(|n| quantity(words, &n.of)).collect();
    words.fill(id, &[("date", &date), ("rows", &rows), ("x", &words.texts.list(&better))])
}

/// A quantity that a baseline narrows.
fn quantity(words: &Words<'_>, of: &str) -> String {
    words.texts.get(&format!("baseline.of.{of}")).map_or_else(|| of.replace('_', " "), str::to_owned)
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono::DateTime;
    use wellwright_domain::baseline::Narrowed;

    fn used() -> BaselineUse {
        let from = DateTime::parse_from_rfc3339("2026-03-14T10:00:00+01:00").ok();
        let narrowed = ["head", "ke"].map(|of| Narrowed { of: of.into(), moved: 0.4, left: 0.5 }).to_vec();
        BaselineUse { from, rows: 1200, refused: None, narrowed }
    }

    #[test]
    fn it_is_said_with_rows_date_and_what_it_narrows() {
        let w = Words::english();
        let text = said(&w, &used()).replace(['\u{a0}', '\u{202f}'], " ");
        assert!(
            text.contains("14 Mar 2026") && text.contains("head of the pump and magnets of the motor"),
            "{text}"
        );
    }

    #[test]
    fn a_refusal_says_what_to_do() {
        let w = Words::english();
        for refused in
            [BaselineRefused::NothingToCompare, BaselineRefused::StopsItself, BaselineRefused::NotHealthy]
        {
            let text = said(&w, &BaselineUse { refused: Some(refused), from: None, ..used() });
            assert!(text.contains("not used") && text.contains("record"), "{text}");
            assert!(!text.contains('{'), "{text}");
        }
    }
}
