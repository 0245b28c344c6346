//! Hills, trees and houses that hide the sun: the horizon as seen from the array.

use wellwright_domain::record::HorizonPoint;

use super::position::SunPosition;
use crate::error::{PhysicsError, in_range};

/// Elevation of the skyline by direction. Linear between its points, and it wraps at 360 degrees.
///
/// **Seen from one point**: a near obstacle that shades only some modules is not a horizon.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Horizon {
    /// Azimuth (0 to 360, ascending) and elevation, degrees.
    points: Vec<HorizonPoint>,
}

impl Horizon {
    /// A level horizon: nothing hides the sun.
    #[must_use]
    pub const fn level() -> Self {
        Self { points: Vec::new() }
    }

    /// A horizon from points `[azimuth, elevation]` in degrees, in any order. No points = level.
    ///
    /// Azimuth clockwise from true north; values outside 0 to 360 are brought inside. Two points with the
    /// same azimuth make a step, in the order given. Elevation -10 to 90.
    ///
    /// # Errors
    /// [`PhysicsError::OutOfRange`] for an azimuth outside -360 to 720 or an elevation outside its range.
    ///
    /// # Example
    /// ```
    /// use wellwright_physics::sun::horizon::Horizon;
    /// let hills = Horizon::from_points(&[[90.0, 10.0], [180.0, 0.0], [270.0, 4.0]])?;
    /// assert_eq!(hills.elevation_at(135.0), 5.0);
    /// assert_eq!(hills.elevation_at(0.0), 7.0);
    /// # Ok::<(), wellwright_physics::error::PhysicsError>(())
    /// ```
    pub fn from_points(points: &[HorizonPoint]) -> Result<Self, PhysicsError> {
        let mut kept = Vec::with_capacity(points.len());
        for &[azimuth, elevation] in points {
            let azimuth = in_range("horizon azimuth", "degrees", azimuth, -360.0, 720.0)?;
            let elevation = in_range("horizon elevation", "degrees", elevation, -10.0, 90.0)?;
            // 360 stays: it closes the circle of a list that begins at 0.
            let azimuth = if azimuth == 360.0 { azimuth } else { wrapped(azimuth) };
            kept.push([azimuth, elevation]);
        }
        kept.sort_by(|a, b| a[0].total_cmp(&b[0]));
        Ok(Self { points: kept })
    }

    /// Elevation of the skyline in a direction, degrees. At a step the higher side counts.
    ///
    /// `azimuth_deg`: clockwise from true north, any finite value.
    #[must_use]
    pub fn elevation_at(&self, azimuth_deg: f64) -> f64 {
        let (Some(first), Some(last)) = (self.points.first(), self.points.last()) else {
            return 0.0;
        };
        let azimuth = wrapped(azimuth_deg);
        let on_points = |at: f64| {
            self.points.iter().filter(move |p| p[0] == at).map(|p| p[1]).fold(f64::NEG_INFINITY, f64::max)
        };
        let exact = if azimuth == 0.0 { on_points(0.0).max(on_points(360.0)) } else { on_points(azimuth) };
        if exact.is_finite() {
            return exact;
        }
        let after = self.points.partition_point(|p| p[0] < azimuth);
        let (from, to) = if after == 0 {
            ([last[0] - 360.0, last[1]], *first)
        } else if let Some(next) = self.points.get(after) {
            (self.points[after - 1], *next)
        } else {
            (*last, [first[0] + 360.0, first[1]])
        };
        let width = to[0] - from[0];
        if width > 0.0 {
            from[1] + (to[1] - from[1]) * (azimuth - from[0]) / width
        } else {
            from[1].max(to[1])
        }
    }

    /// True when the sun's centre is behind the skyline, so that no beam reaches the array.
    #[must_use]
    pub fn blocks(&self, sun: &SunPosition) -> bool {
        sun.elevation_deg() < self.elevation_at(sun.azimuth_deg)
    }
}

/// Azimuth brought to 0 (included) to 360 (excluded), degrees.
fn wrapped(azimuth_deg: f64) -> f64 {
    let turned = azimuth_deg.rem_euclid(360.0);
    // A tiny negative angle rounds up to a full turn.
    if turned >= 360.0 { 0.0 } else { turned }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn horizon(points: &[HorizonPoint]) -> Horizon {
        Horizon::from_points(points).unwrap()
    }

    #[test]
    fn no_points_is_level() {
        assert_eq!(horizon(&[]), Horizon::level());
        assert_eq!(Horizon::level().elevation_at(123.0), 0.0);
    }

    #[test]
    fn one_point_is_the_same_all_round() {
        for azimuth in [0.0, 45.0, 200.0, 359.9] {
            assert_eq!(horizon(&[[200.0, 6.0]]).elevation_at(azimuth), 6.0);
        }
    }

    #[test]
    fn wraps_through_north_in_any_order() {
        let h = horizon(&[[350.0, 10.0], [10.0, 20.0]]);
        assert_eq!(h.elevation_at(0.0), 15.0);
        assert_eq!(h.elevation_at(360.0), 15.0);
        assert_eq!(h.elevation_at(355.0), 12.5);
        assert_eq!(h.elevation_at(-5.0), 12.5);
        assert_eq!(h.elevation_at(180.0), 15.0);
    }

    #[test]
    fn a_list_closed_at_360_keeps_both_sides_of_north() {
        let h = horizon(&[[0.0, 2.0], [180.0, 2.0], [360.0, 8.0]]);
        assert_eq!(h.elevation_at(90.0), 2.0);
        assert_eq!(h.elevation_at(270.0), 5.0);
        assert_eq!(h.elevation_at(0.0), 8.0);
    }

    #[test]
    fn a_step_is_a_step() {
        let h = horizon(&[[90.0, 0.0], [90.0, 30.0], [180.0, 30.0], [180.0, 0.0]]);
        assert_eq!(h.elevation_at(90.0), 30.0);
        assert_eq!(h.elevation_at(135.0), 30.0);
        assert_eq!(h.elevation_at(89.999), 0.0);
        assert_eq!(h.elevation_at(180.001), 0.0);
    }

    #[test]
    fn refuses_what_is_no_direction() {
        assert!(Horizon::from_points(&[[f64::NAN, 1.0]]).is_err());
        assert!(Horizon::from_points(&[[10.0, 91.0]]).is_err());
        assert!(Horizon::from_points(&[[10.0, f64::INFINITY]]).is_err());
    }
}
