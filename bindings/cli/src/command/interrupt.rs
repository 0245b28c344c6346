//! Ctrl-C as a question that can be asked.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread;

/// Set once Ctrl-C was pressed; a second press ends the program at once.
#[derive(Debug, Clone)]
pub struct Interrupt(Arc<AtomicBool>);

impl Interrupt {
    /// Listens from now on. Where the system does not let it listen, Ctrl-C ends the program as usual.
    pub fn listen() -> Interrupt {
        let pressed = Arc::new(AtomicBool::new(false));
        let flag = pressed.clone();
        thread::spawn(move || {
            let Ok(runtime) = tokio::runtime::Builder::new_current_thread().enable_all().build() else {
                return;
            };
            runtime.block_on(async {
                while tokio::signal::ctrl_c().await.is_ok() {
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
