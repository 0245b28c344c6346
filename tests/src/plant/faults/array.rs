//! Panels.

use wellwright_domain::cause::Cause;
use wellwright_domain::flags::{Flag, Flags};
use wellwright_domain::situation::{Noticed, Touched};

use super::{Damage, Fault};
use crate::plant::panel::Group;
use crate::plant::plant::NoSupply;

/// Part of the array is in shade. Severity: share of substrings.
pub const PARTIAL_SHADE: Fault = Fault {
    cause: Cause::PartialShade,
    damage: |d: &mut Damage| {
        let total = d.plant.panels.substrings();
        let strings = d.plant.panels.strings.iter().map(|s| s.1).sum::<usize>();
        let each = total / strings;
        let wanted = d.dice.log_uniform(0.03, 0.8);
        let shaded = ((wanted * total as f64).round() as usize).clamp(1, total - 1);
        let (beam, diffuse) = (d.dice.uniform(0.0, 0.3), d.dice.uniform(0.5, 0.9));
        let string = |dark: usize| {
            let mut groups = Vec::new();
            if dark < each {
                groups.push(Group { count: each - dark, beam: 1.0, diffuse: 1.0 });
            }
            if dark > 0 {
                groups.push(Group { count: dark, beam, diffuse });
            }
            groups
        };
        // Along a row that crosses all strings, or string by string.
        let across = d.dice.chance(0.5);
        let mut left = shaded;
        let dark: Vec<usize> = (0..strings)
            .map(|s| {
                let share = if across { left.div_ceil(strings - s) } else { left };
                let dark = share.min(each);
                left -= dark;
                dark
            })
            .collect();
        d.plant.panels.strings =
            dark.chunk_by(|a, b| a == b).map(|alike| (string(alike[0]), alike.len())).collect();
        Some(shaded as f64 / total as f64)
    },
    noticed: &[(Noticed::LessWater, 0.5), (Noticed::StopsAndStarts, 0.1)],
    touched: &[Touched::Array],
    ..Fault::PLAIN
};

/// Dust or droppings over the whole array, not quite evenly. Severity: current lost.
pub const SOILING: Fault = Fault {
    cause: Cause::Soiling,
    damage: |d: &mut Damage| {
        let lost = d.dice.log_uniform(0.08, 0.5);
        let panels = &mut d.plant.panels;
        panels.dull = 1.0 - (1.0 - panels.dull) * (1.0 - lost);
        // A lower edge that holds more: a third of each string sees a little less than the rest.
        let uneven = d.dice.uniform(0.0, 0.12) * lost;
        for (groups, _) in &mut panels.strings {
            let total: usize = groups.iter().map(|g| g.count).sum();
            let low = total / 3;
            let light = |x: f64, count: usize| Group { count, beam: x, diffuse: x };
            if low > 0 {
                *groups = vec![light(1.0 + 0.5 * uneven, total - low), light(1.0 - uneven, low)];
            }
        }
        Some(lost)
    },
    noticed: &[(Noticed::LessWater, 0.5)],
    touched: &[Touched::Array],
    ..Fault::PLAIN
};

/// Some parallel strings carry nothing. Severity: how many.
pub const OPEN_STRING: Fault = Fault {
    cause: Cause::OpenString,
    damage: |d: &mut Damage| {
        let (groups, strings) = d.plant.panels.strings[0].clone();
        if strings < 2 {
            d.unfit = true;
            return None;
        }
        let open = if d.dice.chance(0.7) { 1 } else { d.dice.int(1, (strings - 1).min(10)) };
        d.plant.panels.strings = vec![(groups, strings - open)];
        Some(open as f64)
    },
    noticed: &[(Noticed::LessWater, 0.5), (Noticed::StopsAndStarts, 0.1)],
    touched: &[Touched::Array],
    ..Fault::PLAIN
};

/// Nothing arrives from the array.
pub const NO_DC_SUPPLY: Fault = Fault {
    cause: Cause::NoDcSupply,
    damage: |d: &mut Damage| {
        d.plant.no_supply = Some(match d.dice.weighted(&[0.35, 0.15, 0.1, 0.25, 0.15]) {
            0 => NoSupply::Zero(Flags::NONE),
            1 => NoSupply::Zero(Flags::NONE.with(Flag::UnderVoltage)),
            2 => NoSupply::Zero(Flags::NONE.with(Flag::LowPower)),
            3 => NoSupply::CommsLost,
            _ => NoSupply::RowsEnd,
        });
        None
    },
    noticed: &[(Noticed::NoWater, 0.92)],
    touched: &[Touched::Array, Touched::Controller],
    ..Fault::PLAIN
};

/// Bypass diodes conduct. Severity: substrings missing.
pub const SHORTED_BYPASS: Fault = Fault {
    cause: Cause::ShortedBypass,
    damage: |d: &mut Damage| {
        let (groups, strings) = d.plant.panels.strings[0].clone();
        let each: usize = groups.iter().map(|g| g.count).sum();
        let most = (each / 2 * strings).min(10);
        let missing = (d.dice.log_uniform(1.0, most as f64 + 0.99).floor() as usize).clamp(1, most);
        // Mostly one string was hit (lightning, heat); the rest comes from the others.
        let mut left = missing;
        let mut lost = vec![0; strings];
        while left > 0 {
            let at = if d.dice.chance(0.6) { 0 } else { d.dice.int(0, strings - 1) };
            if lost[at] < each / 2 {
                lost[at] += 1;
                left -= 1;
            } else if lost.iter().all(|l| *l >= each / 2) {
                break;
            }
        }
        d.plant.panels.strings =
            lost.into_iter().map(|l| (vec![Group { count: each - l, beam: 1.0, diffuse: 1.0 }], 1)).collect();
        Some(missing as f64)
    },
    noticed: &[(Noticed::LessWater, 0.3)],
    touched: &[Touched::Array],
    ..Fault::PLAIN
};
