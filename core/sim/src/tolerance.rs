//! How a healthy system ordinarily differs from its record.
//!
//! One sigma of each quantity is the contract's (engineering judgement until confirmed cases exist). Draws
//! stop at 2.2 sigma: beyond that a quantity would be a fault of its own.

use wellwright_domain::record::{PipeMaterial, PumpKind, System};
use wellwright_physics::error::PhysicsError;
use wellwright_physics::plant::Plant;
use wellwright_physics::pump::Pump;
use wellwright_physics::sun::Plane;

use crate::dice::Dice;

/// Head at a flow (centrifugal), relative.
const HEAD: f64 = 0.03;
/// Displacement (helical rotor), relative.
const DISPLACEMENT: f64 = 0.02;
/// Efficiency of the pump end, relative.
const EFFICIENCY: f64 = 0.04;
/// Back-EMF constant, relative.
const KE: f64 = 0.03;
/// Resistance of the motor, relative.
const MOTOR_OHM: f64 = 0.04;
/// Length of a cable; resistance of its conductor, relative.
const CABLE: f64 = 0.02;
/// Current of the modules, relative.
const MODULE_A: f64 = 0.02;
/// Voltage of the modules, relative.
const MODULE_V: f64 = 0.01;
/// Tilt, degrees.
const TILT_DEG: f64 = 2.0;
/// Azimuth, degrees.
const AZIMUTH_DEG: f64 = 4.0;
/// Resting level, m.
const STATIC_M: f64 = 1.0;
/// Drawdown, relative.
const DRAWDOWN: f64 = 0.2;
/// Friction of smooth pipe, relative.
const SMOOTH: f64 = 0.1;
/// Friction of steel or galvanised pipe, and of fittings, relative.
const ROUGH: f64 = 0.3;
/// DC cable with its connectors, relative.
const DC_OHM: f64 = 0.15;
/// Controller efficiency, points.
const CONTROLLER: f64 = 0.015;

/// The plant that was really built, from the plant of the record.
///
/// # Errors
/// [`PhysicsError`] when the tilted plane cannot exist; not for a record that was checked.
pub fn as_built(system: &System, record: &Plant, dice: &mut Dice) -> Result<Plant, PhysicsError> {
    let mut plant = record.clone();
    let ratio = |dice: &mut Dice, sigma: f64| (1.0 + dice.ordinary(sigma)).max(0.2);

    let size = if plant.kind == PumpKind::Centrifugal { HEAD } else { DISPLACEMENT };
    plant.condition.pump.size_ratio *= ratio(dice, size);
    plant.condition.pump.efficiency_ratio *= ratio(dice, EFFICIENCY);
    if let Pump::Helical(p) = &mut plant.pump {
        // Friction of rubber is the least certain number of the pump (engineering judgement).
        p.friction_nm *= ratio(dice, 0.1);
        p.slip_m3h_per_m *= ratio(dice, 0.15);
    }
    plant.motor.ke_v_per_krpm *= ratio(dice, KE);
    plant.motor.phase_ohm *= ratio(dice, MOTOR_OHM);
    plant.motor.no_load_nm *= ratio(dice, 0.1);
    plant.cable_ohm *= ratio(dice, CABLE) * ratio(dice, CABLE);

    plant.array.current_share *= ratio(dice, MODULE_A);
    plant.array.voltage_share *= ratio(dice, MODULE_V);
    plant.array.dc_ohm *= ratio(dice, DC_OHM);
    plant.controller.efficiency = (plant.controller.efficiency + dice.ordinary(CONTROLLER)).clamp(0.5, 0.99);
    let plane = plant.view.plane;
    plant.view.plane = Plane::new(
        (plane.tilt_deg() + dice.ordinary(TILT_DEG)).clamp(0.0, 90.0),
        (plane.azimuth_deg() + dice.ordinary(AZIMUTH_DEG)).rem_euclid(360.0),
        plane.albedo(),
    )?;

    let well = &mut plant.water.well;
    well.static_m = (well.static_m + dice.ordinary(STATIC_M)).clamp(0.0, (well.intake_m - 1.0).max(0.0));
    let drawdown = ratio(dice, DRAWDOWN);
    well.drawdown.b *= drawdown;
    well.drawdown.c *= drawdown;
    let delivery = &system.delivery;
    plant.condition.water.riser_friction *= ratio(dice, friction(delivery.riser_material));
    plant.condition.water.surface_friction *= ratio(dice, friction(delivery.surface_material));
    plant.water.pipes.fittings_k *= ratio(dice, ROUGH);
    Ok(plant)
}

fn friction(material: Option<PipeMaterial>) -> f64 {
    match material {
        Some(PipeMaterial::Galvanised | PipeMaterial::Steel) => ROUGH,
        Some(PipeMaterial::Pe | PipeMaterial::Pvc) | None => SMOOTH,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use wellwright_domain::examples::kestrel_hollow;

    #[test]
    fn spread_is_that_of_the_contract() {
        let system = kestrel_hollow();
        let (record, _) = Plant::from_record(&system).unwrap();
        let n = 4000;
        let mut square = [0.0; 3];
        for seed in 0..n {
            let built = as_built(&system, &record, &mut Dice::new(seed, "built")).unwrap();
            let off = [
                (built.motor.ke_v_per_krpm / record.motor.ke_v_per_krpm - 1.0) / KE,
                (built.water.well.static_m - record.water.well.static_m) / STATIC_M,
                (built.array.dc_ohm / record.array.dc_ohm - 1.0) / DC_OHM,
            ];
            for (s, o) in square.iter_mut().zip(off) {
                *s += o * o / n as f64;
            }
        }
        // cutting at 2.2 sigma leaves 0.93 of it
        for s in square {
            assert!((s.sqrt() - 0.93).abs() < 0.04, "{square:?}");
        }
    }
}
