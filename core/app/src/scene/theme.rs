//! Roles and the colours they have by day, in bright sun, at night and on paper.

use serde::{Deserialize, Serialize};

/// What a colour stands for. Scenes name roles, never colours.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Role {
    /// Ground of every screen.
    Paper,
    /// Keys, caution, loss segments.
    Panel,
    /// Text, marks, casing, action.
    Ink,
    /// Labels, leaders, notes.
    Ink2,
    /// Tracks, rulers, stripes.
    Line,
    /// Row rules, grid, loss segments.
    Hair,
    /// Water level, litres.
    Water,
    /// Body of water.
    WaterFill,
    /// Rim of the sun.
    Sun,
    /// Sun, ray, unused power.
    SunFill,
    /// Ground.
    Earth,
    /// Surface of the ground, horizon.
    EarthLine,
    /// What should be.
    Band,
    /// The two ends of what should be.
    BandLine,
    /// Rust: differs.
    Differ,
    /// Tint of rust.
    DifferFill,
    /// The one action.
    Act,
    /// Text on the action.
    OnAct,
}

/// A colour, sRGB.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Rgb(pub u8, pub u8, pub u8);

impl Rgb {
    const fn hex(value: u32) -> Rgb {
        Rgb((value >> 16) as u8, (value >> 8) as u8, value as u8)
    }

    /// "#rrggbb"
    pub fn to_css(self) -> String {
        format!("#{:02x}{:02x}{:02x}", self.0, self.1, self.2)
    }

    /// Relative luminance, 0 to 1 (WCAG 2.2, definition "relative luminance").
    pub fn luminance(self) -> f64 {
        let linear = |c: u8| {
            let c = f64::from(c) / 255.0;
            if c <= 0.04045 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) }
        };
        0.2126 * linear(self.0) + 0.7152 * linear(self.1) + 0.0722 * linear(self.2)
    }
}

/// Contrast ratio of two colours, 1 to 21 (WCAG 2.2, definition "contrast ratio").
pub fn contrast(a: Rgb, b: Rgb) -> f64 {
    let (a, b) = (a.luminance() + 0.05, b.luminance() + 0.05);
    a.max(b) / a.min(b)
}

/// A set of colours with what else changes beside them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Theme {
    /// Warm paper.
    #[default]
    Day,
    /// White ground, black ink, thicker lines, heavier text, bands outlined.
    BrightSun,
    /// Dark ground.
    Night,
    /// White paper for reports.
    Print,
}

impl Theme {
    /// All themes.
    pub const ALL: [Theme; 4] = [Theme::Day, Theme::BrightSun, Theme::Night, Theme::Print];

    /// Colour of a role.
    pub const fn colour(self, role: Role) -> Rgb {
        let [day, sun, night] = match role {
            Role::Paper => [0xFAF7F0, 0xFFFFFF, 0x0D1312],
            Role::Panel => [0xEFE9DB, 0xFFFFFF, 0x182120],
            Role::Ink => [0x14201F, 0x000000, 0xE8E0CD],
            Role::Ink2 => [0x46524E, 0x1C1C1C, 0xAFB4A7],
            Role::Line => [0x747D77, 0x3A3A3A, 0x7F8880],
            Role::Hair => [0xCFC8B6, 0x8A8A8A, 0x2F3A38],
            Role::Water => [0x0A5674, 0x00364F, 0x7CC5E2],
            Role::WaterFill => [0xB4D7E3, 0x8CC3DB, 0x174557],
            Role::Sun => [0x805100, 0x5C3A00, 0xE6AE48],
            Role::SunFill => [0xF2B53A, 0xFFC02E, 0xC08A26],
            Role::Earth => [0xE3D8C1, 0xF1EBDD, 0x241F16],
            Role::EarthLine => [0x8C7852, 0x4A3D22, 0x8A7A58],
            Role::Band => [0xB9CDC1, 0xC4C9C4, 0x33473F],
            Role::BandLine => [0x4F6E60, 0x000000, 0x88A799],
            Role::Differ => [0xAB2A08, 0x8F1600, 0xFF936A],
            Role::DifferFill => [0xF5CFBF, 0xFFC9B5, 0x4C2113],
            Role::Act => [0x14201F, 0x000000, 0xDCD3BC],
            Role::OnAct => [0xFFFFFF, 0xFFFFFF, 0x0D1312],
        };
        Rgb::hex(match (self, role) {
            (Theme::Print, Role::Paper) => 0xFFFFFF,
            (Theme::Print, Role::Panel) => 0xF4F1E8,
            (Theme::Day | Theme::Print, _) => day,
            (Theme::BrightSun, _) => sun,
            (Theme::Night, _) => night,
        })
    }

