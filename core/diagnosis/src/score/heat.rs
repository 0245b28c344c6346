//! Is the controller hot? Its own reading, or its flag.

use wellwright_domain::cause::Cause;
use wellwright_domain::channel::Channel;
use wellwright_physics::plant::Plant;

use crate::window::{Look, Outcome};

/// A sound controller is hot enough to hold back in so many windows of good sun (engineering judgement).
const SOUND: f64 = 0.02;

/// Hottest that the heat sink was seen while it ran, degC.
pub fn hottest_c(look: &Look) -> Option<f64> {
    look.steady.iter().filter_map(|p| p.get(Channel::ControllerC)).max_by(f64::total_cmp)
}

/// True when its flag says that it is or was too hot.
pub fn is_flagged(look: &Look) -> bool {
    look.stops.hot_share > 0.02 || look.stops.count(Outcome::TooHot) > 0
}

/// log likelihood of what is known of the controller's heat.
pub fn log_likelihood(look: &Look, plant: &Plant, cause: Cause) -> f64 {
    let hottest = hottest_c(look);
    let tripped = look.stops.count(Outcome::TooHot) > 0 && !look.stops.names_too_many_reasons();
    // a stop for heat is weighed with the other stops
    if hottest.is_none() && (look.steady.is_empty() || tripped) {
        return 0.0;
    }
    let read = hottest.is_some_and(|c| c >= plant.controller.derate_from_c - 1.5);
    if cause == Cause::ControllerFailed && !read {
        // what its flags say has no sense
        return 0.0;
    }
    let hot = read || is_flagged(look);
    let p: f64 = match (cause, hottest.is_none()) {
        (Cause::ControllerOverheating, false) => 0.95,
        // few controllers say so before they trip
        (Cause::ControllerOverheating, true) => 0.4,
        (Cause::Unknown, _) => 0.2,
        (_, false) => SOUND,
        (_, true) => 0.5 * SOUND,
    };
    if hot { p.ln() } else { (1.0 - p).ln() }
}
