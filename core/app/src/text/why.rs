//! Sentences about checks: why one comes next, and which answers cannot both be right.

use wellwright_domain::finding::{Contradiction, NextCheck};

use super::number::Words;
use super::quantity::Quantity;
use super::{names, time};

/// Why a check is suggested; `None` for findings of versions that did not say it.
pub fn next(words: &Words<'_>, check: &NextCheck) -> Option<String> {
    let why = check.why.as_ref()?;
    let minutes = time::duration(words, check.minutes * 60.0);
    let from: Vec<String> = why.from.iter().map(|c| names::cause_noun(words.texts, *c)).collect();
    let places =
        [("a", names::cause_noun(words.texts, why.of)), ("b", words.texts.list(&from)), ("minutes", minutes)];
    let places: Vec<(&str, &str)> = places.iter().map(|(n, v)| (*n, v.as_str())).collect();
    words.texts.get(&why.id).map(|_| words.fill(&why.id, &places))
}

/// Unit of what is counted.
const COUNT: &str = "count";

/// What disagrees, by how much.
pub fn contradiction(words: &Words<'_>, c: &Contradiction) -> String {
    let quantity = Quantity::of_unit(&c.unit);
    let yes_no = c.unit.is_empty();
    let value = |x: f64| match (yes_no, x > 0.5) {
        (true, true) => words.t("evidence.yes").to_owned(),
        (true, false) => words.t("evidence.no").to_owned(),
        (false, _) if c.unit == COUNT => format!("{x:.0}"),
        (false, _) => words.value(quantity, x),
    };
    let apart = if c.relative { words.percent(c.difference) } else { words.value(quantity, c.difference) };
    let id = format!("contradiction.{}{}", c.id, if yes_no && c.id == "twice" { ".yes_no" } else { "" });
    let [a, b] = c.values.map(value);
    let check = names::by_code(words.texts, &c.between[0]);
    words.fill(&id, &[("a", &a), ("b", &b), ("x", &apart), ("check", &check)])
}

#[cfg(test)]
mod tests {
    use super::*;
    use wellwright_domain::cause::Cause;
    use wellwright_domain::check::Check;
    use wellwright_domain::finding::Why;

    fn of(id: &str, of: Cause, from: &[Cause]) -> NextCheck {
        NextCheck {
            code: Check::ValvePosition,
            minutes: 3.0,
            cost: 3.0,
            expected_bits: 0.4,
            separates: vec![of],
            cautions: vec![],
            why: Some(Why { id: id.into(), of, from: from.to_vec() }),
        }
    }

    #[test]
    fn a_reason_is_one_plain_sentence() {
        let w = Words::english();
        let said = |n: &NextCheck| next(&w, n).map(|s| s.replace('\u{a0}', " "));
        let two = of("next.tells", Cause::ReversedRotation, &[Cause::ClosedValve]);
        assert_eq!(said(&two).unwrap(), "Tells a pump turned backwards from a shut valve in 3 min.");
        let three = of("next.tells", Cause::ReversedRotation, &[Cause::ClosedValve, Cause::BrokenShaft]);
        assert!(said(&three).unwrap().contains("from a shut valve and a broken shaft in"));
        let sure = of("next.confirms", Cause::WornPump, &[]);
        assert_eq!(said(&sure).unwrap(), "Confirms or refutes a worn pump in 3 min.");
        assert_eq!(said(&NextCheck { why: None, ..two }), None);
    }

    #[test]
    fn a_contradiction_says_both_values_and_how_far_apart() {
        let w = Words::english();
        let mut c = Contradiction {
            id: "flow_meter_and_bucket".into(),
            between: ["bucket_test".into(), "flow_m3_h".into()],
            values: [3.0, 5.0],
            unit: "m3/h".into(),
            difference: 0.4,
            relative: true,
        };
        let said = |c: &Contradiction| contradiction(&w, c).replace('\u{a0}', " ");
        assert_eq!(said(&c), "The flow meter and the bucket disagree by 40 %: 5.0 m3/h against 3.0 m3/h.");
        (c.id, c.unit, c.values) = ("twice".into(), String::new(), [1.0, 0.0]);
        c.between = ["valve_position".into(), "all_open".into()];
        assert_eq!(said(&c), "Two answers to one question, Look at every valve, differ: yes and no.");
        (c.id, c.unit, c.values) = ("level_sensor_and_sounding".into(), "m".into(), [33.0, 39.0]);
        (c.difference, c.relative) = (6.0, false);
        assert!(
            said(&c).starts_with("The level sensor and the sounder disagree by 6.0 m: 39.0 m"),
            "{}",
            said(&c)
        );
    }

    /// Every kind that the ranking can point out has its sentence.
    #[test]
    fn every_contradiction_has_a_sentence() {
        let w = Words::english();
        for id in [
            "flow_meter_and_bucket",
            "pressure_sensor_and_gauge",
            "level_sensor_and_sounding",
            "sun_sensor_and_meter",
            "controller_and_clamp",
            "controller_and_meter",
            "controller_and_strings",
            "float_and_tank",
            "dry_signal_and_sounding",
            "look_and_state",
            "bucket_and_tank",
            "twice",
            "flag_while_running",
            "another_time",
            "another_unit",
            "beyond_the_record",
            "one_pair_open",
            "leak_to_ground",
            "sun_at_night",
            "refuted",
            "open_and_running",
            "count_and_record",
        ] {
            let text = w.texts.get(&format!("contradiction.{id}"));
            assert!(text.is_some_and(|t| t.ends_with('.')), "{id}");
        }
    }
}
