//! Sun, clouds, air and wind over the array.
//!
//! A clear sky over the true plane, times what clouds let through: an index that wanders and comes back
//! (Ornstein and Uhlenbeck), for broken clouds bent into stretches of sun and of shade with sharp edges.
//! The numbers are engineering judgement; measured skies spread further.

use chrono::{DateTime, Datelike, Duration, FixedOffset, NaiveDate, NaiveTime, Offset as _, TimeZone, Utc};
use wellwright_domain::record::Site;
use wellwright_physics::error::PhysicsError;
use wellwright_physics::plant::View;
use wellwright_physics::sun::plane_clear_sky;

use crate::dice::{Dice, Wander};

/// The sky.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Weather {
    /// No cloud.
    Clear,
    /// Dust or thin high cloud, slow changes.
    Hazy,
    /// Sun and cloud in turn, with bright edges.
    Broken,
    /// Closed cloud: a fifth of the sun or less.
    Overcast,
}

/// Sun and air at one moment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SkyNow {
    /// In the plane of the array, W/m2.
    pub irradiance_w_m2: f64,
    /// Shade air, degC.
    pub air_c: f64,
    /// Wind at the modules, m/s.
    pub wind_m_s: f64,
}

/// The sky as it goes on.
#[derive(Debug, Clone)]
pub struct Sky {
    view: View,
    weather: Weather,
    linke_turbidity: f64,
    /// Mean of what an overcast sky lets through.
    let_through: f64,
    slow: Wander,
    quick: Wander,
    air_c: f64,
    wind_m_s: f64,
    dice: Dice,
}

impl Sky {
    /// A sky over `view` from `start` on. `dim_w_m2`: closed cloud that lets through about so much.
    ///
    /// # Errors
    /// [`PhysicsError`] for a date outside 1900 to 2100 or a place that does not exist.
    pub fn new(
        view: &View,
        site: &Site,
        weather: Weather,
        start: DateTime<FixedOffset>,
        dim_w_m2: Option<f64>,
        mut dice: Dice,
    ) -> Result<Sky, PhysicsError> {
        let weather = if dim_w_m2.is_some() { Weather::Overcast } else { weather };
        let linke_turbidity = match weather {
            Weather::Hazy => dice.between(4.5, 6.5),
            _ => dice.between(2.8, 4.2),
        };
        let (slow_sigma, slow_s) = match weather {
            Weather::Clear => (0.008, 900.0),
            Weather::Hazy => (0.03, 600.0),
            Weather::Broken => (0.8, 900.0),
            Weather::Overcast => (0.09, 400.0),
        };
        let quick_sigma = if weather == Weather::Broken { 1.0 } else { 0.15 * slow_sigma };
        let slow = Wander::new(slow_sigma, slow_s, &mut dice);
        let quick = Wander::new(quick_sigma, 75.0, &mut dice);
        let mut sky = Sky {
            view: view.clone(),
            weather,
            linke_turbidity,
            let_through: dice.between(0.12, 0.22),
            slow,
            quick,
            air_c: air_c(site, start) + dice.ordinary(3.0),
            wind_m_s: dice.between(0.7, 2.0),
            dice,
        };
        let clear = sky.clear_w_m2(start.to_utc())?;
        if let Some(dim) = dim_w_m2 {
            sky.let_through = (dim / clear.max(1.0)).min(1.0);
        }
        Ok(sky)
    }

    fn clear_w_m2(&self, at: DateTime<Utc>) -> Result<f64, PhysicsError> {
        let v = &self.view;
        plane_clear_sky(at, &v.place, &v.plane, &v.horizon, self.linke_turbidity).map(|s| s.poa_w_m2)
    }

    /// Moves on by `dt_s` seconds to `at`. A date that physics does not serve is dark.
    pub fn step(&mut self, at: DateTime<FixedOffset>, dt_s: f64) -> SkyNow {
        let slow = self.slow.step(dt_s, &mut self.dice);
        let quick = self.quick.step(dt_s, &mut self.dice);
        let index = match self.weather {
            Weather::Clear | Weather::Hazy => 0.99 + slow + quick,
            Weather::Overcast => self.let_through * (1.0 + slow.clamp(-0.2, 0.2) + quick),
            Weather::Broken => {
                // sun for most of the time; the edges of clouds add light
                let open = logistic(3.0 * (slow + quick + 0.6));
                0.3 + 0.7 * open + 0.3 * open * (1.0 - open)
            }
        };
        let clear = self.clear_w_m2(at.to_utc()).unwrap_or(0.0);
        SkyNow {
            irradiance_w_m2: (clear * index.clamp(0.0, 1.15)).max(0.0),
            air_c: self.air_c,
            wind_m_s: self.wind_m_s,
        }
    }
}

