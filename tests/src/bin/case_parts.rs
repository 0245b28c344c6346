//! Why a case of the plant is ranked as it is, part by part of the score.
//!
//! `case_parts all COUNT SEED MIX` writes one line of JSON a case; `case_parts one SEED MIX INDEX [CODE…]` tells the
//! first six causes, the true one and those named, of one case; `case_parts walk COUNT SEED MIX` makes the suggested
//! checks one after the other and writes what was said after each, one line of JSON a case. MIX is `uniform`, `priors`,
//! `outside` or the code of a cause; after `bare-` the record holds only what it must. The cases are those of
//! `make_cases`, with every cause and every set of sensors in turn.
//! `case_parts files STEM [CODE…]` tells the same of the case in `STEM.system.toml`, `STEM.telemetry.csv` and
//! `STEM.checks.toml`.
//! `site-N`: those that oracle and ranking are both asked about at site N of the split of that seed.

use std::path::Path;
use std::sync::OnceLock;

use serde_json::{Value, json};
use wellwright_diagnosis::Case as Asked;
use wellwright_diagnosis::predict::as_seen::healthy_plant_as_seen;
use wellwright_diagnosis::predict::sky::is_day;
use wellwright_diagnosis::rank::{CauseScore, rank, tempered};
use wellwright_diagnosis::score::{Memo, Parts, Scorer};
use wellwright_diagnosis::window::{Look, recent};
use wellwright_domain::cause::Cause;
use wellwright_domain::channel::Channel;
use wellwright_domain::check::{Check, CheckMade};
use wellwright_tests::bare::bare;
use wellwright_tests::evaluate::judge::{look, question};
use wellwright_tests::evaluate::oracle::{self, site::Place};
use wellwright_tests::evaluate::plan::causes;
use wellwright_tests::evaluate::walk::FEW;
use wellwright_tests::evaluate::work::{parallel, threads};
use wellwright_tests::files::CaseFiles;
use wellwright_tests::plant::hand::{answer, dice};
use wellwright_tests::plant::{Case, Mix, Order, Outside, SensorSet, make};

/// Before a mix: with bare records.
const BARE: &str = "bare-";

fn order(seed: u64, mix: &str, index: u64) -> Option<Order> {
    let mix = mix.strip_prefix(BARE).unwrap_or(mix);
    let turn = index % causes() + index / causes();
    let sensors = Some(SensorSet::ALL[turn as usize % 3]);
    let plain = Order { seed, index, sensors, ..Order::default() };
    Some(match mix {
        "uniform" => Order { mix: Mix::Uniform, ..plain },
        site if site.starts_with(SITE) => plain,
        "priors" => Order { mix: Mix::Priors, sensors: None, ..plain },
        "outside" => Order { outside: Some(Outside::ALL[index as usize % Outside::ALL.len()]), ..plain },
        code => Order {
            cause: Some(Cause::from_code(code)?),
            sensors: Some(SensorSet::ALL[index as usize % 3]),
            ..plain
        },
    })
}

/// Before the number of a site.
const SITE: &str = "site-";

/// References of each cause when the oracle is asked ([`wellwright_tests::evaluate::oracle::OraclePlan`]).
const REFERENCES: u64 = 150;

fn at_site(order: &Order, n: usize) -> Case {
    static PLACE: OnceLock<Place> = OnceLock::new();
    let place = PLACE.get_or_init(|| oracle::place(order.seed, n));
    oracle::asked_of(place, order.seed, n, order.index, REFERENCES).unwrap_or_else(|| make(order))
}

/// Makes a case; of a bare one the record holds only what a record must.
fn made(order: &Order, mix: &str) -> Case {
    if let Some(n) = mix.strip_prefix(SITE).and_then(|n| n.parse().ok()) {
        return at_site(order, n);
    }
    let mut case = make(order);
    if mix.starts_with(BARE) {
        case.system = bare(&case.system);
    }
    case
}

