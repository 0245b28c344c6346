//! Rows of a played plant: twenty minutes under a nearly clear noon sky.

use chrono::TimeDelta;
use wellwright_diagnosis::predict::sky::clear_plane;
use wellwright_domain::record::System;
use wellwright_domain::sample::Sample;
use wellwright_physics::plant::Plant;

use super::row::{noon, row};

/// Twenty minutes of a plant in some condition under a nearly clear noon sky, with all channels.
pub fn running(system: &System, change: impl Fn(&mut Plant)) -> Vec<Sample> {
    let (mut plant, _) = Plant::from_record(system).unwrap();
    plant.array.current_share *= 0.97;
    change(&mut plant);
    let clear = clear_plane(&plant, noon(system)).unwrap();
    (0..120)
        .map(|k| {
            let share = [0.98, 0.9, 0.82, 0.94, 0.86, 0.78][k as usize / 20 % 6];
            row(&plant, noon(system) + TimeDelta::seconds(10 * k), clear * share, 60.0 + k as f64 / 6.0)
        })
        .collect()
}
