//! A site: one record, one time of day, one kind of sky; and a recording with fewer sensors than it was made with.

use wellwright_domain::channel::Channel;
use wellwright_domain::record::{PumpKind, Sensors};

use crate::plant::dice::Dice;
use crate::plant::faults::Sun;
use crate::plant::site::Site;
use crate::plant::sky::SkyKind;
use crate::plant::window::{Wants, choose};
use crate::plant::working::{draw_working, threshold};
use crate::plant::{Case, SensorSet};

/// Longest window of a site, s.
const LONGEST: f64 = 4_000.0;

/// A site with what words and features need.
pub struct Place {
    /// Site.
    pub site: Site,
    /// Flow at 900 W/m2 as first built, m3/h.
    pub flow_size: f64,
}

impl Place {
    /// Draws site number `n`: kinds of pump and sky in turn, with strings in parallel, float and probe, so that no
    /// cause is left out for want of a part.
    pub fn draw(seed: u64, n: usize) -> Place {
        let mut dice = Dice::new(seed, n as u64, 77);
        let kind = [PumpKind::Centrifugal, PumpKind::HelicalRotor][n % 2];
        let sky = [SkyKind::Clear, SkyKind::Broken, SkyKind::Hazy][n % 3];
        loop {
            let (drawn, plant, family) = draw_working(&mut dice);
            let strings = drawn.system.array.strings.unwrap_or(1);
            let fitted = drawn.fitted.tank_float && drawn.fitted.dry_probe_depth_m.is_some();
            if drawn.system.pump.kind != kind || strings < 2 || !fitted {
                continue;
            }
            let wants = Wants {
                plant: &plant,
                threshold: threshold(&plant),
                sun: Sun::Enough,
                stand_by: None,
                starts: 0.7,
                offset_h: drawn.offset_h,
                air_c: drawn.air_c,
            };
            let window = (0..60).find_map(|_| {
                choose(&wants, &mut dice).filter(|w| w.sky == sky && w.seconds < LONGEST && w.spacing >= 2.0)
            });
            if let Some(window) = window {
                let flow_size = 3600.0 * plant.settled_flow(900.0, 25.0);
                return Place { site: Site { drawn, family, window }, flow_size };
            }
        }
    }

    /// In one line.
    pub fn words(&self) -> String {
        let array = &self.site.drawn.system.array;
        let volts = f64::from(array.series.unwrap_or(1)) * array.module.vmp_v.unwrap_or(0.0);
        let w = &self.site.window;
        format!(
            "{}, {volts:.0} V, {:.1} m3/h, {:.0} min at {:.0} s, {:?} sky",
            self.site.family,
            self.flow_size,
            w.seconds / 60.0,
            w.spacing,
            w.sky
        )
    }
}

/// The case as fewer sensors would have told it.
pub fn strip(case: &Case, set: SensorSet) -> Case {
    use Channel::{ArrayA, ArrayV, ControllerC, FlowM3H, MotorRpm, OutputV, PhaseUA, PhaseVA, PhaseWA};
    let mut case = case.clone();
    let kept: &[Channel] = match set {
        SensorSet::Full => return case,
        SensorSet::Middling => {
            &[ArrayV, ArrayA, MotorRpm, PhaseUA, PhaseVA, PhaseWA, OutputV, ControllerC, FlowM3H]
        }
        SensorSet::Lean => &[ArrayV, ArrayA, MotorRpm],
    };
    for sample in &mut case.samples {
        for channel in Channel::ALL.into_iter().filter(|c| !kept.contains(c)) {
            sample.set(channel, None);
        }
    }
    let flow = case.system.sensors.flow_m3_h.take().filter(|_| set == SensorSet::Middling);
    case.system.sensors = Sensors { flow_m3_h: flow, ..Sensors::default() };
    case.sensors = set;
    case
}
