//! Checksums of files, to know one again that has not changed.

use std::fs::File;
use std::io::{self, Read};
use std::path::Path;

use xxhash_rust::xxh3::Xxh3;

/// How much is summed at a time, in bytes.
const CHUNK: usize = 64 * 1024;

/// Sums what is read through it.
pub struct Digesting<R> {
    text: R,
    sum: Xxh3,
}

impl<R: Read> Digesting<R> {
    pub fn new(text: R) -> Self {
        Self { text, sum: Xxh3::new() }
    }

    /// The checksum of the whole text: reads what nobody has read yet.
    ///
    /// # Errors
    /// A text that cannot be read to its end.
    pub fn finish(mut self) -> io::Result<u128> {
        let mut chunk = vec![0; CHUNK];
        while self.read(&mut chunk)? > 0 {}
        Ok(self.sum.digest128())
    }
}

impl<R: Read> Read for Digesting<R> {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        let length = self.text.read(into)?;
        self.sum.update(&into[..length]);
        Ok(length)
    }
}

/// Of a file; `None` for what is none, like a pipe, and for what cannot be read.
pub fn of_file(path: &Path) -> Option<u128> {
    if !path.is_file() {
        return None;
    }
    Digesting::new(File::open(path).ok()?).finish().ok()
}
