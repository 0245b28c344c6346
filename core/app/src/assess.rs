//! A look: record, telemetry and what the person knows go in, a finding and a few messages come out.

use wellwright_diagnosis::{Case, explain};
use wellwright_domain::channel::{Channel, ChannelInfo};
use wellwright_domain::files::checks::ChecksFile;
use wellwright_domain::files::telemetry::Telemetry;
use wellwright_domain::finding::{EvidenceValue, Finding};
use wellwright_domain::lead_map::Parity;
use wellwright_domain::record::System;
use wellwright_domain::sample::Sample;

use crate::error::AppError;
use crate::text::{Words, baseline, time};

/// Rows set aside that are told one by one; the rest is counted.
const BAD_ROWS_TOLD: usize = 3;

/// What a look may use.
#[derive(Debug, Clone, Copy)]
pub struct Question<'a> {
    /// The system as recorded.
    pub system: &'a System,
    /// Telemetry in time order; may be empty.
    pub samples: &'a [Sample],
    /// Situation, what was touched and noticed, and checks made by hand.
    pub told: &'a ChecksFile,
    /// A recording from when it was known to be good, if there is one.
    pub baseline: Option<KnownGood<'a>>,
    /// Tools that are not at hand: checks that need one are not suggested.
    pub without: &'a [String],
}

/// A recording from when a system was known to be good.
#[derive(Debug, Clone, Copy)]
pub struct KnownGood<'a> {
    /// Name of the telemetry file.
    pub name: &'a str,
    /// Its rows in time order; `None` when the file is not at hand.
    pub samples: Option<&'a [Sample]>,
}

/// A finding and what else should be said.
#[derive(Debug, Clone, PartialEq)]
pub struct Assessment {
    /// The finding.
    pub finding: Finding,
    /// One line each, for the person.
    pub messages: Vec<String>,
}

/// Ranks the causes.
///
/// # Errors
/// A record that no physics answers.
pub fn assess(q: &Question<'_>) -> Result<Assessment, AppError> {
    let case = Case {
        situation: q.told.situation,
        touched: q.told.touched.as_deref(),
        noticed: q.told.noticed.as_deref(),
        checks: &q.told.checks,
        missing_tools: q.without,
        baseline: q.baseline.and_then(|b| b.samples).unwrap_or_default(),
        ..Case::new(q.system).with_samples(q.samples)
    };
    let mut finding = explain(&case)?;
    name_what_was_known(&mut finding, q);
    let mut messages = Vec::new();
    if let Some(KnownGood { name, samples }) = q.baseline {
        let said = finding.baseline.as_ref().map(|b| baseline::said(&Words::english(), b));
        let said = said.unwrap_or_else(|| {
            let why = if samples.is_none() { "is not at hand" } else { "holds no rows" };
            format!("it {why}; causes are ranked against the record alone")
        });
        messages.push(format!("baseline {name}: {said}"));
    }
    messages.extend(only_the_end(q.samples, &finding));
    Ok(Assessment { finding, messages })
}

/// Of a long recording only the end was looked at; `None` when all of it was.
fn only_the_end(samples: &[Sample], finding: &Finding) -> Option<String> {
    let (first, from) = (samples.first()?, finding.window.from?);
    let before = samples.partition_point(|s| s.at < from);
    (before > 0).then(|| {
        let words = Words::english();
        format!(
            "only what is so now is looked at: from {} on. The {before} of {} rows before it, from {} on, are left out; \
             cut the file to look at another time",
            time::date_clock(&words, from),
            samples.len(),
            time::date_clock(&words, first.at),
        )
    })
}

