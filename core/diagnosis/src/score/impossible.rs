//! Readings that an array cannot give in any light: then the record, or a sensor that nothing here models, is wrong.

use wellwright_domain::channel::Channel;
use wellwright_physics::plant::Plant;

use crate::causes::Hypothesis;
use crate::window::Steady;

/// The brightest light and the coldest cells that are granted, W/m2 and degC.
const BRIGHT_W_M2: f64 = 1300.0;
const COLD_C: f64 = -10.0;

/// Room for tolerances and sensors.
const ROOM: f64 = 1.06;

/// What an impossible reading costs, natural log. A slow tail forgives what lies far off; this does not.
const COST: f64 = 16.0;

/// log likelihood of voltage and current at the controller's input lying within what the array can give at all.
pub fn log_likelihood(points: &[Steady], plant: &Plant, h: &Hypothesis) -> f64 {
    if points.is_empty() || h.loose.sun {
        return 0.0;
    }
    let most = |c: Channel| points.iter().filter_map(|p| p.get(c)).fold(0.0, f64::max);
    let curve = plant.array.curve(BRIGHT_W_M2, COLD_C, &plant.condition.array);
    let hot = plant.array.curve(BRIGHT_W_M2, 60.0, &plant.condition.array);
    let over =
        most(Channel::ArrayV) > ROOM * curve.voc() || most(Channel::ArrayA) > ROOM * hot.current_a(0.0);
    if over { -COST } else { 0.0 }
}
