//! Whatever a file holds, reading it ends in an answer or in one line of text.

use proptest::prelude::*;
use wellwright_domain::channel::Channel;
use wellwright_domain::examples::{DOVECOTE_BEND_TOML, KESTREL_HOLLOW_TOML};
use wellwright_domain::files::FileError;
use wellwright_domain::files::checks::read_checks;
use wellwright_domain::files::telemetry::{read_telemetry, write_telemetry};
use wellwright_domain::record::System;
use wellwright_domain::sample::Sample;

const CHECKS: &str = "schema = 1\nsituation = \"first_start\"\ntouched = [\"joint\"]\n[[check]]\n\
    code = \"bucket_test\"\nat = \"2026-03-14T10:20:00Z\"\nlitres = 20.0\nseconds = 24.0\n";
const TELEMETRY: &str = "time,state,flags,flow_m3_h\n2026-03-14T10:00:00.250+02:00,running,,5.6\n\
    2026-03-14T10:00:01Z,tripped,stall,\"1.0\"\n";

fn one_line<T>(result: Result<T, FileError>) {
    if let Err(error) = result {
        let text = error.to_string();
        assert!(!text.is_empty() && !text.contains(char::is_control), "{text:?}");
    }
}

fn read_all(text: &str) {
    one_line(System::from_toml(text, "a.toml"));
    one_line(read_checks(text, "a.toml"));
    one_line(read_telemetry(text.as_bytes(), "a.csv"));
}

/// A sound text with a piece cut out and something else put in.
fn damaged(base: &str, at: usize, cut: usize, put: &str) -> String {
    let chars: Vec<char> = base.chars().collect();
    let at = at % chars.len();
    let end = (at + cut).min(chars.len());
    chars[..at].iter().collect::<String>() + put + &chars[end..].iter().collect::<String>()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn random_text(text in "\\PC{0,200}|[\\[\\]{}=\"',.#\\n\\r\\-a-z0-9_ ]{0,200}") {
        read_all(&text);
    }

    #[test]
    fn random_bytes(bytes in prop::collection::vec(any::<u8>(), 0..300)) {
        one_line(read_telemetry(&bytes[..], "a.csv"));
        let mut with_header = b"time,flow_m3_h,x\n".to_vec();
        with_header.extend(bytes);
        one_line(read_telemetry(&with_header[..], "a.csv"));
    }

    #[test]
    fn damaged_files(at in 0..5000usize, cut in 0..20usize, put in "\\PC{0,6}|[\\[\\]{}=\"',.#\\n0-9a-z-]{0,6}") {
        for base in [KESTREL_HOLLOW_TOML, DOVECOTE_BEND_TOML, CHECKS, TELEMETRY] {
            read_all(&damaged(base, at, cut, &put));
        }
    }

    #[test]
    fn any_number_anywhere_in_a_record(line in 0..200usize, number in any::<f64>()) {
        let mut lines: Vec<String> = KESTREL_HOLLOW_TOML.lines().map(str::to_owned).collect();
        let line = line % lines.len();
        if let Some((key, _)) = lines[line].clone().split_once(" = ") {
            lines[line] = format!("{key} = {}", toml::Value::Float(number));
        }
        one_line(System::from_toml(&lines.join("\n"), "a.toml"));
    }

    #[test]
    fn telemetry_comes_back_as_it_was_written(
        rows in prop::collection::vec((1u32..86_400, 0u32..1_000_000_000, -900..900i32, any::<Option<f64>>()), 1..40),
    ) {
        let mut seconds = 1_700_000_000i64;
        let samples: Vec<Sample> = rows.iter().map(|(step, nanos, minutes, value)| {
            seconds += i64::from(*step) + 1;
            let at = chrono::DateTime::from_timestamp(seconds, *nanos).unwrap();
            let mut s = Sample::new(at.with_timezone(&chrono::FixedOffset::east_opt(minutes * 60).unwrap()));
            s.set(Channel::ArrayV, value.filter(|v| v.is_finite()));
            s
        }).collect();
        let text = write_telemetry(&samples, &[Channel::ArrayV]);
        let again = read_telemetry(text.as_bytes(), "a.csv").unwrap();
        prop_assert_eq!(again.samples, samples);
    }
}
