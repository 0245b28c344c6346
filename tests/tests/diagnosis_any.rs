//! Whatever the rows say, the ranking answers: finite probabilities that sum to 1, and no panic.

use chrono::{DateTime, TimeDelta};
use proptest::prelude::*;
use wellwright_diagnosis::{Case, explain};
use wellwright_domain::channel::Channel;
use wellwright_domain::examples::{dovecote_bend, kestrel_hollow};
use wellwright_domain::flags::{Flags, PumpState};
use wellwright_domain::record::System;
use wellwright_domain::sample::Sample;
use wellwright_domain::situation::{Noticed, Situation, Touched};

fn thin() -> System {
    let text = "schema = 1\nname = \"Thin\"\n[site]\nlatitude_deg = 12.0\nlongitude_deg = 3.0\naltitude_m = 200.0\n\
                time_zone = \"UTC\"\n[well]\nintake_depth_m = 45.0\n[pump]\nkind = \"helical_rotor\"\n";
    System::from_toml(text, "thin").unwrap()
}

prop_compose! {
    fn row()(
        step in prop_oneof![Just(0.5), Just(1.0), Just(10.0), Just(300.0), Just(90_000.0)],
        state in prop_oneof![Just(None), (0usize..4).prop_map(|k| Some(PumpState::ALL[k]))],
        bits in prop_oneof![Just(None), any::<u16>().prop_map(Some)],
        values in proptest::collection::vec(
            prop_oneof![
                3 => Just(None),
                4 => (0.0f64..400.0).prop_map(Some),
                1 => (0.0f64..4000.0).prop_map(Some),
                1 => Just(Some(0.0)),
                1 => (-1e6f64..1e6).prop_map(Some),
            ],
            Channel::COUNT,
        ),
    ) -> (f64, Option<PumpState>, Option<u16>, Vec<Option<f64>>) {
        (step, state, bits, values)
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, ..ProptestConfig::default() })]

    #[test]
    fn any_rows_get_an_answer(
        which in 0usize..3,
        rows in proptest::collection::vec(row(), 0..40),
        situation in 0usize..3,
    ) {
        let system = [kestrel_hollow(), dovecote_bend(), thin()][which].clone();
        let mut at = DateTime::parse_from_rfc3339("2026-06-01T10:00:00+02:00").unwrap();
        let mut samples = Vec::new();
        for (step, state, bits, values) in rows {
            at += TimeDelta::milliseconds((step * 1000.0) as i64);
            let mut s = Sample::new(at);
            s.state = state;
            s.flags = bits.map(Flags::from_bits);
            for (c, v) in Channel::ALL.into_iter().zip(values) {
                s.set(c, v);
            }
            samples.push(s);
        }
        let case = Case {
            situation: Some([Situation::FirstStart, Situation::AfterRepair, Situation::InService][situation]),
            touched: Some(&[Touched::Joint]),
            noticed: Some(&[Noticed::LessWater]),
            ..Case::new(&system)
        };
        let finding = explain(&case.with_samples(&samples)).unwrap();
        let sum: f64 = finding.causes.iter().map(|c| c.probability).chain(finding.pairs.iter().map(|p| p.probability)).sum();
        prop_assert!((sum - 1.0).abs() < 1e-9, "{}", sum);
        for cause in &finding.causes {
            prop_assert!(cause.probability.is_finite());
            for e in &cause.evidence {
                prop_assert!(e.weight_bits.is_finite(), "{:?}", e);
            }
            if let Some(s) = &cause.severity {
                prop_assert!(s.value.is_finite() && s.interval[0] <= s.interval[1], "{:?}", s);
            }
        }
        // what goes out can be read back
        let text = serde_json::to_string(&finding).unwrap();
        prop_assert!(serde_json::from_str::<wellwright_domain::finding::Finding>(&text).is_ok());
    }
}
