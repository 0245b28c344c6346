//! Numbers from a seed, the same on every machine.

use std::cell::Cell;

/// Small repeatable generator (SplitMix64: Steele, Lea and Flood 2014, doi:10.1145/2714064.2660195).
pub struct Dice(Cell<u64>);

impl Dice {
    /// From a seed.
    pub fn new(seed: u64) -> Dice {
        Dice(Cell::new(seed.wrapping_mul(0xA24B_AED4_963E_E407).wrapping_add(0x9FB2_1C65_1E98_DF25)))
    }

    /// 0 to 1.
    pub fn unit(&self) -> f64 {
        let mut z = self.0.get().wrapping_add(0x9E37_79B9_7F4A_7C15);
        self.0.set(z);
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        (z ^ (z >> 31)) as f64 / u64::MAX as f64
    }

    /// Evenly between two numbers.
    pub fn between(&self, lo: f64, hi: f64) -> f64 {
        lo + (hi - lo) * self.unit()
    }

    /// Evenly in the logarithm.
    pub fn log(&self, lo: f64, hi: f64) -> f64 {
        (lo.ln() + (hi.ln() - lo.ln()) * self.unit()).exp()
    }

    /// A whole number from 0 up to, not with, `n`.
    pub fn below(&self, n: u32) -> u32 {
        ((self.unit() * f64::from(n)) as u32).min(n - 1)
    }

    /// True in this share of cases.
    pub fn yes(&self, share: f64) -> bool {
        self.unit() < share
    }

    /// The value, or in a quarter of cases nothing.
    pub fn keep<T>(&self, value: T) -> Option<T> {
        (!self.yes(0.25)).then_some(value)
    }

    /// As [`Dice::between`], or nothing.
    pub fn maybe(&self, lo: f64, hi: f64) -> Option<f64> {
        let x = self.between(lo, hi);
        self.keep(x)
    }

    /// As [`Dice::log`], or nothing.
    pub fn maybe_log(&self, lo: f64, hi: f64) -> Option<f64> {
        let x = self.log(lo, hi);
        self.keep(x)
    }
}
