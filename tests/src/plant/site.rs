//! The same record and time of day again and again, to see what chance alone does.

use super::as_built::as_built;
use super::case::{Case, Order, attempt};
use super::dice::Dice;
use super::faults::{Fault, StandBy, Sun};
use super::plan::plan;
use super::record::Drawn;
use super::sky::SkyKind;
use super::window::Window;
use super::working::works;

/// A record and a stretch of time at which recordings are made again and again.
#[derive(Debug, Clone)]
pub struct Site {
    /// Record.
    pub drawn: Drawn,
    /// Family of the system.
    pub family: &'static str,
    /// Time, length, spacing, kind of sky.
    pub window: Window,
}

/// Another recording at a site: only the record and the kind of day are given; as built, weather, instruments and
/// severity are drawn anew. `None` when this draw cannot be.
pub fn make_at(site: &Site, order: &Order) -> Option<Case> {
    let mut dice = Dice::new(order.seed, order.index, 1);
    let plan = plan(order, &site.drawn.system, &mut dice);
    let healthy = as_built(&site.drawn.system, &site.drawn.fitted, &mut dice);
    if !plan.fits(&site.drawn.system) || !works(&healthy, &site.drawn) {
        return None;
    }
    attempt(order, &plan, (&site.drawn, &healthy, site.family), Some(&site.window), &mut dice)
}

/// The same stretch of time with its weather drawn anew: begun up to an hour and a half earlier or later, overcast
/// when there must be little sun, switched off when somebody did.
pub(super) fn again(window: &Window, fault: &Fault, stand_by: Option<StandBy>, dice: &mut Dice) -> Window {
    let mut window = window.clone();
    let shift = (dice.uniform(-1.5, 1.5) * 3600.0).round();
    window.start += shift;
    window.switch.iter_mut().for_each(|s| s.0 += shift);
    if fault.sun == Sun::TooLittle {
        window.sky = SkyKind::Overcast;
    }
    window.level = match window.sky {
        SkyKind::Clear | SkyKind::Broken => dice.uniform(0.95, 1.03),
        SkyKind::Hazy => dice.uniform(0.6, 0.9),
        SkyKind::Overcast => dice.uniform(0.04, 0.3),
    };
    window.air.0 += dice.normal(0.0, 2.0);
    match stand_by {
        Some(StandBy::Off) => {
            let at = if dice.chance(0.6) { -window.before } else { dice.uniform(0.05, 0.3) * window.seconds };
            window.switch = vec![(window.start + at - 1.0, false)];
        }
        Some(StandBy::Full) => window.switch.clear(),
        _ => {}
    }
    window
}
