//! Shaded strings against an independent sum over substrings.

mod fixture;

use fixture::{rows, within};
use wellwright_physics::array::{Group, ShadedCurve, StringKind};
use wellwright_physics::module::ModuleModel;

/// Module A of the fixtures (generic 60-cell, parameters from the public CEC database).
fn module_a() -> ModuleModel {
    ModuleModel::from_reference(1.5161, 8.884117, 1.497143e-10, 0.3233, 697.390381, 0.003907)
}

fn string(groups: &[(f64, f64, f64)]) -> StringKind {
    let third = |g: f64, t: f64| module_a().at(g, t).scaled(1.0 / 3.0);
    StringKind::new(1.0, groups.iter().map(|&(count, g, t)| Group { count, cell: third(g, t) }))
}

/// The scenarios of the two fixtures: irradiance and temperature of so many substrings, string by string.
fn scenarios() -> Vec<(&'static str, Vec<StringKind>)> {
    vec![
        ("uniform", vec![string(&[(30.0, 900.0, 50.0)])]),
        ("one_substring_200", vec![string(&[(29.0, 900.0, 50.0), (1.0, 200.0, 45.0)])]),
        ("three_modules_400", vec![string(&[(21.0, 900.0, 50.0), (9.0, 400.0, 45.0)])]),
        ("two_levels", vec![string(&[(15.0, 900.0, 50.0), (9.0, 600.0, 48.0), (6.0, 250.0, 44.0)])]),
        (
            "two_strings_one_shaded",
            vec![string(&[(30.0, 900.0, 50.0)]), string(&[(18.0, 900.0, 50.0), (12.0, 300.0, 45.0)])],
        ),
        ("blown_bypass_short_1", vec![string(&[(29.0, 900.0, 50.0)])]),
        ("open_string_of_two", vec![string(&[(30.0, 900.0, 50.0)])]),
        ("two_strings_healthy", vec![string(&[(30.0, 900.0, 50.0)]), string(&[(30.0, 900.0, 50.0)])]),
    ]
}

/// Source: fixtures/published/partial_shading_curve.csv (numpy sum over substrings, single substring by
/// pvlib 0.16.1). Tolerance of the source: 0.5 % of I or P.
#[test]
fn whole_curves_of_shaded_strings() {
    let all = rows("partial_shading_curve.csv", 488);
    for (name, kinds) in scenarios() {
        let wanted: Vec<_> = all.iter().filter(|r| r.text("scenario") == name).collect();
        assert!(wanted.len() > 50, "{name}");
        let curve = ShadedCurve::new(kinds, 0.0);
        let isc = wanted[0].num("I");
        for r in wanted {
            let (v, i) = (r.num("V"), r.num("I"));
            within(curve.current_a(v), i, 0.005 * isc, &format!("{name} at {v} V"));
        }
    }
}

/// Source: fixtures/published/partial_shading_peaks.csv (numpy sum over substrings, single substring by
/// pvlib 0.16.1). Tolerance of the source: 0.5 V, 0.2 % of power.
#[test]
fn all_local_maxima_of_shaded_strings() {
    let rows: Vec<(String, f64, f64, f64)> = rows("partial_shading_peaks.csv", 13)
        .iter()
        .map(|r| (r.text("scenario").to_owned(), r.num("V"), r.num("I"), r.num("P")))
        .collect();
    for (name, kinds) in scenarios() {
        let wanted: Vec<_> = rows.iter().filter(|r| r.0 == name).collect();
        let found = ShadedCurve::new(kinds, 0.0).maxima();
        assert_eq!(found.len(), wanted.len(), "{name}: {found:?}");
        for (peak, want) in found.iter().zip(wanted) {
            assert!((peak.v - want.1).abs() < 0.5, "{name}: {peak:?} against {want:?}");
            assert!((peak.p / want.3 - 1.0).abs() < 0.002, "{name}: {peak:?} against {want:?}");
        }
    }
}