fn logistic(x: f64) -> f64 {
    1.0 / (1.0 + (-x).exp())
}

/// Air by day: the record's month, else by latitude, altitude and season (engineering judgement).
fn air_c(site: &Site, at: DateTime<FixedOffset>) -> f64 {
    if let Some(by_month) = site.air_day_c {
        return by_month[at.month0() as usize];
    }
    let latitude = site.latitude_deg;
    let yearly = 29.0 - 0.27 * (latitude.abs() - 10.0).max(0.0) - 0.0045 * site.altitude_m;
    let summer = (std::f64::consts::TAU * (f64::from(at.ordinal()) - 201.0) / 365.0).cos();
    yearly + 0.25 * latitude * summer
}

/// Clock time by the sun, to the hour: the offset from UTC nearest to the longitude. Political time zones
/// differ by an hour or two; nothing but the text of a time depends on it.
pub fn solar_offset(site: &Site) -> FixedOffset {
    let hours = (site.longitude_deg / 15.0).round().clamp(-12.0, 12.0) as i32;
    FixedOffset::east_opt(hours * 3600).unwrap_or(Utc.fix())
}

/// Half an hour before the array's best moment of a clear day.
pub fn good_sun(view: &View, site: &Site, day: NaiveDate) -> DateTime<FixedOffset> {
    let offset = solar_offset(site);
    let midnight = day.and_time(NaiveTime::MIN) - Duration::seconds(i64::from(offset.local_minus_utc()));
    let midnight = offset.from_utc_datetime(&midnight);
    let power = |at: &DateTime<FixedOffset>| {
        plane_clear_sky(at.to_utc(), &view.place, &view.plane, &view.horizon, 3.0).map_or(0.0, |s| s.poa_w_m2)
    };
    let best = (0..144)
        .map(|tenth| midnight + Duration::minutes(10 * tenth))
        .max_by(|a, b| power(a).total_cmp(&power(b)))
        .unwrap_or(midnight);
    best - Duration::minutes(30)
}

#[cfg(test)]
mod tests {
    use super::*;
    use wellwright_domain::examples::kestrel_hollow;
    use wellwright_physics::plant::Plant;

    fn mean_and_spread(weather: Weather) -> (f64, f64) {
        let system = kestrel_hollow();
        let (plant, _) = Plant::from_record(&system).unwrap();
        let start = good_sun(&plant.view, &system.site, NaiveDate::from_ymd_opt(2026, 3, 14).unwrap());
        let mut values = Vec::new();
        for seed in 0..5 {
            let dice = Dice::new(seed, "sky");
            let mut sky = Sky::new(&plant.view, &system.site, weather, start, None, dice).unwrap();
            for s in 0..3600 {
                values.push(sky.step(start + Duration::seconds(s), 1.0).irradiance_w_m2);
            }
        }
        let mean = values.iter().sum::<f64>() / values.len() as f64;
        let spread = values.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / values.len() as f64;
        (mean, spread.sqrt())
    }

    #[test]
    fn skies_are_what_they_are_called() {
        let (clear, steady) = mean_and_spread(Weather::Clear);
        let (hazy, _) = mean_and_spread(Weather::Hazy);
        let (broken, moving) = mean_and_spread(Weather::Broken);
        let (overcast, _) = mean_and_spread(Weather::Overcast);
        assert!(clear > 850.0 && hazy < clear && broken < clear && overcast < 250.0);
        assert!(moving > 3.0 * steady, "{moving} {steady}");
    }

    #[test]
    fn good_sun_is_near_noon_by_the_sun() {
        let system = kestrel_hollow();
        let (plant, _) = Plant::from_record(&system).unwrap();
        let start = good_sun(&plant.view, &system.site, NaiveDate::from_ymd_opt(2026, 3, 14).unwrap());
        // array to the north, 2.3 degrees east of its zone's meridian: best just before noon
        let hour =
            f64::from(chrono::Timelike::hour(&start)) + f64::from(chrono::Timelike::minute(&start)) / 60.0;
        assert!((11.0..12.0).contains(&hour), "{start}");
    }
}
