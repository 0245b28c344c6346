//! What the diagnosis leans on, against values that stand elsewhere; the source is beside each.

use std::path::Path;

use rand::SeedableRng as _;
use rand::rngs::SmallRng;
use rand_distr::{Distribution as _, StandardNormal};
use wellwright_diagnosis::checks::insulation_resistance::{Class, brought, class};
use wellwright_diagnosis::checks::{Foreseen, model};
use wellwright_diagnosis::drift::Cusum;
use wellwright_diagnosis::{Case, explain};
use wellwright_domain::cause::Cause;
use wellwright_domain::check::{Answer, Check, CheckMade};
use wellwright_domain::examples::{dovecote_bend, kestrel_hollow};
use wellwright_domain::situation::Situation;
use wellwright_physics::array::{Array, BYPASS_V};
use wellwright_physics::conductor::{InsulationKind, insulation_factor};
use wellwright_physics::hydraulics::Level;
use wellwright_physics::load::Load;
use wellwright_physics::module::{ModuleModel, Point};
use wellwright_physics::motor::unbalance_pct;
use wellwright_physics::operating_point::Moment;
use wellwright_physics::plant::{ArrayCondition, Plant, Shade};
use wellwright_physics::pump::{Pump, Rotation};

#[track_caller]
fn within(got: f64, printed: f64, tolerance: f64, what: &str) {
    assert!((got - printed).abs() <= tolerance, "{what}: {got}, printed {printed}");
}

fn made(check: Check, fields: &[(&str, f64)]) -> CheckMade {
    let answers = fields.iter().map(|(k, v)| ((*k).to_owned(), Answer::Number(*v))).collect();
    CheckMade { check, at: None, answers }
}

// ---- four reasons why no water comes ----------------------------------------------------------------------

fn at_one_speed(change: impl Fn(&mut Plant)) -> (Load, f64) {
    let (mut plant, _) = Plant::from_record(&kestrel_hollow()).unwrap();
    change(&mut plant);
    let Pump::Centrifugal(pump) = &plant.pump else { panic!("a centrifugal pump") };
    // a little below rated speed a reversed pump lifts nothing out of this well; torque goes with its square
    let share: f64 = 0.94;
    let best = pump.best_torque_nm() * share * share;
    (plant.load_at(share * pump.rated_rpm(), Level::After { minutes: 60.0 }), best)
}

/// Torque at one speed over that of the best point, of a radial pump of specific speed 25: forward 1, reversed and
/// without flow 0.684, forward with the valve shut 0.450 (B. Donsky 1961, *J. Basic Eng.* 83; table in E. B. Wylie,
/// V. L. Streeter, *Fluid Transients*). Dry: 0.1 to 0.3 (common practice, no single source). A multistage end has
/// the same shape within 15 %.
#[test]
fn four_pumps_without_water_stand_in_the_published_order_by_torque() {
    let (healthy, best) = at_one_speed(|_| {});
    let (backwards, _) = at_one_speed(|p| p.condition.pump.rotation = Rotation::Reversed);
    let (shut, _) = at_one_speed(|p| p.condition.water.valve_m_per_m3h2 = f64::INFINITY);
    let (dry, _) = at_one_speed(|p| {
        p.condition.pump.dry_torque_share = Some(0.2);
        p.condition.water.static_deeper_m = p.water.well.intake_m - p.water.well.static_m;
    });
    let share = |l: &Load| l.pump_torque_nm / best;
    // this well is met near the best point
    within(share(&healthy), 1.0, 0.15, "forward near its best point");
    within(share(&backwards), 0.684, 0.15 * 0.684, "reversed, no flow");
    within(share(&shut), 0.450, 0.15 * 0.450, "forward, valve shut");
    assert!((0.1..=0.3).contains(&share(&dry)), "{}", share(&dry));
    for (what, load) in [("backwards", &backwards), ("shut", &shut), ("dry", &dry)] {
        assert!(load.water.tank_m3_h < 1e-6, "{what} lifts nothing: {:?}", load.water);
    }
    assert!(healthy.water.tank_m3_h > 3.0);
    // the currents, which a clamp can see, and the power follow in the same order
    let order = [&healthy, &backwards, &shut, &dry];
    for pair in order.windows(2) {
        assert!(pair[0].pump_torque_nm > 1.2 * pair[1].pump_torque_nm);
        assert!(pair[0].motor.phase_a > 1.15 * pair[1].motor.phase_a);
        assert!(pair[0].dc_w > 1.15 * pair[1].dc_w);
    }
    // "a pump that turns backwards draws little" is wrong: more than forward against a shut valve
    assert!(backwards.motor.phase_a > 1.3 * shut.motor.phase_a);
}

