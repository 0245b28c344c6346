//! Many cases at once on all cores, in a fixed order of results, with progress on standard error.

use std::io::{IsTerminal, Write};
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::{Duration, Instant};

/// Says how far it is once a second on a terminal, twice a minute in a log.
struct Progress {
    what: &'static str,
    all: usize,
    begun: Instant,
    last: Mutex<Instant>,
    every: Duration,
    terminal: bool,
}

impl Progress {
    fn new(what: &'static str, all: usize) -> Progress {
        let terminal = std::io::stderr().is_terminal();
        let every = Duration::from_secs(if terminal { 1 } else { 30 });
        let begun = Instant::now();
        Progress { what, all, begun, last: Mutex::new(begun), every, terminal }
    }

    fn at(&self, done: usize) {
        let Ok(mut last) = self.last.try_lock() else { return };
        if last.elapsed() < self.every && done < self.all || self.begun.elapsed().as_secs() < 1 {
            return;
        }
        *last = Instant::now();
        let spent = self.begun.elapsed().as_secs_f64();
        let left = spent / done as f64 * (self.all - done) as f64;
        let text = format!("{}: {done} of {}, {spent:.0} s, about {left:.0} s left", self.what, self.all);
        let (before, after) = if self.terminal { ("\r\x1b[2K", "") } else { ("", "\n") };
        let after = if done == self.all { "\n" } else { after };
        let _ = write!(std::io::stderr(), "{before}{text}{after}");
    }
}

/// Threads that the machine offers, at least two.
pub fn threads() -> usize {
    std::thread::available_parallelism().map_or(2, usize::from).max(2)
}

/// Does `each` of the items on `threads` threads; results stand in the order of the items.
///
/// # Panics
/// When `each` does: a case that cannot be judged ends the evaluation.
pub fn parallel<I: Sync, R: Send>(
    what: &'static str,
    items: &[I],
    threads: usize,
    each: impl Fn(&I) -> R + Sync,
) -> Vec<R> {
    let next = AtomicUsize::new(0);
    let done = AtomicUsize::new(0);
    let progress = Progress::new(what, items.len());
    let results: Mutex<Vec<(usize, R)>> = Mutex::new(Vec::with_capacity(items.len()));
    std::thread::scope(|scope| {
        for _ in 0..threads.clamp(1, items.len().max(1)) {
            scope.spawn(|| {
                loop {
                    let k = next.fetch_add(1, Ordering::Relaxed);
                    let Some(item) = items.get(k) else { break };
                    let result = each(item);
                    results.lock().expect("no thread failed").push((k, result));
                    progress.at(done.fetch_add(1, Ordering::Relaxed) + 1);
                }
            });
        }
    });
    let mut results = results.into_inner().expect("no thread failed");
    results.sort_by_key(|(k, _)| *k);
    results.into_iter().map(|(_, r)| r).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn results_stand_in_order() {
        let items: Vec<u64> = (0..200).collect();
        let squares = parallel("squares", &items, 3, |x| x * x);
        assert_eq!(squares, items.iter().map(|x| x * x).collect::<Vec<_>>());
        assert!(parallel("none", &[] as &[u64], 2, |x| *x).is_empty());
    }
}
