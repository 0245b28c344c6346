//! Pipe friction and water against published and independently computed values.

mod fixture;

use fixture::{near, rows, within};
use wellwright_domain::record::PipeMaterial;
use wellwright_physics::pipe::{Pipe, friction_factor, hazen_williams_m, roughness_mm};
use wellwright_physics::water::{
    density_kg_m3, kinematic_m2_s, npsh_available_m, vapour_pressure_pa, viscosity_pa_s,
};

/// Viscosity that the head-loss fixture was computed with, m2/s.
const NU: f64 = 1.022e-6;

/// Source: fluids 1.3.1 friction_factor(Method=Colebrook), Clamond, Swamee-Jain, Haaland. 1e-6.
#[test]
fn friction_factors() {
    for r in rows("colebrook.csv", 103) {
        let (re, rough) = (r.num("Re"), r.num("eD"));
        let f = friction_factor(re, rough);
        near(f, r.num("f_darcy_colebrook"), 1e-6, &format!("Re {re} eD {rough}"));
        if let Some(clamond) = r.maybe("f_clamond") {
            near(f, clamond, 1e-6, "Clamond");
        }
        // The explicit forms inside the range they were published for.
        if (1e-6..=1e-2).contains(&rough) && (5e3..=1e8).contains(&re) {
            near(f, r.num("f_swamee_jain"), 0.03, "Swamee-Jain");
            near(f, r.num("f_haaland"), 0.02, "Haaland");
        }
    }
}

/// Sources: fluids 1.3.1 Colebrook (1e-5 rows); White, Fluid Mechanics, smooth pipe, printed digits (from
/// memory).
#[test]
fn friction_factor_tables() {
    let table = [
        (1e4, 0.0, 0.030883),
        (1e4, 1e-3, 0.032382),
        (1e4, 1e-2, 0.043127),
        (1e5, 0.0, 0.017990),
        (1e5, 1e-4, 0.018514),
        (1e5, 1e-3, 0.022175),
        (1e5, 1e-2, 0.038504),
        (1e6, 0.0, 0.011645),
        (1e6, 1e-4, 0.013441),
        (1e6, 1e-3, 0.019943),
    ];
    for (re, rough, f) in table {
        within(friction_factor(re, rough), f, 1e-6, "Colebrook");
    }
    for (re, f) in [(4e3, 0.0399), (1e4, 0.0309), (1e5, 0.0180), (1e6, 0.0116), (1e7, 0.0081), (1e8, 0.0059)]
    {
        within(friction_factor(re, 0.0), f, 5.01e-5, "White");
    }
}

/// Sources: EPANET 2.2 engine (wntr 1.5.0), fluids 1.3.1 Colebrook. 0.2 % Hazen-Williams, 2 % EPANET
/// Darcy-Weisbach (it uses Swamee-Jain).
#[test]
fn head_loss_in_100_m() {
    for r in rows("pipe_headloss.csv", 48) {
        let (d, q, l) = (r.num("D_mm"), r.num("q_lps") * 3.6, r.num("L_m"));
        let what = format!("{d} mm {q} m3/h");
        if r.text("formula") == "H-W" {
            let h = hazen_williams_m(q, l, d, r.num("roughness"));
            near(h, r.num("epanet_headloss_m"), 0.002, &what);
            near(h, r.num("hazen_williams_si_10p67"), 1e-5, &what);
        } else {
            let h = Pipe::new(l, d, r.num("roughness")).unwrap().loss_m(q, NU);
            near(h, r.num("colebrook_headloss_m_nu1022"), 1e-5, &what);
            near(h, r.num("epanet_headloss_m"), 0.02, &what);
        }
    }
    let pipe = Pipe::new(100.0, 26.0, roughness_mm(PipeMaterial::Pe)).unwrap();
    near(pipe.loss_m(0.6 * 3.6, NU), 5.952, 0.005, "EPANET 2.2, 0.6 l/s in 26 mm");
    near(pipe.loss_m(0.6 * 3.6, NU), 5.979, 1e-4, "Colebrook, 0.6 l/s in 26 mm");
}

/// Source: fluids 1.3.1 Colebrook: 10 to 30 degC lowers friction by 10 to 11 % in 32.6 mm PE at 0.5 to
/// 1.5 l/s.
#[test]
fn warm_water_rubs_less() {
    let pipe = Pipe::new(100.0, 32.6, roughness_mm(PipeMaterial::Pe)).unwrap();
    let drop = viscosity_pa_s(30.0).unwrap() / viscosity_pa_s(10.0).unwrap() - 1.0;
    within(drop, -0.39, 0.005, "viscosity");
    for q in [0.5, 1.0, 1.5] {
        let at = |t| pipe.loss_m(q * 3.6, kinematic_m2_s(t).unwrap());
        let less = 1.0 - at(30.0) / at(10.0);
        assert!((0.095..0.115).contains(&less), "{q} l/s: {less}");
    }
}

/// Source: iapws 1.5.5 (IAPWS-95, viscosity 2008, IF97) and CoolProp 8.0.0. 1e-4.
#[test]
fn water_properties() {
    for r in rows("water_properties.csv", 13) {
        let t = r.num("T_C");
        near(density_kg_m3(t).unwrap(), r.num("rho_kg_m3"), 2e-5, "density");
        near(viscosity_pa_s(t).unwrap() * 1e3, r.num("mu_mPa_s"), 1e-4, "viscosity");
        near(kinematic_m2_s(t).unwrap() * 1e6, r.num("nu_mm2_s"), 1e-4, "kinematic viscosity");
        near(vapour_pressure_pa(t).unwrap() / 1e3, r.num("psat_if97_kPa"), 1e-4, "vapour pressure");
        near(density_kg_m3(t).unwrap(), r.num("cp_coolprop_rho"), 1e-4, "density, CoolProp");
        near(vapour_pressure_pa(t).unwrap() / 1e3, r.num("coolprop_psat_kPa"), 1e-4, "pv, CoolProp");
    }
    // Printed in the reference table: IAPWS-95; IAPWS 2008 states 1.0016 mPa s at 20 degC.
    for (t, rho, mu, pv) in [
        (10.0, 999.702, 1.30590e-3, 1228.18),
        (20.0, 998.207, 1.00160e-3, 2339.21),
        (30.0, 995.649, 0.79722e-3, 4246.69),
    ] {
        near(density_kg_m3(t).unwrap(), rho, 1e-4, "density");
        near(viscosity_pa_s(t).unwrap(), mu, 1e-4, "viscosity");
        near(vapour_pressure_pa(t).unwrap(), pv, 1e-4, "vapour pressure");
    }
    assert_eq!(
        density_kg_m3(80.0).unwrap_err().to_string(),
        "water temperature is 80 degC; it must lie between 0 and 60 degC"
    );
}

/// Derived from the atmosphere and water fixtures: 1500 m, 84.5597 kPa, 20 degC, 2 m submergence.
#[test]
fn suction_head() {
    within(npsh_available_m(84_559.7, 20.0, 2.0, 0.0).unwrap(), 10.40, 0.005, "NPSHa");
}