fn parts(p: &Parts) -> Value {
    let rounded = |v: f64| json!((100.0 * v).round() / 100.0);
    tempered(p).named().into_iter().map(|(name, v)| (name.to_owned(), rounded(v))).collect()
}

fn row(c: &CauseScore) -> Value {
    let best = c.best();
    json!({
        "cause": c.cause.code(), "p": c.probability, "prior": c.prior, "severity": best.hypothesis.severity,
        "of": best.hypothesis.of, "share": c.hypotheses[0].1,
        "misfit": best.load.errors.misfit(), "parts": parts(&best.parts),
    })
}

/// The ranking of single causes, seen from inside.
fn inside<R>(case: &Case, tell: impl Fn(&Scorer, &Look, &[CauseScore]) -> R) -> R {
    inside_of(&question(case, &[]), tell)
}

fn inside_of<R>(asked: &Asked, tell: impl Fn(&Scorer, &Look, &[CauseScore]) -> R) -> R {
    let seen = recent(asked.samples);
    let (plant, assumed) =
        healthy_plant_as_seen(asked.system, seen).expect("a record of the plant can be computed");
    let seen = Look::new(seen, |at| is_day(&plant, at));
    let scorer = Scorer::new(asked, &plant, &assumed, &seen);
    let scored = scorer.score_all(&mut Memo::default());
    tell(&scorer, &seen, &rank(&scored))
}

fn told(case: &Case, ranked: &Value) -> Value {
    json!({
        "cause": case.cause.code(), "outside": case.outside.map(Outside::word),
        "severity": case.severity, "sensors": case.sensors.word(),
        "situation": case.circumstances.situation, "sky": format!("{:?}", case.window.sky),
        "rows": case.samples.len(), "ranked": ranked,
    })
}

fn ranking(case: &Case, made: &[CheckMade]) -> (Value, Vec<Check>) {
    let finding = look(case, made, &[]);
    let ranked = finding.causes.iter().map(|c| json!([c.code.code(), c.probability])).collect();
    (ranked, finding.next_checks.iter().map(|n| n.code).collect())
}

/// One line of JSON for each of the first cases.
fn each(count: u64, seed: u64, mix: &str, tell: impl Fn(&Case) -> Value + Sync) -> Option<()> {
    let orders: Vec<Order> = (0..count).map(|index| order(seed, mix, index)).collect::<Option<_>>()?;
    let lines = parallel("cases", &orders, threads(), |order| {
        let mut line = tell(&made(order, mix));
        line["index"] = json!(order.index);
        line.to_string()
    });
    for line in lines {
        println!("{line}");
    }
    Some(())
}

fn all(case: &Case) -> Value {
    let mut line = told(case, &ranking(case, &[]).0);
    line["inside"] = inside(case, |_, _, r| r.iter().map(row).collect());
    line
}

/// The suggested checks, as the evaluation makes them.
fn walk(case: &Case) -> Value {
    let (mut made, mut tried, mut steps) = (Vec::new(), Vec::new(), Vec::new());
    let (mut ranked, mut next) = ranking(case, &made);
    while made.len() < FEW
        && let Some(check) = next.iter().copied().find(|c| *c != Check::PullPump && !tried.contains(c))
    {
        tried.push(check);
        let Some(answered) = answer(case, check, &mut dice(case, check as u64)) else { continue };
        steps.push(
            json!({ "ranked": ranked, "check": check.code(), "said": format!("{:?}", answered.answers) }),
        );
        made.push(answered);
        (ranked, next) = ranking(case, &made);
    }
    let mut line = told(case, &ranked);
    line["steps"] = json!(steps);
    line["next"] = json!(next.iter().map(|c| c.code()).collect::<Vec<_>>());
    line
}

