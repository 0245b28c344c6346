//! Reads the pinned bytes beside this file.

use std::path::Path;

use wellwright_device::wire::from_hex;

/// The rows of a file of hexadecimal lines; `#` begins a remark.
pub fn rows(name: &str) -> Vec<Vec<u8>> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/golden").join(format!("{name}.hex"));
    let text = std::fs::read_to_string(&path).unwrap();
    text.lines().filter(|l| !l.starts_with('#')).map(|l| from_hex(l).unwrap()).collect()
}
