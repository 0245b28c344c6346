//! How the joints were really made, and what was written down.

use wellwright_domain::lead_map::LeadMap;
use wellwright_domain::record::{JointMap, System};

use super::dice::Dice;

/// All ways to join three leads.
const MAPS: [[u8; 3]; 6] = [[0, 1, 2], [1, 0, 2], [0, 2, 1], [2, 1, 0], [1, 2, 0], [2, 0, 1]];

fn then(a: [u8; 3], b: [u8; 3]) -> [u8; 3] {
    a.map(|t| b[usize::from(t)])
}

/// Joins the leads so that the pump turns forward, or backward, and writes the record: 5 % of the maps
/// are written down wrong, some not at all.
pub fn join(system: &mut System, backward: bool, dice: &mut Dice) {
    let n = system.cable.joints.len();
    let swap = |dice: &mut Dice| MAPS[dice.int(1, 3)];
    let mut real = vec![MAPS[0]; n];
    if backward {
        real[dice.int(0, n - 1)] = swap(dice);
    } else if n > 1 && dice.chance(0.12) {
        // Colours crossed twice cancel.
        real[0] = swap(dice);
        real[n - 1] = swap(dice);
    }
    if dice.chance(0.1) {
        // All three moved on by one: the direction stays.
        let i = dice.int(0, n - 1);
        real[i] = then(real[i], MAPS[dice.int(4, 5)]);
    }
    for (i, joint) in system.cable.joints.iter_mut().enumerate() {
        let mut written = real[i];
        if dice.chance(0.05) {
            while written == real[i] {
                written = MAPS[dice.int(0, 5)];
            }
        }
        joint.map = if dice.chance(0.08) {
            JointMap::Unknown
        } else {
            let ends = if joint.depth_m > 0.0 { ["1", "2", "3"] } else { ["u", "v", "w"] };
            let pairs = std::array::from_fn(|k| format!("{}-{}", k + 1, ends[usize::from(written[k])]));
            LeadMap::new(written).map_or(JointMap::Unknown, |map| JointMap::Known { pairs, map })
        };
    }
}