    /// Line widths are multiplied by this.
    pub const fn line_scale(self) -> f64 {
        match self {
            Theme::BrightSun => 1.5,
            _ => 1.0,
        }
    }

    /// Added to every font weight.
    pub const fn heavier(self) -> u16 {
        match self {
            Theme::BrightSun => 100,
            _ => 0,
        }
    }

    /// Areas in `band` get an outline in ink.
    pub const fn outlines_bands(self) -> bool {
        matches!(self, Theme::BrightSun)
    }

    /// Name in files.
    pub const fn code(self) -> &'static str {
        match self {
            Theme::Day => "day",
            Theme::BrightSun => "bright-sun",
            Theme::Night => "night",
            Theme::Print => "print",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use Role::*;

    #[test]
    fn contrast_is_the_published_ratio() {
        // WCAG 2.2: black on white is 21; W3C "Understanding 1.4.3" gives 4.5 for #777777 on white
        // as just short (4.48).
        assert!((contrast(Rgb(0, 0, 0), Rgb(255, 255, 255)) - 21.0).abs() < 1e-9);
        assert!((contrast(Rgb(0x77, 0x77, 0x77), Rgb(255, 255, 255)) - 4.48).abs() < 0.005);
        assert_eq!(Rgb(1, 171, 8).to_css(), "#01ab08");
    }

    #[test]
    fn every_pair_is_as_easy_to_read_as_it_must_be() {
        // pair, needed ratio, ratios by day, in bright sun, at night
        let table: &[(Role, Role, f64, [f64; 3])] = &[
            (Ink, Paper, 4.5, [15.6, 21.0, 14.3]),
            (Ink, Panel, 4.5, [13.8, 21.0, 12.5]),
            (Ink, Band, 4.5, [10.0, 12.5, 7.6]),
            (Ink2, Paper, 4.5, [7.6, 17.0, 8.9]),
            (Ink2, Panel, 4.5, [6.7, 17.0, 7.8]),
            (Ink2, Earth, 4.5, [5.8, 14.3, 7.7]),
            (Differ, Paper, 4.5, [6.4, 9.2, 8.6]),
            (Differ, Panel, 4.5, [5.7, 9.2, 7.5]),
            (Water, Paper, 4.5, [7.6, 12.8, 9.8]),
            (Sun, Paper, 4.5, [6.3, 10.2, 9.4]),
            (OnAct, Act, 4.5, [16.7, 21.0, 12.6]),
            (Act, Paper, 3.0, [15.6, 21.0, 12.6]),
            (Line, Paper, 3.0, [4.0, 11.4, 5.1]),
            (BandLine, Paper, 3.0, [5.3, 21.0, 7.2]),
        ];
        for &(a, b, needed, given) in table {
            for (theme, given) in [Theme::Day, Theme::BrightSun, Theme::Night].into_iter().zip(given) {
                let ratio = contrast(theme.colour(a), theme.colour(b));
                assert!(ratio >= needed, "{a:?} on {b:?} by {theme:?}: {ratio:.2} < {needed}");
                assert!(
                    (ratio - given).abs() < 0.06,
                    "{a:?} on {b:?} by {theme:?}: {ratio:.2}, given {given}"
                );
            }
            let print = contrast(Theme::Print.colour(a), Theme::Print.colour(b));
            assert!(print >= needed, "{a:?} on {b:?} in print: {print:.2}");
        }
        // texts that stand inside a segment of water are written in paper
        for theme in Theme::ALL {
            assert!(contrast(theme.colour(Paper), theme.colour(Water)) >= 4.5);
        }
    }
}
