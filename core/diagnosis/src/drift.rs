//! Slow change: a running sum that forgets what is ordinary and keeps what is not.
//!
//! A loss of a few per cent shows in no single day: the sky, the level and the sensors move more than that. Summed
//! day after day against what each day should have given it shows within a week or two. What is summed is a
//! residual divided by its own spread, one a day or one a clear hour; the run lengths below hold for independent
//! values, and rows of one window are not.

use thiserror::Error;

/// Settings that no sum can be made with.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum DriftError {
    /// The allowance.
    #[error("the allowance of a cumulative sum is {0}; it must lie between 0 and 5 standard deviations")]
    Allowance(f64),
    /// The limit.
    #[error("the limit of a cumulative sum is {0}; it must lie between 0.1 and 100 standard deviations")]
    Limit(f64),
}

/// Which way it went.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Direction {
    /// More than expected.
    Up,
    /// Less than expected.
    Down,
}

/// Which ways are watched.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Watched {
    /// Only more than expected.
    Up,
    /// Only less than expected.
    Down,
    /// Both.
    Both,
}

impl Watched {
    fn watches(self, direction: Direction) -> bool {
        match self {
            Watched::Both => true,
            Watched::Up => direction == Direction::Up,
            Watched::Down => direction == Direction::Down,
        }
    }
}

/// A change that was found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Change {
    /// Which way.
    pub direction: Direction,
    /// Number of the first value of the new state, counted from 0 over all values given.
    pub since: usize,
    /// Number of the value at which it was found.
    pub found: usize,
    /// Size of the shift, standard deviations: the allowance and the mean rise of the sum since then (a head start
    /// counts in it).
    pub shift: f64,
}

/// One side of the sum.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
struct Side {
    sum: f64,
    /// Values since the sum was last zero.
    run: usize,
    /// Number of the first of them.
    since: usize,
}

impl Side {
    fn add(&mut self, z: f64, k: f64, number: usize) {
        let sum = (self.sum + z - k).max(0.0);
        if sum <= 0.0 {
            *self = Side::default();
            return;
        }
        if self.run == 0 {
            self.since = number;
        }
        self.run += 1;
        self.sum = sum;
    }
}

/// Tabular cumulative sum.
///
/// # Equation
/// `C+ <- max(0, C+ + z - k)`, `C- <- max(0, C- - z - k)`; a change is found when a sum passes h.
///
/// # Symbols
/// z residual over its standard deviation; k `allowance`, half of the shift that matters, 0 to 5; h `limit`,
/// 0.1 to 100; all in standard deviations.
///
/// # Limits
/// Values are independent and normal where run lengths are quoted: with k = 0.5 and h = 5, both sides watched, a
/// false alarm comes once in 465 values, a shift of 1 is found after 10.4 and of 2 after 4.0 on average.
///
/// # Source
/// E. S. Page (1954), *Biometrika* 41, 100-115; D. C. Montgomery, *Introduction to Statistical Quality Control*
/// (run lengths); J. M. Lucas, R. B. Crosier (1982), *Technometrics* 24, 199-205 (head start).
///
/// ```
/// use wellwright_diagnosis::drift::{Cusum, Direction};
/// let mut sum = Cusum::new(0.5, 4.0)?;
/// let found = [0.1, -0.4, 0.3, -1.6, -2.1, -1.4, -1.9].into_iter().find_map(|z| sum.add(z)).unwrap();
/// assert_eq!((found.direction, found.since, found.found), (Direction::Down, 3, 6));
/// # Ok::<(), wellwright_diagnosis::drift::DriftError>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cusum {
    allowance: f64,
    limit: f64,
    watched: Watched,
    up: Side,
    down: Side,
    given: usize,
}

impl Cusum {
    /// A sum that watches both sides.
    ///
    /// # Errors
    /// [`DriftError`] when `allowance` or `limit` lies outside its range.
    pub fn new(allowance: f64, limit: f64) -> Result<Cusum, DriftError> {
        if !(0.0..=5.0).contains(&allowance) {
            return Err(DriftError::Allowance(allowance));
        }
        if !(0.1..=100.0).contains(&limit) {
            return Err(DriftError::Limit(limit));
        }
        let (up, down) = (Side::default(), Side::default());
        Ok(Cusum { allowance, limit, watched: Watched::Both, up, down, given: 0 })
    }

    /// The same, watching these sides only.
    #[must_use]
    pub fn watching(mut self, watched: Watched) -> Cusum {
        self.watched = watched;
        self
    }

    /// The same with both sums at half the limit: finds sooner what is wrong from the start, as after a repair.
    #[must_use]
    pub fn with_head_start(mut self) -> Cusum {
        self.up.sum = 0.5 * self.limit;
        self.down.sum = 0.5 * self.limit;
        self
    }

