//! A scene as SVG text: the same scene gives the same bytes.

use std::fmt::Write as _;

use super::theme::{Role, Theme};
use super::{Anchor, Fill, Item, Paint, Scene, Step};

/// How a scene becomes SVG.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SvgStyle<'a> {
    /// Colours.
    pub theme: Theme,
    /// Begins every id, so that several pictures can stand in one page. Letters, digits, `-`.
    pub prefix: &'a str,
    /// A file of its own (with namespace, paper and fonts), or a part of a page.
    pub alone: bool,
}

impl SvgStyle<'static> {
    /// A file of its own.
    pub const fn file(theme: Theme) -> SvgStyle<'static> {
        SvgStyle { theme, prefix: "w", alone: true }
    }
}

/// The system face of each platform by its own name, then faces as narrow, so that labels keep their room
/// where the generic system face is a wide one.
pub const FAMILY: &str =
    "-apple-system, Roboto, 'Segoe UI', 'Helvetica Neue', Arial, 'Liberation Sans', system-ui, sans-serif";

/// Writes a scene as SVG.
pub fn render(scene: &Scene, style: SvgStyle<'_>) -> String {
    let mut w = Writer { out: String::new(), style };
    let (width, height) = (num(scene.width), num(scene.height));
    let role = if has_spoken_group(&scene.items) { "group" } else { "img" };
    let space = if style.alone { " xmlns=\"http://www.w3.org/2000/svg\"" } else { "" };
    let _ = write!(
        w.out,
        "<svg{space} width=\"{width}\" height=\"{height}\" viewBox=\"0 0 {width} {height}\" role=\"{role}\" \
         aria-label=\"{}\" font-family=\"{FAMILY}\" style=\"font-variant-numeric:tabular-nums\">",
        escape(&scene.description)
    );
    w.patterns(&scene.items);
    if style.alone {
        let paper = style.theme.colour(Role::Paper).to_css();
        let _ = write!(w.out, "\n<rect width=\"{width}\" height=\"{height}\" fill=\"{paper}\"/>");
    }
    w.items(&scene.items);
    w.out.push_str("\n</svg>\n");
    w.out
}

fn has_spoken_group(items: &[Item]) -> bool {
    items.iter().any(|i| matches!(i, Item::Group { description, items, .. } if !description.is_empty() || has_spoken_group(items)))
}

struct Writer<'a> {
    out: String,
    style: SvgStyle<'a>,
}

