//! The array side of a score: what may hold each point, and how the array fits then.

use wellwright_domain::channel::Channel;
use wellwright_physics::plant::{ArrayCondition, Plant};

use super::electrical::{self, HeldBy};
use super::{Scorer, held};
use crate::baseline::{Baseline, Beside};
use crate::causes::{Hold, Hypothesis, SensorWrong};
use crate::likelihood::log_mean_exp;
use crate::predict::peaks::Peaks;
use crate::predict::sun::{ArrayQuestion, SunFit};
use crate::window::Steady;

/// What hypotheses share of the array side.
#[derive(Default)]
pub struct SunMemo {
    peaks: Vec<(ArrayCondition, Peaks)>,
    fits: Vec<(ArrayQuestion, SunFit)>,
}

impl Scorer<'_> {
    /// The array side of a hypothesis, and what holds the speed. Near a limit either the limit holds it or the sun that
    /// just does not reach it: both are as likely before the readings.
    pub(super) fn sun_and_held(&self, h: &Hypothesis, plant: &Plant, memo: &mut SunMemo) -> (SunFit, f64) {
        let by = self.may_be_held_by(h, plant);
        let mut fit = |by_sun: Vec<bool>| {
            let sun = self.sun_fit(h, &by_sun, memo);
            let points = &self.measured.points;
            (sun, held::log_likelihood(points, &self.left_to_sun, &by_sun, plant, h.hold))
        };
        let (mut sun, mut held) = fit(by.iter().map(|b| *b == HeldBy::Sun).collect());
        if !by.contains(&HeldBy::NearLimit) {
            return (sun, held);
        }
        let (other, other_held) = fit(by.iter().map(|b| *b != HeldBy::Other).collect());
        let (one, two) = (sun.log_likelihood + held, other.log_likelihood + other_held);
        if two > one {
            (sun, held) = (other, other_held);
        }
        sun.log_likelihood = log_mean_exp([one, two]) - held;
        (sun, held)
    }

    /// What may hold each point under a hypothesis.
    fn may_be_held_by(&self, h: &Hypothesis, plant: &Plant) -> Vec<HeldBy> {
        let points = &self.measured.points;
        let off = |p: &Steady| match h.hold {
            Some(Hold::Heat) => !held::took_more(points, p),
            hold => hold.is_some_and(Hold::always),
        };
        let by = |p: &Steady| if off(p) { HeldBy::Other } else { electrical::held_by(plant, p) };
        points.iter().map(by).collect()
    }

    /// The array side hangs on the question that the hypothesis asks of it: hypotheses share it.
    fn sun_fit(&self, h: &Hypothesis, by_sun: &[bool], memo: &mut SunMemo) -> SunFit {
        let keeps = h.hold.is_some_and(Hold::keeps_voltage);
        let stuck: Vec<bool> = self.left_to_sun.iter().map(|left| keeps && *left).collect();
        let sensor_ratio = match h.sensor {
            Some((Channel::IrradianceWM2, SensorWrong::Ratio(r))) => r,
            _ => 1.0,
        };
        let question = ArrayQuestion {
            condition: h.condition.array,
            free: self.sun.matching(by_sun),
            loose: h.loose.sun,
            sensor_ratio,
            stuck: self.sun.matching(&stuck),
            keeps: keeps || h.loose.sun,
            clear: self.sun.clear(self.plant, &h.sky),
        };
        if let Some((_, fit)) = memo.fits.iter().find(|(o, _)| *o == question) {
            return fit.clone();
        }
        let mut plain = h.condition.array;
        if let Some(shade) = &mut plain.shade {
            shade.right_peak = false;
        }
        let peaks = match memo.peaks.iter().find(|(o, _)| *o == plain) {
            Some((_, peaks)) => *peaks,
            None if !self.sun.has_points() => Peaks::default(),
            None => {
                let peaks = Peaks::new(self.plant, &plain);
                memo.peaks.push((plain, peaks));
                peaks
            }
        };
        let fit = self.sun.fit(self.plant, &peaks, &question, Beside::of(self.known.and_then(Baseline::sun)));
        memo.fits.push((question, fit.clone()));
        fit
    }
}