    /// Sum of what was more than expected, standard deviations.
    pub fn up(&self) -> f64 {
        self.up.sum
    }

    /// Sum of what was less than expected, standard deviations.
    pub fn down(&self) -> f64 {
        self.down.sum
    }

    /// Adds a value. A change is told with every value for which a sum stands above its limit; a value that is not
    /// a number (a day without data) is counted and changes nothing.
    pub fn add(&mut self, z: f64) -> Option<Change> {
        let number = self.given;
        self.given += 1;
        if z.is_nan() {
            return None;
        }
        // an endless value must not keep the sum up for ever
        let z = z.clamp(-2.0 * self.limit, 2.0 * self.limit);
        self.up.add(z, self.allowance, number);
        self.down.add(-z, self.allowance, number);
        let told = |direction: Direction, side: &Side| {
            let over = self.watched.watches(direction) && side.sum > self.limit;
            over.then(|| Change {
                direction,
                since: side.since,
                found: number,
                shift: self.allowance + side.sum / side.run.max(1) as f64,
            })
        };
        told(Direction::Down, &self.down).or_else(|| told(Direction::Up, &self.up))
    }

    /// Forgets the sums, as after the cause was put right; values go on being counted.
    pub fn restart(&mut self) {
        (self.up, self.down) = (Side::default(), Side::default());
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Derived by hand: k = 0.5 on ten values.
    #[test]
    fn the_sum_of_a_printed_series() {
        let values = [0.2, -0.5, 0.1, 0.4, -0.3, 1.2, 0.9, 1.4, 0.8, 1.1];
        let sums = [0.0, 0.0, 0.0, 0.0, 0.0, 0.7, 1.1, 2.0, 2.3, 2.9];
        let mut cusum = Cusum::new(0.5, 2.5).unwrap();
        for (k, (z, sum)) in values.into_iter().zip(sums).enumerate() {
            let found = cusum.add(z);
            assert!((cusum.up() - sum).abs() < 1e-12, "{k}: {} {sum}", cusum.up());
            if k < 9 {
                assert_eq!(found, None);
            } else {
                let change = found.unwrap();
                // the change point of the likelihood ratio on the same series, counted from 0
                assert_eq!((change.direction, change.since, change.found), (Direction::Up, 5, 9));
                // mean of the five values since
                assert!((change.shift - 1.08).abs() < 1e-12, "{change:?}");
            }
        }
    }

    #[test]
    fn sides_mirror_each_other_and_can_be_watched_alone() {
        let run = |sign: f64, watched: Watched| {
            let mut sum = Cusum::new(0.5, 4.0).unwrap().watching(watched);
            (0..20).find_map(|_| sum.add(sign * 1.5))
        };
        let (up, down) = (run(1.0, Watched::Both).unwrap(), run(-1.0, Watched::Both).unwrap());
        assert_eq!((up.direction, down.direction), (Direction::Up, Direction::Down));
        assert_eq!((up.since, up.found, up.shift), (down.since, down.found, down.shift));
        assert_eq!(up.found, 4);
        assert_eq!(run(1.0, Watched::Down), None);
        assert_eq!(run(1.0, Watched::Up), Some(up));
    }

    #[test]
    fn days_without_data_change_nothing_and_are_counted() {
        let mut sum = Cusum::new(0.5, 3.0).unwrap();
        for z in [1.5, f64::NAN, f64::NAN, 1.5] {
            assert_eq!(sum.add(z), None);
        }
        assert!((sum.up() - 2.0).abs() < 1e-12);
        let change = sum.add(2.0).unwrap();
        assert_eq!((change.since, change.found), (0, 4));
        sum.restart();
        assert_eq!((sum.up(), sum.down(), sum.add(1.0)), (0.0, 0.0, None));
        assert!(sum.add(f64::INFINITY).is_some(), "counted, not carried to infinity");
        assert!(sum.up().is_finite());
    }

    #[test]
    fn a_head_start_finds_sooner() {
        let found = |mut sum: Cusum| (0..50).find(|_| sum.add(1.0).is_some()).unwrap();
        let plain = Cusum::new(0.5, 4.0).unwrap();
        assert_eq!((found(plain), found(plain.with_head_start())), (8, 4));
    }

    #[test]
    fn senseless_settings_are_named() {
        assert_eq!(Cusum::new(-0.1, 4.0), Err(DriftError::Allowance(-0.1)));
        assert!(Cusum::new(f64::NAN, 4.0).is_err());
        let message = Cusum::new(0.5, 0.0).unwrap_err().to_string();
        assert_eq!(
            message,
            "the limit of a cumulative sum is 0; it must lie between 0.1 and 100 standard deviations"
        );
    }
}
