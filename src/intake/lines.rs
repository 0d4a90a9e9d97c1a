//! Lines of a CSV, one row at a time, never more than a stated length in memory.
//!
//! Read by hand rather than through a CSV library, which gathers a row however long it
//! is (a stray quote in 200 MB of anything) and loses count of the lines that comments
//! and blanks take.

use std::io::{BufRead, Read};

/// The longest row, in bytes.
const LONGEST_ROW: usize = 64 * 1024;

/// Why no further row can be read, and where.
#[derive(Debug)]
pub(super) struct LineError {
    pub line: u64,
    pub fault: LineFault,
}

#[derive(Debug)]
pub(super) enum LineFault {
    Unreadable(std::io::Error),
    TooLong,
    NotUtf8,
    /// A quote is opened and not closed.
    OpenQuote,
}

/// A row without its line end; a quoted field may hold line ends of its own.
#[derive(Clone, Copy, Debug)]
pub(super) struct CsvRow<'l> {
    /// Its first line, from 1.
    pub line: u64,
    pub text: &'l str,
}

/// Rows with the numbers of their lines; comments and blank lines are passed over.
#[derive(Debug)]
pub(super) struct Lines<R> {
    text: R,
    lines_read: u64,
    row: Vec<u8>,
    quote_is_open: bool,
}

impl<R: BufRead> Lines<R> {
    pub fn new(text: R) -> Self {
        Self { text, lines_read: 0, row: Vec::new(), quote_is_open: false }
    }

    pub fn next_row(&mut self) -> Result<Option<CsvRow<'_>>, LineError> {
        loop {
            self.row.clear();
            self.quote_is_open = false;
            if !self.append_line().map_err(|fault| LineError { line: self.lines_read, fault })? {
                return Ok(None);
            }
            if !is_passed_over(&self.row) {
                break;
            }
        }
        let line = self.lines_read;
        self.close_quote().map_err(|fault| LineError { line, fault })?;
        let text = std::str::from_utf8(&self.row);
        let text = text.map_err(|_| LineError { line, fault: LineFault::NotUtf8 })?;
        Ok(Some(CsvRow { line, text: text.trim_end_matches(['\n', '\r']) }))
    }

    fn close_quote(&mut self) -> Result<(), LineFault> {
        while self.quote_is_open {
            match self.append_line() {
                Ok(true) => {}
                Ok(false) | Err(LineFault::TooLong) => return Err(LineFault::OpenQuote),
                Err(fault) => return Err(fault),
            }
        }
        Ok(())
    }

    /// `false` at the end of the text.
    fn append_line(&mut self) -> Result<bool, LineFault> {
        let held = self.row.len();
        let room = (LONGEST_ROW - held) as u64;
        let mut line = Read::take(&mut self.text, room + 1);
        let length = line.read_until(b'\n', &mut self.row).map_err(LineFault::Unreadable)?;
        self.lines_read += 1;
        if self.row.len() > LONGEST_ROW {
            return Err(LineFault::TooLong);
        }
        let quotes = self.row[held..].iter().filter(|byte| **byte == b'"').count();
        self.quote_is_open ^= quotes % 2 == 1;
        Ok(length > 0)
    }
}

/// Comments, and rows that a spreadsheet leaves behind: nothing but commas.
fn is_passed_over(row: &[u8]) -> bool {
    let is_comment = row.trim_ascii_start().first() == Some(&b'#');
    is_comment || row.iter().all(|byte| byte.is_ascii_whitespace() || *byte == b',')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_keep_the_numbers_of_their_lines() {
        let text = "# why\r\n\r\na,b\r\n,,\n\"two\nlines\",c\n# more\nlast";
        let mut lines = Lines::new(text.as_bytes());
        let mut rows = Vec::new();
        while let Some(row) = lines.next_row().unwrap() {
            rows.push((row.line, row.text.to_owned()));
        }
        let expected = [(3, "a,b"), (5, "\"two\nlines\",c"), (8, "last")];
        assert_eq!(rows, expected.map(|(line, text)| (line, text.to_owned())));
    }

    #[test]
    fn a_row_never_takes_more_memory_than_it_may() {
        let endless = std::io::repeat(b'x').take(1 << 30);
        let mut lines = Lines::new(std::io::BufReader::new(endless));
        assert!(matches!(lines.next_row().unwrap_err().fault, LineFault::TooLong));
        assert!(lines.row.capacity() < 4 * LONGEST_ROW);
        let stray = format!("a\n\"{}", "b\n".repeat(LONGEST_ROW));
        let mut lines = Lines::new(stray.as_bytes());
        lines.next_row().unwrap();
        let error = lines.next_row().unwrap_err();
        assert!(matches!(error, LineError { line: 2, fault: LineFault::OpenQuote }));
    }
}
