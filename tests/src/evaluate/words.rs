//! The numbers as lines of text.

use std::fmt::Write as _;

use super::stats::Share;
use super::summary::{Bound, Mixed, Order, Places, Summary};

/// A share with its interval: `86.2 % (82.1–89.5)`.
pub fn percent(s: &Share) -> String {
    if s.of == 0 {
        return "none".into();
    }
    format!("{:.1} % ({:.1}–{:.1})", 100.0 * s.share, 100.0 * s.low, 100.0 * s.high)
}

fn places(p: &Places) -> String {
    format!("first {:21} in three {:21} of {}", percent(&p.first), percent(&p.three), p.first.of)
}

fn order(name: &str, o: &Order) -> String {
    format!(
        "  {name:9} {:6.0} ± {:3.0} min, {:4.1} checks, right {}, needless lifts {}, missed lifts {}",
        o.minutes[0],
        1.96 * o.minutes[1],
        o.checks,
        percent(&o.right),
        percent(&o.needless_lifts),
        percent(&o.missed_lifts)
    )
}

fn mix(text: &mut String, name: &str, m: &Mixed) {
    let _ = writeln!(text, "\n{name}: telemetry and situation alone");
    let _ = writeln!(text, "  all       {}", places(&m.all));
    for s in &m.by_sensors {
        let _ = writeln!(text, "  {:9} {}", s.sensors, places(&s.alone));
    }
    for (word, p) in ["impeller", "rotor"].iter().zip(&m.by_kind) {
        let _ = writeln!(text, "  {word:9} {}", places(p));
    }
    if let Some(c) = &m.calibration {
        let _ = writeln!(
            text,
            "  expected calibration error of the first cause {:.3} ({:.3}–{:.3})",
            c.error, c.low, c.high
        );
    }
    let t = &m.too_little;
    let _ = writeln!(
        text,
        "  too_little given in {}; of those the true cause first {}, in three {}; of wrong first causes it caught {}",
        percent(&t.given),
        percent(&t.first),
        percent(&t.three),
        percent(&t.caught)
    );
    let _ = writeln!(text, "  verdicts           healthy  fault  standing_by  too_little");
    for v in &m.verdicts {
        let [h, f, s, l] = v.given;
        let _ = writeln!(text, "    {:14} {h:9} {f:6} {s:12} {l:11}", v.truth);
    }
    let _ = writeln!(text, "  by cause");
    for c in &m.by_cause {
        let others: Vec<String> = c
            .led
            .iter()
            .filter(|(x, _)| *x != c.cause)
            .take(3)
            .map(|(x, n)| format!("{} {n}", x.code()))
            .collect();
        let _ = writeln!(text, "    {:24} {}  {}", c.cause.code(), places(&c.all), others.join(", "));
    }
    if let Some(w) = &m.walked {
        let _ = writeln!(text, "  checks made by hand at {} of them, until the first cause has 0.9", w.cases);
        let _ = writeln!(text, "{}", order("suggested", &w.suggested));
        let _ = writeln!(text, "{}", order("textbook", &w.textbook));
        let _ = writeln!(text, "{}", order("random", &w.random));
        let _ = writeln!(text, "  after at most four suggested checks, no lift");
        let _ = writeln!(text, "    all       {}", places(&w.after_few));
        for s in &m.by_sensors {
            let _ = writeln!(text, "    {:9} {}", s.sensors, places(&s.after_few));
        }
    }
}

/// The whole summary.
pub fn summary(s: &Summary) -> String {
    let mut text = String::new();
    let p = &s.plan;
    let seeds: Vec<String> = s.seeds.iter().map(|(set, seed)| format!("{set:?} {seed}")).collect();
    let _ = writeln!(text, "split {:?}; seeds {}", p.split, seeds.join(", "));
    let _ = writeln!(
        text,
        "cases: uniform {} (checks at {}, cause left out at {}), priors {} (checks at {}), healthy {}, low sun {}, \
         standing by {}, outside the catalogue {}",
        p.uniform,
        p.uniform_walks,
        p.left_out,
        p.priors,
        p.priors_walks,
        p.healthy,
        p.low_sun,
        p.standing_by,
        p.outside
    );
    let y = &s.systems;
    let _ = writeln!(
        text,
        "systems: {} drawn anew, {} families, {} with a helical rotor, {:.0} to {:.0} V, {:.2} to {:.2} kW",
        y.count,
        y.families,
        y.helical,
        y.volts[0],
        y.volts[1],
        y.watts[0] / 1000.0,
        y.watts[1] / 1000.0
    );
    if let Some(m) = &s.priors {
        mix(&mut text, "PRIORS' MIX", m);
    }
    if let Some(m) = &s.uniform {
        mix(&mut text, "UNIFORM MIX", m);
    }
    let _ = writeln!(text, "\nNOTHING WRONG (all sets)");
    for k in &s.alarms.kinds {
        let _ = writeln!(
            text,
            "  {:12} of {:5}: called right {}, called fault {}, false alarm {}",
            k.cause.code(),
            k.alarm.of,
            percent(&k.called_right),
            percent(&k.called_fault),
            percent(&k.alarm)
        );
    }
    let strange = [("OUTSIDE THE CATALOGUE", &s.outside), ("CAUSE LEFT OUT OF THE CATALOGUE", &s.left_out)];
    for (what, o) in strange.into_iter().filter(|(_, o)| o.owned.of > 0) {
        let _ = writeln!(
            text,
            "\n{what} ({} cases)\n  unknown or too_little {}; a wrong cause at 0.8 or more {}, a wrong fault {}",
            o.owned.of,
            percent(&o.owned),
            percent(&o.misled),
            percent(&o.accused)
        );
    }
    let _ = writeln!(text, "\nASKED AND MEASURED");
    for t in s.targets() {
        let sign = if t.bound == Bound::AtLeast { "≥" } else { "≤" };
        let word = if t.met() { "met" } else { "not met" };
        let _ = writeln!(
            text,
            "  {:7} {:76} {sign} {:.2}  measured {:.3} ({:.3}–{:.3}), {} cases",
            word, t.what, t.asked, t.measured, t.low, t.high, t.of
        );
    }
    let [m, most, longest] = s.explain_ms;
    let _ = writeln!(
        text,
        "\none look: mean {m:.0} ms, 95 of 100 within {most:.0} ms, longest {longest:.0} ms; all took {:.0} s",
        s.took_s
    );
    text
}
