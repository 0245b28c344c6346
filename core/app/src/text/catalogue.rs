//! The catalogue: a table of texts by id, parsed once from a plain file of `id = text` lines.

use std::collections::BTreeMap;
use std::sync::LazyLock;

/// Texts of one language by id.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Catalogue {
    texts: BTreeMap<String, String>,
}

/// What can be wrong in a catalogue file.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum CatalogueError {
    /// A line without `=`.
    #[error("line {0}: write `id = text`")]
    NoText(usize),
    /// The same id twice.
    #[error("line {line}: `{id}` is already there; take one of the two out")]
    Twice {
        /// Line, from 1.
        line: usize,
        /// The id.
        id: String,
    },
    /// An id without a text.
    #[error("line {line}: `{id}` has no text")]
    Empty {
        /// Line, from 1.
        line: usize,
        /// The id.
        id: String,
    },
    /// A brace without its partner.
    #[error("line {line}: `{id}` opens or closes a brace without its partner")]
    Brace {
        /// Line, from 1.
        line: usize,
        /// The id.
        id: String,
    },
}

static ENGLISH: LazyLock<Catalogue> = LazyLock::new(|| {
    Catalogue::parse(include_str!("en.txt")).expect("the catalogue compiled into the program is sound")
});

impl Catalogue {
    /// The English catalogue.
    pub fn english() -> &'static Catalogue {
        &ENGLISH
    }

    /// Reads `id = text` lines; empty lines and lines that begin with `#` are left out.
    ///
    /// # Errors
    /// [`CatalogueError`] names the line and what to do about it.
    pub fn parse(file: &str) -> Result<Catalogue, CatalogueError> {
        let mut texts = BTreeMap::new();
        for (n, line) in file.lines().enumerate() {
            let (n, line) = (n + 1, line.trim());
            if line.is_empty() || line.starts_with('#') {
                continue;
            }
            let (id, text) = line.split_once('=').ok_or(CatalogueError::NoText(n))?;
            let (id, text) = (id.trim().to_owned(), text.trim().to_owned());
            if text.is_empty() {
                return Err(CatalogueError::Empty { line: n, id });
            }
            if pieces(&text).is_none() {
                return Err(CatalogueError::Brace { line: n, id });
            }
            if texts.contains_key(&id) {
                return Err(CatalogueError::Twice { line: n, id });
            }
            texts.insert(id, text);
        }
        Ok(Catalogue { texts })
    }

    /// The text of an id, if there is one.
    pub fn get(&self, id: &str) -> Option<&str> {
        self.texts.get(id).map(String::as_str)
    }

    /// The text of an id; the id itself when the language lacks it, so that nothing is ever blank.
    pub fn text<'a>(&'a self, id: &'a str) -> &'a str {
        self.get(id).unwrap_or(id)
    }

    /// The text of an id with its places filled. A place that nothing fills stays as written.
    pub fn fill(&self, id: &str, places: &[(&str, &str)]) -> String {
        let text = self.text(id);
        let Some(parts) = pieces(text) else { return text.to_owned() };
        let mut out = String::new();
        for (plain, place) in parts {
            out.push_str(plain);
            if let Some(name) = place {
                if let Some((_, value)) = places.iter().find(|(n, _)| *n == name) {
                    out.push_str(value);
                } else {
                    out.push('{');
                    out.push_str(name);
                    out.push('}');
                }
            }
        }
        out
    }

    /// Every id, in order.
    pub fn ids(&self) -> impl Iterator<Item = &str> {
        self.texts.keys().map(String::as_str)
    }

    /// Joins words as a sentence does: "a", "a and b", "a, b and c".
    pub fn list(&self, words: &[String]) -> String {
        match words {
            [] => String::new(),
            [one] => one.clone(),
            [head @ .., last] => format!("{} {} {last}", head.join(", "), self.text("and")),
        }
    }
}

/// Splits a text into plain stretches, each followed by the place after it.
fn pieces(text: &str) -> Option<Vec<(&str, Option<&str>)>> {
    let mut out = Vec::new();
    let mut rest = text;
    while let Some(open) = rest.find('{') {
        let close = open + rest[open..].find('}')?;
        if rest[..open].contains('}') || rest[open + 1..close].contains('{') {
            return None;
        }
        out.push((&rest[..open], Some(&rest[open + 1..close])));
        rest = &rest[close + 1..];
    }
    if rest.contains('}') {
        return None;
    }
    out.push((rest, None));
    Some(out)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_are_filled_and_missing_ones_stay() {
        let c = Catalogue::parse("a = {x} to {y}, {x}\n").unwrap();
        assert_eq!(c.fill("a", &[("x", "1"), ("y", "{x}")]), "1 to {x}, 1");
        assert_eq!(c.fill("a", &[("x", "1")]), "1 to {y}, 1");
        assert_eq!(c.text("not there"), "not there");
    }

    #[test]
    fn a_faulty_file_says_where() {
        assert_eq!(Catalogue::parse("# fine\n\nno text"), Err(CatalogueError::NoText(3)));
        assert_eq!(
            Catalogue::parse("a = 1\na = 2").unwrap_err().to_string(),
            "line 2: `a` is already there; take one of the two out"
        );
        assert!(matches!(Catalogue::parse("a ="), Err(CatalogueError::Empty { line: 1, .. })));
        for bad in ["a = {x", "a = x}", "a = {x{y}}"] {
            assert!(matches!(Catalogue::parse(bad), Err(CatalogueError::Brace { .. })), "{bad}");
        }
    }

    #[test]
    fn words_are_listed_as_a_sentence_does() {
        let c = Catalogue::english();
        let w = |n: usize| c.list(&["a", "b", "c"][..n].iter().map(|s| (*s).to_owned()).collect::<Vec<_>>());
        assert_eq!([w(0), w(1), w(2), w(3)], ["", "a", "a and b", "a, b and c"]);
    }
}
