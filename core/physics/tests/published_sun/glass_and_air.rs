//! Incidence-angle modifiers (1e-4) and the standard atmosphere (1e-3 and closer).

use wellwright_physics::atmosphere::{density_kg_m3, pressure_pa, temperature_c};
use wellwright_physics::sun::incidence::{
    ASHRAE_B0, CLEAR_GLASS, Glass, MARTIN_RUIZ_A_R, ashrae, martin_ruiz, physical,
};

use crate::fixture::{close, near, rows};

#[test]
fn every_angle() {
    for row in rows("iam.csv", 16) {
        let aoi = row.number("aoi_deg");
        let name = format!("{aoi} degrees");
        near(&name, ashrae(aoi, ASHRAE_B0).unwrap(), row.number("iam_ashrae_b005"), 1e-6);
        near(&name, physical(aoi, &CLEAR_GLASS).unwrap(), row.number("iam_physical_n1526_K4_L002"), 1e-6);
        near(&name, martin_ruiz(aoi, MARTIN_RUIZ_A_R).unwrap(), row.number("iam_martin_ruiz_ar016"), 1e-6);
    }
}

#[test]
fn nothing_enters_from_behind() {
    for aoi in [90.0, 120.0, 180.0] {
        near("ashrae", ashrae(aoi, ASHRAE_B0).unwrap(), 0.0, 1e-12);
        near("physical", physical(aoi, &CLEAR_GLASS).unwrap(), 0.0, 1e-12);
        near("martin_ruiz", martin_ruiz(aoi, MARTIN_RUIZ_A_R).unwrap(), 0.0, 1e-12);
    }
}

#[test]
fn glass_refuses_what_is_no_glass() {
    for aoi in [-1.0, 181.0, f64::NAN] {
        assert!(ashrae(aoi, ASHRAE_B0).is_err());
        assert!(physical(aoi, &CLEAR_GLASS).is_err());
        assert!(martin_ruiz(aoi, MARTIN_RUIZ_A_R).is_err());
    }
    assert!(ashrae(10.0, -0.1).is_err());
    assert!(physical(10.0, &Glass { refractive_index: 1.0, ..CLEAR_GLASS }).is_err());
    assert!(physical(10.0, &Glass { thickness_m: 2.0, ..CLEAR_GLASS }).is_err());
    assert!(martin_ruiz(10.0, 0.0).is_err());
}

#[test]
fn every_altitude() {
    for row in rows("atmosphere.csv", 12) {
        let h = row.number("alt_m");
        let name = format!("{h} m");
        let p_pa = pressure_pa(h).unwrap();
        // ICAO 1993 by ambiance 1.3.1: the same formula.
        close(&name, p_pa, 1000.0 * row.number("p_isa_kPa"), 2e-6, 0.0);
        near(&name, temperature_c(h).unwrap(), row.number("T_isa_C"), 1e-4);
        close(&name, density_kg_m3(h).unwrap(), row.number("rho_air"), 2e-6, 0.0);
        // The shorter formulas of other books and of pvlib 0.16.1 take geometric for geopotential height.
        close(&name, p_pa, 1000.0 * row.number("p_formula_kPa"), 1e-3, 0.0);
        close(&name, p_pa, 1000.0 * row.number("p_pvlib_kPa"), 1e-3, 0.0);
        // As a column of water of 999.70 kg/m3 (10 degC).
        close(&name, p_pa / (999.70 * 9.80665), row.number("head_water10C_m"), 2e-6, 0.0);
    }
}

#[test]
fn altitude_has_limits() {
    for h in [-500.1, 9000.1, f64::NAN, f64::NEG_INFINITY] {
        assert!(pressure_pa(h).is_err());
        assert!(temperature_c(h).is_err());
        assert!(density_kg_m3(h).is_err());
    }
}
