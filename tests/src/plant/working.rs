//! Systems that work when nothing is wrong with them.

use super::as_built::as_built;
use super::dice::Dice;
use super::plant::Plant;
use super::record::{Drawn, FAMILIES, draw_system};

/// Draws a system that works when healthy, and how it was built. Tries again until one does.
pub fn draw_working(dice: &mut Dice) -> (Drawn, Plant, &'static str) {
    loop {
        let family = &FAMILIES[dice.int(0, FAMILIES.len() - 1)];
        let Some(drawn) = draw_system(family, dice) else { continue };
        let plant = as_built(&drawn.system, &drawn.fitted, dice);
        if works(&plant, &drawn) {
            return (drawn, plant, family.name);
        }
    }
}

/// Lifts a fair flow at good sun, some at middling sun, and keeps water over intake and probe.
pub(super) fn works(plant: &Plant, drawn: &Drawn) -> bool {
    let good = plant.settled_flow(900.0, 30.0);
    let deepest = drawn.fitted.dry_probe_depth_m.unwrap_or(plant.well.intake) - 0.7;
    good > 0.45 * drawn.design_q
        && plant.settled_flow(600.0, 25.0) > 0.1 * drawn.design_q
        && plant.well.rest + plant.well.settled(1.15 * good.max(drawn.design_q)) * 1.25 < deepest
}

/// Light at which a twentieth of the flow at 900 W/m2 comes, W/m2.
pub fn threshold(plant: &Plant) -> f64 {
    let aim = 0.05 * plant.settled_flow(900.0, 25.0);
    let (mut low, mut high) = (20.0, 900.0);
    for _ in 0..12 {
        let mid = f64::midpoint(low, high);
        if plant.settled_flow(mid, 20.0) > aim { high = mid } else { low = mid }
    }
    high
}
