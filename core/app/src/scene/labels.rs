//! Where labels go: each as near as it can be to what it names, in the same order, none on another.
//!
//! Pool-adjacent-violators (isotonic regression): take the fixed distances between neighbours away, merge
//! neighbours whose means fall, clamp, add the distances back. The result moves the labels by the least
//! sum of squares that order and distances allow.
//! Source: R. E. Barlow, D. J. Bartholomew, J. M. Bremner, H. D. Brunk, Statistical Inference under Order
//! Restrictions, Wiley 1972, chapter 1.

/// Centres for labels of `sizes`, wished for at `ideal` (ascending or not), kept in the order given and
/// inside `[low, high]` (dp).
///
/// When they do not fit at all the first begins at `low` and the rest follow beyond `high`; callers make
/// room first, see [`needed`].
pub fn place(ideal: &[f64], sizes: &[f64], low: f64, high: f64) -> Vec<f64> {
    let n = ideal.len().min(sizes.len());
    if n == 0 {
        return Vec::new();
    }
    let mut offsets = vec![0.0; n];
    for i in 1..n {
        offsets[i] = offsets[i - 1] + f64::midpoint(sizes[i - 1], sizes[i]);
    }
    // pools of equal value: (sum, count)
    let mut pools: Vec<(f64, usize)> = Vec::new();
    for i in 0..n {
        let wish = if ideal[i].is_finite() { ideal[i] } else { low };
        pools.push((wish - offsets[i], 1));
        while let [.., (a, na), (b, nb)] = pools[..] {
            if a / na as f64 <= b / nb as f64 {
                break;
            }
            pools.truncate(pools.len() - 2);
            pools.push((a + b, na + nb));
        }
    }
    let first = low + sizes[0] / 2.0;
    let last = high - sizes[n - 1] / 2.0 - offsets[n - 1];
    let values = pools.iter().flat_map(|&(sum, count)| std::iter::repeat_n(sum / count as f64, count));
    values.zip(&offsets).map(|(v, o)| v.min(last).max(first) + o).collect()
}

/// Room that labels of these sizes need, dp.
pub fn needed(sizes: &[f64]) -> f64 {
    sizes.iter().sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn labels_with_room_stay_where_they_are() {
        assert_eq!(place(&[20.0, 80.0, 200.0], &[20.0; 3], 0.0, 300.0), [20.0, 80.0, 200.0]);
    }

    #[test]
    fn crowded_labels_share_the_shift() {
        // three at the same place: the middle one stays, the others step aside equally
        assert_eq!(place(&[100.0; 3], &[20.0; 3], 0.0, 300.0), [80.0, 100.0, 120.0]);
    }

    #[test]
    fn the_ends_hold() {
        assert_eq!(place(&[0.0, 5.0], &[20.0; 2], 0.0, 300.0), [10.0, 30.0]);
        assert_eq!(place(&[300.0, 305.0], &[20.0; 2], 0.0, 300.0), [270.0, 290.0]);
    }

    #[test]
    fn no_overlap_and_no_crossing_for_many_layouts() {
        // a small linear congruential generator, so that the layouts are always the same
        let mut state = 7u32;
        let mut next = || {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            f64::from(state >> 8) / f64::from(1u32 << 24)
        };
        for _ in 0..500 {
            let n = 1 + (next() * 8.0) as usize;
            let sizes: Vec<f64> = (0..n).map(|_| 20.0 + 50.0 * next()).collect();
            let high = needed(&sizes) + 100.0 * next();
            let mut ideal: Vec<f64> = (0..n).map(|_| high * next()).collect();
            ideal.sort_by(f64::total_cmp);
            let at = place(&ideal, &sizes, 0.0, high);
            for i in 0..n {
                assert!(at[i] - sizes[i] / 2.0 >= -1e-9 && at[i] + sizes[i] / 2.0 <= high + 1e-9);
                if i > 0 {
                    assert!(at[i] - at[i - 1] >= f64::midpoint(sizes[i], sizes[i - 1]) - 1e-9);
                }
            }
        }
    }

    #[test]
    fn too_many_labels_still_do_not_overlap() {
        let at = place(&[5.0, 5.0, 5.0], &[20.0; 3], 0.0, 30.0);
        assert_eq!(at, [10.0, 30.0, 50.0]);
        assert!(place(&[], &[], 0.0, 10.0).is_empty());
        assert!(place(&[f64::NAN], &[10.0], 0.0, 100.0)[0].is_finite());
    }
}