/// Evidence of the lead maps and of the situation says what was known, where the ranking left it open: the
/// parity of the composed map, and the situation followed by what was touched and what was noticed.
fn name_what_was_known(finding: &mut Finding, q: &Question<'_>) {
    let parity = match q.system.cable.parity() {
        Some(Parity::Odd) => "odd",
        Some(Parity::Even) => "even",
        None => "unknown",
    };
    let mut situation = q.told.situation.map_or("unknown".to_owned(), |s| code(&s));
    for touched in q.told.touched.iter().flatten() {
        situation.push_str(" touched=");
        situation.push_str(&code(touched));
    }
    for noticed in q.told.noticed.iter().flatten() {
        situation.push(' ');
        situation.push_str(&code(noticed));
    }
    for e in finding.causes.iter_mut().flat_map(|c| &mut c.evidence).filter(|e| e.measured.is_none()) {
        let said = match e.check.as_deref() {
            Some("lead_map") => parity,
            Some("situation") => &situation,
            _ => continue,
        };
        e.measured = Some(EvidenceValue::Text(said.to_owned()));
    }
}

/// Situation, what was touched and what was noticed, in the form of a checks file. Checks themselves are not
/// written.
pub fn told_toml(told: &ChecksFile) -> String {
    let list = |words: Vec<String>| words.iter().map(|w| format!("\"{w}\"")).collect::<Vec<_>>().join(", ");
    let mut out = "schema = 1\n".to_owned();
    if let Some(s) = &told.situation {
        out.extend(["situation = \"", &code(s), "\"\n"]);
    }
    if let Some(t) = &told.touched {
        out.extend(["touched = [", &list(t.iter().map(code).collect()), "]\n"]);
    }
    if let Some(n) = &told.noticed {
        out.extend(["noticed = [", &list(n.iter().map(code).collect()), "]\n"]);
    }
    out
}

/// Stable code of a word of the contract.
fn code(word: &impl serde::Serialize) -> String {
    serde_json::to_value(word).ok().and_then(|v| v.as_str().map(str::to_owned)).unwrap_or_default()
}

/// What reading a telemetry file should be said to have set aside.
pub fn telemetry_messages(file: &str, t: &Telemetry) -> Vec<String> {
    let mut out: Vec<String> = t.warnings.iter().map(|w| format!("{file}: {w}")).collect();
    out.extend(t.bad_rows.iter().take(BAD_ROWS_TOLD).map(|b| format!("{file}: {b}; row set aside")));
    if t.bad_rows.len() > BAD_ROWS_TOLD {
        out.push(format!("{file}: {} of {} rows set aside in all", t.bad_rows.len(), t.rows));
    }
    for (channel, n, example) in implausible(&t.samples) {
        let ChannelInfo { code, unit, min, max } = channel.info();
        out.push(format!(
            "{file}: {n} values of {code} cannot be true and are left out ({example} lies outside {min} to {max} \
             {unit}); look at the unit"
        ));
    }
    out
}

