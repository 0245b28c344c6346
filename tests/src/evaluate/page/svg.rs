//! The few marks that all pictures are made of.

use std::fmt::Write as _;

/// Text that is safe inside markup.
pub fn escape(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}

/// A picture under construction.
pub struct Picture {
    body: String,
    width: f64,
    height: f64,
}

impl Picture {
    /// Empty, with what it shows in words for those who cannot see it.
    pub fn new(width: f64, height: f64, what: &str) -> Picture {
        Picture { body: format!("<title>{}</title>", escape(what)), width, height }
    }

    /// A filled rectangle, with words that appear when pointed at.
    pub fn rect(&mut self, at: [f64; 4], fill: &str, words: &str) {
        let [x, y, w, h] = at;
        let _ = write!(
            self.body,
            "<rect x=\"{x:.1}\" y=\"{y:.1}\" width=\"{w:.1}\" height=\"{h:.1}\" fill=\"{fill}\">"
        );
        if !words.is_empty() {
            let _ = write!(self.body, "<title>{}</title>", escape(words));
        }
        self.body.push_str("</rect>");
    }

    /// A line.
    pub fn line(&mut self, from: [f64; 2], to: [f64; 2], colour: &str, thick: f64) {
        let _ = write!(
            self.body,
            "<line x1=\"{:.1}\" y1=\"{:.1}\" x2=\"{:.1}\" y2=\"{:.1}\" stroke=\"{colour}\" stroke-width=\"{thick}\"/>",
            from[0], from[1], to[0], to[1]
        );
    }

    /// A round mark, filled or open.
    pub fn mark(&mut self, at: [f64; 2], colour: &str, filled: bool) {
        let fill = if filled { colour } else { "#fbfaf6" };
        let _ = write!(
            self.body,
            "<circle cx=\"{:.1}\" cy=\"{:.1}\" r=\"4.5\" fill=\"{fill}\" stroke=\"{colour}\" stroke-width=\"2\"/>",
            at[0], at[1]
        );
    }

    /// Words that begin (`start`), end (`end`) or are centred (`middle`) at a point.
    pub fn text(&mut self, at: [f64; 2], anchor: &str, colour: &str, words: &str) {
        let _ = write!(
            self.body,
            "<text x=\"{:.1}\" y=\"{:.1}\" text-anchor=\"{anchor}\" style=\"fill:{colour}\">{}</text>",
            at[0],
            at[1],
            escape(words)
        );
    }

    /// Words that run upwards from a point.
    pub fn upright(&mut self, at: [f64; 2], words: &str) {
        let _ = write!(
            self.body,
            "<text transform=\"translate({:.1} {:.1}) rotate(-60)\" style=\"font-size:11px\">{}</text>",
            at[0],
            at[1],
            escape(words)
        );
    }

    /// As markup.
    pub fn finish(self) -> String {
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {0:.0} {1:.0}\" width=\"{0:.0}\" \
             height=\"{1:.0}\" role=\"img\">{2}</svg>",
            self.width, self.height, self.body
        )
    }
}

/// Ink of text.
pub const INK: &str = "#1c2630";
/// Paler ink.
pub const PALE: &str = "#4d5965";
/// Lines of the scale.
pub const RULE: &str = "#ddd6c3";
/// First place.
pub const FIRST: &str = "#14527a";
/// First three.
pub const THREE: &str = "#b0670b";
/// Trouble.
pub const ALARM: &str = "#8f2d0a";
