//! What must hold for every valid input, not only for the published ones.

use proptest::prelude::*;
use wellwright_physics::module::{Cell, DataSheet, ModuleModel};
use wellwright_physics::pipe::{Pipe, friction_factor};
use wellwright_physics::suter::homologous;
use wellwright_physics::well::StepDrawdown;
use wellwright_physics::well::theis::well_function;

prop_compose! {
    fn cell()(
        il in 0.0..20.0_f64,
        log_i0 in -13.0..-5.0_f64,
        rs in 0.0..2.0_f64,
        log_rsh in 0.5..6.0_f64,
        a in 0.3..4.0_f64,
    ) -> Cell {
        Cell { il, i0: 10.0_f64.powf(log_i0), rs, rsh: 10.0_f64.powf(log_rsh), a }
    }
}

prop_compose! {
    fn sheet()(
        isc_a in 0.5..20.0_f64,
        per_cell in 0.55..0.72_f64,
        cells in 20.0..150.0_f64,
        current in 0.88..0.965_f64,
        voltage in 0.76..0.86_f64,
        beta in 0.0022..0.0042_f64,
        alpha in 0.0..0.001_f64,
    ) -> DataSheet {
        let voc_v = per_cell * cells;
        DataSheet {
            cells,
            isc_a,
            voc_v,
            imp_a: current * isc_a,
            vmp_v: voltage * voc_v,
            alpha_isc_a_per_k: alpha * isc_a,
            beta_voc_v_per_k: -beta * voc_v,
            gamma_pmp_pct_per_k: None,
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(512))]

    #[test]
    fn current_falls_with_voltage(c in cell(), v in -200.0..200.0_f64, dv in 1e-3..50.0_f64) {
        let (i, j) = (c.current_a(v), c.current_a(v + dv));
        prop_assert!(i.is_finite() && j.is_finite());
        prop_assert!(j < i, "{i} at {v}, {j} {dv} V higher");
    }

    #[test]
    fn voltage_falls_with_current(c in cell(), i in -100.0..100.0_f64, di in 1e-3..50.0_f64) {
        let (v, w) = (c.voltage_v(i), c.voltage_v(i + di));
        prop_assert!(v.is_finite() && w.is_finite());
        prop_assert!(w < v, "{v} at {i}, {w} {di} A higher");
    }

    #[test]
    fn voltage_and_current_are_inverse(c in cell(), share in -0.5..1.1_f64) {
        let v = share * c.voc();
        prop_assert!((c.voltage_v(c.current_a(v)) - v).abs() < 1e-7 * (1.0 + v.abs()) * (1.0 + c.rsh / 1e3));
    }

    #[test]
    fn nothing_beats_the_best_point(c in cell(), share in 0.0..1.0_f64) {
        let best = c.mpp();
        prop_assert!(best.v.is_finite() && best.i.is_finite() && best.p >= 0.0);
        let v = share * c.voc();
        prop_assert!(v * c.current_a(v) <= best.p * (1.0 + 1e-9) + 1e-12, "{v} V of {best:?}");
    }

    #[test]
    fn any_weather_gives_a_number(g in -50.0..1500.0_f64, t in -60.0..120.0_f64, i in -20.0..20.0_f64) {
        let m = ModuleModel::from_reference(1.5161, 8.884117, 1.497143e-10, 0.3233, 697.390381, 0.003907);
        let c = m.at(g, t);
        let best = c.mpp();
        for x in [c.isc(), c.voc(), best.v, best.i, best.p, c.voltage_v(i), c.current_a(40.0 * i)] {
            prop_assert!(x.is_finite());
        }
        prop_assert!(best.p <= c.isc() * c.voc() + 1e-12);
    }

    #[test]
    fn more_sun_more_power(g in 1.0..1400.0_f64, more in 1.001..1.5_f64, t in -20.0..80.0_f64) {
        let m = ModuleModel::from_reference(1.5161, 8.884117, 1.497143e-10, 0.3233, 697.390381, 0.003907);
        prop_assert!(m.at(g * more, t).mpp().p > m.at(g, t).mpp().p);
    }

    #[test]
    fn every_ordinary_data_sheet_is_met(s in sheet()) {
        let m = ModuleModel::fit(&s).unwrap();
        prop_assert!(m.residual.points < 1e-6, "{m:?}");
        prop_assert!(m.reference.rs >= 0.0 && m.reference.rsh > 0.0);
        let hot = m.at(700.0, 65.0).mpp();
        prop_assert!(hot.p.is_finite() && hot.p > 0.0);
    }

    #[test]
    fn series_and_parallel_copies_scale(c in cell(), n in 1.0..20.0_f64, m in 1.0..6.0_f64) {
        let many = c.scaled(n).paralleled(m).mpp();
        prop_assert!((many.p - n * m * c.mpp().p).abs() <= 1e-8 * many.p + 1e-12);
    }

    #[test]
    fn loss_rises_with_flow(
        d in 15.0..110.0_f64,
        rough in 0.0..0.04_f64,
        q in 1e-4..60.0_f64,
        more in 1.0001..3.0_f64,
        nu in 4e-7..1.8e-6_f64,
    ) {
        let p = Pipe::new(100.0, d, rough * d).unwrap();
        let h = p.loss_m(q, nu);
        prop_assert!(h > 0.0 && p.loss_m(q * more, nu) > h);
        prop_assert_eq!(p.loss_m(-q, nu), -h);
    }

    #[test]
    fn friction_has_no_jump(rough in 0.0..0.05_f64, re in 1000.0..8000.0_f64) {
        let (f, g) = (friction_factor(re, rough), friction_factor(re * (1.0 + 1e-9), rough));
        prop_assert!((f / g - 1.0).abs() < 1e-7);
        // The loss goes with f Re^2.
        prop_assert!(g * (1.0 + 2e-9) > f);
    }

    #[test]
    fn drawdown_and_flow_are_inverse(b in 0.0..5.0_f64, c in 0.0..1.0_f64, q in -10.0..20.0_f64) {
        prop_assume!(b + c > 1e-6);
        let well = StepDrawdown { b, c };
        prop_assert!((well.flow_m3_h(well.drawdown_m(q)) - q).abs() < 1e-6 * (1.0 + q.abs()));
    }

    #[test]
    fn well_function_falls(log_u in -15.0..1.5_f64, more in 1.0001..10.0_f64) {
        let u = 10.0_f64.powf(log_u);
        prop_assert!(well_function(u * more) < well_function(u));
        // Abramowitz and Stegun 5.1.20: ln(1 + 2/u)/2 < e^u E1(u) < ln(1 + 1/u).
        let scaled = well_function(u) * u.exp();
        prop_assert!(scaled > 0.5 * (2.0 / u).ln_1p() && scaled < (1.0 / u).ln_1p());
    }

    #[test]
    fn four_quadrants_are_finite(alpha in -2.0..2.0_f64, v in -2.0..2.0_f64) {
        let (h, beta) = homologous(alpha, v);
        prop_assert!(h.is_finite() && beta.is_finite());
        // Affinity: both go with the square.
        let (h2, beta2) = homologous(2.0 * alpha, 2.0 * v);
        prop_assert!((h2 - 4.0 * h).abs() < 1e-9 && (beta2 - 4.0 * beta).abs() < 1e-9);
    }
}

#[test]
fn nothing_flows_nothing_is_lost() {
    let p = Pipe::new(80.0, 32.6, 0.0015).unwrap();
    assert_eq!(p.loss_m(0.0, 1e-6), 0.0);
    assert!(Pipe::new(80.0, 0.0, 0.0).is_err() && Pipe::new(80.0, 32.0, f64::NAN).is_err());
}
