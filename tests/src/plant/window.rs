//! When somebody looks: date, length, spacing of rows, sky, and whether the switch is turned meanwhile.

use super::dice::Dice;
use super::faults::{StandBy, Sun};
use super::plant::Plant;
use super::sky::{Sky, SkyKind};

/// A stretch of recording.
#[derive(Debug, Clone)]
pub struct Window {
    /// First instant, seconds since 1970.
    pub start: f64,
    /// Length, s.
    pub seconds: f64,
    /// Spacing of rows, s; over 60 s the rows are means.
    pub spacing: f64,
    /// Step of the simulation, s.
    pub dt: f64,
    /// Simulated before the first row, s.
    pub before: f64,
    /// Offset of the time stamps from UTC, s.
    pub offset_s: i32,
    /// Spacing wanders a little.
    pub jitter: bool,
    /// When the switch is turned, and to what.
    pub switch: Vec<(f64, bool)>,
    /// Kind of sky.
    pub sky: SkyKind,
    /// Mean share of clear-sky light in its open part.
    pub level: f64,
    /// Mean air temperature and half its daily swing, degC.
    pub air: (f64, f64),
}

/// What the window has to suit.
pub struct Wants<'a> {
    /// The healthy plant.
    pub plant: &'a Plant,
    /// Light it needs to lift water, W/m2.
    pub threshold: f64,
    /// Sun.
    pub sun: Sun,
    /// A meant stop.
    pub stand_by: Option<StandBy>,
    /// Likely that a person starts it inside the window.
    pub starts: f64,
    /// Offset of local time, h.
    pub offset_h: f64,
    /// Mean air temperature of the place.
    pub air_c: f64,
}

fn length(dice: &mut Dice, short_only: bool) -> (f64, f64) {
    let pick = if short_only { dice.weighted(&[0.65, 0.35]) } else { dice.weighted(&[0.55, 0.3, 0.15]) };
    match pick {
        0 => {
            let seconds = dice.uniform(20.0, 62.0) * 60.0;
            (seconds, dice.pick(&[1.0, 2.0, 2.0, 5.0, 10.0]))
        }
        1 => {
            let seconds = dice.uniform(1.0, 5.0) * 3600.0;
            (seconds, dice.pick(&[2.0, 5.0, 10.0, 30.0, 60.0]))
        }
        _ => (dice.pick(&[1.0, 2.0, 2.0]) * 86400.0, dice.pick(&[300.0, 600.0, 900.0])),
    }
}

/// Mean and highest light over the window at a level of sky.
fn light(plant: &Plant, start: f64, seconds: f64, level: f64) -> (f64, f64, f64) {
    let all: Vec<f64> =
        (0..9).map(|k| plant.plane.light(start + seconds * f64::from(k) / 8.0, level).total()).collect();
    let mean = all.iter().sum::<f64>() / all.len() as f64;
    (mean, all.iter().copied().fold(0.0, f64::max), all.iter().copied().fold(f64::MAX, f64::min))
}

/// Draws windows until one suits; `None` when none did.
pub fn choose(wants: &Wants, dice: &mut Dice) -> Option<Window> {
    let solar_h = wants.plant.plane.longitude / 15.0;
    for _ in 0..400 {
        let special = wants.sun == Sun::TooLittle || wants.stand_by.is_some();
        let (seconds, spacing) = length(dice, special);
        let spacing = spacing.max((seconds / 2600.0).ceil());
        let long = seconds > 6.0 * 3600.0;
        let day = 19_358.0 + dice.uniform(0.0, 1415.0).floor();
        let hour = match (wants.stand_by, wants.sun) {
            (Some(StandBy::Night), _) => dice.uniform(20.0, 26.0),
            (_, Sun::TooLittle) => dice.uniform(5.5, 18.5),
            _ if long => dice.uniform(0.0, 24.0),
            _ => dice.uniform(7.5, 16.5),
        };
        let start = (day * 86400.0 + (hour - solar_h) * 3600.0 + dice.uniform(0.0, 60.0).floor()
            - if long { 0.0 } else { seconds / 2.0 })
        .floor();
        let sky = match wants.sun {
            Sun::TooLittle => {
                dice.pick(&[SkyKind::Overcast, SkyKind::Overcast, SkyKind::Clear, SkyKind::Hazy])
            }
            _ => [SkyKind::Clear, SkyKind::Hazy, SkyKind::Broken][dice.weighted(&[0.5, 0.22, 0.28])],
        };
        let level = match sky {
            SkyKind::Clear | SkyKind::Broken => dice.uniform(0.95, 1.03),
            SkyKind::Hazy => dice.uniform(0.6, 0.9),
            SkyKind::Overcast => dice.uniform(0.06, 0.4),
        };
        let through = if sky == SkyKind::Broken { 0.75 * level } else { level };
        let (mean, most, least) = light(wants.plant, start, seconds, through);
        let suits = match (wants.stand_by, wants.sun) {
            (Some(StandBy::Night), _) => most <= 0.0,
            (Some(_), _) => mean > 150.0,
            (_, Sun::TooLittle) => most < 0.9 * wants.threshold && least > 15.0,
            _ if long => true,
            _ => mean > 1.3 * wants.threshold && least > 1.05 * wants.threshold && mean > 250.0,
        };
        if !suits {
            continue;
        }
        let mut switch = Vec::new();
        let mut before = if long { 1800.0 } else { dice.uniform(1500.0, 7200.0) };
        match wants.stand_by {
            Some(StandBy::Off) => {
                let at = if dice.chance(0.6) { -before } else { dice.uniform(0.05, 0.3) * seconds };
                switch.push((start + at - 1.0, false));
            }
            None if !long && seconds < 9000.0 && dice.chance(wants.starts) => {
                before = dice.uniform(100.0, 900.0);
                switch.push((start - before - 10.0, false));
                switch.push((start + dice.uniform(30.0, (0.2 * seconds).min(480.0)), true));
            }
            _ => {}
        }
        let year = (day.rem_euclid(365.2425) - 196.0) * 2.0 * std::f64::consts::PI / 365.0;
        let season = if wants.plant.plane.latitude < 0.0 { -1.0 } else { 1.0 };
        let swing = 0.16 * wants.plant.plane.latitude.abs();
        let air = wants.air_c + season * swing * year.cos() + dice.normal(0.0, 3.0);
        let local = if dice.chance(0.6) { wants.offset_h } else { 0.0 };
        let means = spacing > 60.0;
        return Some(Window {
            start,
            seconds,
            spacing,
            dt: if means {
                10.0
            } else if spacing <= 2.0 {
                spacing
            } else {
                (spacing / 4.0).clamp(1.0, 2.5)
            },
            before,
            offset_s: (local * 3600.0) as i32,
            jitter: !means && dice.chance(0.35),
            switch,
            sky,
            level,
            air: (air, dice.uniform(4.0, 8.0)),
        });
    }
    None
}

impl Window {
    /// The sky of this window.
    pub fn clouds(&self, dice: Dice) -> Sky {
        Sky::new(self.sky, self.level, dice)
    }
}