impl Writer<'_> {
    fn items(&mut self, items: &[Item]) {
        for item in items {
            self.out.push('\n');
            self.item(item);
        }
    }

    fn item(&mut self, item: &Item) {
        match item {
            Item::Rect { x, y, width, height, paint } => {
                let _ = write!(
                    self.out,
                    "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"",
                    num(*x),
                    num(*y),
                    num(width.max(0.0)),
                    num(height.max(0.0))
                );
                self.paint(paint);
            }
            Item::Circle { x, y, radius, paint } => {
                let _ = write!(
                    self.out,
                    "<circle cx=\"{}\" cy=\"{}\" r=\"{}\"",
                    num(*x),
                    num(*y),
                    num(radius.max(0.0))
                );
                self.paint(paint);
            }
            Item::Path { steps, paint } => {
                let _ = write!(self.out, "<path d=\"{}\"", path(steps));
                self.paint(paint);
            }
            Item::Text { x, y, anchor, runs } => {
                let anchor = match anchor {
                    Anchor::Start => "",
                    Anchor::Middle => " text-anchor=\"middle\"",
                    Anchor::End => " text-anchor=\"end\"",
                };
                let _ = write!(self.out, "<text x=\"{}\" y=\"{}\"{anchor}>", num(*x), num(*y));
                for r in runs {
                    let _ = write!(
                        self.out,
                        "<tspan font-size=\"{}\" font-weight=\"{}\" fill=\"{}\">{}</tspan>",
                        num(r.font.size()),
                        r.font.weight() + self.style.theme.heavier(),
                        self.style.theme.colour(r.role).to_css(),
                        escape(&r.text)
                    );
                }
                self.out.push_str("</text>");
            }
            Item::Group { description, x, y, items } => {
                self.out.push_str("<g");
                if !description.is_empty() {
                    let _ = write!(self.out, " role=\"img\" aria-label=\"{}\"", escape(description));
                }
                if *x != 0.0 || *y != 0.0 {
                    let _ = write!(self.out, " transform=\"translate({} {})\"", num(*x), num(*y));
                }
                self.out.push('>');
                self.items(items);
                self.out.push_str("\n</g>");
            }
        }
    }

    fn paint(&mut self, paint: &Paint) {
        let theme = self.style.theme;
        let fill = match paint.fill {
            None => "none".to_owned(),
            Some(Fill::Role(role)) => theme.colour(role).to_css(),
            Some(pattern) => format!("url(#{}-{})", self.style.prefix, pattern_id(pattern)),
        };
        let _ = write!(self.out, " fill=\"{fill}\"");
        if let Some(s) = paint.stroke {
            let width = num(s.width * theme.line_scale());
            let _ =
                write!(self.out, " stroke=\"{}\" stroke-width=\"{width}\"", theme.colour(s.role).to_css());
            if let Some([on, off]) = s.dash {
                let _ = write!(self.out, " stroke-dasharray=\"{} {}\"", num(on), num(off));
            }
        } else if paint.fill == Some(Fill::Role(Role::Band)) && theme.outlines_bands() {
            let _ = write!(self.out, " stroke=\"{}\" stroke-width=\"1\"", theme.colour(Role::Ink).to_css());
        }
        self.out.push_str("/>");
    }

    fn patterns(&mut self, items: &[Item]) {
        let used: Vec<Fill> =
            [Fill::Unknown, Fill::Differs, Fill::Unused].into_iter().filter(|p| uses(items, *p)).collect();
        if used.is_empty() {
            return;
        }
        self.out.push_str("\n<defs>");
        for p in used {
            let (pitch, width, angle, line, ground) = stripes(p);
            let _ = write!(
                self.out,
                "\n<pattern id=\"{}-{}\" width=\"{pitch}\" height=\"{pitch}\" patternUnits=\"userSpaceOnUse\" \
                 patternTransform=\"rotate({angle})\"><rect width=\"{pitch}\" height=\"{pitch}\" fill=\"{}\"/>\
                 <rect width=\"{}\" height=\"{pitch}\" fill=\"{}\"/></pattern>",
                self.style.prefix,
                pattern_id(p),
                self.style.theme.colour(ground).to_css(),
                num(width),
                self.style.theme.colour(line).to_css()
            );
        }
        self.out.push_str("\n</defs>");
    }
}

/// Pitch, width, angle (degrees), line and ground of a striped fill.
const fn stripes(fill: Fill) -> (u8, f64, i16, Role, Role) {
    match fill {
        Fill::Differs => (8, 3.5, 45, Role::Differ, Role::DifferFill),
        Fill::Unused => (8, 2.5, -45, Role::SunFill, Role::Paper),
        Fill::Unknown | Fill::Role(_) => (6, 1.6, 45, Role::Line, Role::Paper),
    }
}

const fn pattern_id(fill: Fill) -> &'static str {
    match fill {
        Fill::Unknown => "unknown",
        Fill::Differs => "differs",
        Fill::Unused => "unused",
        Fill::Role(_) => "role",
    }
}

fn uses(items: &[Item], pattern: Fill) -> bool {
    items.iter().any(|item| match item {
        Item::Rect { paint, .. } | Item::Circle { paint, .. } | Item::Path { paint, .. } => {
            paint.fill == Some(pattern)
        }
        Item::Group { items, .. } => uses(items, pattern),
        Item::Text { .. } => false,
    })
}