/// Channels with values outside their physical range: how many, and the first of them.
fn implausible(samples: &[Sample]) -> Vec<(Channel, usize, f64)> {
    let mut out: Vec<(Channel, usize, f64)> = Vec::new();
    for (channel, value) in samples.iter().flat_map(Sample::implausible) {
        match out.iter_mut().find(|o| o.0 == channel) {
            Some(o) => o.1 += 1,
            None => out.push((channel, 1, value)),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use std::fmt::Write as _;

    use chrono::{DateTime, TimeDelta};

    use super::*;
    use wellwright_domain::examples::kestrel_hollow;
    use wellwright_domain::files::checks::read_checks;
    use wellwright_domain::files::telemetry::read_telemetry;
    use wellwright_domain::situation::{Noticed, Situation, Touched};

    #[test]
    fn values_that_cannot_be_true_are_told_by_their_column() {
        let file = "time,module_c,array_v\n2026-03-14T10:00:00Z,131,300\n2026-03-14T10:00:01Z,132,300\n";
        let t = read_telemetry(file.as_bytes(), "hot.csv").unwrap();
        let said = telemetry_messages("hot.csv", &t);
        assert_eq!(
            said,
            [
                "hot.csv: 2 values of module_c cannot be true and are left out (131 lies outside -50 to 120 degC); look at the unit"
            ]
        );
    }

    #[test]
    fn a_baseline_is_said_to_be_used_or_why_not() {
        let system = kestrel_hollow();
        let told = ChecksFile::default();
        let row = Sample::new(DateTime::parse_from_rfc3339("2026-03-14T10:00:00Z").unwrap());
        let (none, one) = ([], [row]);
        let mut q = Question { system: &system, samples: &[], told: &told, baseline: None, without: &[] };
        for (samples, says) in [
            (None, "not at hand"),
            (Some(&none[..]), "holds no rows"),
            (Some(&one[..]), "holds no steady run to compare with and is not used"),
        ] {
            q.baseline = Some(KnownGood { name: "good.csv", samples });
            let a = assess(&q).unwrap();
            assert_eq!(a.finding.window.rows, 0);
            let said = a.messages[0].replace(['\u{a0}', '\u{202f}'], " ");
            assert!(said.contains("good.csv") && said.contains(says), "{said}");
        }
        assert!(assess(&Question { baseline: None, ..q }).unwrap().messages.is_empty());
    }

    /// Ten days of rows: only the end is looked at, and that is said.
    #[test]
    fn a_long_recording_is_said_to_be_looked_at_from_its_end() {
        let (system, told) = (kestrel_hollow(), ChecksFile::default());
        let start = DateTime::parse_from_rfc3339("2026-03-01T00:00:00+02:00").unwrap();
        let row = |h| Sample::new(start + TimeDelta::hours(h)).with(Channel::ArrayV, 0.0);
        let rows: Vec<Sample> = (0..=240).map(row).collect();
        let said = |samples: &[Sample]| {
            assess(&Question { system: &system, samples, told: &told, baseline: None, without: &[] })
                .unwrap()
                .messages
        };
        assert_eq!(
            said(&rows),
            ["only what is so now is looked at: from 8 Mar 2026, 22:00 on. The 190 of 241 rows before it, \
                 from 1 Mar 2026, 00:00 on, are left out; cut the file to look at another time"]
        );
        assert!(said(&rows[..40]).is_empty());
    }

    #[test]
    fn evidence_says_what_was_known_of_leads_and_situation() {
        let system = kestrel_hollow();
        let told = ChecksFile {
            situation: Some(Situation::FirstStart),
            noticed: Some(vec![Noticed::NoWater]),
            ..ChecksFile::default()
        };
        let q = Question { system: &system, samples: &[], told: &told, baseline: None, without: &[] };
        let finding = assess(&q).unwrap().finding;
        let said = |check: &str| {
            let mut all = finding.causes.iter().flat_map(|c| &c.evidence);
            all.find(|e| e.check.as_deref() == Some(check)).and_then(|e| e.measured.clone())
        };
        assert_eq!(said("situation"), Some(EvidenceValue::Text("first_start no_water".into())));
        assert_eq!(said("lead_map"), Some(EvidenceValue::Text("even".into())));
    }

    #[test]
    fn what_was_told_is_read_back_from_its_file() {
        let told = ChecksFile {
            situation: Some(Situation::AfterRepair),
            touched: Some(vec![Touched::Joint, Touched::Cable]),
            noticed: Some(Vec::new()),
            checks: Vec::new(),
        };
        for t in [told, ChecksFile::default()] {
            assert_eq!(read_checks(&told_toml(&t), "a.checks.toml").unwrap(), t);
        }
    }

    #[test]
    fn rows_set_aside_are_told_and_counted() {
        let mut text = String::from("time,flow_m3_h\n");
        for i in 0..40 {
            let value = if i % 8 == 0 { "x".to_owned() } else { "9000".to_owned() };
            let _ = writeln!(text, "2026-03-14T10:00:{i:02}Z,{value}");
        }
        let t = read_telemetry(text.as_bytes(), "a.csv").unwrap();
        let said = telemetry_messages("a.csv", &t);
        assert_eq!(said.len(), 5, "{said:?}");
        assert!(said[3].contains("5 of 40") && said[4].contains("35 values"), "{said:?}");
    }
}
