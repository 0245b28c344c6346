//! Panels.

use wellwright_domain::cause::Cause;
use wellwright_domain::situation::{Noticed, Touched};

use super::{Damage, Fault, Sun};
use crate::plant::panel::Group;

/// Part of the array is in shade. Severity: share of substrings.
pub const PARTIAL_SHADE: Fault = Fault {
    cause: Cause::PartialShade,
    sun: Sun::Enough,
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
        d.plant.panels.strings = (0..strings)
            .map(|s| {
                let share = if across { left.div_ceil(strings - s) } else { left };
                let dark = share.min(each);
                left -= dark;
                (string(dark), 1)
            })
            .collect();
        Some(shaded as f64 / total as f64)
    },
    noticed: &[(Noticed::LessWater, 0.5), (Noticed::StopsAndStarts, 0.1)],
    touched: &[Touched::Array],
};
