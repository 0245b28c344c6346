//! Cells of one line. A cell never goes over a line end: a stray quote spoils one row, not the file.

use std::borrow::Cow;

/// The cells of a line; `None` when a quote is not closed or something follows a closing quote.
pub(super) fn split(line: &str) -> Option<Vec<Cow<'_, str>>> {
    if !line.contains('"') {
        return Some(line.split(',').map(|c| Cow::Borrowed(c.trim())).collect());
    }
    let mut cells = Vec::new();
    let mut rest = line;
    loop {
        let trimmed = rest.trim_start();
        if let Some(quoted) = trimmed.strip_prefix('"') {
            let (cell, after) = closing(quoted)?;
            cells.push(Cow::Owned(cell));
            let after = after.trim_start();
            if after.is_empty() {
                return Some(cells);
            }
            rest = after.strip_prefix(',')?;
        } else if let Some((cell, after)) = rest.split_once(',') {
            cells.push(Cow::Borrowed(cell.trim()));
            rest = after;
        } else {
            cells.push(Cow::Borrowed(rest.trim()));
            return Some(cells);
        }
    }
}

/// Text up to the closing quote (a doubled quote is one), and what follows it.
fn closing(text: &str) -> Option<(String, &str)> {
    let mut cell = String::new();
    let mut rest = text;
    loop {
        let (part, after) = rest.split_once('"')?;
        cell.push_str(part);
        match after.strip_prefix('"') {
            Some(more) => {
                cell.push('"');
                rest = more;
            }
            None => return Some((cell, after)),
        }
    }
}

/// A cell as written: quoted where it must be.
pub(super) fn quote(cell: &str) -> Cow<'_, str> {
    if cell.contains([',', '"']) || cell.trim() != cell {
        Cow::Owned(format!("\"{}\"", cell.replace('"', "\"\"")))
    } else {
        Cow::Borrowed(cell)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quotes_are_understood_within_a_line() {
        assert_eq!(split(r#"a, b ,"c, ""d""",e"#).unwrap(), ["a", "b", "c, \"d\"", "e"]);
        assert_eq!(split(r#""x","#).unwrap(), ["x", ""]);
        assert_eq!((split(r#"a,"b"#), split(r#""a"b,c"#)), (None, None));
    }

    #[test]
    fn what_is_quoted_is_read_back() {
        for cell in ["plain", "a, b", "say \"hi\"", " edge "] {
            assert_eq!(split(&quote(cell)).unwrap(), [cell]);
        }
    }
}
