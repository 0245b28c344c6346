//! Random draws, repeatable from a seed: every case draws from its own streams.

use rand::rngs::StdRng;
use rand::{RngExt, SeedableRng};
use rand_distr::{Distribution, StandardNormal};

/// A repeatable source of draws.
#[derive(Debug)]
pub struct Dice(StdRng);

impl Dice {
    /// A stream of its own for (seed, index of the case, purpose).
    pub fn new(seed: u64, index: u64, purpose: u64) -> Dice {
        let mixed = [seed, index, purpose].iter().fold(0x9E37_79B9_7F4A_7C15_u64, |acc, x| {
            let z = (acc ^ x.wrapping_mul(0xBF58_476D_1CE4_E5B9)).wrapping_mul(0x94D0_49BB_1331_11EB);
            z ^ (z >> 29)
        });
        Dice(StdRng::seed_from_u64(mixed))
    }

    /// Between 0 and 1.
    pub fn unit(&mut self) -> f64 {
        self.0.random::<f64>()
    }

    /// Even between two bounds.
    pub fn uniform(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    /// Even in the logarithm between two positive bounds.
    pub fn log_uniform(&mut self, low: f64, high: f64) -> f64 {
        self.uniform(low.ln(), high.ln()).exp()
    }

    /// Normal, cut at three sigma.
    pub fn normal(&mut self, mean: f64, sigma: f64) -> f64 {
        let z: f64 = StandardNormal.sample(&mut self.0);
        mean + sigma * z.clamp(-3.0, 3.0)
    }

    /// A factor around 1 with a relative sigma.
    pub fn factor(&mut self, sigma: f64) -> f64 {
        self.normal(0.0, sigma).exp()
    }

    /// True with probability `p`.
    pub fn chance(&mut self, p: f64) -> bool {
        self.unit() < p
    }

    /// A whole number, both ends included.
    pub fn int(&mut self, low: usize, high: usize) -> usize {
        self.0.random_range(low..=high)
    }

    /// One of a list.
    pub fn pick<T: Copy>(&mut self, of: &[T]) -> T {
        of[self.int(0, of.len() - 1)]
    }

    /// An index, by weight.
    pub fn weighted(&mut self, weights: &[f64]) -> usize {
        let mut left = self.unit() * weights.iter().sum::<f64>();
        for (i, w) in weights.iter().enumerate() {
            left -= w;
            if left < 0.0 {
                return i;
            }
        }
        weights.len() - 1
    }
}
