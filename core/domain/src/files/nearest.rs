//! The nearest known word to one that is not known.

/// The known word with the smallest edit distance, and whether it is near enough to be what was meant.
///
/// Distance is the restricted Damerau-Levenshtein distance, case ignored: insertions, deletions,
/// substitutions and exchanges of neighbours count 1 each. "Near enough" is a third of the word's length,
/// at least 2, or one word being the beginning of the other (a forgotten unit, `tilt` for `tilt_deg`).
/// `None` only when nothing is known or the word is longer than 100 characters.
pub fn nearest<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> Option<(&'a str, bool)> {
    let chars = |s: &str| s.chars().flat_map(char::to_lowercase).collect::<Vec<_>>();
    let w = chars(word);
    if w.len() > 100 {
        return None;
    }
    let (best, best_chars, d) = known
        .into_iter()
        .map(|k| {
            let kc = chars(k);
            let d = distance(&w, &kc);
            (k, kc, d)
        })
        .min_by_key(|(_, kc, d)| (!begins(&w, kc), *d))?;
    Some((best, begins(&w, &best_chars) || d <= (w.len() / 3).max(2)))
}

fn begins(a: &[char], b: &[char]) -> bool {
    a.len().min(b.len()) >= 3 && (a.starts_with(b) || b.starts_with(a))
}

fn distance(a: &[char], b: &[char]) -> usize {
    let mut before = vec![0; b.len() + 1];
    let mut last: Vec<usize> = (0..=b.len()).collect();
    for i in 1..=a.len() {
        let mut row = vec![i; b.len() + 1];
        for j in 1..=b.len() {
            let change = usize::from(a[i - 1] != b[j - 1]);
            row[j] = (last[j] + 1).min(row[j - 1] + 1).min(last[j - 1] + change);
            if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                row[j] = row[j].min(before[j - 2] + 1);
            }
        }
        before = std::mem::replace(&mut last, row);
    }
    last[b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_nearest_word_is_found_and_judged() {
        let known = ["rated_rpm", "tilt_deg", "kind", "slip_m3h_per_m"];
        assert_eq!(nearest("rated_rmp", known), Some(("rated_rpm", true)));
        assert_eq!(nearest("Kind", known), Some(("kind", true)));
        assert_eq!(nearest("tilt", known), Some(("tilt_deg", true)));
        assert!(!nearest("colour", known).unwrap().1);
        assert_eq!(nearest("x", []), None);
    }

    #[test]
    fn an_exchange_of_neighbours_counts_one() {
        let d = |a: &str, b: &str| distance(&a.chars().collect::<Vec<_>>(), &b.chars().collect::<Vec<_>>());
        assert_eq!((d("ab", "ba"), d("kitten", "sitting"), d("", "abc")), (1, 3, 3));
    }
}
