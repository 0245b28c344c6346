//! Water by month: one mean day of each, five minutes by five minutes, against what the owner needs.
//!
//! The mean day is a clear one dulled evenly until it holds the month's sun. Real months mix bright and dull
//! days; a pump that starts late gives a little more in those than on the mean day.

use chrono::{DateTime, Duration, FixedOffset, NaiveDate, NaiveTime, Utc};
use serde::Serialize;
use wellwright_diagnosis::predict::climate::day_air_c;
use wellwright_physics::days::{Climate, Rules, Simulation, SkyStep, Why, clear_day};
use wellwright_physics::plant::Plant;

use super::bench::{Bench, OF_ARRAY, OF_PUMP, OF_WELL, lacking};
use super::code::Code;
use super::draft::Draft;
use super::line::{Line, Outcome};
use crate::error::AppError;
use crate::text::Quantity;

/// A year to take the sun's places from; another moves them by less than half a degree.
const YEAR: i32 = 2025;
/// The day of each month whose sun is nearest to the month's mean (Klein 1977, Solar Energy 19, 325; from
/// memory).
const MEAN_DAY: [u32; 12] = [17, 16, 16, 15, 15, 11, 17, 16, 15, 15, 14, 10];
/// Step, minutes.
const STEP_MIN: f64 = 5.0;
/// Sun of a mean day over that of a clear one where the record holds no climate (engineering judgement).
const USUAL_SHARE: f64 = 0.75;
/// No month beats a clear sky by more than this.
const BRIGHTEST: f64 = 1.25;
/// From this share of the demand down a month fails, %: the sun of a single month is no better known.
const SHORT_PCT: f64 = 90.0;

/// Where a month's sun comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum SunFrom {
    /// The record's climate.
    Record,
    /// A usual share of a clear sky.
    ClearSkyUsual,
}

/// One month by its mean day.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Month {
    /// January is 1.
    pub month: u32,
    /// In the plane of the array, kWh/m2 a day.
    pub irradiation_kwh_m2_day: f64,
    /// The same under a clear sky.
    pub clear_kwh_m2_day: f64,
    /// Mean air by day, degC.
    pub air_c: f64,
    /// Into the tank.
    pub litres_per_day: f64,
    /// What the owner needs; null when the record does not hold it.
    pub demand_litres_per_day: Option<f64>,
    /// Hours with water.
    pub hours_with_water: f64,
    /// The water falls to the intake or the probe on that day: the well gives less than the pump takes.
    pub well_gives_less: bool,
    /// Mean flow in each hour of mean solar time, midnight first.
    pub flow_m3_h_by_hour: [f64; 24],
    /// Against demand.
    pub verdict: Outcome,
}

/// Noon of the mean day of a month by the place's mean solar time.
pub fn month_noon(month: u32, longitude_deg: f64) -> DateTime<FixedOffset> {
    let noon = mean_day(month).and_time(NaiveTime::MIN).and_utc() + Duration::hours(12);
    (noon - Duration::seconds((longitude_deg * 240.0).round() as i64)).with_timezone(&Utc).fixed_offset()
}

fn mean_day(month: u32) -> NaiveDate {
    let i = (month.clamp(1, 12) - 1) as usize;
    NaiveDate::from_ymd_opt(YEAR, i as u32 + 1, MEAN_DAY[i]).unwrap_or_default()
}

