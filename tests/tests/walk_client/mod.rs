//! The program in its own process, as the test of the walk sees it.

use std::path::Path;
use std::process::Stdio;
use std::time::Duration;

use serde_json::Value;
use tokio::io::{AsyncBufReadExt as _, AsyncWriteExt as _, BufReader, Lines};
use tokio::process::{Child, ChildStdin, ChildStdout, Command};
use tokio::time::timeout;
use wellwright_tests::bluez::Bus;

/// How long a test waits for one thing to happen: long, because the machine may be busy with other builds.
const PATIENCE: Duration = Duration::from_secs(90);

/// A running program; it is ended when dropped.
pub struct Program {
    child: Child,
    input: ChildStdin,
    lines: Lines<BufReader<ChildStdout>>,
}

impl Program {
    /// Follows the controller with this serial number and writes to this store.
    pub fn start(bus: &Bus, store: &Path, serial: &str, told: &Path) -> Program {
        let mut child = Command::new(env!("CARGO_BIN_EXE_walk_client"))
            .arg(store)
            .arg(serial)
            .arg(told)
            .env("DBUS_SYSTEM_BUS_ADDRESS", bus.address())
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .kill_on_drop(true)
            .spawn()
            .unwrap();
        let input = child.stdin.take().unwrap();
        let lines = BufReader::new(child.stdout.take().unwrap()).lines();
        Program { child, input, lines }
    }

    /// The first line that `wanted` wants.
    pub async fn until(&mut self, wanted: impl Fn(&Value) -> bool) -> Value {
        let mut last = Value::Null;
        let come = async {
            loop {
                let line = self.lines.next_line().await.unwrap().expect("the program goes on");
                last = serde_json::from_str(&line).unwrap();
                if wanted(&last) {
                    return;
                }
            }
        };
        let done = timeout(PATIENCE, come).await;
        assert!(done.is_ok(), "what was waited for did not come; last: {last}");
        last
    }

    /// The finding; the program ends by itself and well.
    pub async fn rank(mut self) -> Value {
        self.input.write_all(b"rank\n").await.unwrap();
        let finding = self.until(|line| !line["finding"].is_null()).await["finding"].take();
        assert!(timeout(PATIENCE, self.child.wait()).await.expect("it ends in time").unwrap().success());
        finding
    }
}