/// Reversed shut-off head 0.634 and forward shut-off head 1.288 of the best point's (Donsky 1961). The record's own
/// curve gives the forward one.
#[test]
fn a_gauge_parts_reversed_from_shut_by_twice_the_head() {
    let (plant, _) = Plant::from_record(&kestrel_hollow()).unwrap();
    let Pump::Centrifugal(pump) = &plant.pump else { panic!("a centrifugal pump") };
    let mut wrong = plant.condition.pump;
    let forward = pump.head_m(pump.rated_rpm(), 0.0, &wrong) / pump.best_head_m();
    wrong.rotation = Rotation::Reversed;
    let reversed = pump.head_m(pump.rated_rpm(), 0.0, &wrong) / pump.best_head_m();
    within(reversed, 0.634, 1e-3, "reversed, no flow");
    within(forward, 1.288, 0.05, "forward, no flow");
}

// ---- panels -----------------------------------------------------------------------------------------------

/// Ten modules A in series: parameters of a generic 60-cell module in the public CEC database.
fn ten_of_module_a(strings: u32) -> Array {
    Array {
        module: ModuleModel::from_reference(1.5161, 8.884117, 1.497143e-10, 0.3233, 697.390381, 0.003907),
        substrings: 3,
        series: 10,
        strings,
        dc_ohm: 0.0,
        current_share: 1.0,
        voltage_share: 1.0,
    }
}

fn peaks(strings: u32, condition: ArrayCondition) -> Vec<Point> {
    ten_of_module_a(strings).curve(900.0, 50.0, &condition).maxima()
}

#[track_caller]
fn peak(got: &Point, v: f64, i: f64, p: f64, what: &str) {
    within(got.v, v, 0.5, what);
    within(got.i, i, 0.01 * i, what);
    within(got.p, p, 0.003 * p, what);
}

/// Source of the numbers: a sum over substrings with numpy, single substring by pvlib 0.16.1 at 900 W/m2 and
/// 50 degC (`fixtures/published/partial_shading_peaks.csv`). Tolerance of the source 0.5 V, 0.2 %.
#[test]
fn a_shorted_bypass_costs_a_substring_of_voltage_and_an_open_string_its_share_of_current() {
    let whole = peaks(1, ArrayCondition::default());
    peak(&whole[0], 272.102, 7.54497, 2053.0, "ten modules");
    let short = peaks(1, ArrayCondition { missing_substrings: 1.0, ..ArrayCondition::default() });
    peak(&short[0], 263.032, 7.54497, 1984.57, "one bypass diode shorted");
    // one of 30 substrings: 9.07 V, the current as it was
    within(whole[0].v - short[0].v, 272.102 / 30.0, 0.01, "one substring");
    within(short[0].i / whole[0].i, 1.0, 1e-4, "the same current");
    let two = peaks(2, ArrayCondition::default());
    peak(&two[0], 272.102, 15.0899, 4106.0, "two strings");
    let open = peaks(2, ArrayCondition { open_strings: 1, ..ArrayCondition::default() });
    peak(&open[0], 272.102, 7.54497, 2053.0, "one string of two open");
    within(open[0].i / two[0].i, 0.5, 1e-6, "half the current");
    within(open[0].v / two[0].v, 1.0, 1e-6, "the same voltage");
}

/// Same source. A conducting bypass diode takes its substring's voltage and its own drop with it; beside it stands
/// a right peak where the shaded substrings carry what they can.
#[test]
fn shade_leaves_a_left_peak_at_full_current_and_a_right_one_at_full_voltage() {
    let shade = |share: f64, darkness: f64| {
        let shade = Shade { share, darkness, gathered: false, right_peak: false };
        peaks(1, ArrayCondition { shade: Some(shade), ..ArrayCondition::default() })
    };
    let one = shade(1.0 / 30.0, 200.0 / 900.0);
    assert_eq!(one.len(), 2, "{one:?}");
    peak(&one[0], 262.521, 7.54527, 1980.8, "one substring at 200 W/m2, left");
    within(272.102 - one[0].v, 272.102 / 30.0 + BYPASS_V, 0.25, "a substring and the drop of its diode");
    within(one[1].v, 328.322, 0.5, "one substring at 200 W/m2, right");
    within(one[1].i, 1.78309, 0.02, "the current of the shaded one");
    let three = shade(0.3, 400.0 / 900.0);
    assert_eq!(three.len(), 2, "{three:?}");
    peak(&three[0], 186.165, 7.5372, 1403.17, "three modules at 400 W/m2, left");
    peak(&three[1], 302.264, 3.51062, 1061.13, "three modules at 400 W/m2, right");
    // held on the right one: a quarter of the power is lost
    within(1.0 - three[1].p / three[0].p, 0.24, 0.01, "on the wrong peak");
}

