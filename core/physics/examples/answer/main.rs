//! Answers questions about physics as JSON lines, so that programs in other languages can hold theirs beside
//! ours: `tests/opinions` does. One object a line in, one a line out.
//!
//! `{"ask": "theis", "flow_m3_d": 100, …}` gives `{"drawdown_m": 0.4652}`; an error gives `{"error": "…"}`.

mod chain;
mod parts;

use std::io::{self, BufRead, Write};

use serde_json::{Value, json};

/// A question with its numbers.
pub struct Ask(Value);

impl Ask {
    /// A number of the question.
    pub fn num(&self, key: &str) -> Result<f64, String> {
        self.0[key].as_f64().ok_or_else(|| format!("`{key}` must be a number"))
    }

    /// A text of the question.
    pub fn text(&self, key: &str) -> Result<&str, String> {
        self.0[key].as_str().ok_or_else(|| format!("`{key}` must be a text"))
    }

    /// Rows of numbers.
    pub fn rows(&self, key: &str) -> Result<Vec<[f64; 3]>, String> {
        let row = |r: &Value| Some([r[0].as_f64()?, r[1].as_f64()?, r[2].as_f64()?]);
        let rows = self.0[key].as_array().and_then(|a| a.iter().map(row).collect());
        rows.ok_or_else(|| format!("`{key}` must be rows of three numbers"))
    }
}

fn answer(ask: &Ask) -> Result<Value, String> {
    match ask.text("ask")? {
        "sun" => parts::sun(ask),
        "diode" => parts::diode(ask),
        "module" => parts::module(ask),
        "perez" => parts::perez_plane(ask),
        "glass" => parts::glass(ask),
        "friction" => parts::friction(ask),
        "meeting" => parts::meeting(ask),
        "theis" => parts::theis(ask),
        "water" => parts::water(ask),
        "plant" => chain::plant(ask),
        "point" => chain::point(ask),
        "time_points" => chain::time_points(ask),
        "time_year" => chain::time_year(ask),
        other => Err(format!("`{other}` is no question")),
    }
}

fn main() -> io::Result<()> {
    let mut out = io::stdout().lock();
    for line in io::stdin().lock().lines() {
        let said = match serde_json::from_str(&line?) {
            Ok(value) => answer(&Ask(value)),
            Err(e) => Err(e.to_string()),
        };
        writeln!(out, "{}", said.unwrap_or_else(|e| json!({ "error": e })))?;
        out.flush()?;
    }
    Ok(())
}
