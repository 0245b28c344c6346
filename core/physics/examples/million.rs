//! A million random systems, each at four moments: does every one have an operating point?
//!
//! `cargo run --release -p wellwright-physics --example million [how many] [first seed]`

#[path = "../tests/random_system/mod.rs"]
mod random_system;

use std::collections::BTreeMap;
use std::process::ExitCode;
use std::time::Instant;

fn main() -> ExitCode {
    let mut args = std::env::args().skip(1).map(|a| a.parse::<u64>());
    let mut next = |otherwise| args.next().map_or(Ok(otherwise), |a| a);
    let (Ok(count), Ok(first)) = (next(1_000_000), next(0)) else {
        eprintln!("give whole numbers: how many systems, and the first seed");
        return ExitCode::from(2);
    };
    let start = Instant::now();
    let mut regimes: BTreeMap<String, u64> = BTreeMap::new();
    let mut failed = 0;
    for seed in first..first + count {
        match random_system::verdict(seed) {
            Ok(met) => met.iter().for_each(|r| *regimes.entry(format!("{r:?}")).or_default() += 1),
            Err(why) => {
                failed += 1;
                if failed <= 10 {
                    println!("{why}");
                }
            }
        }
    }
    println!(
        "{count} systems, {} moments, {failed} failed, {:.1} s",
        4 * count,
        start.elapsed().as_secs_f64()
    );
    for (regime, n) in &regimes {
        println!("{regime:>16} {n}");
    }
    if failed == 0 { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}
