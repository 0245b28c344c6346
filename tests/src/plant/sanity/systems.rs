//! Whole installations at rest in time: healthy ones lift, faulty ones do what their fault says.

use wellwright_domain::cause::Cause;
use wellwright_domain::record::PumpKind;

use super::damaged;
use crate::plant::as_built::as_built;
use crate::plant::case::{draw_working, threshold};
use crate::plant::dice::Dice;
use crate::plant::plant::Plant;
use crate::plant::pump::Pump;
use crate::plant::record::{FAMILIES, draw_system};

#[test]
fn every_family_draws_systems_that_lift_water_at_good_sun() {
    for (k, family) in FAMILIES.iter().enumerate() {
        let mut dice = Dice::new(11, k as u64, 1);
        let (mut drawn_count, mut lift_count) = (0, 0);
        for _ in 0..3000 {
            let Some(drawn) = draw_system(family, &mut dice) else { continue };
            drawn_count += 1;
            assert!(drawn.system.faults().is_empty(), "{}: {:?}", family.name, drawn.system.faults());
            let plant = as_built(&drawn.system, &drawn.fitted, &mut dice);
            if plant.settled_flow(900.0, 30.0) > 0.45 * drawn.design_q {
                lift_count += 1;
            }
            if drawn_count == 12 {
                break;
            }
        }
        assert_eq!(drawn_count, 12, "{} hardly ever fits together", family.name);
        assert!(lift_count >= 8, "{}: only {lift_count} of 12 lift water", family.name);
    }
}

#[test]
fn reversed_pumps_lift_little_or_nothing() {
    damaged(Cause::ReversedRotation, 60, |healthy, plant, _| {
        let share = plant.settled_flow(900.0, 25.0) / healthy.settled_flow(900.0, 25.0);
        match plant.pump {
            Pump::Helical(_) => assert_eq!(share, 0.0),
            Pump::Centrifugal(_) => assert!(share < 0.5, "{share}"),
        }
    });
}

#[test]
fn a_closed_valve_passes_its_share() {
    damaged(Cause::ClosedValve, 40, |healthy, plant, severity| {
        let share = plant.settled(900.0, 25.0).map_or(0.0, |h| h.load.out)
            / healthy.settled(900.0, 25.0).unwrap().load.out;
        let told = severity.unwrap();
        assert!((share - told).abs() < 0.02, "{share} is not {told}");
    });
}

#[test]
fn more_resistance_never_lifts_more_and_costs_power() {
    for cause in [Cause::HighResistanceJoint, Cause::UndersizedDropCable] {
        damaged(cause, 30, |healthy, plant, severity| {
            let (a, b) = (healthy.settled(900.0, 25.0).unwrap(), plant.settled(900.0, 25.0).unwrap());
            assert!(b.n <= a.n * 1.001, "{} {}", a.n, b.n);
            assert!(severity.unwrap() > 0.04);
        });
    }
}

#[test]
fn shade_never_gives_more_power() {
    damaged(Cause::PartialShade, 30, |healthy, plant, severity| {
        let light = crate::plant::sun::Light { beam: 700.0, diffuse: 150.0, glass: 1.0 };
        let best = |p: &Plant| p.panels.curve(light, 45.0).best(20.0).1;
        assert!(best(plant) < best(healthy));
        assert_eq!(plant.panels.substrings(), healthy.panels.substrings());
        assert!((0.01..=0.99).contains(&severity.unwrap()));
    });
}

#[test]
fn water_starts_at_its_threshold_and_grows_with_sun() {
    for index in 0..25 {
        let (_, plant, family) = draw_working(&mut Dice::new(31, index, 4));
        let start = threshold(&plant);
        assert!(start < 650.0, "{family}: {start}");
        let flows = [0.9 * start, 1.1 * start, 1.6 * start, 2.2 * start].map(|g| plant.settled_flow(g, 20.0));
        assert!(flows.windows(2).all(|w| w[1] >= 0.995 * w[0]), "{family}: {flows:?}");
    }
}

#[test]
fn both_kinds_and_both_drives_occur() {
    let kinds: Vec<_> = FAMILIES.iter().map(|f| (f.kind, f.drive)).collect();
    for kind in [PumpKind::Centrifugal, PumpKind::HelicalRotor] {
        for drive in
            [wellwright_domain::record::Drive::FieldOriented, wellwright_domain::record::Drive::SixStep]
        {
            assert!(kinds.contains(&(kind, drive)));
        }
    }
    assert!(FAMILIES.len() >= 12);
}

#[test]
fn systems_span_the_small_and_the_large_of_both_kinds() {
    let mut seen = Vec::new();
    for number in 0..200 {
        let (drawn, plant, family) = draw_working(&mut Dice::new(41, number, 4));
        let a = &drawn.system.array;
        let volts = f64::from(a.series.unwrap()) * a.module.vmp_v.unwrap();
        let watts = volts * f64::from(a.strings.unwrap()) * a.module.imp_a.unwrap();
        seen.push((matches!(plant.pump, Pump::Helical(_)), volts, watts, family));
    }
    let families: std::collections::BTreeSet<_> = seen.iter().map(|s| s.3).collect();
    assert!(families.len() >= 12, "{families:?}");
    let of = |helical: bool| seen.iter().filter(move |s| s.0 == helical);
    for (helical, volts, watts) in
        [(true, (80.0, 280.0), (500.0, 2000.0)), (false, (85.0, 400.0), (800.0, 5500.0))]
    {
        assert!(of(helical).count() > 40);
        assert!(of(helical).any(|s| s.1 < volts.0) && of(helical).any(|s| s.1 > volts.1), "{helical}");
        assert!(of(helical).any(|s| s.2 < watts.0) && of(helical).any(|s| s.2 > watts.1), "{helical}");
    }
    assert!(seen.iter().all(|s| (50.0..500.0).contains(&s.1) && (200.0..10_000.0).contains(&s.2)));
}
