//! A joint's lead map: three strands through a box, each drawn as the motor lead it carries.

use serde::{Deserialize, Serialize};
use wellwright_domain::lead_map::{LeadMap, Parity};
use wellwright_domain::record::{Cable, JointMap};

use super::build::{boxed, dashed, line, rect, strokes, text};
use super::{Anchor, Fill, Font, Item, Paint, Role, Step};
use crate::text::Words;

/// A joint's lead map, ready to be drawn.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LeadMapView {
    /// Numbers of the leads that enter, from the motor's side.
    pub entering: [String; 3],
    /// Numbers or letters of the places where they leave.
    pub leaving: [String; 3],
    /// Where each entering lead leaves; `None` when nobody wrote it down.
    pub to: Option<[u8; 3]>,
    /// Motor lead (0, 1, 2) that each entering lead carries; `None` after a joint nobody wrote down.
    pub motor_lead: Option<[u8; 3]>,
    /// It turns the pump backwards.
    pub odd: bool,
}

impl LeadMapView {
    /// From a joint of the record, the map of all joints below it, and whether the whole is odd.
    pub fn new(joint: &JointMap, below: Option<LeadMap>, whole_odd: bool) -> LeadMapView {
        let numbers = || ["1", "2", "3"].map(str::to_owned);
        let motor_lead = below.map(|map| {
            let mut carried = [0; 3];
            for lead in 0..3u8 {
                carried[usize::from(map.to(usize::from(lead)))] = lead;
            }
            carried
        });
        match joint {
            JointMap::Unknown => {
                LeadMapView { entering: numbers(), leaving: numbers(), to: None, motor_lead, odd: false }
            }
            JointMap::Known { pairs, map } => {
                let to = [map.to(0), map.to(1), map.to(2)];
                let (mut entering, mut leaving) = (numbers(), numbers());
                for pair in pairs {
                    let Some((from, dest)) = pair.split_once('-') else { continue };
                    let Some(i) = index(from) else { continue };
                    entering[i] = from.trim().to_uppercase();
                    leaving[usize::from(to[i])] = dest.trim().to_uppercase();
                }
                let odd = whole_odd && map.parity() == Parity::Odd;
                LeadMapView { entering, leaving, to: Some(to), motor_lead, odd }
            }
        }
    }

    /// "straight", "crosses 2 and 3", "shifts all three", "not written down".
    pub fn words(&self, words: &Words<'_>) -> String {
        let Some(to) = self.to else { return words.texts.text("joint.unknown").to_owned() };
        let moved: Vec<usize> = (0..3).filter(|&i| usize::from(to[i]) != i).collect();
        match moved[..] {
            [] => words.texts.text("joint.straight").to_owned(),
            [a, b] => words.fill("joint.crosses", &[("a", &self.entering[a]), ("b", &self.entering[b])]),
            _ => words.texts.text("joint.turns").to_owned(),
        }
    }
}

fn index(lead: &str) -> Option<usize> {
    match lead.trim().to_ascii_lowercase().as_str() {
        "1" | "u" => Some(0),
        "2" | "v" => Some(1),
        "3" | "w" => Some(2),
        _ => None,
    }
}

/// Where each motor lead ends at the top: "Lead 1 to U 2 to W 3 to V"; `None` when a joint is unknown.
pub fn cable_label(cable: &Cable) -> Option<[(char, char); 3]> {
    let map = cable.composed_map()?;
    let top = ['U', 'V', 'W'];
    Some([0, 1, 2].map(|i| (['1', '2', '3'][i], top[usize::from(map.to(i))])))
}

/// Distance of strands, dp.
const PITCH: f64 = 18.0;

/// Height of the drawing, dp.
pub const HEIGHT: f64 = 52.0;

