//! Parts of a score one by one, as the score counts them and the evidence tells them.

use wellwright_domain::channel::Channel;

use super::resting::{log_factor, log_factor_by_hand, stands_as_meant};
use super::starts::{Came, usual_delays_s};
use super::still::Still;
use super::{Scored, Scorer, unsteady};
use crate::causes::Hypothesis;
use crate::checks::Here;
use crate::predict::outcome::{self, OutcomeTable};
use crate::predict::sun::SunFit;
use crate::running::{Running, running};
use crate::window::Outcome;

/// So many starts in a window are a pump that stops again and again.
const OFTEN: usize = 3;

impl Scorer<'_> {
    /// Chance that it stops again and again: as seen, and where nothing was recorded as its table has it.
    pub(super) fn stops_again(&self, table: &OutcomeTable) -> f64 {
        let stops = &self.look.stops;
        match self.look.rows {
            0 => outcome::chance(table, Outcome::SomeTrip),
            _ => f64::from(u8::from(stops.trips > 0 || stops.silent > 1 || stops.starts >= OFTEN)),
        }
    }

    /// Protective stops keep it from running for most of the window; without a row, somebody saw it stand.
    pub(super) fn stands(&self) -> bool {
        if self.look.rows == 0 {
            return running(self.look, self.case.checks) == Running::No;
        }
        self.observed.is_some_and(Outcome::is_trip) && self.look.stops.share(Outcome::Runs) < 0.3
    }

    /// What all hypotheses share when a check is made.
    pub fn here(&self) -> Here<'_> {
        Here {
            case: self.case,
            look: self.look,
            healthy: self.plant,
            level_m: self.level_m(),
            lifts_from_w_m2: self.healthy_flow.barely_lifts_at(),
        }
    }

    /// How far the resting level lies from the record, 1 sigma, m.
    pub fn level_m(&self) -> f64 {
        self.level.1
    }

    /// Where a dry signal comes from, m below the wellhead: the probe, else the intake.
    pub fn probe_m(&self) -> f64 {
        let probe = self.case.system.protection.as_ref().and_then(|p| p.dry_probe_depth_m);
        probe.unwrap_or(self.plant.water.well.intake_m)
    }

    /// What it says at rest.
    pub fn still(&self, h: &Hypothesis) -> Still {
        let record = (self.plant, self.level_m());
        Still::new(&self.look.stops, self.measured.points.is_empty(), record, self.probe_m(), h)
    }

    /// In what company of sun and rest.
    pub(super) fn resting(&self, h: &Hypothesis, sun: &SunFit) -> f64 {
        if self.look.rows == 0 {
            return log_factor_by_hand(h.cause, self.shown);
        }
        log_factor(h, self.look, &self.healthy_flow, &self.sun, sun)
    }

    /// The quantity that swings most beyond what is usual: its channel, the scatter seen and the usual one, share.
    pub fn swings(&self) -> Option<(Channel, f64, f64)> {
        unsteady::told(self.look, self.flow_size)
    }

    /// How the water came after rests.
    pub fn came(&self, h: &Hypothesis) -> Came {
        Came::new(&self.look.starts, self.column, self.plant, self.flow_size, h)
    }

    /// Seconds until water at each start that tells it.
    pub fn usual_delays_s(&self, h: &Hypothesis) -> Vec<f64> {
        usual_delays_s(&self.look.starts, self.column, self.plant, self.flow_size, h)
    }

    /// Why it stood as meant for most of the time, if it did: tank full or switched off.
    pub fn stands_as_meant(&self) -> Option<Outcome> {
        let mostly = |o: &Outcome| self.look.stops.count(*o);
        let why = [Outcome::TankFull, Outcome::SwitchedOff].into_iter().max_by_key(mostly);
        why.filter(|_| stands_as_meant(self.look))
    }

    /// Light of the window under a score, and the least in which a healthy pump lifts, W/m2; `None` where it stands
    /// as meant, so that the light says nothing.
    pub fn light(&self, s: &Scored) -> Option<(f64, f64)> {
        if self.stands_as_meant().is_some() {
            return None;
        }
        let all = self.sun.irradiance(&s.sun);
        let running = (!all.is_empty()).then(|| all.iter().sum::<f64>() / all.len() as f64);
        let light = running.or(self.look.stops.rest_irradiance)?;
        Some((light, self.healthy_flow.barely_lifts_at()))
    }
}
