//! Reliability of the first cause's probability: what was said beside what came true, a row for each tenth.

use super::svg::{FIRST, INK, PALE, Picture, RULE, THREE};
use crate::evaluate::stats::Calibration;
use crate::evaluate::words::percent;

/// The picture.
pub fn diagram(c: &Calibration) -> String {
    let (left, wide, row) = (190.0, 480.0, 26.0);
    let height = 34.0 + row * c.bins.len() as f64;
    let mut p =
        Picture::new(1040.0, height, "Probability said and share that came true, by tenths of the cases");
    for k in 0..=5 {
        let x = left + wide * f64::from(k) / 5.0;
        p.line([x, 20.0], [x, height - 6.0], RULE, 1.0);
        p.text([x, 14.0], "middle", PALE, &format!("{} %", 20 * k));
    }
    for (k, bin) in c.bins.iter().enumerate() {
        let y = 36.0 + row * k as f64;
        let x = |v: f64| left + wide * v;
        let s = &bin.right;
        p.text([left - 14.0, y + 4.0], "end", INK, &format!("said {:.0} %", 100.0 * bin.said));
        p.line([x(s.low), y], [x(s.high), y], FIRST, 4.0);
        p.line([x(bin.said), y], [x(s.share), y], THREE, 2.0);
        p.mark([x(bin.said), y], THREE, false);
        p.mark([x(s.share), y], FIRST, true);
        p.text([left + wide + 18.0, y + 4.0], "start", INK, &format!("came true {} of {}", percent(s), s.of));
    }
    p.finish()
}