/// The drawing, its top left at (0, 0), 199 wide: numbers, box, strands.
pub fn items(view: &LeadMapView) -> Vec<Item> {
    let (left, right) = (54.0, 145.0);
    let (inside, edge, width) = match (view.odd, view.to.is_some()) {
        (true, _) => (Fill::Role(Role::DifferFill), Role::Differ, 2.5),
        (false, true) => (Fill::Role(Role::Panel), Role::Ink, 1.5),
        (false, false) => (Fill::Unknown, Role::Line, 1.5),
    };
    let mut out = vec![rect(left, 0.0, right - left, HEIGHT, boxed(inside, edge, width))];
    let y = |i: usize| 8.0 + PITCH * i as f64;
    for i in 0..3 {
        out.push(text(20.0, y(i) + 6.0, Anchor::Middle, view.entering[i].clone(), Font::Lead, Role::Ink));
        out.push(text(179.0, y(i) + 6.0, Anchor::Middle, view.leaving[i].clone(), Font::Lead, Role::Ink));
        let paint = strand(view.motor_lead.map(|m| m[i]));
        if let Some(to) = view.to {
            let (a, b) = (y(i), y(usize::from(to[i])));
            let middle = f64::midpoint(left, right);
            out.push(Item::Path {
                steps: vec![
                    Step::Move { x: 34.0, y: a },
                    Step::Line { x: left + 6.0, y: a },
                    Step::Curve { x1: middle, y1: a, x2: middle, y2: b, x: right - 6.0, y: b },
                    Step::Line { x: 165.0, y: b },
                ],
                paint,
            });
        } else {
            out.push(strokes(&[[(34.0, y(i)), (left, y(i))], [(right, y(i)), (165.0, y(i))]], paint));
        }
    }
    out
}

/// A strand looks the same at every joint: by the motor lead it carries.
const fn strand(motor_lead: Option<u8>) -> Paint {
    match motor_lead {
        Some(0) => line(Role::Ink, 4.0),
        Some(1) => dashed(Role::Ink, 4.0, 12.0, 5.0),
        Some(_) => dashed(Role::Ink, 4.0, 3.0, 4.0),
        None => line(Role::Line, 2.0),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use wellwright_domain::record::Joint;

    fn joint(map: &str) -> JointMap {
        let text = format!("depth_m = 1.0\nmap = {map}");
        toml::from_str::<Joint>(&text).unwrap().map
    }

    #[test]
    fn a_crossing_is_named_and_followed_to_the_top() {
        let low = joint(r#"["1-1", "2-3", "3-2"]"#);
        let top = joint(r#"["1-u", "2-v", "3-w"]"#);
        let words = Words::english();
        let a = LeadMapView::new(&low, Some(LeadMap::STRAIGHT), true);
        assert_eq!((a.words(&words).as_str(), a.odd), ("crosses 2 and 3", true));
        let JointMap::Known { map, .. } = low else { panic!() };
        let b = LeadMapView::new(&top, Some(map), true);
        assert_eq!((b.words(&words).as_str(), b.odd), ("straight", false));
        assert_eq!(b.motor_lead, Some([0, 2, 1]));
        assert_eq!(b.leaving, ["U", "V", "W"].map(str::to_owned));
    }

    #[test]
    fn the_label_says_where_each_lead_ends() {
        let mut cable = Cable::default();
        assert_eq!(cable_label(&cable), None);
        for (depth_m, map) in [(58.0, r#"["1-1", "2-3", "3-2"]"#), (0.0, r#"["1-u", "2-v", "3-w"]"#)] {
            cable.joints.push(Joint { depth_m, map: joint(map) });
        }
        assert_eq!(cable_label(&cable), Some([('1', 'U'), ('2', 'W'), ('3', 'V')]));
    }

    #[test]
    fn what_nobody_wrote_down_is_striped() {
        let v = LeadMapView::new(&JointMap::Unknown, Some(LeadMap::STRAIGHT), false);
        assert_eq!(v.words(&Words::english()), "not written down");
        assert!(matches!(&items(&v)[0], Item::Rect { paint, .. } if paint.fill == Some(Fill::Unknown)));
    }
}
