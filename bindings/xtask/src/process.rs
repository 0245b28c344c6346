//! Child processes: run and watched line by line, or run for their answer.

use std::io::{BufRead, BufReader, Write};
use std::process::{Command, Stdio};

use anyhow::{Context, Result, bail};
use camino::Utf8Path;

/// Runs a program in a folder, passes its output on as it comes, and shows each line to `watch`.
///
/// Gives whether it ended well. Standard error goes straight through.
pub fn stream(folder: &Utf8Path, program: &str, args: &[&str], mut watch: impl FnMut(&str)) -> Result<bool> {
    println!("\n$ {program} {}", args.join(" "));
    let mut child = Command::new(program)
        .args(args)
        .current_dir(folder)
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .spawn()
        .with_context(|| format!("cannot run {program}"))?;
    let stdout = child.stdout.take().context("the child has no standard output")?;
    let mut out = std::io::stdout().lock();
    let mut lines = BufReader::new(stdout);
    let mut bytes = Vec::new();
    while lines.read_until(b'\n', &mut bytes)? > 0 {
        out.write_all(&bytes)?;
        out.flush()?;
        watch(String::from_utf8_lossy(&bytes).trim_end());
        bytes.clear();
    }
    Ok(child.wait()?.success())
}

/// Runs a program and gives what it wrote to standard output.
pub fn capture(program: &str, args: &[&str]) -> Result<String> {
    let out = Command::new(program)
        .args(args)
        .stdin(Stdio::null())
        .output()
        .with_context(|| format!("cannot run {program}"))?;
    if !out.status.success() {
        bail!("{program} {} failed: {}", args.join(" "), String::from_utf8_lossy(&out.stderr).trim());
    }
    Ok(String::from_utf8_lossy(&out.stdout).into_owned())
}
