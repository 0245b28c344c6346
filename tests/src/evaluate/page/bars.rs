//! Shares as spans: the interval a line, the measured value a mark, the words beside it.

use super::svg::{ALARM, FIRST, INK, PALE, Picture, RULE, THREE};
use crate::evaluate::stats::Share;
use crate::evaluate::summary::{Alarms, Mixed, Places};
use crate::evaluate::words::percent;

pub const LEFT: f64 = 190.0;
pub const WIDE: f64 = 480.0;

/// One line of a picture of spans.
struct Line {
    name: String,
    spans: Vec<(Share, &'static str, String)>,
}

pub fn scale(p: &mut Picture, bottom: f64) {
    for k in 0..=5 {
        let x = LEFT + WIDE * f64::from(k) / 5.0;
        p.line([x, 20.0], [x, bottom], RULE, 1.0);
        p.text([x, 14.0], "middle", PALE, &format!("{} %", 20 * k));
    }
}

fn spans(lines: &[Line], what: &str) -> String {
    let each = |l: &Line| (l.spans.len() as f64 * 20.0).max(20.0) + 6.0;
    let height = 28.0 + lines.iter().map(each).sum::<f64>();
    let mut p = Picture::new(1040.0, height, what);
    scale(&mut p, height - 4.0);
    let mut y = 36.0;
    for line in lines {
        p.text([LEFT - 14.0, y + 4.0], "end", INK, &line.name);
        for (k, (share, colour, words)) in line.spans.iter().enumerate() {
            let y = y + 20.0 * k as f64;
            let x = |v: f64| LEFT + WIDE * v;
            if share.of > 0 {
                p.line([x(share.low), y], [x(share.high), y], colour, 5.0);
                p.mark([x(share.share), y], colour, true);
            }
            p.text([LEFT + WIDE + 18.0, y + 4.0], "start", INK, words);
        }
        y += each(line);
    }
    p.finish()
}

fn of_places(name: String, p: &Places) -> Line {
    let words = |word: &str, s: &Share| format!("{word} {} of {}", percent(s), s.of);
    Line {
        name,
        spans: vec![
            (p.first, FIRST, words("first", &p.first)),
            (p.three, THREE, words("in three", &p.three)),
        ],
    }
}

/// Places by set of sensors.
pub fn by_sensors(m: &Mixed) -> String {
    let mut lines: Vec<Line> =
        m.by_sensors.iter().map(|s| of_places(s.sensors.to_owned(), &s.alone)).collect();
    lines.push(of_places("all".into(), &m.all));
    for (word, p) in ["centrifugal", "helical rotor"].iter().zip(&m.by_kind) {
        lines.push(of_places((*word).to_owned(), p));
    }
    spans(&lines, "How often the true cause came first and within the first three, by sensors")
}

/// Places after few checks.
pub fn after_few(m: &Mixed) -> String {
    let mut lines: Vec<Line> =
        m.by_sensors.iter().map(|s| of_places(s.sensors.to_owned(), &s.after_few)).collect();
    if let Some(w) = &m.walked {
        lines.push(of_places("all".into(), &w.after_few));
    }
    spans(&lines, "The same after at most four suggested checks without lifting the pump")
}

/// First place by cause, one line a set of sensors: full, middling, lean from above.
pub fn by_cause(m: &Mixed) -> String {
    let each = 3.0 * 11.0 + 12.0;
    let height = 44.0 + each * m.by_cause.len() as f64;
    let mut p = Picture::new(1040.0, height, "How often each cause came first, by sensors");
    p.text([LEFT + WIDE + 34.0, 14.0], "start", PALE, "from above: full, middling, lean sensors");
    scale(&mut p, height - 4.0);
    for (k, c) in m.by_cause.iter().enumerate() {
        let top = 34.0 + each * k as f64;
        p.text([LEFT - 14.0, top + 15.0], "end", INK, c.cause.code());
        for (row, places) in c.by_sensors.iter().enumerate() {
            let s = &places.first;
            let y = top + 11.0 * row as f64;
            let x = |v: f64| LEFT + WIDE * v;
            if s.of > 0 {
                p.line([x(s.low), y], [x(s.high), y], [FIRST, "#3f7d4e", "#6a4a86"][row], 3.0);
                p.rect([x(s.share) - 2.0, y - 5.0, 4.0, 10.0], INK, &percent(s));
            }
        }
        let (first, three) = (&c.all.first, &c.all.three);
        let words = format!(
            "first {:.0} % ({:.0}–{:.0}) · in three {:.0} % · of {}",
            100.0 * first.share,
            100.0 * first.low,
            100.0 * first.high,
            100.0 * three.share,
            first.of
        );
        p.text([LEFT + WIDE + 18.0, top + 15.0], "start", INK, &words);
    }
    p.finish()
}

/// False alarms by kind of case.
pub fn alarms(a: &Alarms) -> String {
    let lines: Vec<Line> = a
        .kinds
        .iter()
        .map(|k| Line {
            name: k.cause.code().to_owned(),
            spans: vec![
                (
                    k.called_right,
                    FIRST,
                    format!("called right {} of {}", percent(&k.called_right), k.called_right.of),
                ),
                (k.alarm, ALARM, format!("false alarm {}", percent(&k.alarm))),
            ],
        })
        .collect();
    spans(&lines, "Verdicts where nothing is wrong")
}
