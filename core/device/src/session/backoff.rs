//! How long to rest after the n-th failure in a row.

/// Rests that double up to a longest one, each shortened or lengthened at random.
///
/// Seeded, so that a trace can be repeated.
#[derive(Debug, Clone)]
pub struct Backoff {
    first_ms: u64,
    longest_ms: u64,
    jitter: f64,
    failures: u32,
    random: u64,
}

impl Backoff {
    /// `jitter` is the largest relative change of a rest, 0 to 1.
    pub fn new(first_ms: u64, longest_ms: u64, jitter: f64, seed: u64) -> Backoff {
        Backoff { first_ms, longest_ms, jitter: jitter.clamp(0.0, 1.0), failures: 0, random: seed }
    }

    /// The next rest, ms.
    pub fn next_rest(&mut self) -> u64 {
        let doubled = self.first_ms.saturating_mul(1 << self.failures.min(32));
        self.failures = self.failures.saturating_add(1);
        let rest = doubled.min(self.longest_ms) as f64;
        (rest * (1.0 + self.jitter * (2.0 * self.uniform() - 1.0))).round() as u64
    }

    /// Rests start short again.
    pub fn reset(&mut self) {
        self.failures = 0;
    }

    /// Failures since the last reset.
    pub fn failures(&self) -> u32 {
        self.failures
    }

    /// 0 to 1, by SplitMix64 (Steele, Lea, Flood: Fast splittable pseudorandom number generators, 2014;
    /// constants from memory, good enough for a jitter).
    fn uniform(&mut self) -> f64 {
        self.random = self.random.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.random;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }
}

#[cfg(test)]
mod tests {
    use super::Backoff;

    #[test]
    fn rests_double_up_to_the_longest() {
        let mut b = Backoff::new(500, 30_000, 0.0, 1);
        let rests: Vec<u64> = (0..9).map(|_| b.next_rest()).collect();
        assert_eq!(rests, [500, 1000, 2000, 4000, 8000, 16_000, 30_000, 30_000, 30_000]);
        b.reset();
        assert_eq!(b.next_rest(), 500);
        for _ in 0..200 {
            assert!(b.next_rest() <= 30_000);
        }
    }

    #[test]
    fn jitter_stays_in_its_band_repeats_by_seed_and_differs_between_seeds() {
        let rests = |seed| {
            let mut b = Backoff::new(10_000, 10_000, 0.25, seed);
            (0..100).map(|_| b.next_rest()).collect::<Vec<_>>()
        };
        let one = rests(1);
        assert!(one.iter().all(|r| (7_500..=12_500).contains(r)));
        assert!(one.iter().any(|r| *r < 9_000) && one.iter().any(|r| *r > 11_000));
        assert_eq!(one, rests(1));
        assert_ne!(one, rests(2));
    }
}
