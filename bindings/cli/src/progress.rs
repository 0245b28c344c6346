//! Work that may take longer than a second says so.

use std::io::{self, IsTerminal as _, Write as _};
use std::thread;
use std::time::{Duration, Instant};

/// Nothing is said before this.
const QUIET: Duration = Duration::from_millis(300);

/// Does `work` on this thread; while it lasts, standard error says what is being done and for how long.
pub fn while_doing<T: Send>(what: &str, work: impl FnOnce() -> T + Send) -> T {
    let terminal = io::stderr().is_terminal();
    thread::scope(|scope| {
        let handle = scope.spawn(work);
        let began = Instant::now();
        let mut said = 0;
        while !handle.is_finished() {
            thread::sleep(Duration::from_millis(10));
            let s = began.elapsed().as_secs();
            if began.elapsed() < QUIET || (said > 0 && s < said) {
                continue;
            }
            if terminal {
                eprint!("\r{what}: {s} s ");
                // A terminal that cannot be written shows nothing, and the work goes on.
                let _ = io::stderr().flush();
            } else if said == 0 && s >= 1 {
                eprintln!("{what}");
            }
            said = s + 1;
        }
        if terminal && said > 0 {
            eprint!("\r\u{1b}[2K");
        }
        handle.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic))
    })
}
