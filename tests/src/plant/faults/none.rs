//! Nothing is wrong.

use wellwright_domain::cause::Cause;
use wellwright_domain::situation::Noticed;

use super::{Damage, Fault, StandBy, Sun};

/// Everything agrees with the record.
pub const HEALTHY: Fault = Fault { cause: Cause::Healthy, ..Fault::PLAIN };

/// Too little sun.
pub const LOW_SUN: Fault = Fault {
    cause: Cause::LowSun,
    sun: Sun::TooLittle,
    damage: |_| None,
    noticed: &[(Noticed::NoWater, 0.5), (Noticed::LessWater, 0.3), (Noticed::StopsAndStarts, 0.25)],
    touched: &[],
    ..Fault::PLAIN
};

/// Stopped as meant.
pub const STANDING_BY: Fault = Fault {
    cause: Cause::StandingBy,
    sun: Sun::Any,
    damage: |d: &mut Damage| {
        let full = if d.plant.float { 1.0 } else { 0.0 };
        d.stand_by = Some(match d.dice.weighted(&[full, 0.6, 0.35]) {
            0 => StandBy::Full,
            1 => StandBy::Off,
            _ => StandBy::Night,
        });
        None
    },
    noticed: &[(Noticed::NoWater, 0.35)],
    touched: &[],
    ..Fault::PLAIN
};
