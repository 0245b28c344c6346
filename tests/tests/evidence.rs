//! No confident word without proof: what is said first and surely is told with evidence that speaks for it, in words.

use wellwright_app::text::{Words, evidence};
use wellwright_domain::finding::{Finding, RankedCause};
use wellwright_tests::evaluate::judge::look;
use wellwright_tests::evaluate::plan::causes;
use wellwright_tests::evaluate::work::{parallel, threads};
use wellwright_tests::plant::{Mix, Order, SensorSet, make};

/// Looks at cases of every cause.
const A_CAUSE: u64 = 4;

/// So sure, and a piece of so many bits: one that makes it twice as likely.
const SURE: f64 = 0.8;
const PROOF_BITS: f64 = 1.0;

fn strongest(cause: &RankedCause) -> f64 {
    cause.evidence.iter().map(|e| e.weight_bits).fold(0.0, f64::max)
}

#[test]
fn whatever_is_said_surely_is_proved() {
    let orders: Vec<Order> = (0..A_CAUSE * causes())
        .map(|index| Order {
            seed: 4711,
            index,
            mix: Mix::Uniform,
            sensors: Some(SensorSet::ALL[(index / causes()) as usize % 3]),
            ..Order::default()
        })
        .collect();
    let findings: Vec<Finding> =
        parallel("evidence", &orders, threads(), |order| look(&make(order), &[], &[]));
    let sure = |f: &&Finding| f.causes[0].probability >= SURE && f.causes[0].code.is_fault();
    let told: Vec<&Finding> = findings.iter().filter(sure).collect();
    assert!(told.len() > 40, "{} sure ones of {}", told.len(), findings.len());
    for finding in told {
        let first = &finding.causes[0];
        let said: Vec<String> =
            first.evidence.iter().map(|e| evidence::sentence(&Words::english(), e)).collect();
        assert!(strongest(first) >= PROOF_BITS, "{}: {said:?} {:?}", first.code.code(), first.evidence);
        assert!(said.iter().all(|s| s.ends_with('.') && !s.contains('{')), "{said:?}");
    }
}
