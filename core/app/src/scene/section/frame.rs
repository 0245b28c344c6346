//! Where things stand in the section: the scale of depth and the places of the parts.

use crate::scene::view::{Place, Purpose, SectionView};

/// Width of the picture, dp.
pub const WIDTH: f64 = 411.0;
/// Middle of the casing, dp.
pub const AXIS: f64 = 112.0;
/// Half width of the casing, dp.
pub const HALF: f64 = 22.0;
/// Middle of the array's post, dp.
pub const POST: f64 = 150.0;
/// Where the cable hangs, dp.
pub const CABLE: f64 = AXIS + 15.0;
/// Labels begin here, dp.
pub const LABELS: f64 = 196.0;
/// Labels end here, dp.
pub const LABELS_END: f64 = WIDTH - 16.0;

/// Most a metre may get, dp: shallow wells leave ground below.
const MOST: f64 = 12.0;
/// Least a metre may get, dp: the picture grows instead.
const LEAST: f64 = 1.4;
/// Paper above the highest outlet, dp.
const ABOVE_OUTLET: f64 = 20.0;
/// Ground left below the bottom, dp.
const BELOW: f64 = 12.0;

/// The scale and the places that follow from it, dp.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Frame {
    /// Height of the picture.
    pub height: f64,
    /// The ground's surface.
    pub ground: f64,
    /// dp for a metre.
    pub scale: f64,
    /// Bottom of the casing as drawn.
    pub bottom: f64,
    /// The depth of the well is recorded.
    pub bottom_known: bool,
    /// Top of the pump.
    pub pump_top: f64,
    /// The intake: bottom of the pump.
    pub intake: f64,
    /// Top of the motor.
    pub motor_top: f64,
    /// Height of the motor.
    pub motor_height: f64,
    /// Where the riser turns to the tank.
    pub outlet: f64,
    /// Middle of the array.
    pub array: (f64, f64),
    /// Tilt of the array, degrees, 0 to 90.
    pub tilt_deg: f64,
    /// Middle of the sun, when it is up.
    pub sun: Option<(f64, f64)>,
}

impl Frame {
    /// The frame for a view.
    pub fn of(view: &SectionView) -> Frame {
        let intake_m = clean(view.intake_m).max(0.5);
        let known = view.depth_m.map(clean).filter(|d| *d > intake_m);
        let deepest = [view.rest.map(|r| r.depth_m), view.level_m]
            .into_iter()
            .flatten()
            .chain(view.joints.iter().map(|j| j.depth_m))
            .map(clean)
            .fold(intake_m + (0.08 * intake_m).max(3.0), f64::max);
        let depth = known.unwrap_or(deepest);
        let outlet_m = clean(view.outlet_m).max(0.0);

        let mut sky: f64 = match view.purpose {
            Purpose::Record => 104.0,
            Purpose::Now if view.height >= 480.0 => 132.0,
            Purpose::Now => 118.0,
        };
        let mut height = view.height.max(sky + 120.0);
        let mut scale = MOST.min((height - sky - BELOW) / depth);
        if outlet_m > 0.0 {
            scale = scale.min((sky - ABOVE_OUTLET) / outlet_m);
        }
        if scale < LEAST {
            scale = LEAST;
            sky = sky.max(outlet_m * scale + ABOVE_OUTLET);
            height = height.max(sky + depth * scale + BELOW);
        }
        let ground = sky;
        let intake = ground + intake_m * scale;
        let bottom = ground + depth * scale;
        let body = (4.2 * scale).max(20.0).min((intake - ground - 6.0).max(12.0));
        let motor_top = intake + 6.0;
        let motor_height = (4.0 * scale - 6.0).max(12.0).min((bottom - 8.0 - motor_top).max(0.0));
        let array = (POST, ground - 70.0);
        Frame {
            height,
            ground,
            scale,
            bottom,
            bottom_known: known.is_some(),
            pump_top: intake - body,
            intake,
            motor_top,
            motor_height,
            outlet: ground - (outlet_m * scale).max(14.0),
            array,
            tilt_deg: clean(view.tilt_deg).clamp(0.0, 90.0),
            sun: view.sun.filter(|s| s.elevation_deg > 0.0).map(|s| {
                let e = s.elevation_deg.min(90.0).to_radians();
                (array.0 - 84.0 * e.cos(), (array.1 - 84.0 * e.sin()).max(15.0))
            }),
        }
    }

