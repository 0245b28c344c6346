//! A second opinion on the same rows: a forest of random trees, each grown on a draw of the references and asked only
//! about those that it has not seen.
//!
//! Bagging and the held-out estimate after Breiman, Machine Learning 45 (2001) 5; cuts at random values as in
//! extremely randomised trees (Geurts, Ernst, Wehenkel, Machine Learning 63 (2006) 3).

use wellwright_domain::cause::Cause;

use super::density::Example;
use crate::plant::dice::Dice;

/// Trees.
const TREES: u64 = 240;
/// Numbers tried at each fork, and cuts tried of each.
const TRIED: usize = 9;
const CUTS: usize = 3;
/// A leaf holds at least so many.
const LEAF: usize = 2;
/// Stands for what was not recorded: below every number.
const ABSENT: f32 = -1e9;
/// Share that every cause keeps.
const FLOOR: f64 = 0.0015;

enum Node {
    Fork { number: usize, cut: f32, right: usize },
    Leaf(Vec<(usize, f32)>),
}

/// Rows as trees take them.
struct Rows {
    values: Vec<Vec<f32>>,
    class: Vec<usize>,
    classes: usize,
}

impl Rows {
    fn of(examples: &[&Example], causes: &[Cause]) -> Rows {
        let row = |e: &Example| -> Vec<f32> {
            let numbers = e.features.numbers.iter().map(|x| x.map_or(ABSENT, |x| x as f32));
            let signs = e.features.signs.iter().map(|s| s.map_or(-1.0, |s| f32::from(u8::from(s))));
            // The pattern in its parts: how much it ran, how often it stopped, why.
            let p = e.features.pattern;
            let parts = [p % 4, p / 4 % 3, p / 12].map(|x| x as f32);
            numbers.chain(signs).chain(parts).chain([e.situation as usize as f32]).collect()
        };
        Rows {
            values: examples.iter().map(|e| row(e)).collect(),
            class: examples.iter().map(|e| causes.iter().position(|c| *c == e.cause).unwrap_or(0)).collect(),
            classes: causes.len(),
        }
    }

    fn counts(&self, of: &[usize]) -> Vec<u32> {
        let mut counts = vec![0; self.classes];
        for k in of {
            counts[self.class[*k]] += 1;
        }
        counts
    }
}

/// Sum of squares over the count: the higher, the purer.
fn purity(counts: &[u32]) -> f64 {
    let n: u32 = counts.iter().sum();
    counts.iter().map(|c| f64::from(*c).powi(2)).sum::<f64>() / f64::from(n.max(1))
}

/// The best of some random cuts.
fn cut(rows: &Rows, own: &[usize], all: &[u32], dice: &mut Dice) -> Option<(usize, f32)> {
    let width = rows.values[0].len();
    let mut best = (purity(all) + 1e-9, None);
    for _ in 0..TRIED {
        let number = dice.int(0, width - 1);
        let value = |k: usize| rows.values[k][number];
        for _ in 0..CUTS {
            let (a, b) = (value(dice.pick(own)), value(dice.pick(own)));
            let (low, high) = (a.min(b), a.max(b));
            if low == high {
                continue;
            }
            // Between what was recorded and what was not, the cut parts just these.
            let at = if low == ABSENT { 0.5 * ABSENT } else { low + (high - low) * dice.unit() as f32 };
            let mut left = vec![0; rows.classes];
            for k in own.iter().filter(|k| value(**k) < at) {
                left[rows.class[*k]] += 1;
            }
            let n = left.iter().sum::<u32>() as usize;
            if n < LEAF || own.len() - n < LEAF {
                continue;
            }
            let right: Vec<u32> = all.iter().zip(&left).map(|(a, l)| a - l).collect();
            let gain = purity(&left) + purity(&right);
            if gain > best.0 {
                best = (gain, Some((number, at)));
            }
        }
    }
    best.1
}