fn one(seed: u64, mix: &str, index: u64, named: &[String]) -> Option<()> {
    let case = made(&order(seed, mix, index)?, mix);
    let told = &case.circumstances;
    println!("{} {:?} {:?} {:?} {}", case.cause.code(), case.severity, case.sensors, case.kind, case.family);
    println!("{:?} touched {:?} noticed {:?}", told.situation, told.touched, told.noticed);
    println!("{:?}", case.window);
    if let (Some(a), Some(b)) = (case.samples.first(), case.samples.last()) {
        println!("{} rows, {} to {}", case.samples.len(), a.at, b.at);
    }
    let wanted: Vec<&str> = named.iter().map(String::as_str).chain([case.cause.code()]).collect();
    inside(&case, |scorer, seen, ranked| print_parts(scorer, seen, ranked, &wanted));
    Some(())
}

/// A case that lies in files.
fn of_files(stem: &str, named: &[String]) -> Result<(), Box<dyn std::error::Error>> {
    let stem = Path::new(stem);
    let name = stem.file_name().and_then(|n| n.to_str()).ok_or("no name of a case")?;
    let files = CaseFiles::read(stem.parent().unwrap_or(Path::new("")), name)?;
    let wanted: Vec<&str> = named.iter().map(String::as_str).collect();
    inside_of(&files.case(), |scorer, seen, ranked| print_parts(scorer, seen, ranked, &wanted));
    Ok(())
}

fn print_parts(scorer: &Scorer, seen: &Look, ranked: &[CauseScore], wanted: &[&str]) {
    println!("stops {:?}\nunsteady {:?}\nstarts {:?}", seen.stops, seen.unsteady, seen.starts);
    for p in &seen.steady {
        let of = |c: Channel| p.get(c).map(|v| format!("{} {:.3}±{:.3}", c.code(), v, p.scatter(c)));
        let values: Vec<String> = Channel::ALL.into_iter().filter_map(of).collect();
        println!("{} {:.0} min, {} rows, moving {}: {}", p.at, p.minutes, p.rows, p.moving, values.join(" "));
    }
    for (k, c) in ranked.iter().enumerate() {
        if k >= 6 && !wanted.contains(&c.cause.code()) {
            continue;
        }
        println!("#{} {}", k + 1, row(c));
        for (s, share) in c.hypotheses.iter().take(5) {
            let (load, sun) = (s.parts.load, s.parts.sun);
            println!(
                "      severity {:?} share {share:.3} load {load:.2} sun {sun:.2}",
                s.hypothesis.severity
            );
        }
        let (fit, sun) = (&c.best().load, &c.best().sun);
        println!("      best point {:.1?} V in {:.0?} W/m2", sun.best_v, sun.irradiance);
        for (i, r) in scorer.measured.rows.iter().enumerate() {
            let (mean, sigma) = (fit.mean[i], fit.sigma[i]);
            let z = (r.measured - mean) / sigma;
            println!(
                "      {} {:?} {:.4} said {mean:.4} ± {sigma:.4}  {z:+.1}",
                r.point, r.quantity, r.measured
            );
        }
    }
}

fn main() {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let number = |k: usize| words.get(k).and_then(|w| w.parse::<u64>().ok());
    if let Some((stem, named)) =
        words.split_first().filter(|w| w.0 == "files").and_then(|(_, rest)| rest.split_first())
    {
        if let Err(e) = of_files(stem, named) {
            eprintln!("{e}");
            std::process::exit(1);
        }
        return;
    }
    let done = match (words.first().map(String::as_str), number(1), number(2), number(3)) {
        (Some("all"), Some(count), Some(seed), _) if words.len() == 4 => each(count, seed, &words[3], all),
        (Some("walk"), Some(count), Some(seed), _) if words.len() == 4 => each(count, seed, &words[3], walk),
        (Some("one"), Some(seed), None, Some(index)) => one(seed, &words[2], index, &words[4..]),
        _ => None,
    };
    if done.is_none() {
        eprintln!(
            "usage: case_parts all COUNT SEED MIX | walk COUNT SEED MIX | one SEED MIX INDEX [CODE...] | files STEM [CODE...]"
        );
        std::process::exit(2);
    }
}