/// The same signatures in the best point at the controller of a whole system, DC cable and all.
#[test]
fn the_signatures_reach_the_controller() {
    let point = |system: &wellwright_domain::record::System, g: f64, change: &dyn Fn(&mut ArrayCondition)| {
        let (mut plant, _) = Plant::from_record(system).unwrap();
        change(&mut plant.condition.array);
        let level = Level::After { minutes: 60.0 };
        plant.operating_point(&Moment { irradiance_w_m2: g, cell_c: 45.0, level, heat_share: 1.0 }).best
    };
    let kestrel = kestrel_hollow();
    let (whole, short) =
        (point(&kestrel, 500.0, &|_| {}), point(&kestrel, 500.0, &|c| c.missing_substrings = 1.0));
    within(short.v / whole.v, 29.0 / 30.0, 0.002, "voltage with one of 30 substrings shorted");
    within(short.i / whole.i, 1.0, 0.002, "current then");
    let dovecote = dovecote_bend();
    let (whole, open) = (point(&dovecote, 600.0, &|_| {}), point(&dovecote, 600.0, &|c| c.open_strings = 1));
    within(open.v / whole.v, 1.0, 0.02, "voltage with one of two strings open");
    within(open.i / whole.i, 0.5, 0.01, "current then");
}

// ---- motor and leads --------------------------------------------------------------------------------------

/// Worked examples, percent: 51, 46, 53 A -> 8.0, 50, 48, 52 -> 4, 50, 49, 51 -> 2, 25.5, 23.0, 26.5 -> 8
/// (identical in several manuals of three-phase submersible motors); 462, 463, 455 V -> 1.1 printed (an example
/// quoting NEMA MG-1-2011); 203, 210, 212 V -> 2.5 printed with a rounded mean (a relay's data sheet quoting MG-1);
/// 6, 6, 0 A -> 100 (derived).
#[test]
fn unbalance_as_printed() {
    for (three, percent, tolerance) in [
        ([51.0, 46.0, 53.0], 8.0, 0.05),
        ([50.0, 48.0, 52.0], 4.0, 0.05),
        ([50.0, 49.0, 51.0], 2.0, 0.05),
        ([25.5, 23.0, 26.5], 8.0, 0.05),
        ([462.0, 463.0, 455.0], 1.1, 0.05),
        ([203.0, 210.0, 212.0], 2.5, 0.1),
        ([6.0, 6.0, 0.0], 100.0, 1e-9),
    ] {
        within(unbalance_pct(three), percent, tolerance, &format!("{three:?}"));
        let answer = made(Check::LeadCurrent, &[("u_a", three[0]), ("v_a", three[1]), ("w_a", three[2])]);
        let read = model(Check::LeadCurrent).unwrap().read(&answer);
        within(100.0 * read[1].unwrap(), percent, tolerance, &format!("read from a clamp: {three:?}"));
    }
}

/// Factors to 40 degC: derived from IEEE 43-2013 (from memory; a trade association's article confirms the two
/// families). Classes of a motor in the well with its cable, 500 V, as read: from 2 Mohm good, 0.5 to 2 serviceable,
/// below damaged, 20 kohm and less failed (common practice, four motor manuals).
#[test]
fn insulation_classes_and_their_temperature() {
    let factors = [
        (10.0, 0.125, 0.6560),
        (20.0, 0.25, 0.7622),
        (25.0, 0.35355, 0.8186),
        (30.0, 0.5, 0.8770),
        (40.0, 1.0, 1.0),
        (60.0, 4.0, 2.2517),
    ];
    for (celsius, plastic, set) in factors {
        within(insulation_factor(InsulationKind::Thermoplastic, celsius).unwrap(), plastic, 5e-6, "plastic");
        within(
            insulation_factor(InsulationKind::Thermosetting, celsius).unwrap(),
            set,
            5e-5,
            "thermosetting",
        );
        // the check compares as for thermoplastic insulation
        within(brought(3.0, celsius, 40.0).exp(), 3.0 * plastic, 3e-5, "3 Mohm brought to 40 degC");
    }
    within(brought(8.0, 25.0, 40.0).exp(), 2.83, 0.005, "8 Mohm at 25 degC");
    for (mohm, expected) in [
        (200.0, Class::Good),
        (2.0, Class::Good),
        (1.9, Class::Serviceable),
        (0.5, Class::Serviceable),
        (0.49, Class::Damaged),
        (0.021, Class::Damaged),
        (0.02, Class::Failed),
        (0.01, Class::Failed),
    ] {
        assert_eq!(class(mohm, 500.0), expected, "{mohm} Mohm");
    }
}