/// Grows below a node and gives where it stands.
fn grow(rows: &Rows, own: &mut [usize], dice: &mut Dice, nodes: &mut Vec<Node>) -> usize {
    let here = nodes.len();
    let counts = rows.counts(own);
    let mixed = counts.iter().filter(|c| **c > 0).count() > 1;
    let found = if mixed && own.len() >= 2 * LEAF { cut(rows, own, &counts, dice) } else { None };
    let Some((number, at)) = found else {
        let n = own.len() as f32;
        let shares = counts.iter().enumerate().filter(|c| *c.1 > 0).map(|(k, c)| (k, *c as f32 / n));
        nodes.push(Node::Leaf(shares.collect()));
        return here;
    };
    nodes.push(Node::Leaf(Vec::new()));
    own.sort_unstable_by_key(|k| rows.values[*k][number] >= at);
    let middle = own.partition_point(|k| rows.values[*k][number] < at);
    let (left, right) = own.split_at_mut(middle);
    grow(rows, left, dice, nodes);
    let right = grow(rows, right, dice, nodes);
    nodes[here] = Node::Fork { number, cut: at, right };
    here
}

fn leaf<'a>(nodes: &'a [Node], row: &[f32]) -> &'a [(usize, f32)] {
    let mut at = 0;
    loop {
        match &nodes[at] {
            Node::Leaf(shares) => return shares,
            Node::Fork { number, cut, .. } if row[*number] < *cut => at += 1,
            Node::Fork { right, .. } => at = *right,
        }
    }
}

/// For each example the log probability of every cause, in the order of `causes`, from the trees that have not seen
/// it; causes taken as often as the examples have them.
pub fn unseen(examples: &[&Example], causes: &[Cause], seed: u64) -> Vec<Vec<f64>> {
    let rows = Rows::of(examples, causes);
    let n = examples.len();
    let mut votes = vec![vec![0.0; causes.len()]; n];
    for tree in 0..TREES {
        let mut dice = Dice::new(seed, tree, 91);
        let mut seen = vec![false; n];
        let mut own: Vec<usize> = (0..n).map(|_| dice.int(0, n - 1)).collect();
        for k in &own {
            seen[*k] = true;
        }
        let mut nodes = Vec::new();
        grow(&rows, &mut own, &mut dice, &mut nodes);
        for k in (0..n).filter(|k| !seen[*k]) {
            for (class, share) in leaf(&nodes, &rows.values[k]) {
                votes[k][*class] += f64::from(*share);
            }
        }
    }
    let floor = FLOOR / causes.len() as f64;
    votes
        .into_iter()
        .map(|v| {
            let all = v.iter().sum::<f64>().max(1e-12);
            v.into_iter().map(|x| (floor + (1.0 - FLOOR) * x / all).ln()).collect()
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::evaluate::oracle::features::Features;
    use wellwright_domain::situation::Situation;

    fn example(cause: Cause, x: f64, y: Option<f64>) -> Example {
        let features = Features { numbers: vec![Some(x), y], pattern: 0, signs: Vec::new() };
        Example { cause, severity: None, situation: Situation::InService, features }
    }

    #[test]
    fn what_can_be_told_is_told_of_rows_that_no_tree_saw() {
        let mut dice = Dice::new(1, 1, 1);
        let all: Vec<Example> = (0..300)
            .map(|k| {
                let x = dice.normal(0.0, 1.0);
                match k % 3 {
                    0 => example(Cause::Healthy, x, Some(dice.uniform(0.0, 1.0))),
                    1 => example(Cause::Soiling, x, Some(dice.uniform(2.0, 3.0))),
                    _ => example(Cause::WornPump, x, None),
                }
            })
            .collect();
        let causes = [Cause::Healthy, Cause::Soiling, Cause::WornPump];
        let told = unseen(&all.iter().collect::<Vec<_>>(), &causes, 5);
        let right = told.iter().enumerate().filter(|(k, t)| t.iter().all(|x| *x <= t[k % 3])).count();
        assert!(right >= 297, "{right} of 300");
    }

    #[test]
    fn chance_is_not_told_apart() {
        let mut dice = Dice::new(2, 1, 1);
        let causes = [Cause::Healthy, Cause::Soiling];
        let all: Vec<Example> =
            (0..400).map(|k| example(causes[k % 2], dice.unit(), Some(dice.unit()))).collect();
        let told = unseen(&all.iter().collect::<Vec<_>>(), &causes, 5);
        let right = told.iter().enumerate().filter(|(k, t)| t[k % 2] > t[1 - k % 2]).count();
        assert!((140..260).contains(&right), "{right} of 400");
    }
}
