//! Three checks from "no water" to the cause, on systems that tell next to nothing.
//!
//! The plant is the independent one; the person answers the check that is suggested first, as `plant::hand` has
//! it, with their own instruments and mistakes. Run with `--nocapture` to read the stories.

use std::fmt::Write as _;

use wellwright_domain::cause::Cause;
use wellwright_domain::check::{Answer, Check, CheckMade};
use wellwright_domain::finding::Finding;
use wellwright_domain::record::PumpKind;
use wellwright_domain::situation::Noticed;
use wellwright_tests::evaluate::judge::look;
use wellwright_tests::plant::hand::{answer, dice};
use wellwright_tests::plant::{Case, Order, SensorSet, make};

/// Most checks of a story.
const CHECKS: usize = 3;

/// Probability at which it is told.
const TOLD: f64 = 0.8;

/// How a story went.
struct Story {
    text: String,
    first: Cause,
    probability: f64,
    checks: Vec<Check>,
}

fn first(f: &Finding) -> (Cause, f64) {
    f.leading().map_or((Cause::Unknown, 0.0), |c| (c.code, c.probability))
}

fn ranking(f: &Finding) -> String {
    let named: Vec<String> = f
        .causes
        .iter()
        .take(4)
        .map(|c| format!("{} {:.0} %", c.code.code().replace('_', " "), 100.0 * c.probability))
        .collect();
    let pairs = f.pairs.iter().map(|p| {
        let both = p.codes.map(|c| c.code().replace('_', " ")).join(" with ");
        format!("{both} {:.0} %", 100.0 * p.probability)
    });
    named.into_iter().chain(pairs).collect::<Vec<_>>().join(", ")
}

fn said(made: &CheckMade) -> String {
    let fields: Vec<String> = made
        .answers
        .iter()
        .map(|(k, v)| match v {
            Answer::Number(x) => format!("{k} {}", (x * 1000.0).round() / 1000.0),
            Answer::Bool(yes) => format!("{k} {}", if *yes { "yes" } else { "no" }),
            Answer::State(state) => format!("{k} {}", state.code()),
            Answer::Flags(flags) if flags.is_empty() => format!("{k} none"),
            Answer::Flags(flags) => format!("{k} {}", flags.to_tokens()),
            Answer::Word(word) => format!("{k} {word}"),
            other => format!("{k} {other:?}"),
        })
        .collect();
    fields.join(", ")
}

/// Explains, makes the first suggested check that can be made here, explains again; never lifts.
fn tell(case: &Case) -> Story {
    let mut text = format!(
        "\n{} ({:?}, {}): no water; {:?}\n",
        case.system.name,
        case.kind,
        case.sensors.word(),
        case.circumstances.situation
    );
    let mut made: Vec<CheckMade> = Vec::new();
    let mut tried: Vec<Check> = Vec::new();
    let mut finding = look(case, &made, &[]);
    let _ = writeln!(text, "  at first: {}", ranking(&finding));
    while made.len() < CHECKS && first(&finding).1 < 0.95 {
        let next = finding.next_checks.iter().find(|n| n.code != Check::PullPump && !tried.contains(&n.code));
        let Some(next) = next else { break };
        let (code, minutes) = (next.code, next.minutes);
        tried.push(code);
        let Some(answered) = answer(case, code, &mut dice(case, code as u64)) else { continue };
        let _ = writeln!(text, "  {} ({minutes:.0} min): {}", code.code().replace('_', " "), said(&answered));
        made.push(answered);
        finding = look(case, &made, &[]);
        let _ = writeln!(text, "    -> {}", ranking(&finding));
    }
    let (cause, probability) = first(&finding);
    Story { text, first: cause, probability, checks: made.iter().map(|m| m.check).collect() }
}

/// The first case of a kind at which somebody noticed that no water comes.
fn no_water(cause: Cause, kind: PumpKind, seed: u64) -> Case {
    (0..400)
        .map(|index| {
            let sensors = Some(SensorSet::Lean);
            make(&Order { seed, index, cause: Some(cause), sensors, ..Order::default() })
        })
        .find(|case| {
            let noticed = case.circumstances.noticed.as_deref().unwrap_or_default();
            case.kind == kind && noticed.contains(&Noticed::NoWater)
        })
        .expect("such a case comes")
}

const KINDS: [PumpKind; 2] = [PumpKind::Centrifugal, PumpKind::HelicalRotor];

/// Seeds in order; none is left out.
const SEEDS: [u64; 3] = [1, 2, 3];

fn three_checks_lead_to(cause: Cause) {
    for kind in KINDS {
        let mut right = 0;
        for seed in SEEDS {
            let case = no_water(cause, kind, seed);
            let story = tell(&case);
            let found = story.first == cause && story.probability >= TOLD;
            right += usize::from(found);
            let end = if found { "found" } else { "NOT FOUND" };
            println!("{}  {end}: {} {:.2}", story.text, story.first.code(), story.probability);
            assert!(story.checks.len() <= CHECKS && !story.checks.contains(&Check::PullPump));
        }
        assert!(right > 0, "{cause:?} {kind:?}: {right} of {}", SEEDS.len());
    }
}

#[test]
fn three_checks_lead_to_a_pump_that_turns_backwards() {
    three_checks_lead_to(Cause::ReversedRotation);
}

#[test]
fn three_checks_lead_to_a_well_that_is_dry() {
    three_checks_lead_to(Cause::DryRunning);
}

#[test]
fn three_checks_lead_to_a_shut_valve() {
    three_checks_lead_to(Cause::ClosedValve);
}