/// The classes decide: a good reading clears the insulation, a damaged or failed one blames it, and a reading counts
/// at its temperature.
#[test]
fn an_insulation_reading_moves_the_ranking_by_its_class_and_temperature() {
    let system = kestrel_hollow();
    let blamed = |mohm: f64, lead_c: f64| {
        let checks =
            [made(Check::InsulationResistance, &[("mohm", mohm), ("test_v", 500.0), ("lead_c", lead_c)])];
        let case = Case { situation: Some(Situation::AfterRepair), checks: &checks, ..Case::new(&system) };
        let finding = explain(&case).unwrap();
        if mohm < 1.0 && lead_c == 20.0 {
            assert_eq!(finding.leading().unwrap().code, Cause::InsulationFault, "{mohm} Mohm");
        }
        finding.causes.iter().find(|c| c.code == Cause::InsulationFault).unwrap().probability
    };
    let before = {
        let case = Case { situation: Some(Situation::AfterRepair), ..Case::new(&system) };
        let finding = explain(&case).unwrap();
        finding.causes.iter().find(|c| c.code == Cause::InsulationFault).unwrap().probability
    };
    assert!(blamed(100.0, 20.0) < 0.3 * before);
    let (damaged, failed) = (blamed(0.1, 20.0), blamed(0.01, 20.0));
    // a joint that parts lets water in, too: damage alone does not settle it
    assert!(damaged > 8.0 * before && failed > 15.0 * before, "{before} {damaged} {failed}");
    // the same megohms read on a hot lead stand for drier insulation than on a cold one
    assert!(blamed(0.4, 10.0) > blamed(0.4, 40.0));
}

// ---- sums over days ---------------------------------------------------------------------------------------

/// Mean number of values until a two-sided sum finds something, by trial.
fn run_length(k: f64, h: f64, shift: f64, trials: u32) -> f64 {
    let mut rng = SmallRng::seed_from_u64(20_260_314);
    let fresh = Cusum::new(k, h).unwrap();
    let mut values = 0u64;
    for _ in 0..trials {
        let mut sum = fresh;
        loop {
            values += 1;
            let noise: f64 = StandardNormal.sample(&mut rng);
            if sum.add(noise + shift).is_some() {
                break;
            }
        }
    }
    values as f64 / f64::from(trials)
}

/// Average run lengths: D. C. Montgomery, *Introduction to Statistical Quality Control* (k = 1/2, h = 4 and 5, from
/// J. M. Lucas, R. B. Crosier 1982) and D. M. Hawkins 1993 (pairs that give 370), with a Markov chain of 800 states
/// beside them (`fixtures/published/cusum_arl.csv`). 30,000 trials tell a mean within about 0.6 %.
#[test]
fn run_lengths_of_the_cumulative_sum() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/published/cusum_arl.csv");
    let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_path(path).unwrap();
    let mut rows = 0;
    for row in reader.records() {
        let row = row.unwrap();
        let number = |k: usize| row[k].parse::<f64>().unwrap();
        let (k, h, shift, chain, printed) = (number(0), number(1), number(2), number(4), number(6));
        let tried = run_length(k, h, shift, 30_000);
        within(tried, chain, 0.02 * chain, &format!("k {k}, h {h}, shift {shift}: chain"));
        // printed to three digits, and h to two
        within(tried, printed, 0.03 * printed, &format!("k {k}, h {h}, shift {shift}: table"));
        rows += 1;
    }
    assert_eq!(rows, 26);
}

// ---- the next check ---------------------------------------------------------------------------------------

/// A derived decision example: three hypotheses 0.5, 0.3, 0.2 and a test that says yes with 0.9, 0.2, 0.3. Yes comes
/// with 0.57 and leaves 0.78947, 0.10526, 0.10526; no leaves 0.11628, 0.55814, 0.32558; before 1.48548 bit, gained
/// 0.35848 bit.
#[test]
fn what_a_yes_or_no_tells() {
    let before = [0.5, 0.3, 0.2];
    let says_yes = [0.9, 0.2, 0.3];
    let entropy = |p: &[f64]| -> f64 { p.iter().map(|p| -p * p.log2()).sum() };
    let after = |seen: f64| {
        let joint: Vec<f64> =
            before.iter().zip(says_yes).map(|(p, q)| p * Foreseen::Yes(q).log_density(seen).exp()).collect();
        let sum: f64 = joint.iter().sum();
        (sum, joint.iter().map(|j| j / sum).collect::<Vec<f64>>())
    };
    let ((p_yes, yes), (p_no, no)) = (after(1.0), after(0.0));
    within(p_yes, 0.57, 1e-9, "yes");
    within(p_no, 0.43, 1e-9, "no");
    for (got, printed) in yes.iter().zip([0.78947, 0.10526, 0.10526]) {
        within(*got, printed, 5e-6, "after yes");
    }
    for (got, printed) in no.iter().zip([0.11628, 0.55814, 0.32558]) {
        within(*got, printed, 5e-6, "after no");
    }
    within(entropy(&before), 1.48548, 5e-6, "before");
    within(entropy(&before) - p_yes * entropy(&yes) - p_no * entropy(&no), 0.35848, 5e-6, "gained");
}
