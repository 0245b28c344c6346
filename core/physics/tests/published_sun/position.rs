//! Where the sun stands. Tolerance 0.01 degrees with standard air, 1e-4 where the observation is given.

use chrono::{DateTime, Utc};
use wellwright_physics::error::PhysicsError;
use wellwright_physics::sun::ephemeris::{earth_sun_distance_au, equation_of_time_min};
use wellwright_physics::sun::plane::aoi_deg;
use wellwright_physics::sun::position::{Observation, sun_position, sun_position_observed};

use crate::fixture::{Row, at, near, rows};

/// Difference of two azimuths as an angle on the sky: azimuth means nothing near straight up.
fn azimuth_gap_deg(a: f64, b: f64, zenith: f64) -> f64 {
    ((a - b + 180.0).rem_euclid(360.0) - 180.0) * zenith.to_radians().sin()
}

fn observed(row: &Row) -> Observation {
    Observation {
        pressure_pa: row.number("pressure_pa"),
        air_c: row.number("temp_c"),
        delta_t_s: row.number("delta_t_s"),
    }
}

#[test]
fn every_row_with_the_air_given() {
    for row in rows("solar_position.csv", 161) {
        let name = format!("{} {}", row.text("site"), row.text("utc"));
        let (lat, lon, alt) = (row.number("lat_deg"), row.number("lon_deg"), row.number("alt_m"));
        let time = row.time("utc");
        let sun = sun_position_observed(time, lat, lon, alt, &observed(&row)).unwrap();
        near(&name, sun.zenith_deg, row.number("zenith_deg"), 1e-4);
        near(&name, sun.apparent_zenith_deg, row.number("apparent_zenith_deg"), 1e-4);
        near(&name, azimuth_gap_deg(sun.azimuth_deg, row.number("azimuth_deg"), sun.zenith_deg), 0.0, 1e-4);
        // Second opinion: ephem 4.2.1, another theory of the sun's motion.
        near(&name, sun.zenith_deg, row.number("ephem_zenith_deg"), 1e-3);
        near(
            &name,
            azimuth_gap_deg(sun.azimuth_deg, row.number("ephem_azimuth_deg"), sun.zenith_deg),
            0.0,
            1e-3,
        );
        let delta_t_s = Some(row.number("delta_t_s"));
        near(&name, equation_of_time_min(time, delta_t_s).unwrap(), row.number("eot_min"), 1e-3);
    }
}

#[test]
fn every_row_with_standard_air() {
    // The first row is the authors' example, with a barometer reading of its own.
    for row in rows("solar_position.csv", 161).iter().skip(1) {
        let name = format!("{} {}", row.text("site"), row.text("utc"));
        let sun =
            sun_position(row.time("utc"), row.number("lat_deg"), row.number("lon_deg"), row.number("alt_m"))
                .unwrap();
        near(&name, sun.zenith_deg, row.number("zenith_deg"), 0.01);
        near(&name, sun.apparent_zenith_deg, row.number("apparent_zenith_deg"), 0.01);
        near(&name, azimuth_gap_deg(sun.azimuth_deg, row.number("azimuth_deg"), sun.zenith_deg), 0.0, 0.01);
        near(&name, sun.elevation_deg(), 90.0 - row.number("apparent_zenith_deg"), 0.01);
    }
}

#[test]
fn edges_of_the_world_and_of_the_century() {
    for row in rows("solar_position_edges.csv", 56) {
        let name = format!("{} {}", row.text("site"), row.text("utc"));
        let sun =
            sun_position(row.time("utc"), row.number("lat_deg"), row.number("lon_deg"), row.number("alt_m"))
                .unwrap();
        near(&name, sun.zenith_deg, row.number("zenith_deg"), 0.01);
        near(&name, sun.apparent_zenith_deg, row.number("apparent_zenith_deg"), 0.01);
        near(&name, azimuth_gap_deg(sun.azimuth_deg, row.number("azimuth_deg"), sun.zenith_deg), 0.0, 0.01);
        near(&name, sun.zenith_deg, row.number("ephem_zenith_deg"), 0.01);
        near(
            &name,
            azimuth_gap_deg(sun.azimuth_deg, row.number("ephem_azimuth_deg"), sun.zenith_deg),
            0.0,
            0.01,
        );
    }
}