/// Every month, and where its sun comes from.
///
/// # Errors
/// A place that no sun is known for.
pub fn months(b: &Bench<'_>) -> Result<(Vec<Month>, SunFrom), AppError> {
    let site = &b.system.site;
    let wanted = site.irradiation_kwh_m2_day;
    let demand = b.system.demand.as_ref().and_then(|d| d.litres_per_day);
    // the record's own intake: a well that gives less than the pump takes costs water
    let mut plant = b.plant.clone();
    plant.water.well.intake_m = b.system.well.intake_depth_m;
    let mut climate = Climate::of(b.system);
    let rules = Rules {
        stop_level_m: b.system.protection.as_ref().and_then(|p| p.dry_probe_depth_m),
        ..Rules::default()
    };
    let mut out = Vec::with_capacity(12);
    for month in 1..=12 {
        let i = month as usize - 1;
        climate.air_day_c[i] = day_air_c(b.system, month_noon(month, site.longitude_deg)).0;
        let mut sky = clear_day(&plant.view, mean_day(month), STEP_MIN, &climate)?;
        let clear: f64 = sky.iter().map(|s| s.irradiance_w_m2 * STEP_MIN / 6e4).sum();
        let share = wanted.map_or(USUAL_SHARE, |w| (w[i] / clear.max(1e-9)).min(BRIGHTEST));
        for step in &mut sky {
            step.irradiance_w_m2 *= share;
        }
        let day = mean_day_water(&plant, rules, &sky);
        let litres = day.m3_by_hour.iter().sum::<f64>() * 1000.0;
        let demand = demand.map(|d| d[i]);
        let verdict = match demand {
            None => Outcome::Look,
            Some(d) if litres >= d => Outcome::Pass,
            Some(d) if 100.0 * litres >= SHORT_PCT * d => Outcome::Look,
            Some(_) => Outcome::Fail,
        };
        out.push(Month {
            month,
            irradiation_kwh_m2_day: share * clear,
            clear_kwh_m2_day: clear,
            air_c: climate.air_day_c[i],
            litres_per_day: litres,
            demand_litres_per_day: demand,
            hours_with_water: day.hours_with_water,
            well_gives_less: day.well_gives_less,
            flow_m3_h_by_hour: day.m3_by_hour,
            verdict,
        });
    }
    Ok((out, if wanted.is_some() { SunFrom::Record } else { SunFrom::ClearSkyUsual }))
}

/// What a mean day gives.
#[derive(Default)]
struct Day {
    m3_by_hour: [f64; 24],
    hours_with_water: f64,
    well_gives_less: bool,
}

fn mean_day_water(plant: &Plant, rules: Rules, sky: &[SkyStep]) -> Day {
    let mut simulation = Simulation::new(plant, rules);
    let mut day = Day::default();
    for (k, s) in sky.iter().enumerate() {
        let step = simulation.step(s);
        day.m3_by_hour[((k as f64 + 0.5) * STEP_MIN / 60.0) as usize % 24] += step.litres / 1000.0;
        day.hours_with_water += if step.litres > 0.0 { STEP_MIN / 60.0 } else { 0.0 };
        day.well_gives_less |= step.why == Why::WellYield;
    }
    day
}

/// The line of the month that is shortest of water.
pub fn line(b: &Bench<'_>, months: &[Month], sun: SunFrom) -> Line {
    let mut missing = lacking(&[
        ("demand.litres_per_day", b.system.demand.as_ref().is_some_and(|d| d.litres_per_day.is_some())),
        ("site.irradiation_kwh_m2_day", sun == SunFrom::Record),
    ]);
    missing.extend(b.assumed_of(&OF_PUMP));
    missing.extend(b.assumed_of(&OF_WELL));
    missing.extend(b.assumed_of(&OF_ARRAY));
    let share =
        |m: &Month| m.demand_litres_per_day.filter(|d| *d > 0.0).map(|d| 100.0 * m.litres_per_day / d);
    let shortest = months.iter().filter_map(|m| Some((m, share(m)?))).min_by(|a, b| a.1.total_cmp(&b.1));
    let short = months.iter().filter(|m| m.verdict == Outcome::Fail).count();
    let litres = |l: f64| b.words.value(Quantity::Litres, l);
    let mut draft = Draft::new(Code::DailyWater)
        .limit(Some(100.0))
        .missing(missing)
        .place("n", b.words.count(short))
        .from("months_short", short as f64);
    if let Some((m, pct)) = shortest {
        let name = b.words.texts.text(&format!("month.{}", m.month)).to_owned();
        draft = draft
            .value(Some(pct))
            // between these two the sun of a single month decides
            .at_worst(if pct < SHORT_PCT { Outcome::Fail } else { Outcome::Look })
            .place("month", name)
            .place("litres", litres(m.litres_per_day))
            .place("demand", litres(m.demand_litres_per_day.unwrap_or(0.0)))
            .from("month", f64::from(m.month))
            .from("litres_per_day", m.litres_per_day)
            .from("demand_litres_per_day", m.demand_litres_per_day)
            .from("irradiation_kwh_m2_day", m.irradiation_kwh_m2_day);
    }
    let mut also = Vec::new();
    if let Some((m, _)) = shortest.filter(|(m, _)| m.verdict != Outcome::Pass) {
        let id = if m.well_gives_less { "design.daily_water.well" } else { "design.daily_water.array" };
        also.push(b.words.t(id));
    }
    if sun == SunFrom::ClearSkyUsual {
        also.push(b.words.t("design.daily_water.usual_sun"));
    }
    draft.also((!also.is_empty()).then(|| also.join(" "))).finish(b.words)
}