fn path(steps: &[Step]) -> String {
    let mut d = String::new();
    for s in steps {
        let _ = match *s {
            Step::Move { x, y } => write!(d, "M{} {}", num(x), num(y)),
            Step::Line { x, y } => write!(d, "L{} {}", num(x), num(y)),
            Step::Curve { x1, y1, x2, y2, x, y } => {
                write!(d, "C{} {} {} {} {} {}", num(x1), num(y1), num(x2), num(y2), num(x), num(y))
            }
            Step::Close => write!(d, "Z"),
        };
    }
    d
}

/// A length with one decimal at most. What is not a number is drawn at 0 rather than breaking the file.
fn num(v: f64) -> String {
    let v = if v.is_finite() { v.clamp(-1e6, 1e6) } else { 0.0 };
    let text = format!("{v:.1}");
    let text = text.strip_suffix(".0").unwrap_or(&text);
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

/// Text as XML character data or attribute value. Characters that XML 1.0 forbids become a space.
pub fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            '\u{fffe}' | '\u{ffff}' => out.push(' '),
            c if c.is_control() => out.push(' '),
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scene::Font;
    use crate::scene::build::{boxed, fill, group, line, polyline, rect, text};

    fn scene(items: Vec<Item>) -> Scene {
        Scene { width: 10.0, height: 20.5, description: "A & \"b\" <c>".into(), items }
    }

    #[test]
    fn texts_are_escaped_everywhere() {
        let s = render(
            &scene(vec![group(
                "<script>",
                0.0,
                1.0,
                vec![text(1.0, 2.0, Anchor::End, "a<b & \u{0} 'c'", Font::Label, Role::Ink)],
            )]),
            SvgStyle::file(Theme::Day),
        );
        assert!(s.contains("aria-label=\"A &amp; &quot;b&quot; &lt;c&gt;\""), "{s}");
        assert!(s.contains("aria-label=\"&lt;script&gt;\" transform=\"translate(0 1)\""), "{s}");
        assert!(s.contains("a&lt;b &amp;   &#39;c&#39;"), "{s}");
        assert!(s.contains("role=\"group\""));
    }

    #[test]
    fn numbers_are_short_and_always_numbers() {
        assert_eq!(
            [num(1.04), num(-0.01), num(2.55), num(f64::NAN), num(f64::INFINITY)],
            ["1", "0", "2.5", "0", "0"]
        );
        let s = render(
            &scene(vec![polyline(&[(f64::NAN, 0.0), (1.0, 2.0)], line(Role::Ink, 1.5))]),
            SvgStyle::file(Theme::BrightSun),
        );
        assert!(s.contains("d=\"M0 0L1 2\"") && s.contains("stroke-width=\"2.2\""), "{s}");
    }

    #[test]
    fn patterns_are_written_once_and_only_when_used() {
        let plain =
            render(&scene(vec![rect(0.0, 0.0, 1.0, 1.0, fill(Role::Band))]), SvgStyle::file(Theme::Day));
        assert!(!plain.contains("<defs>") && !plain.contains("stroke="));
        let items = vec![
            rect(0.0, 0.0, 1.0, 1.0, boxed(Fill::Unknown, Role::Line, 1.0)),
            group("", 0.0, 0.0, vec![rect(0.0, 0.0, 1.0, 1.0, boxed(Fill::Unknown, Role::Line, 1.0))]),
        ];
        let s = render(&scene(items), SvgStyle { theme: Theme::Night, prefix: "q", alone: false });
        assert_eq!(s.matches("<pattern id=\"q-unknown\"").count(), 1);
        assert_eq!(s.matches("url(#q-unknown)").count(), 2);
        assert!(!s.contains("xmlns"));
    }

    #[test]
    fn bright_sun_outlines_bands() {
        let s = render(
            &scene(vec![rect(0.0, 0.0, 1.0, 1.0, fill(Role::Band))]),
            SvgStyle::file(Theme::BrightSun),
        );
        assert!(s.contains("stroke=\"#000000\" stroke-width=\"1\""));
    }
}