    /// Place of a depth, dp; above ground no higher than the casing's rim.
    pub fn y(&self, depth_m: f64) -> f64 {
        (self.ground + clean(depth_m) * self.scale).max(self.ground - 7.0)
    }

    /// Place of a joint: one at the wellhead hangs above ground.
    pub fn joint_y(&self, depth_m: f64) -> f64 {
        if depth_m <= 0.0 { self.ground - 13.0 } else { self.y(depth_m) }
    }

    /// Trailing end of the array (the higher one).
    pub fn array_end(&self) -> (f64, f64) {
        let t = self.tilt_deg.to_radians();
        (self.array.0 + 28.0 * t.cos(), self.array.1 - 28.0 * t.sin())
    }

    /// The point that a label's leader starts from.
    pub fn feature(&self, place: Place, view: &SectionView) -> (f64, f64) {
        let wall = AXIS + HALF;
        match place {
            Place::Sun => self.sun.map_or((POST - 14.0, 18.0), |(x, y)| (x + 10.0, y)),
            Place::Array => {
                let (x, y) = self.array_end();
                (x, y + 3.5)
            }
            Place::Controller => (POST + 9.0, self.ground - 33.0),
            Place::Tank => (66.0, self.outlet + 8.0),
            Place::Flow => (AXIS + 4.0, self.ground + 9.0),
            Place::Pressure => (AXIS + 4.0, self.ground + 22.0),
            Place::Joint(i) => (CABLE + 5.0, self.joint_y(view.joints.get(i).map_or(0.0, |j| j.depth_m))),
            Place::Rest => (wall, self.y(view.rest.map_or(0.0, |r| r.depth_m))),
            Place::Level => {
                let known = view.level_m.or(view.rest.map(|r| r.depth_m));
                (wall, self.y(known.unwrap_or(view.intake_m / 2.0)))
            }
            Place::Pump => (AXIS + 9.0, self.pump_top + 4.0),
            Place::Intake => (AXIS + 9.0, self.intake + 3.0),
            Place::Motor => (AXIS + 9.0, self.motor_top + 6.0),
            Place::Bottom => (wall, self.bottom),
            Place::Depth(m) => (wall, self.y(m)),
        }
    }
}

/// What is not a number becomes 0 rather than a broken picture.
fn clean(v: f64) -> f64 {
    if v.is_finite() { v.clamp(-10_000.0, 10_000.0) } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scene::view::Moving;

    fn view(depth: f64, intake: f64, outlet: f64) -> SectionView {
        SectionView {
            purpose: Purpose::Now,
            depth_m: Some(depth),
            intake_m: intake,
            outlet_m: outlet,
            tilt_deg: 25.0,
            joints: vec![],
            rest: None,
            level_m: None,
            sun: None,
            tank_share: None,
            moving: Moving::Unknown,
            height: 428.0,
            rows: vec![],
        }
    }

    #[test]
    fn depths_are_to_scale_and_never_bent() {
        for (depth, intake, outlet) in [
            (12.0, 11.0, 2.0),
            (72.0, 60.0, 4.5),
            (96.0, 84.0, 11.0),
            (300.0, 280.0, 3.0),
            (30.0, 25.0, 60.0),
        ] {
            let f = Frame::of(&view(depth, intake, outlet));
            assert!((f.y(10.0) - f.y(0.0) - 10.0 * f.scale).abs() < 1e-9);
            assert!(f.scale >= LEAST && f.scale <= MOST, "{depth}: {}", f.scale);
            assert!(f.bottom + BELOW <= f.height + 1e-9, "{depth}");
            assert!((f.bottom - f.ground - depth * f.scale).abs() < 1e-9);
            assert!(
                f.outlet >= 14.0
                    && f.pump_top > f.ground
                    && f.motor_top + f.motor_height + 6.0 <= f.bottom.max(f.intake + 12.0) + 1e-9
            );
            assert!(f.ground - f.outlet >= (outlet * f.scale).max(14.0) - 1e-9);
        }
        assert_eq!(Frame::of(&view(12.0, 11.0, 2.0)).scale, MOST);
        assert!(Frame::of(&view(300.0, 280.0, 3.0)).height > 428.0);
    }

    #[test]
    fn a_record_that_contradicts_itself_is_still_drawn() {
        for v in [view(5.0, 40.0, -3.0), view(f64::NAN, f64::NAN, f64::NAN), view(-1.0, 0.0, 1e9)] {
            let f = Frame::of(&v);
            assert!(f.bottom > f.ground && f.height.is_finite() && !f.bottom_known, "{f:?}");
        }
    }
}
