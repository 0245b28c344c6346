//! How wide a text will be, roughly, and where it breaks.
//!
//! Scenes are made without a font at hand, and phones use different ones. Widths are classes of letters
//! in ems (from memory, near common sans-serif faces), taken a little too wide, so that what is placed by
//! them has room in any of those faces.

use super::Font;

/// Taken wider than measured, so that other faces fit too.
const ROOM: f64 = 1.03;

/// Estimated width of a text, dp.
pub fn width(text: &str, font: Font) -> f64 {
    let ems: f64 = text.chars().map(em).sum();
    let weight = if font.weight() >= 700 { 1.04 } else { 1.0 };
    ems * font.size() * weight * ROOM
}

/// Advance of a letter, em.
fn em(c: char) -> f64 {
    match c {
        'i' | 'j' | 'l' | '\'' | '|' => 0.245,
        ' ' | '\u{a0}' | '.' | ',' | ':' | ';' | 'I' | '!' => 0.26,
        'f' | 'r' | 't' | '(' | ')' | '-' | '/' | '[' | ']' => 0.345,
        'c' | 'e' | 'k' | 's' | 'v' | 'x' | 'y' | 'z' => 0.52,
        'm' | 'M' | 'W' | '@' => 0.88,
        'w' | '%' => 0.75,
        'A'..='Z' => 0.65,
        'a'..='z' | '0'..='9' => 0.562,
        c if c.is_ascii() => 0.56,
        // other alphabets: as wide as a capital; full-width scripts: a whole em
        c if (c as u32) >= 0x1100 => 1.0,
        _ => 0.66,
    }
}

/// Breaks a text into lines no wider than `room`, dp. A word wider than the room stands alone.
pub fn wrap(text: &str, font: Font, room: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split(' ').filter(|w| !w.is_empty()) {
        match lines.last_mut() {
            Some(last) if width(&format!("{last} {word}"), font) <= room => {
                last.push(' ');
                last.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn digits_are_tabular_and_bold_is_wider() {
        assert_eq!(width("1111", Font::Value), width("9999", Font::Value));
        assert!(width("pump", Font::Strong) > width("pump", Font::Label));
    }

    #[test]
    fn lines_keep_their_room_and_every_word() {
        let text = "Flow is 0.7\u{a0}m3/h. Right way round gives 5.3 to 5.9; backwards gives 0.3 to 1.0.";
        let lines = wrap(text, Font::Label, 200.0);
        assert!(lines.len() > 1 && lines.iter().all(|l| width(l, Font::Label) <= 200.0), "{lines:?}");
        assert_eq!(lines.join(" "), text);
        assert_eq!(wrap("unbreakableword", Font::Label, 5.0), ["unbreakableword"]);
        assert!(wrap("", Font::Label, 5.0).is_empty());
    }
}
