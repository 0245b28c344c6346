//! What holds for every valid input, wherever and whenever.

use chrono::{DateTime, Duration, NaiveDate, Utc};
use proptest::prelude::*;
use wellwright_physics::sun::clear_sky::Components;
use wellwright_physics::sun::incidence::{CLEAR_GLASS, ashrae, martin_ruiz, physical};
use wellwright_physics::sun::plane::{aoi_deg, hay_davies, isotropic, perez};
use wellwright_physics::sun::{
    Horizon, Place, Plane, SunPosition, plane_clear_sky, sun_position, sun_rise_set,
};

fn moment() -> impl Strategy<Value = DateTime<Utc>> {
    // 1900-01-01 to 2100-12-31.
    (-2_208_988_800_i64..4_133_980_800).prop_map(|s| DateTime::from_timestamp(s, 0).unwrap())
}

fn latitude() -> impl Strategy<Value = f64> {
    prop_oneof![4 => -90.0..=90.0, 1 => prop::sample::select(vec![-90.0, 0.0, 90.0])]
}

fn longitude() -> impl Strategy<Value = f64> {
    prop_oneof![4 => -180.0..=180.0, 1 => prop::sample::select(vec![-180.0, 0.0, 180.0])]
}

fn place() -> impl Strategy<Value = Place> {
    (latitude(), longitude(), -500.0..=9000.0).prop_map(|(latitude_deg, longitude_deg, altitude_m)| Place {
        latitude_deg,
        longitude_deg,
        altitude_m,
    })
}

fn plane() -> impl Strategy<Value = Plane> {
    (0.0..=90.0, -360.0..=360.0, 0.0..=1.0).prop_map(|(t, a, r)| Plane::new(t, a, r).unwrap())
}

fn sun() -> impl Strategy<Value = SunPosition> {
    (0.0..=180.0, 0.0..360.0).prop_map(|(z, azimuth_deg)| SunPosition {
        zenith_deg: z,
        apparent_zenith_deg: z,
        azimuth_deg,
    })
}

