//! What is taken for what: bars with words, and a field.

use super::svg::{FIRST, INK, Picture, RULE};
use crate::evaluate::summary::Mixed;

const OTHERS: [&str; 4] = ["#e3b778", "#d8c9a0", "#b9c9b2", "#c7bcd1"];

/// One bar for each cause, parted by what came first.
pub fn spans(m: &Mixed) -> String {
    let (left, wide, row) = (190.0, 830.0, 24.0);
    let height = row * m.by_cause.len() as f64 + 6.0;
    let mut p = Picture::new(1040.0, height, "Each cause with what came first instead");
    for (k, c) in m.by_cause.iter().enumerate() {
        let y = 3.0 + row * k as f64;
        p.text([left - 14.0, y + 15.0], "end", INK, c.cause.code());
        let all: usize = c.led.iter().map(|l| l.1).sum();
        // The right part first, then the others by size.
        let own = c.led.iter().filter(|l| l.0 == c.cause);
        let others = c.led.iter().filter(|l| l.0 != c.cause);
        let mut x = left;
        for (n, (first, count)) in own.chain(others).enumerate() {
            let w = wide * *count as f64 / all.max(1) as f64;
            let right = *first == c.cause;
            let fill = if right { FIRST } else { OTHERS[n % OTHERS.len()] };
            let words = format!("{} {:.0} %", first.code(), 100.0 * *count as f64 / all.max(1) as f64);
            p.rect([x, y, (w - 1.0).max(0.5), row - 5.0], fill, &words);
            let short = if right { words.split(' ').skip(1).collect::<Vec<_>>().join(" ") } else { words };
            if w > 7.9 * short.len() as f64 + 10.0 {
                p.text([x + 6.0, y + 14.0], "start", if right { "#ffffff" } else { INK }, &short);
            }
            x += w;
        }
    }
    p.finish()
}

/// Truth by row, first cause by column.
pub fn field(m: &Mixed) -> String {
    let mut columns: Vec<_> = m.by_cause.iter().flat_map(|c| c.led.iter().map(|l| l.0)).collect();
    columns.extend(m.by_cause.iter().map(|c| c.cause));
    columns.sort();
    columns.dedup();
    let (left, top, cell) = (190.0, 120.0, 16.0);
    let width = left + cell * columns.len() as f64 + 90.0;
    let height = top + cell * m.by_cause.len() as f64 + 6.0;
    let mut p = Picture::new(width, height, "Truth by row, first cause by column");
    for (k, cause) in columns.iter().enumerate() {
        let x = left + cell * k as f64;
        p.upright([x + 11.0, top - 6.0], cause.code());
        p.line([x, top], [x, height - 6.0], RULE, 0.5);
    }
    for (r, c) in m.by_cause.iter().enumerate() {
        let y = top + cell * r as f64;
        p.text([left - 8.0, y + 12.5], "end", INK, c.cause.code());
        p.line([left, y], [left + cell * columns.len() as f64, y], RULE, 0.5);
        let all: usize = c.led.iter().map(|l| l.1).sum();
        for (first, count) in &c.led {
            let Some(k) = columns.iter().position(|x| x == first) else { continue };
            let share = *count as f64 / all.max(1) as f64;
            let pale = (1.0 - share.sqrt()) * 235.0;
            let (red, green, blue) = if *first == c.cause {
                (pale * 0.9, pale, 120.0 + pale * 0.5)
            } else {
                (180.0 + pale * 0.25, pale, pale * 0.9)
            };
            let fill = format!("rgb({red:.0} {green:.0} {blue:.0})");
            let words = format!("{} taken for {}: {:.0} %", c.cause.code(), first.code(), 100.0 * share);
            p.rect([left + cell * k as f64 + 0.5, y + 0.5, cell - 1.0, cell - 1.0], &fill, &words);
        }
    }
    p.finish()
}
