//! Ctrl-C, or being told to end, as a question that can be asked.

use std::io;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread;

/// Set once Ctrl-C was pressed or the system told the program to end; a second time ends it at once.
#[derive(Debug, Clone)]
pub struct Interrupt(Arc<AtomicBool>);

impl Interrupt {
    /// Listens from now on. Where the system does not let it listen, either ends the program as usual.
    pub fn listen() -> Interrupt {
        let pressed = Arc::new(AtomicBool::new(false));
        let flag = pressed.clone();
        thread::spawn(move || {
            let Ok(runtime) = tokio::runtime::Builder::new_current_thread().enable_all().build() else {
                return;
            };
            runtime.block_on(async {
                while told_to_end().await.is_ok() {
                    if flag.swap(true, Ordering::Relaxed) {
                        std::process::exit(130);
                    }
                }
            });
        });
        Interrupt(pressed)
    }

    /// Was it pressed?
    pub fn pressed(&self) -> bool {
        self.0.load(Ordering::Relaxed)
    }
}

/// Comes back when the program is told to end: Ctrl-C, and where there is such a signal, what a service
/// manager sends.
async fn told_to_end() -> io::Result<()> {
    #[cfg(unix)]
    {
        use tokio::signal::unix::{SignalKind, signal};
        let mut terminate = signal(SignalKind::terminate())?;
        tokio::select! {
            pressed = tokio::signal::ctrl_c() => pressed,
            _ = terminate.recv() => Ok(()),
        }
    }
    #[cfg(not(unix))]
    tokio::signal::ctrl_c().await
}
