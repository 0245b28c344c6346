//! The single writer: one thread owns the writing connection and takes jobs from a bounded queue.
//!
//! One job is one transaction. Its outcome is told only after the commit, so whoever was told "written"
//! finds it again after a kill or a power cut. A job that fails is rolled back and the next one goes on.

use std::sync::mpsc::{Receiver, RecvTimeoutError, SyncSender, TrySendError, sync_channel};
use std::sync::{Mutex, PoisonError};
use std::thread::JoinHandle;
use std::time::Duration;

use rusqlite::{Connection, Transaction, TransactionBehavior};

use crate::error::{Result, StoreError};
use crate::lock::StoreLock;

/// Something for the writer to do with its connection.
type Job = Box<dyn FnOnce(&mut Connection) + Send>;

/// An outcome that is not there yet: the acknowledgement of a write.
#[derive(Debug)]
#[must_use = "a write is certain only once its acknowledgement was read"]
pub struct Ack<T> {
    outcome: Receiver<Result<T>>,
}

impl<T> Ack<T> {
    /// Waits for the commit.
    pub fn wait(self) -> Result<T> {
        self.outcome.recv().unwrap_or(Err(StoreError::Closed))
    }

    /// Waits for the commit at most this long; `None` when it is still on its way.
    pub fn wait_for(&self, longest: Duration) -> Option<Result<T>> {
        match self.outcome.recv_timeout(longest) {
            Ok(outcome) => Some(outcome),
            Err(RecvTimeoutError::Timeout) => None,
            Err(RecvTimeoutError::Disconnected) => Some(Err(StoreError::Closed)),
        }
    }
}

/// The queue's end for callers, and the thread.
#[derive(Debug)]
pub(crate) struct Writer {
    queue: Mutex<Option<SyncSender<Job>>>,
    thread: Mutex<Option<JoinHandle<()>>>,
}

impl Writer {
    /// Starts the thread. The lock is let go when the connection is closed.
    pub(crate) fn start(conn: Connection, lock: StoreLock, queue: usize) -> std::io::Result<Writer> {
        let (sender, jobs) = sync_channel::<Job>(queue.max(1));
        let thread = std::thread::Builder::new().name("store-writer".into()).spawn(move || {
            run(conn, &jobs);
            drop(lock);
        })?;
        Ok(Writer { queue: Mutex::new(Some(sender)), thread: Mutex::new(Some(thread)) })
    }

    /// Queues a transaction; waits while the queue is full.
    pub(crate) fn transact<T: Send + 'static>(
        &self,
        work: impl FnOnce(&Transaction<'_>) -> Result<T> + Send + 'static,
    ) -> Result<Ack<T>> {
        let (job, ack) = acknowledged(|conn| in_transaction(conn, work));
        self.sender()?.send(job).map_err(|_| StoreError::Closed)?;
        Ok(ack)
    }

    /// Queues a transaction, or says at once that the queue is full. The outcome goes to `done` on the
    /// writer's thread.
    pub(crate) fn try_transact<T: Send + 'static>(
        &self,
        work: impl FnOnce(&Transaction<'_>) -> Result<T> + Send + 'static,
        done: impl FnOnce(Result<T>) + Send + 'static,
    ) -> Result<()> {
        let job: Job = Box::new(move |conn| done(in_transaction(conn, work)));
        self.sender()?.try_send(job).map_err(|e| match e {
            TrySendError::Full(_) => StoreError::QueueFull,
            TrySendError::Disconnected(_) => StoreError::Closed,
        })
    }

    /// Does something with the connection outside a transaction.
    pub(crate) fn with_connection<T: Send + 'static>(
        &self,
        work: impl FnOnce(&mut Connection) -> Result<T> + Send + 'static,
    ) -> Result<T> {
        let (job, ack) = acknowledged(work);
        self.sender()?.send(job).map_err(|_| StoreError::Closed)?;
        ack.wait()
    }

    /// Writes what is queued, empties the log into the database, closes it and lets the lock go.
    pub(crate) fn close(&self) {
        drop(take(&self.queue));
        let Some(thread) = take(&self.thread) else { return };
        // The last handle may be dropped inside a callback, that is on the writer's own thread.
        if thread.thread().id() != std::thread::current().id() && thread.join().is_err() {
            tracing::error!("the writer of the store had stopped");
        }
    }

    fn sender(&self) -> Result<SyncSender<Job>> {
        self.queue.lock().unwrap_or_else(PoisonError::into_inner).clone().ok_or(StoreError::Closed)
    }
}

impl Drop for Writer {
    fn drop(&mut self) {
        self.close();
    }
}

fn take<T>(slot: &Mutex<Option<T>>) -> Option<T> {
    slot.lock().unwrap_or_else(PoisonError::into_inner).take()
}

fn acknowledged<T: Send + 'static>(
    work: impl FnOnce(&mut Connection) -> Result<T> + Send + 'static,
) -> (Job, Ack<T>) {
    let (tell, outcome) = sync_channel(1);
    let job: Job = Box::new(move |conn| {
        // Nobody waits any more: the write was made all the same.
        let _ = tell.send(work(conn));
    });
    (job, Ack { outcome })
}

fn in_transaction<T>(conn: &mut Connection, work: impl FnOnce(&Transaction<'_>) -> Result<T>) -> Result<T> {
    let tx = conn.transaction_with_behavior(TransactionBehavior::Immediate)?;
    let outcome = work(&tx)?;
    tx.commit()?;
    Ok(outcome)
}

fn run(mut conn: Connection, jobs: &Receiver<Job>) {
    while let Ok(job) = jobs.recv() {
        job(&mut conn);
    }
    // Best effort: what is in the log is safe where it is.
    if let Err(error) = conn.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(())) {
        tracing::debug!(%error, "the log stays beside the store");
    }
    if let Err((_, error)) = conn.close() {
        tracing::warn!(%error, "closing the store");
    }
}
