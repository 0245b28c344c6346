//! Lead maps, joints and flags: parity tells which way the pump turns.

use proptest::prelude::*;
use wellwright_domain::flags::{Flag, Flags, PumpState};
use wellwright_domain::lead_map::{LeadMap, Parity};
use wellwright_domain::record::{Cable, Joint, JointMap};

/// All six ways to join three leads to three.
fn all_maps() -> Vec<LeadMap> {
    let digits = 0..3u8;
    digits
        .clone()
        .flat_map(|a| (0..3).flat_map(move |b| (0..3).filter_map(move |c| LeadMap::new([a, b, c]))))
        .collect()
}

fn joint(depth_m: f64, map: &str) -> Joint {
    toml::from_str(&format!("depth_m = {depth_m:?}\nmap = {map}")).unwrap()
}

#[test]
fn half_of_the_six_maps_reverse_the_pump() {
    let maps = all_maps();
    assert_eq!(maps.len(), 6);
    let odd: Vec<_> =
        maps.iter().filter(|m| m.parity() == Parity::Odd).map(|m| [0, 1, 2].map(|i| m.to(i))).collect();
    // The three exchanges of two leads, and nothing else.
    assert_eq!(odd, [[0, 2, 1], [1, 0, 2], [2, 1, 0]]);
}

#[test]
fn what_is_no_permutation_is_no_map() {
    for to in [[0, 0, 1], [0, 1, 3], [9, 1, 2], [2, 2, 2]] {
        assert_eq!(LeadMap::new(to), None);
    }
}

#[test]
fn joints_are_composed_from_the_motor_up() {
    let twice = Cable {
        joints: vec![joint(58.0, "[\"1-2\", \"2-1\", \"3-3\"]"), joint(0.0, "[\"1-v\", \"2-u\", \"3-w\"]")],
        ..Cable::default()
    };
    assert_eq!((twice.composed_map(), twice.parity()), (Some(LeadMap::STRAIGHT), Some(Parity::Even)));
    let order = Cable {
        joints: vec![joint(58.0, "[\"1-2\", \"2-3\", \"3-1\"]"), joint(0.0, "[\"1-u\", \"2-w\", \"3-v\"]")],
        ..Cable::default()
    };
    // Motor lead 1 goes to cable lead 2, and that to terminal w.
    assert_eq!(order.composed_map().map(|m| m.to(0)), Some(2));
    assert_eq!(order.parity(), Some(Parity::Odd));
}

#[test]
fn one_unknown_joint_makes_the_whole_unknown() {
    let cable = Cable {
        joints: vec![joint(58.0, "\"unknown\""), joint(0.0, "[\"1-u\", \"2-v\", \"3-w\"]")],
        ..Cable::default()
    };
    assert_eq!(cable.joints[0].map, JointMap::Unknown);
    assert_eq!((cable.parity(), Cable::default().parity()), (None, None));
}

#[test]
fn pairs_may_be_written_in_any_order_and_case() {
    assert_eq!(
        joint(0.0, "[\"3-W\", \"1 - u\", \"2-v\"]").map,
        JointMap::Known { pairs: ["3-W".into(), "1 - u".into(), "2-v".into()], map: LeadMap::STRAIGHT }
    );
}

#[test]
fn every_flag_and_state_has_its_own_token_and_bit() {
    let all: Flags = Flag::ALL.into_iter().collect();
    assert_eq!(all.bits(), (1 << Flag::ALL.len()) - 1);
    assert_eq!(Flags::from_tokens(&all.to_tokens()), Ok(all));
    assert_eq!(all.iter().count(), 13);
    for state in PumpState::ALL {
        assert_eq!(PumpState::from_code(state.code()), Some(state));
    }
}

#[test]
fn tokens_that_are_not_known_are_named() {
    assert_eq!(
        Flags::from_tokens("  stall   low_power "),
        Ok(Flags::NONE.with(Flag::Stall).with(Flag::LowPower))
    );
    assert_eq!(Flags::from_tokens("stall wet"), Err("wet".to_owned()));
    assert_eq!(Flags::from_tokens(""), Ok(Flags::NONE));
    assert_eq!(Flags::from_bits(0xffff).bits(), 0x1fff);
}

fn sign(map: LeadMap) -> i32 {
    match map.parity() {
        Parity::Even => 1,
        Parity::Odd => -1,
    }
}

fn any_map() -> impl Strategy<Value = LeadMap> {
    prop::sample::select(all_maps())
}

proptest! {
    #[test]
    fn parity_of_a_composition_is_the_product(maps in prop::collection::vec(any_map(), 0..8)) {
        let whole = maps.iter().fold(LeadMap::STRAIGHT, |acc, m| acc.then(*m));
        prop_assert_eq!(sign(whole), maps.iter().map(|m| sign(*m)).product::<i32>());
    }

    #[test]
    fn exchanging_two_leads_changes_the_direction(map in any_map(), i in 0..3usize, step in 1..3usize) {
        let mut to = [0, 1, 2].map(|k| map.to(k));
        to.swap(i, (i + step) % 3);
        prop_assert_eq!(sign(LeadMap::new(to).unwrap()), -sign(map));
    }

    #[test]
    fn flags_survive_bits_and_tokens(bits in 0..=0x1fffu16) {
        let flags = Flags::from_bits(bits);
        prop_assert_eq!(flags.bits(), bits);
        prop_assert_eq!(Flags::from_tokens(&flags.to_tokens()), Ok(flags));
    }
}
