//! How long one look takes: `cargo bench -p wellwright-diagnosis`.
//!
//! An hour at one row a second with all channels, all causes: `singles` stops at the ranking, `whole` goes on to pairs,
//! evidence and the next check.

#[path = "../tests/two/row.rs"]
mod row;

use std::f64::consts::PI;

use chrono::TimeDelta;
use divan::{Bencher, black_box};
use wellwright_diagnosis::predict::healthy_plant;
use wellwright_diagnosis::predict::sky::clear_plane;
use wellwright_diagnosis::rank::rank;
use wellwright_diagnosis::score::{Memo, Scorer};
use wellwright_diagnosis::window::Look;
use wellwright_diagnosis::{Case, explain};
use wellwright_domain::examples::{dovecote_bend, kestrel_hollow};
use wellwright_domain::record::System;
use wellwright_domain::sample::Sample;
use wellwright_physics::plant::Plant;

fn main() {
    divan::main();
}

/// A plant that changes something.
type Change = fn(&mut Plant);

/// What is looked at: a system, and what is wrong with it.
const LOOKS: [&str; 4] = ["impeller_healthy", "impeller_worn", "rotor_deeper_level", "rotor_dirty_array"];

fn look_at(name: &str) -> (System, Change) {
    match name {
        "impeller_healthy" => (kestrel_hollow(), |_| {}),
        "impeller_worn" => (kestrel_hollow(), |p| p.condition.pump.wear = 0.25),
        "rotor_deeper_level" => (dovecote_bend(), |p| p.condition.water.static_deeper_m = 12.0),
        _ => (dovecote_bend(), |p| p.condition.array.current_ratio = 0.7),
    }
}

/// An hour before noon by the sun, light that comes and goes slowly; invented.
fn hour(system: &System, change: Change) -> Vec<Sample> {
    let (mut plant, _) = Plant::from_record(system).unwrap();
    change(&mut plant);
    (0..3600)
        .map(|k| {
            let at = row::noon(system) + TimeDelta::seconds(k - 3600);
            let second = k as f64;
            let share = 0.9 + 0.08 * (2.0 * PI * second / 1500.0).sin();
            row::row(&plant, at, clear_plane(&plant, at).unwrap() * share, 60.0 + second / 60.0)
        })
        .collect()
}

#[divan::bench(args = LOOKS, sample_count = 10)]
fn singles(bencher: Bencher<'_, '_>, which: &str) {
    let (system, change) = look_at(which);
    let samples = hour(&system, change);
    bencher.bench_local(|| {
        let case = Case::new(&system).with_samples(black_box(&samples));
        let (plant, assumed) = healthy_plant(&system).unwrap();
        let look = Look::new(case.samples, |_| true);
        let scored = Scorer::new(&case, &plant, &assumed, &look).score_all(&mut Memo::default());
        rank(&scored)[0].probability
    });
}

#[divan::bench(args = LOOKS, sample_count = 10)]
fn whole(bencher: Bencher<'_, '_>, which: &str) {
    let (system, change) = look_at(which);
    let samples = hour(&system, change);
    bencher.bench_local(|| explain(&Case::new(&system).with_samples(black_box(&samples))).unwrap());
}