fn horizon() -> impl Strategy<Value = Horizon> {
    prop::collection::vec((-360.0..720.0, -10.0..90.0), 0..8).prop_map(|points| {
        let points: Vec<[f64; 2]> = points.into_iter().map(|(a, e)| [a, e]).collect();
        Horizon::from_points(&points).unwrap()
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(1000))]

    #[test]
    fn the_sun_is_always_somewhere(at in moment(), p in place()) {
        let sun = sun_position(at, p.latitude_deg, p.longitude_deg, p.altitude_m).unwrap();
        prop_assert!((0.0..=180.0).contains(&sun.zenith_deg));
        prop_assert!((0.0..=180.0).contains(&sun.apparent_zenith_deg));
        prop_assert!((0.0..=360.0).contains(&sun.azimuth_deg));
        // Refraction lifts, by less than a degree; straight up it is nothing.
        let lift = sun.zenith_deg - sun.apparent_zenith_deg;
        prop_assert!((-1e-4..1.0).contains(&lift), "{lift}");
    }

    #[test]
    fn both_sides_of_the_date_line_see_one_sun(at in moment(), latitude in latitude()) {
        let west = sun_position(at, latitude, 180.0, 0.0).unwrap();
        let east = sun_position(at, latitude, -180.0, 0.0).unwrap();
        prop_assert!((west.zenith_deg - east.zenith_deg).abs() < 1e-9);
    }

    #[test]
    fn clear_sky_in_the_plane_is_finite_and_not_negative(
        at in moment(), p in place(), plane in plane(), horizon in horizon(), linke in 1.0..=10.0,
    ) {
        let now = plane_clear_sky(at, &p, &plane, &horizon, linke).unwrap();
        for part in [now.poa_w_m2, now.beam_w_m2, now.sky_w_m2, now.ground_w_m2] {
            prop_assert!(part.is_finite() && (0.0..3000.0).contains(&part), "{now:?}");
        }
        prop_assert!((now.poa_w_m2 - now.beam_w_m2 - now.sky_w_m2 - now.ground_w_m2).abs() < 1e-9);
        prop_assert!((0.0..=180.0).contains(&now.aoi_deg));
        let level = now.on_level;
        prop_assert!(level.ghi_w_m2 >= 0.0 && level.dni_w_m2 >= 0.0 && level.dhi_w_m2 >= 0.0);
        if !now.sun.is_up() {
            prop_assert_eq!(now.poa_w_m2, 0.0);
        }
        if now.hidden || now.aoi_deg >= 90.0 {
            prop_assert!(now.beam_w_m2 < 1e-9);
        }
        prop_assert_eq!(now.hidden, now.sun.is_up() && horizon.blocks(&now.sun));
    }

    #[test]
    fn no_beam_from_behind_and_no_negative_light_in_any_model(
        sun in sun(), plane in plane(), dni in 0.0..1400.0, dhi in 0.0..800.0,
    ) {
        let ghi = dhi + dni * sun.apparent_zenith_deg.to_radians().cos().max(0.0);
        let level = Components { ghi_w_m2: ghi, dni_w_m2: dni, dhi_w_m2: dhi };
        let behind = aoi_deg(plane.tilt_deg(), plane.azimuth_deg(), &sun) > 90.0 || !sun.is_up();
        let models =
            [isotropic(&plane, &sun, &level), hay_davies(&plane, &sun, &level, 1366.1), perez(&plane, &sun, &level, 1366.1)];
        for parts in models {
            let hidden = parts.with_sun_hidden(&level);
            for part in [
                parts.beam_w_m2, parts.sky_w_m2, parts.circumsolar_w_m2, parts.ground_w_m2, parts.total(),
                hidden.total(), hidden.sky_w_m2,
            ] {
                prop_assert!(part.is_finite() && part >= 0.0, "{parts:?}");
            }
            prop_assert!(hidden.total() <= parts.total() + 1e-9);
            prop_assert!(parts.circumsolar_w_m2 <= parts.sky_w_m2);
            if behind {
                prop_assert_eq!(parts.beam_w_m2, 0.0);
                prop_assert_eq!(parts.circumsolar_w_m2, 0.0);
            }
        }
    }

    #[test]
    fn a_skyline_stays_between_its_points(horizon in horizon(), azimuth in -1000.0..1000.0) {
        let elevation = horizon.elevation_at(azimuth);
        prop_assert!((-10.0..=90.0).contains(&elevation), "{elevation}");
        prop_assert!((elevation - horizon.elevation_at(azimuth + 360.0)).abs() < 1e-6);
    }

    #[test]
    fn glass_lets_in_less_at_a_slant(aoi in 0.0..89.0) {
        let next = aoi + 1.0;
        for (here, there) in [
            (ashrae(aoi, 0.05), ashrae(next, 0.05)),
            (physical(aoi, &CLEAR_GLASS), physical(next, &CLEAR_GLASS)),
            (martin_ruiz(aoi, 0.16), martin_ruiz(next, 0.16)),
        ] {
            let (here, there) = (here.unwrap(), there.unwrap());
            prop_assert!((0.0..=1.0).contains(&here) && there <= here);
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn a_day_is_in_order(days in 0_i64..73_000, latitude in latitude(), longitude in longitude()) {
        let date = NaiveDate::from_ymd_opt(1900, 1, 1).unwrap() + Duration::days(days);
        let day = sun_rise_set(date, latitude, longitude).unwrap();
        let half = Duration::hours(12) + Duration::seconds(1);
        prop_assert!(day.rise.is_none_or(|r| r <= day.transit && r >= day.transit - half));
        prop_assert!(day.set.is_none_or(|s| s >= day.transit && s <= day.transit + half));
        prop_assert!((0.0..=24.01).contains(&day.day_length_h()));
        // Solar noon is within 17 minutes of noon by mean solar time.
        let mean = date.and_hms_opt(12, 0, 0).unwrap().and_utc()
            - Duration::milliseconds((longitude * 240_000.0) as i64);
        prop_assert!((day.transit - mean).abs() < Duration::minutes(17));
    }
}
