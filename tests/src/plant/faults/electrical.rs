//! Leads, joints and cable.

use wellwright_domain::cause::Cause;
use wellwright_domain::situation::{Noticed, Touched};

use super::{Damage, Fault};

/// Two leads are swapped.
pub const REVERSED_ROTATION: Fault = Fault {
    cause: Cause::ReversedRotation,
    damage: |d: &mut Damage| {
        d.plant.back = true;
        None
    },
    noticed: &[(Noticed::NoWater, 0.75), (Noticed::LessWater, 0.15), (Noticed::Noise, 0.2)],
    touched: &[Touched::Joint, Touched::Cable, Touched::Pump, Touched::Motor, Touched::Controller],
    ..Fault::PLAIN
};

/// One lead carries nothing.
pub const OPEN_PHASE: Fault = Fault {
    cause: Cause::OpenPhase,
    damage: |d: &mut Damage| {
        d.plant.motor.open = Some(d.dice.int(0, 2));
        None
    },
    noticed: &[(Noticed::NoWater, 0.9), (Noticed::Noise, 0.3), (Noticed::StopsAndStarts, 0.3)],
    touched: &[Touched::Joint, Touched::Cable, Touched::Pump, Touched::Motor, Touched::Controller],
    ..Fault::PLAIN
};

/// One joint has extra resistance. The prior is on the share of rated phase voltage lost at rated current.
pub const HIGH_RESISTANCE_JOINT: Fault = Fault {
    cause: Cause::HighResistanceJoint,
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
    ..Fault::PLAIN
};

/// All leads lose more than the record says.
pub const UNDERSIZED_DROP_CABLE: Fault = Fault {
    cause: Cause::UndersizedDropCable,
    damage: |d: &mut Damage| {
        let ratio = d.dice.log_uniform(1.3, 5.0);
        d.plant.motor.lead *= ratio;
        Some(ratio)
    },
    noticed: &[(Noticed::LessWater, 0.5), (Noticed::Hot, 0.1)],
    touched: &[Touched::Cable, Touched::Joint, Touched::Pump],
    ..Fault::PLAIN
};

/// Extra resistance between array and controller. The prior is on the share of the array's best-point voltage lost
/// at its best-point current.
pub const DC_SIDE_LOSS: Fault = Fault {
    cause: Cause::DcSideLoss,
    damage: |d: &mut Damage| {
        let (module, strings) = (&d.plant.panels.module, &d.plant.panels.strings);
        let each = d.plant.panels.substrings() / strings.iter().map(|s| s.1).sum::<usize>();
        let volts = module.vmp * (each / module.substrings) as f64;
        let amps = module.imp * strings.iter().map(|s| s.1).sum::<usize>() as f64;
        let drawn = (0..40).map(|_| d.dice.log_uniform(0.02, 0.5) * volts / amps);
        let ohm = drawn.into_iter().find(|ohm| (0.2..=10.0).contains(ohm));
        d.unfit = ohm.is_none();
        d.plant.panels.dc_ohm += ohm.unwrap_or(0.0);
        ohm
    },
    noticed: &[(Noticed::LessWater, 0.5), (Noticed::StopsAndStarts, 0.15), (Noticed::Hot, 0.15)],
    touched: &[Touched::Array, Touched::Controller, Touched::Cable],
    ..Fault::PLAIN
};

/// A lead or winding leaks to ground, kohm. A controller that looks for it trips below its own limit; above, nothing
/// shows.
pub const INSULATION_FAULT: Fault = Fault {
    cause: Cause::InsulationFault,
    damage: |d: &mut Damage| {
        let kohm = d.dice.log_uniform(1.0, 500.0);
        d.plant.motor.earth = Some((d.dice.int(0, 2), 1000.0 * kohm));
        Some(kohm)
    },
    noticed: &[(Noticed::NoWater, 0.3), (Noticed::StopsAndStarts, 0.3)],
    touched: &[Touched::Joint, Touched::Cable, Touched::Motor, Touched::Pump],
    ..Fault::PLAIN
};

/// Turns of one phase are shorted: they no longer help to turn, and the current in the short brakes and heats. What
/// it brakes depends on how good the short is (engineering judgement: 0.5 to 1.2 of rated torque for all turns).
pub const WINDING_FAULT: Fault = Fault {
    cause: Cause::WindingFault,
    damage: |d: &mut Damage| {
        let share = d.dice.log_uniform(0.05, 0.5);
        let brakes = d.dice.uniform(0.5, 1.2) * share * d.plant.motor.rated_torque();
        let phase = d.dice.int(0, 2);
        d.plant.motor.shorted = Some((phase, share, brakes));
        Some(share)
    },
    noticed: &[
        (Noticed::LessWater, 0.4),
        (Noticed::NoWater, 0.2),
        (Noticed::Hot, 0.3),
        (Noticed::StopsAndStarts, 0.3),
        (Noticed::Noise, 0.15),
    ],
    touched: &[Touched::Motor, Touched::Pump, Touched::Controller],
    ..Fault::PLAIN
};

/// The rotor has lost magnetisation. Severity: flux lost.
pub const WEAK_MAGNETS: Fault = Fault {
    cause: Cause::WeakMagnets,
    damage: |d: &mut Damage| {
        let lost = d.dice.log_uniform(0.05, 0.4);
        d.plant.motor.ke *= 1.0 - lost;
        Some(lost)
    },
    noticed: &[(Noticed::LessWater, 0.4), (Noticed::Hot, 0.25), (Noticed::StopsAndStarts, 0.15)],
    touched: &[Touched::Motor, Touched::Pump],
    ..Fault::PLAIN
};
