//! The client process, as a test sees it.

use std::process::Stdio;
use std::time::Duration;

use serde_json::Value;
use tokio::io::{AsyncBufReadExt as _, BufReader, Lines};
use tokio::process::{Child, ChildStdin, ChildStdout, Command};
use tokio::time::timeout;
use wellwright_tests::bluez::Bus;

/// How long a test waits for one thing to happen: long, because the machine may be busy with other builds.
const PATIENCE: Duration = Duration::from_mins(1);

/// A running client; it is ended when dropped.
pub struct Client {
    child: Child,
    input: Option<ChildStdin>,
    lines: Lines<BufReader<ChildStdout>>,
}

impl Client {
    pub fn start(bus: &Bus, arguments: &[&str]) -> Client {
        Client::start_at(bus.address(), arguments)
    }

    /// With any address of a bus.
    pub fn start_at(address: &str, arguments: &[&str]) -> Client {
        let mut child = Command::new(env!("CARGO_BIN_EXE_bluetooth_client"))
            .args(arguments)
            .env("DBUS_SYSTEM_BUS_ADDRESS", address)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .kill_on_drop(true)
            .spawn()
            .unwrap();
        let input = child.stdin.take();
        let lines = BufReader::new(child.stdout.take().unwrap()).lines();
        Client { child, input, lines }
    }

    async fn line(&mut self) -> Option<Value> {
        let line = timeout(PATIENCE, self.lines.next_line()).await.expect("a line in time").unwrap()?;
        Some(serde_json::from_str(&line).unwrap())
    }

    /// The next event.
    pub async fn next(&mut self) -> Value {
        self.line().await.expect("the client goes on")
    }

    /// Events up to the first that `wanted` wants; it is the last.
    pub async fn until(&mut self, wanted: impl Fn(&Value) -> bool) -> Vec<Value> {
        let mut events = Vec::new();
        let all = async {
            loop {
                let event = self.next().await;
                let last = wanted(&event);
                events.push(event);
                if last {
                    return;
                }
            }
        };
        let done = timeout(PATIENCE, all).await;
        assert!(done.is_ok(), "what was waited for did not come; events: {events:?}");
        events
    }

    /// Asks it to end; the events that still came.
    pub async fn stop(&mut self) -> Vec<Value> {
        self.input.take();
        let mut events = Vec::new();
        while let Some(event) = self.line().await {
            events.push(event);
        }
        assert!(timeout(PATIENCE, self.child.wait()).await.unwrap().unwrap().success());
        events
    }

    /// Memory in use, KiB.
    pub fn resident_kib(&self) -> u64 {
        let status = std::fs::read_to_string(format!("/proc/{}/status", self.child.id().unwrap())).unwrap();
        let line = status.lines().find_map(|l| l.strip_prefix("VmRSS:")).unwrap();
        line.trim().trim_end_matches(" kB").parse().unwrap()
    }
}
