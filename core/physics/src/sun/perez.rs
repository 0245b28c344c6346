//! The table of Perez et al. (1990): how bright the sky is around the sun and along the horizon.
//!
//! Source: Perez et al. (1990), *Solar Energy* 44, 271-289, doi:10.1016/0038-092X(90)90055-H, the
//! set called `allsitescomposite1990` in pvlib 0.16.1; every row is exercised by a fixture made with pvlib.

/// Weight of the zenith angle in the clearness, for radians.
const KAPPA: f64 = 1.041;
/// Upper edges of the first seven classes of clearness; the eighth has none.
const CLEARNESS_EDGES: [f64; 7] = [1.065, 1.23, 1.5, 1.95, 2.8, 4.5, 6.2];
/// By class of clearness: f11, f12, f13, f21, f22, f23.
const TABLE: [[f64; 6]; 8] = [
    [-0.008, 0.588, -0.062, -0.060, 0.072, -0.022],
    [0.130, 0.683, -0.151, -0.019, 0.066, -0.029],
    [0.330, 0.487, -0.221, 0.055, -0.064, -0.026],
    [0.568, 0.187, -0.295, 0.109, -0.152, -0.014],
    [0.873, -0.392, -0.362, 0.226, -0.462, 0.001],
    [1.132, -1.237, -0.412, 0.288, -0.823, 0.056],
    [1.060, -1.600, -0.359, 0.264, -1.127, 0.131],
    [0.678, -0.327, -0.250, 0.156, -1.377, 0.251],
];

/// Share of the diffuse light around the sun (F1, 0 or more) and the extra along the horizon (F2).
///
/// `dhi`, `dni`: W/m2, `dhi` above 0. `zenith`: rad. `brightness`: DHI AM / Ea.
pub(super) fn circumsolar_and_horizon(dhi: f64, dni: f64, zenith: f64, brightness: f64) -> (f64, f64) {
    let slant = KAPPA * zenith.powi(3);
    let clearness = ((dhi + dni) / dhi + slant) / (1.0 + slant);
    let class = CLEARNESS_EDGES.partition_point(|&edge| edge <= clearness);
    let [f11, f12, f13, f21, f22, f23] = TABLE[class];
    ((f11 + f12 * brightness + f13 * zenith).max(0.0), f21 + f22 * brightness + f23 * zenith)
}