/// Reda & Andreas (2004), table A5.1, typed from the table and reproduced by pvlib 0.16.1 and ephem 4.2.1.
#[test]
fn the_authors_example() {
    let time = at("2003-10-17T19:30:30Z");
    let air = Observation { pressure_pa: 82_000.0, air_c: 11.0, delta_t_s: 67.0 };
    let sun = sun_position_observed(time, 39.742476, -105.1786, 1830.14, &air).unwrap();
    near("zenith with refraction", sun.apparent_zenith_deg, 50.11162, 1e-4);
    near("true zenith (pvlib)", sun.zenith_deg, 50.127954, 1e-3);
    near("azimuth", sun.azimuth_deg, 194.34024, 1e-4);
    // The paper turns the slope 10 degrees from south towards east.
    near("incidence on the slope", aoi_deg(30.0, 170.0, &sun), 25.18700, 1e-4);
    near("distance", earth_sun_distance_au(time, Some(67.0)).unwrap(), 0.9965422974, 1e-7);
    near("equation of time", equation_of_time_min(time, Some(67.0)).unwrap(), 14.64150, 1e-3);
}

/// Computed with pvlib 0.16.1 spa_python: latitude, longitude, altitude, moment, zenith seen, azimuth.
#[test]
fn noon_round_the_world() {
    let table = [
        (0.0, 36.9, 1820.0, "2024-03-20T09:32:00Z", 1.937378, 86.866),
        (23.4367, 72.6, 0.0, "2024-03-20T07:10:00Z", 23.424858, 175.6152),
        (13.51, 2.11, 210.0, "2024-03-20T11:52:00Z", 13.470281, 172.6089),
        (-33.87, 151.21, 30.0, "2024-03-20T01:55:00Z", 33.887760, 3.4053),
        (-18.14, 178.44, 0.0, "2024-03-20T00:06:00Z", 18.184587, 6.1743),
        (69.65, 18.96, 0.0, "2024-03-20T10:44:00Z", 69.494792, 178.0028),
    ];
    for (lat, lon, alt, time, zenith, azimuth) in table {
        let sun = sun_position(at(time), lat, lon, alt).unwrap();
        near(time, sun.apparent_zenith_deg, zenith, 0.01);
        near(time, azimuth_gap_deg(sun.azimuth_deg, azimuth, zenith), 0.0, 0.01);
    }
}

#[test]
fn a_leap_second_is_a_moment_like_another() {
    let leap = at("2016-12-31T23:59:60.5Z");
    let next = at("2017-01-01T00:00:00Z");
    let a = sun_position(leap, 10.0, 170.0, 0.0).unwrap();
    let b = sun_position(next, 10.0, 170.0, 0.0).unwrap();
    near("leap second", a.zenith_deg, b.zenith_deg, 0.01);
}

fn refused(what: &str, result: Result<impl std::fmt::Debug, PhysicsError>) {
    match result {
        Err(PhysicsError::OutOfRange { what: named, .. }) => assert_eq!(named, what),
        other => panic!("{what}: {other:?}"),
    }
}

#[test]
fn refuses_dates_and_places_out_of_range() {
    let now = at("2026-06-21T12:00:00Z");
    for latitude in [90.001, -91.0, f64::NAN, f64::INFINITY] {
        refused("latitude", sun_position(now, latitude, 0.0, 0.0));
    }
    for longitude in [180.001, -181.0, f64::NAN] {
        refused("longitude", sun_position(now, 0.0, longitude, 0.0));
    }
    for altitude in [-501.0, 9001.0, f64::NAN] {
        refused("altitude", sun_position(now, 0.0, 0.0, altitude));
    }
    for time in ["1899-12-31T23:59:59Z", "2101-01-01T00:00:00Z", "9999-01-01T00:00:00Z"] {
        refused("year", sun_position(at(time), 0.0, 0.0, 0.0));
        refused("year", earth_sun_distance_au(at(time), None));
        refused("year", equation_of_time_min(at(time), None));
    }
    refused("year", sun_position(DateTime::<Utc>::MIN_UTC, 0.0, 0.0, 0.0));
    refused("year", sun_position(DateTime::<Utc>::MAX_UTC, 0.0, 0.0, 0.0));
    let vacuum = Observation { pressure_pa: 0.0, air_c: 20.0, delta_t_s: 69.0 };
    refused("air pressure", sun_position_observed(now, 0.0, 0.0, 0.0, &vacuum));
    assert!(sun_position(at("1900-01-01T00:00:00Z"), 90.0, 180.0, 9000.0).is_ok());
    assert!(sun_position(at("2100-12-31T23:59:59Z"), -90.0, -180.0, -500.0).is_ok());
}
