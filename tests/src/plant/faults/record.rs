//! What stands there is not what the record says. The built side changes; the record stays as it was.

use wellwright_domain::cause::Cause;
use wellwright_domain::situation::{Noticed, Touched};

use super::{Damage, Fault, Shown};
use crate::plant::panel::Group;
use crate::plant::pump::Pump;
use crate::plant::record::MODULES;

/// Ratios that the contract allows.
const RANGE: (f64, f64) = (0.4, 2.0);

fn allowed(ratio: f64, least: f64) -> bool {
    ratio >= RANGE.0 && ratio <= RANGE.1 && ratio.ln().abs() > least
}

/// Another count of modules in the string or of strings, another type, tilt or azimuth. Severity: ratio of the
/// array's voltage or current, whichever differs more; for tilt and azimuth the ratio of light over the recording.
pub const RECORD_MISMATCH: Fault = Fault {
    cause: Cause::RecordMismatch,
    damage: |d: &mut Damage| {
        let panels = &d.plant.panels;
        let (each, strings) =
            (panels.strings[0].0.iter().map(|g| g.count).sum::<usize>(), panels.strings[0].1);
        let old = panels.module.clone();
        let series = each / old.substrings;
        // A controller that would be destroyed is not what anybody comes to look at.
        let most_v = d.system.controller.max_v.unwrap_or(f64::INFINITY);
        let alike = |series: usize| vec![Group { count: series * 3, beam: 1.0, diffuse: 1.0 }];
        for _ in 0..30 {
            match d.dice.weighted(&[0.4, 0.2, 0.2, 0.08, 0.12]) {
                0 => {
                    let now = d.dice.int(1, 2 * series);
                    let ratio = now as f64 / series as f64;
                    let near = now.abs_diff(series) <= 2 || d.dice.chance(0.3);
                    if near && allowed(ratio, 0.02) && now as f64 * old.voc * 1.12 < most_v {
                        d.plant.panels.strings = vec![(alike(now), strings)];
                        return Some(ratio);
                    }
                }
                1 => {
                    let now = d.dice.int(1, 2 * strings);
                    let ratio = now as f64 / strings as f64;
                    if allowed(ratio, 0.02) {
                        d.plant.panels.strings = vec![(alike(series), now)];
                        return Some(ratio);
                    }
                }
                2 => {
                    let (cells, sheet) = d.dice.pick(&MODULES);
                    let [isc, voc, imp, vmp, alpha, beta, ..] = sheet;
                    let (volts, amps) = (vmp / old.vmp, imp / old.imp);
                    let ratio = if volts.ln().abs() > amps.ln().abs() { volts } else { amps };
                    if allowed(ratio, 0.08) && volts > RANGE.0 && series as f64 * voc * 1.12 < most_v {
                        let module = &mut d.plant.panels.module;
                        (module.isc, module.voc, module.imp, module.vmp) = (isc, voc, imp, vmp);
                        (module.alpha, module.beta) = (alpha, beta);
                        module.light_v = f64::from(cells) * 0.0257 * d.dice.uniform(0.92, 1.15);
                        return Some(ratio);
                    }
                }
                3 => {
                    let off = d.dice.uniform(12.0, 50.0);
                    let tilt = d.plant.plane.tilt + if d.dice.chance(0.5) { off } else { -off };
                    if (0.0..=75.0).contains(&tilt) {
                        d.plant.plane.tilt = tilt;
                        // Told by the recording.
                        return None;
                    }
                }
                _ => {
                    let off = d.dice.uniform(35.0, 180.0);
                    d.plant.plane.azimuth += if d.dice.chance(0.5) { off } else { -off };
                    return None;
                }
            }
        }
        d.unfit = true;
        None
    },
    judge: Some(|s: &Shown, drawn| {
        if (s.plant.plane.tilt, s.plant.plane.azimuth) == (s.healthy.plane.tilt, s.healthy.plane.azimuth) {
            return drawn;
        }
        let step = s.truth.len().div_ceil(60).max(1);
        let sum = |plane: &crate::plant::sun::Plane| -> f64 {
            s.truth.iter().step_by(step).map(|t| plane.light(t.t, 0.95).total()).sum()
        };
        let ratio = sum(&s.plant.plane) / sum(&s.healthy.plane).max(1.0);
        allowed(ratio, 0.05).then_some(ratio)
    }),
    noticed: &[(Noticed::LessWater, 0.4), (Noticed::NoWater, 0.1), (Noticed::StopsAndStarts, 0.1)],
    touched: &[Touched::Array],
    ..Fault::PLAIN
};

/// Pump or motor is another one. Severity: head (centrifugal) or volume (helical rotor) at the rated speed that the
/// controller shows over the record's.
pub const EQUIPMENT_MISMATCH: Fault = Fault {
    cause: Cause::EquipmentMismatch,
    damage: |d: &mut Damage| {
        let poles = d.plant.motor.pole_pairs;
        if d.dice.chance(0.3) {
            for _ in 0..20 {
                let now = f64::from(d.dice.pick(&[1_u8, 2, 3, 4, 5]));
                let speed = poles / now;
                let ratio = if matches!(d.plant.pump, Pump::Helical(_)) { speed } else { speed * speed };
                if allowed(ratio, 0.05) {
                    d.plant.motor.pole_pairs = now;
                    d.plant.speed_ratio = speed;
                    return Some(ratio);
                }
            }
        }
        let ratio = (0..40).map(|_| d.dice.log_uniform(RANGE.0, RANGE.1)).find(|r| allowed(*r, 0.1));
        let Some(ratio) = ratio else {
            d.unfit = true;
            return None;
        };
        match &mut d.plant.pump {
            // More or fewer of the same stages.
            Pump::Centrifugal(p) => {
                p.head.iter_mut().chain(p.power.iter_mut()).for_each(|c| *c *= ratio);
            }
            Pump::Helical(p) => {
                p.volume *= ratio;
                p.slip *= ratio;
                p.friction *= ratio.sqrt();
                p.break_away *= ratio.sqrt();
            }
        }
        Some(ratio)
    },
    noticed: &[(Noticed::LessWater, 0.4), (Noticed::NoWater, 0.15), (Noticed::StopsAndStarts, 0.15)],
    touched: &[Touched::Pump, Touched::Motor],
    ..Fault::PLAIN
};
