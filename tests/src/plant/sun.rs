//! Sun, clear sky and the light in the plane of the array.
//!
//! Position: declination and equation of time by the Fourier series of Spencer (1971), as printed in Iqbal,
//! An Introduction to Solar Radiation (1983); no refraction. Clear sky: the ASHRAE
//! clear-day model, DNI = A exp(-B / cos z), diffuse = C DNI, monthly A, B, C (ASHRAE Handbook of
//! Fundamentals, 1985 edition; values from memory), times a clearness number. Sky diffuse is isotropic
//! (Liu and Jordan 1963). Glass: Martin and Ruiz (2001), a_r = 0.16.

use std::f64::consts::PI;

const A: [f64; 12] =
    [1230.0, 1215.0, 1186.0, 1136.0, 1104.0, 1088.0, 1085.0, 1107.0, 1151.0, 1192.0, 1221.0, 1233.0];
const B: [f64; 12] = [0.142, 0.144, 0.156, 0.180, 0.196, 0.205, 0.207, 0.201, 0.177, 0.160, 0.149, 0.142];
const C: [f64; 12] = [0.058, 0.060, 0.071, 0.097, 0.121, 0.134, 0.136, 0.122, 0.092, 0.073, 0.063, 0.057];

/// Where the array stands and how it looks at the sky. Angles in degrees.
#[derive(Debug, Clone)]
pub struct Plane {
    /// North positive.
    pub latitude: f64,
    /// East positive.
    pub longitude: f64,
    /// From level.
    pub tilt: f64,
    /// Clockwise from north.
    pub azimuth: f64,
    /// Ground reflectance, 0 to 1.
    pub albedo: f64,
    /// Azimuth and elevation of the horizon.
    pub horizon: Vec<[f64; 2]>,
    /// ASHRAE clearness number of the place, about 0.9 to 1.15.
    pub clearness: f64,
}

/// Light in the plane of the array, W/m2, before the glass.
#[derive(Debug, Clone, Copy, Default)]
pub struct Light {
    /// Direct.
    pub beam: f64,
    /// From sky and ground.
    pub diffuse: f64,
    /// Share of the direct light that passes the glass, relative to normal incidence.
    pub glass: f64,
}

impl Light {
    /// What a flat sensor in the plane sees, W/m2.
    pub fn total(self) -> f64 {
        self.beam + self.diffuse
    }
}

/// Zenith and azimuth of the sun, radians, at seconds since 1970.
pub fn position(latitude: f64, longitude: f64, unix_s: f64) -> (f64, f64) {
    let days = unix_s / 86400.0;
    let gamma = 2.0 * PI * days.rem_euclid(365.2425) / 365.2425;
    let equation_min = 229.18
        * (0.000075 + 0.001868 * gamma.cos()
            - 0.032077 * gamma.sin()
            - 0.014615 * (2.0 * gamma).cos()
            - 0.040849 * (2.0 * gamma).sin());
    let declination = 0.006918 - 0.399912 * gamma.cos() + 0.070257 * gamma.sin()
        - 0.006758 * (2.0 * gamma).cos()
        + 0.000907 * (2.0 * gamma).sin()
        - 0.002697 * (3.0 * gamma).cos()
        + 0.00148 * (3.0 * gamma).sin();
    let solar_h = days.fract() * 24.0 + longitude / 15.0 + equation_min / 60.0;
    let hour = (solar_h - 12.0) * PI / 12.0;
    let lat = latitude.to_radians();
    let cos_z = lat.sin() * declination.sin() + lat.cos() * declination.cos() * hour.cos();
    let azimuth = (-hour.sin() * declination.cos())
        .atan2(declination.sin() * lat.cos() - declination.cos() * lat.sin() * hour.cos());
    (cos_z.clamp(-1.0, 1.0).acos(), azimuth.rem_euclid(2.0 * PI))
}

impl Plane {
    /// Light when the sky lets `k` of the clear-sky horizontal light through (1 = clear).
    pub fn light(&self, unix_s: f64, k: f64) -> Light {
        let (zenith, azimuth) = position(self.latitude, self.longitude, unix_s);
        let cos_z = zenith.cos();
        if cos_z < 0.01 {
            return Light { glass: 1.0, ..Light::default() };
        }
        // The tables are for the north; the south has the same sun half a year later.
        let month = ((unix_s / 86400.0).rem_euclid(365.2425) / 30.44) as usize % 12;
        let month = if self.latitude < 0.0 { (month + 6) % 12 } else { month };
        let clear_beam = self.clearness * A[month] * (-B[month] / cos_z).exp();
        let clear_diffuse = C[month] * clear_beam / self.clearness.powi(2);
        let clear_level = clear_beam * cos_z + clear_diffuse;
        let beam_share = ((k.min(1.0) - 0.15) / 0.85).max(0.0).powf(1.2);
        let beam = clear_beam * beam_share;
        let diffuse_level = (k * clear_level - beam * cos_z).max(0.0);
        let tilt = self.tilt.to_radians();
        let cos_i =
            cos_z * tilt.cos() + zenith.sin() * tilt.sin() * (azimuth - self.azimuth.to_radians()).cos();
        let hidden = 90.0 - zenith.to_degrees() < self.horizon_at(azimuth.to_degrees());
        let beam_in_plane = if hidden || cos_i <= 0.0 { 0.0 } else { beam * cos_i };
        let glass =
            if cos_i > 0.0 { (1.0 - (-cos_i / 0.16).exp()) / (1.0 - (-1.0_f64 / 0.16).exp()) } else { 0.0 };
        let ground = k * clear_level * self.albedo * (1.0 - tilt.cos()) / 2.0;
        Light { beam: beam_in_plane, diffuse: diffuse_level * f64::midpoint(1.0, tilt.cos()) + ground, glass }
    }

    /// Elevation of the horizon in a direction, degrees, by linear interpolation that wraps.
    fn horizon_at(&self, azimuth: f64) -> f64 {
        let n = self.horizon.len();
        if n == 0 {
            return 0.0;
        }
        for i in 0..n {
            let a = self.horizon[i];
            let b = self.horizon[(i + 1) % n];
            let span = if n == 1 { 360.0 } else { (b[0] - a[0]).rem_euclid(360.0) };
            let along = (azimuth - a[0]).rem_euclid(360.0);
            if along <= span {
                return a[1] + (b[1] - a[1]) * along / span.max(1e-9);
            }
        }
        self.horizon[0][1]
    }
}
