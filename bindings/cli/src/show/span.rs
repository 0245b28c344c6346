//! The span in characters: a band of what should be, and a mark where the measurement fell.

use wellwright_app::scene::span::{SpanScale, SpanState, SpanView};

use crate::term::Ink;

/// A span of `width` columns. The mark is set in rust where it lies outside, and stands beside the band then.
pub fn draw(view: &SpanView, width: usize, ink: &Ink) -> String {
    if matches!(view.state, SpanState::Absent) {
        return " ".repeat(width);
    }
    let scale = SpanScale::of(view);
    let column = |v: f64| {
        let share = (v - scale.from) / (scale.to - scale.from);
        let share = if share.is_finite() { share.clamp(0.0, 1.0) } else { 0.5 };
        (share * (width - 1) as f64).round() as usize
    };
    let (track, band, mark) = if ink.blocks { ('─', '▒', '┃') } else { ('-', '=', '|') };
    let (lo, hi) = (column(view.lo), column(view.hi));
    let mut cells: Vec<String> =
        (0..width).map(|k| if k >= lo && k <= hi { band } else { track }.to_string()).collect();
    if let Some(m) = view.measured {
        let mut k = column(m);
        // never drawn on the band when it lies outside, however near
        if view.state == SpanState::Outside && k >= lo && k <= hi {
            k = if m < view.lo { lo.saturating_sub(1) } else { (hi + 1).min(width - 1) };
        }
        let set =
            if view.differs() { ink.strong_rust(&mark.to_string()) } else { ink.strong(&mark.to_string()) };
        cells[k] = set;
    }
    cells.concat()
}

#[cfg(test)]
mod tests {
    use super::*;

    const INK: Ink = Ink { colour: false, blocks: false, width: 80, columns: 80 };

    #[test]
    fn the_mark_falls_in_or_beside_the_band() {
        let inside = draw(&SpanView::judge(4.0, 5.0, Some(4.5), true), 24, &INK);
        assert_eq!(inside, "--------====|===--------");
        let outside = draw(&SpanView::judge(5.3, 5.9, Some(0.7), true), 24, &INK);
        let (mark, band) = (outside.find('|').unwrap(), outside.find('=').unwrap());
        assert!(mark < band - 3, "{outside}");
        let near = draw(&SpanView::judge(5.3, 5.9, Some(5.299), true), 24, &INK);
        assert!(near.find('|').unwrap() < near.find('=').unwrap(), "{near}");
    }

    #[test]
    fn without_a_measurement_there_is_no_mark_and_without_a_sensor_nothing() {
        assert!(!draw(&SpanView::judge(5.3, 5.9, None, true), 24, &INK).contains('|'));
        assert_eq!(draw(&SpanView::absent(), 24, &INK).trim(), "");
    }
}
