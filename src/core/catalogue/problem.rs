//! What is wrong with a file of crops, and what would be right.

use std::fmt;

use crate::records::escaped;

/// Everything that is wrong with one file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CatalogueProblems {
    /// Its name, as it was given.
    pub file: String,
    /// Never empty.
    pub problems: Vec<CatalogueProblem>,
}

/// One thing that is wrong with a file of crops.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum CatalogueProblem {
    /// The file cannot be taken apart into tables.
    NotToml {
        /// From 1.
        line: usize,
        /// What the reader of TOML says.
        found: String,
    },
    /// A name with something else than a table of fields.
    NotATable {
        /// The name.
        crop: String,
        /// What stands behind it.
        found: String,
    },
    /// One field of one crop.
    Field {
        /// The name of its table.
        crop: String,
        /// Which field of it.
        field: String,
        /// `None` where the field is not there.
        found: Option<String>,
        /// Continues "expected …".
        expected: String,
    },
}

impl CatalogueProblems {
    pub(super) fn not_toml(file: &str, toml: &str, error: &toml::de::Error) -> Self {
        let start = error.span().map_or(0, |span| span.start);
        let line = 1 + toml.bytes().take(start).filter(|&byte| byte == b'\n').count();
        let found = error.message().to_owned();
        Self { file: file.to_owned(), problems: vec![CatalogueProblem::NotToml { line, found }] }
    }
}

impl fmt::Display for CatalogueProblem {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotToml { line, found } => write!(
                out,
                "line {line}: {found}\n  expected TOML: one `field = value` a line, text in \
                 quotes, numbers with a point"
            ),
            Self::NotATable { crop, found } => write!(
                out,
                "`{0}`: found `{1}`\n  expected a table, `[{0}]`, with the crop's fields",
                escaped(crop, &[]),
                escaped(found, &[])
            ),
            Self::Field { crop, field, found, expected } => {
                write!(out, "`{}`, `{}`: ", escaped(crop, &[]), escaped(field, &[]))?;
                match found {
                    Some(found) => write!(out, "found `{}`", escaped(found, &[]))?,
                    None => write!(out, "nothing is given")?,
                }
                write!(out, "\n  expected {expected}")
            }
        }
    }
}

impl fmt::Display for CatalogueProblems {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, problem) in self.problems.iter().enumerate() {
            let gap = if i == 0 { "" } else { "\n" };
            write!(out, "{gap}{}, {problem}", self.file)?;
        }
        Ok(())
    }
}

impl std::error::Error for CatalogueProblems {}
