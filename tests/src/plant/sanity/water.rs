//! Faults of well and pipe.

use wellwright_domain::cause::Cause;
use wellwright_domain::flags::{Flag, PumpState};

use super::{damaged, full, near, view};
use crate::plant::Case;
use crate::plant::plant::SHUT;
use crate::plant::well::WellState;

#[test]
fn a_fallen_level_is_deeper_and_still_covers_the_pump() {
    damaged(Cause::StaticLevelDrop, 25, |healthy, plant, severity| {
        near(plant.well.rest - healthy.well.rest, severity.unwrap(), 1e-9);
        let running = plant.well.rest + plant.well.settled(plant.settled_flow(900.0, 25.0));
        assert!(running < plant.well.intake, "{running}");
        assert!(plant.settled_flow(900.0, 25.0) <= healthy.settled_flow(900.0, 25.0));
    });
}

#[test]
fn a_clogged_screen_draws_down_by_its_ratio_and_rests_where_it_did() {
    damaged(Cause::CloggedScreen, 25, |healthy, plant, severity| {
        let q = healthy.settled_flow(900.0, 25.0);
        near(plant.well.settled(q), severity.unwrap() * healthy.well.settled(q), 1e-9);
        assert_eq!(plant.well.rest, healthy.well.rest);
        // The growing cone is the old one: what is more acts at once.
        near(plant.well.b * plant.well.decade, healthy.well.b * healthy.well.decade, 1e-9);
    });
}

#[test]
fn a_poor_well_is_pumped_to_where_the_pump_stops_or_takes_air() {
    damaged(Cause::WellYieldLimit, 20, |healthy, plant, severity| {
        let takes = healthy.settled_flow(900.0, 25.0);
        near(plant.well.most, severity.unwrap() * takes, 1e-9);
        let mut state = WellState::default();
        plant.well.step(&mut state, takes, 40.0 * 3600.0);
        near(plant.well.depth(&state), plant.well.intake, 1e-6);
        near(state.inflow, plant.well.most, 1e-6);
    });
    for case in full(Cause::WellYieldLimit, 8) {
        let told = |t: &crate::plant::run::Truth| t.flags.has(Flag::DryProbe) || t.flags.has(Flag::UnderLoad);
        let low = case.truth.iter().any(|t| t.depth > case.plant.well.intake - 0.2 || told(t));
        assert!(low, "{}", case.name);
    }
}

#[test]
fn narrowed_pipes_lose_their_ratio_at_the_same_flow() {
    damaged(Cause::NarrowedPipe, 30, |healthy, plant, severity| {
        let q = healthy.settled_flow(900.0, 25.0);
        let loss = |p: &crate::plant::plant::Plant| p.riser.loss(q) + p.surface.loss(q);
        near(loss(plant), severity.unwrap() * loss(healthy), 1e-6);
        assert!(plant.settled_flow(900.0, 25.0) < q);
    });
}

#[test]
fn a_leak_takes_its_share_below_or_after_the_meter() {
    let (mut below, mut after) = (0, 0);
    damaged(Cause::RiserLeak, 50, |_, plant, severity| {
        let held = plant.settled(900.0, 25.0).unwrap().load;
        let lost = 1.0 - held.arrives / held.pump.q;
        let told = severity.unwrap();
        assert!((lost - told).abs() < 0.02, "{lost} is not {told}");
        if plant.leak.unwrap().in_riser() {
            below += 1;
            near(held.out.max(1e-9), held.arrives.max(1e-9), 1e-6);
        } else {
            after += 1;
            near(held.out, held.pump.q, 1e-6);
        }
        if told < 0.99 {
            near(held.pump.q, held.arrives + held.leak, 1e-3);
        }
    });
    assert!(below > 10 && after > 3, "{below} {after}");
}

#[test]
fn a_blocked_riser_shows_little_pressure_where_a_shut_valve_shows_much() {
    let mut gauges = Vec::new();
    for cause in [Cause::BlockedRiser, Cause::ClosedValve] {
        damaged(cause, 30, |healthy, plant, severity| {
            let n = 0.8 * plant.drive.max_rpm;
            let (a, b) = (healthy.load(n, &view(healthy)), plant.load(n, &view(plant)));
            assert!(b.out < a.out || a.out == 0.0);
            if cause == Cause::BlockedRiser {
                assert!(b.gauge <= a.gauge + 0.01, "{} {}", b.gauge, a.gauge);
            } else if a.out > 0.0 {
                assert!(b.gauge > a.gauge, "{} {}", b.gauge, a.gauge);
            }
            if severity == Some(0.0) {
                assert!(plant.block >= SHUT || plant.valve >= SHUT);
                assert_eq!(b.out, 0.0);
                gauges.push(b.gauge);
            }
        });
    }
    assert!(gauges.len() > 8);
}

/// Seconds between the first row that runs after a stop and the first that brings water, of all stops.
fn waits(case: &Case) -> Vec<f64> {
    let mut found = Vec::new();
    for (k, w) in case.truth.windows(2).enumerate() {
        if w[0].state != PumpState::Running && w[1].state == PumpState::Running {
            let comes = case.truth[k..].iter().find(|t| t.flow > 0.0);
            found.extend(comes.map(|t| t.t - w[1].t));
        }
    }
    found
}

#[test]
fn water_is_late_after_the_column_has_drained() {
    let late = |cause: Cause| -> Vec<f64> {
        full(cause, 24)
            .filter(|c| {
                c.window.spacing <= 10.0 && c.plant.check_valve && c.circumstances.situation as u8 > 0
            })
            .filter(|c| cause == Cause::Healthy || c.severity.unwrap() < 5.0)
            .flat_map(|c| waits(&c))
            .filter(|s| *s < 1800.0)
            .collect()
    };
    let mean = |v: &[f64]| v.iter().sum::<f64>() / v.len().max(1) as f64;
    let (leaks, tight) = (late(Cause::CheckValveLeak), late(Cause::Healthy));
    assert!(leaks.len() >= 3 && !tight.is_empty(), "{leaks:?} {tight:?}");
    assert!(mean(&leaks) > mean(&tight) + 20.0, "{leaks:?} {tight:?}");
}
