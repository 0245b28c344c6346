//! Panels, DC side and sun.

use wellwright_domain::cause::Cause;
use wellwright_domain::check::Answer;

use super::moment::Moment;
use super::{Fields, number, seen};
use crate::plant::dice::Dice;
use crate::plant::panel::{Curve, Group, Panels};
use crate::plant::sun::Light;

/// Daylight enough to measure panels, W/m2.
const DAYLIGHT: f64 = 100.0;

/// The curve of one string alone.
fn string_curve(panels: &Panels, groups: &[Group], light: Light, cell_c: f64) -> Curve {
    let one = Panels { strings: vec![(groups.to_vec(), 1)], dc_ohm: 0.0, ..panels.clone() };
    one.curve(light, cell_c)
}

/// DC voltages at both ends with one meter (0.5 % of its own, 0.15 % and 0.1 V each), clamp 2.5 % and 0.05 A.
pub fn array_terminal_voltage(m: &Moment, dice: &mut Dice) -> Option<Fields> {
    let t = m.truth();
    if t.g < DAYLIGHT {
        return None;
    }
    let drop = t.a * m.case.plant.panels.dc_ohm;
    let at_array = if m.case.cause == Cause::NoDcSupply {
        m.case.healthy.panels.curve(t.light, t.cell_c).open_v()
    } else {
        t.v + drop
    };
    let own = dice.factor(0.005);
    let volts = |v: f64, dice: &mut Dice| {
        number((v * own * dice.factor(0.0015) + dice.normal(0.0, 0.1)).max(0.0), 0.1)
    };
    Some(vec![
        ("array_v", volts(at_array, dice)),
        ("controller_v", volts(t.v, dice)),
        ("array_a", number((t.a * dice.factor(0.025) + dice.normal(0.0, 0.05)).max(0.0), 0.01)),
    ])
}

/// Strings as they really are, with those that are open.
fn strings<'a>(m: &Moment<'a>) -> (Vec<&'a [Group]>, usize) {
    let of = |p: &'a Panels| -> Vec<&'a [Group]> {
        p.strings.iter().flat_map(|(groups, n)| std::iter::repeat_n(groups.as_slice(), *n)).collect()
    };
    let (real, told) = (of(&m.case.plant.panels), of(&m.case.healthy.panels));
    match m.case.cause {
        Cause::OpenString => {
            let open = told.len().saturating_sub(real.len());
            (real, open)
        }
        Cause::NoDcSupply => (Vec::new(), told.len()),
        _ => (real, 0),
    }
}

/// DC clamp on each string under load: 2.5 % of its own, 1 % each, zero to 0.05 A.
pub fn string_current(m: &Moment, dice: &mut Dice) -> Fields {
    let t = m.truth();
    let panels = &m.case.plant.panels;
    let own = dice.factor(0.025);
    let volts = t.v + t.a * panels.dc_ohm;
    let (live, open) = strings(m);
    let raw: Vec<f64> = live
        .iter()
        .map(|groups| string_curve(panels, groups, t.light, t.cell_c).current(volts).max(0.0))
        .collect();
    // The strings share what is taken: near open circuit a small error of voltage is a large one of current.
    let sum = raw.iter().sum::<f64>().max(1e-9);
    let mut amps: Vec<f64> = raw.into_iter().map(|i| i * t.a / sum).collect();
    amps.extend(std::iter::repeat_n(0.0, open));
    let read = |i: f64, dice: &mut Dice| {
        let seen = i * own * dice.factor(0.01) + dice.normal(0.0, 0.05);
        (seen.max(0.0) * 100.0).round() / 100.0
    };
    vec![("amps", Answer::List(amps.into_iter().map(|i| read(i, dice)).collect()))]
}

/// Open-circuit voltage of each string: 0.5 %; an open one shows nothing.
pub fn string_open_voltage(m: &Moment, dice: &mut Dice) -> Option<Fields> {
    let t = m.truth();
    if t.g < DAYLIGHT {
        return None;
    }
    let own = dice.factor(0.005);
    let (live, open) = if m.case.cause == Cause::NoDcSupply {
        // What is open lies beyond the strings.
        let told = &m.case.healthy.panels.strings;
        (told.iter().flat_map(|(g, n)| std::iter::repeat_n(g.as_slice(), *n)).collect(), 0)
    } else {
        strings(m)
    };
    let mut volts: Vec<f64> = live
        .iter()
        .map(|groups| string_curve(&m.case.plant.panels, groups, t.light, t.cell_c).open_v())
        .map(|v| (v * own * dice.factor(0.002) * 10.0).round() / 10.0)
        .collect();
    volts.extend(std::iter::repeat_n(0.0, open));
    Some(vec![("volts", Answer::List(volts))])
}

/// Washed at equal sun (to 2 %), nine tenths of the dirt gone, with one clamp (1 % each).
pub fn wash_modules(m: &Moment, dice: &mut Dice) -> Fields {
    let dull = m.case.plant.panels.dull.clamp(0.0, 0.95);
    let gain = (1.0 - 0.1 * dull) / (1.0 - dull);
    let own = dice.factor(0.025);
    let before = m.truth().a * own * dice.factor(0.01);
    let after = m.truth().a * gain * own * dice.factor(0.01) * dice.factor(0.02);
    vec![("amps_before", number(before, 0.01)), ("amps_after", number(after, 0.01))]
}

/// Something open is seen in 85 % (a fuse hides it), something sound doubted in 2 %; meter 1 %.
pub fn dc_isolator_look(m: &Moment, dice: &mut Dice) -> Fields {
    let open = m.case.cause == Cause::NoDcSupply;
    vec![
        ("input_v", number((m.truth().v * dice.factor(0.01)).max(0.0), 1.0)),
        ("all_closed", seen(!open, if open { 0.15 } else { 0.02 }, dice)),
    ]
}

/// Hand-held meter: 5 %, held 2 % off the plane.
pub fn handheld_irradiance(m: &Moment, dice: &mut Dice) -> Option<Fields> {
    let g = m.truth().g;
    (g >= 20.0).then(|| vec![("w_m2", number(g * dice.factor(0.05) * dice.factor(0.02), 1.0))])
}
