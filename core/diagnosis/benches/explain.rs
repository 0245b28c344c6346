//! How long one look takes: `cargo bench -p wellwright-diagnosis`.
//!
//! An hour at one row a second with all channels, all causes: `singles` stops at the ranking, `whole` goes on to pairs,
//! evidence and the next check.

use std::f64::consts::PI;

use chrono::{DateTime, FixedOffset, TimeDelta};
use divan::{Bencher, black_box};
use wellwright_diagnosis::predict::healthy_plant;
use wellwright_diagnosis::predict::sky::clear_plane;
use wellwright_diagnosis::rank::rank;
use wellwright_diagnosis::score::{Memo, Scorer};
use wellwright_diagnosis::window::Look;
use wellwright_diagnosis::{Case, explain};
use wellwright_domain::channel::Channel;
use wellwright_domain::examples::{dovecote_bend, kestrel_hollow};
use wellwright_domain::flags::{Flags, PumpState};
use wellwright_domain::record::System;
use wellwright_domain::sample::Sample;
use wellwright_physics::hydraulics::Level;
use wellwright_physics::operating_point::Moment;
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
    let noon = DateTime::parse_from_rfc3339("2026-03-14T12:00:00+00:00").unwrap();
    let start = noon - TimeDelta::seconds((240.0 * system.site.longitude_deg) as i64 + 3600);
    (0..3600).map(|k| row(&plant, start + TimeDelta::seconds(k), k as f64)).collect()
}

fn row(plant: &Plant, at: DateTime<FixedOffset>, second: f64) -> Sample {
    let irradiance_w_m2 = clear_plane(plant, at).unwrap() * (0.9 + 0.08 * (2.0 * PI * second / 1500.0).sin());
    let cell_c = 25.0 + 0.03 * irradiance_w_m2;
    let level = Level::After { minutes: 60.0 + second / 60.0 };
    let point = plant.operating_point(&Moment { irradiance_w_m2, cell_c, level, heat_share: 1.0 });
    let load = point.load.unwrap();
    let mut sample = Sample::new(at)
        .with(Channel::ArrayV, point.dc.v)
        .with(Channel::ArrayA, point.dc.i)
        .with(Channel::MotorRpm, load.rpm)
        .with(Channel::OutputV, load.motor.told_line_v)
        .with(Channel::IrradianceWM2, irradiance_w_m2)
        .with(Channel::ModuleC, cell_c)
        .with(Channel::FlowM3H, load.water.wellhead_m3_h)
        .with(Channel::WellheadKpa, load.water.wellhead_kpa)
        .with(Channel::WaterLevelM, load.water.level_m);
    for (phase, share) in
        [Channel::PhaseUA, Channel::PhaseVA, Channel::PhaseWA].into_iter().zip(load.motor.unbalance)
    {
        sample = sample.with(phase, load.motor.phase_a * share);
    }
    sample.state = Some(PumpState::Running);
    sample.flags = Some(Flags::NONE);
    sample
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
