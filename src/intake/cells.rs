//! One row of a CSV, taken apart (RFC 4180).

/// The fields of a row, unquoted. Reused from row to row.
#[derive(Debug, Default)]
pub(super) struct Cells {
    text: String,
    ends: Vec<usize>,
}

impl Cells {
    pub fn split(&mut self, row: &str) {
        self.text.clear();
        self.ends.clear();
        let mut rest = row;
        loop {
            rest = match rest.trim_start_matches([' ', '\t']).strip_prefix('"') {
                Some(quoted) => self.unquote(quoted),
                None => rest,
            };
            let (tail, next) = rest.split_once(',').map_or((rest, None), |(a, b)| (a, Some(b)));
            self.text.push_str(tail);
            self.ends.push(self.text.len());
            match next {
                Some(next) => rest = next,
                None => return,
            }
        }
    }

    /// Takes a quoted field up to its closing quote; returns what follows.
    fn unquote<'r>(&mut self, mut rest: &'r str) -> &'r str {
        while let Some((part, after)) = rest.split_once('"') {
            self.text.push_str(part);
            match after.strip_prefix('"') {
                Some(more) => {
                    self.text.push('"');
                    rest = more;
                }
                None => return after,
            }
        }
        self.text.push_str(rest);
        ""
    }

    pub fn len(&self) -> usize {
        self.ends.len()
    }

    /// The fields in order, each without blanks round it.
    pub fn iter(&self) -> impl Iterator<Item = &str> {
        let starts = std::iter::once(0).chain(self.ends.iter().copied());
        starts.zip(&self.ends).map(|(start, end)| self.text[start..*end].trim())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn split(row: &str) -> Vec<String> {
        let mut cells = Cells::default();
        cells.split(row);
        assert_eq!(cells.len(), cells.iter().count());
        cells.iter().map(str::to_owned).collect()
    }

    #[test]
    fn fields_are_split_at_commas_outside_quotes() {
        assert_eq!(split("a, b ,"), ["a", "b", ""]);
        assert_eq!(split(r#""a, b",c"#), ["a, b", "c"]);
        assert_eq!(split(r#""say ""now""",2"#), [r#"say "now""#, "2"]);
        assert_eq!(split("\"two\nlines\",2"), ["two\nlines", "2"]);
    }
}
