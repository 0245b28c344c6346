//! A private bus in this process.

use std::sync::mpsc;
use std::thread::JoinHandle;
use std::time::Duration;

use futures::future::select;
use tempfile::TempDir;
use tokio::sync::oneshot;

/// How long the bus waits for a client that does not take its messages: long, because the machine may be
/// busy with other builds.
const PATIENCE: Duration = Duration::from_mins(1);

/// A bus; it ends when dropped.
#[derive(Debug)]
pub struct Bus {
    address: String,
    stop: Option<oneshot::Sender<()>>,
    thread: Option<JoinHandle<()>>,
    _directory: TempDir,
}

impl Bus {
    /// Starts one.
    ///
    /// # Panics
    /// When the machine gives no directory, thread or socket.
    pub fn start() -> Bus {
        let directory = TempDir::new().expect("a temporary directory");
        let wanted = format!("unix:path={}", directory.path().join("bus").display());
        let (stop, stopped) = oneshot::channel::<()>();
        let (tell, told) = mpsc::channel();
        // The bus runs on a runtime of its own kind, which must drive the calling thread.
        let thread = std::thread::spawn(move || {
            zruntime::block_on(async move {
                let mut bus = busd::bus::Bus::for_address(Some(&wanted)).await.expect("a socket");
                bus.set_send_timeout(PATIENCE);
                tell.send(bus.address().to_string()).expect("the starter waits");
                let running = Box::pin(bus.run());
                select(stopped, running).await;
            });
        });
        let address = told.recv_timeout(PATIENCE).expect("the bus comes up");
        Bus { address, stop: Some(stop), thread: Some(thread), _directory: directory }
    }

    /// Its address.
    pub fn address(&self) -> &str {
        &self.address
    }
}

impl Drop for Bus {
    fn drop(&mut self) {
        self.stop.take();
        if let Some(thread) = self.thread.take() {
            // A panic of the bus has shown itself in the test already.
            let _ = thread.join();
        }
    }
}
