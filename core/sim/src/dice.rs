//! Chance that repeats: the same seed gives the same numbers on every machine and with every version of
//! any library, because demos and tests are told by their seed.

use std::f64::consts::TAU;

/// A stream of chance numbers.
///
/// Streams of one seed with different names do not depend on each other, so that drawing once more in one
/// part (say, the fault) leaves the others (say, the weather) as they were.
///
/// Source: SplitMix64, G. L. Steele, D. Lea, C. H. Flood (2014), *Fast splittable pseudorandom number
/// generators*, OOPSLA, doi:10.1145/2660193.2660195; constants from memory of its public-domain code.
#[derive(Debug, Clone)]
pub struct Dice {
    state: u64,
}

impl Dice {
    /// The stream `name` of `seed`.
    pub fn new(seed: u64, name: &str) -> Dice {
        // FNV-1a of the name
        let hash = name
            .bytes()
            .fold(0xcbf2_9ce4_8422_2325_u64, |h, b| (h ^ u64::from(b)).wrapping_mul(0x0100_0000_01b3));
        // the seed is mixed before and after, or neighbouring seeds would walk the same path a step apart
        let mut of_seed = Dice { state: seed };
        let mut dice = Dice { state: of_seed.bits() ^ hash };
        dice.state = dice.bits();
        dice
    }

    fn bits(&mut self) -> u64 {
        self.state = self.state.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.state;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// Evenly from 0 up to, but not, 1.
    pub fn share(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// Evenly between two values.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.share()
    }

    /// Evenly in the logarithm between two positive values.
    pub fn log_between(&mut self, low: f64, high: f64) -> f64 {
        low * (high / low).powf(self.share())
    }

    /// True with this probability.
    pub fn yes(&mut self, probability: f64) -> bool {
        self.share() < probability
    }

    /// A whole number from 0 up to, but not, `count`.
    pub fn index(&mut self, count: usize) -> usize {
        ((self.share() * count as f64) as usize).min(count.saturating_sub(1))
    }

    /// Normal with mean 0 and sigma 1 (Box and Muller 1958).
    pub fn normal(&mut self) -> f64 {
        let radius = (-2.0 * (1.0 - self.share()).ln()).sqrt();
        radius * (TAU * self.share()).cos()
    }

    /// Normal with this sigma, never beyond 2.2 of it: an ordinary tolerance, not a fault.
    pub fn ordinary(&mut self, sigma: f64) -> f64 {
        loop {
            let n = self.normal();
            if n.abs() <= 2.2 {
                return sigma * n;
            }
        }
    }
}

/// A value that wanders around zero and comes back (Ornstein and Uhlenbeck 1930).
#[derive(Debug, Clone)]
pub struct Wander {
    /// Where it is now, in the unit of sigma.
    pub value: f64,
    sigma: f64,
    tau_s: f64,
}

impl Wander {
    /// With a long-run sigma and a memory of `tau_s` seconds, starting anywhere.
    pub fn new(sigma: f64, tau_s: f64, dice: &mut Dice) -> Wander {
        Wander { value: sigma * dice.normal(), sigma, tau_s }
    }

    /// Moves on by `dt_s` seconds; exact for any step.
    pub fn step(&mut self, dt_s: f64, dice: &mut Dice) -> f64 {
        let keep = (-dt_s / self.tau_s).exp();
        self.value = keep * self.value + self.sigma * (1.0 - keep * keep).sqrt() * dice.normal();
        self.value
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_seed_repeats_and_names_are_apart() {
        let draw = |seed, name| {
            let mut d = Dice::new(seed, name);
            [d.share(), d.share(), d.share()]
        };
        assert_eq!(draw(7, "sky"), draw(7, "sky"));
        assert_ne!(draw(7, "sky"), draw(7, "well"));
        assert_ne!(draw(7, "sky"), draw(8, "sky"));
    }

    /// First draws of neighbouring seeds, and first against second draws, do not follow each other.
    #[test]
    fn neighbouring_seeds_are_apart() {
        let draws: Vec<[f64; 2]> = (0..4000)
            .map(|seed| {
                let mut d = Dice::new(seed, "fault");
                [d.share() - 0.5, d.share() - 0.5]
            })
            .collect();
        let correlation = |pairs: &mut dyn Iterator<Item = (f64, f64)>| {
            12.0 * pairs.map(|(a, b)| a * b).sum::<f64>() / draws.len() as f64
        };
        // standard error 0.016
        for draw in [0, 1] {
            assert!(correlation(&mut draws.windows(2).map(|w| (w[0][draw], w[1][draw]))).abs() < 0.06);
        }
        assert!(correlation(&mut draws.windows(2).map(|w| (w[0][1], w[1][0]))).abs() < 0.06);
        assert!(correlation(&mut draws.iter().map(|d| (d[0], d[1]))).abs() < 0.06);
    }

    #[test]
    fn moments_are_those_of_a_normal() {
        let mut d = Dice::new(1, "moments");
        let n = 200_000;
        let draws: Vec<f64> = (0..n).map(|_| d.normal()).collect();
        let mean = draws.iter().sum::<f64>() / f64::from(n);
        let var = draws.iter().map(|x| x * x).sum::<f64>() / f64::from(n);
        // standard errors are 0.0022 and 0.0032
        assert!(mean.abs() < 0.01 && (var - 1.0).abs() < 0.015, "{mean} {var}");
    }

    #[test]
    fn wandering_keeps_its_sigma_whatever_the_step() {
        for dt in [1.0, 30.0] {
            let mut d = Dice::new(3, "wander");
            let mut w = Wander::new(2.0, 60.0, &mut d);
            let n = 200_000;
            let var = (0..n).map(|_| w.step(dt, &mut d).powi(2)).sum::<f64>() / f64::from(n);
            assert!((var.sqrt() - 2.0).abs() < 0.12, "{dt}: {var}");
        }
    }
}
