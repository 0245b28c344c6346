//! Leads, joints and cable.

use wellwright_domain::cause::Cause;
use wellwright_domain::situation::{Noticed, Touched};

use super::{Damage, Fault, Sun};

/// Two leads are swapped.
pub const REVERSED_ROTATION: Fault = Fault {
    cause: Cause::ReversedRotation,
    sun: Sun::Enough,
    damage: |d: &mut Damage| {
        d.plant.back = true;
        None
    },
    noticed: &[(Noticed::NoWater, 0.75), (Noticed::LessWater, 0.15), (Noticed::Noise, 0.2)],
    touched: &[Touched::Joint, Touched::Cable, Touched::Pump, Touched::Motor, Touched::Controller],
};

/// One lead carries nothing.
pub const OPEN_PHASE: Fault = Fault {
    cause: Cause::OpenPhase,
    sun: Sun::Enough,
    damage: |d: &mut Damage| {
        d.plant.motor.open = Some(d.dice.int(0, 2));
        None
    },
    noticed: &[(Noticed::NoWater, 0.9), (Noticed::Noise, 0.3), (Noticed::StopsAndStarts, 0.3)],
    touched: &[Touched::Joint, Touched::Cable, Touched::Pump, Touched::Motor, Touched::Controller],
};

/// One joint has extra resistance. The prior is on the share of rated phase voltage lost at rated current.
pub const HIGH_RESISTANCE_JOINT: Fault = Fault {
    cause: Cause::HighResistanceJoint,
    sun: Sun::Enough,
    damage: |d: &mut Damage| {
        let m = &mut d.plant.motor;
        let share = d.dice.log_uniform(0.02, 0.5);
        let volts = m.ke * m.rated_rpm / 1000.0 / 3.0_f64.sqrt();
        let ohm = (share * volts / m.rated_a).clamp(0.05, 12.0);
        m.extra[d.dice.int(0, 2)] = ohm;
        Some(ohm)
    },
    noticed: &[(Noticed::LessWater, 0.5), (Noticed::Hot, 0.15), (Noticed::StopsAndStarts, 0.1)],
    touched: &[Touched::Joint, Touched::Cable, Touched::Pump, Touched::Motor],
};

/// All leads lose more than the record says.
pub const UNDERSIZED_DROP_CABLE: Fault = Fault {
    cause: Cause::UndersizedDropCable,
    sun: Sun::Enough,
    damage: |d: &mut Damage| {
        let ratio = d.dice.log_uniform(1.3, 5.0);
        d.plant.motor.lead *= ratio;
        Some(ratio)
    },
    noticed: &[(Noticed::LessWater, 0.5), (Noticed::Hot, 0.1)],
    touched: &[Touched::Cable, Touched::Joint, Touched::Pump],
};
