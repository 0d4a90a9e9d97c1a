//! Tables of a FlatBuffer (its "internals" page, <https://flatbuffers.dev/internals/>): each says where
//! its fields stand, and every step to one is held against the bytes that are there.

/// What lies past the end, or says so.
const TORN: &str = "it is torn, or no FlatGeobuf; save it anew";

/// One table in its buffer.
#[derive(Clone, Copy, Debug)]
pub(super) struct Table<'b> {
    buffer: &'b [u8],
    at: usize,
}

impl<'b> Table<'b> {
    /// The one that a buffer begins with.
    ///
    /// # Errors
    /// That it points past its end, as all here.
    pub fn root(buffer: &'b [u8]) -> Result<Self, String> {
        Ok(Self { buffer, at: number(buffer, 0, 4)? as usize })
    }

    /// Where a field stands; nothing where it has its default.
    fn field(&self, n: usize) -> Result<Option<usize>, String> {
        let back = number(self.buffer, self.at, 4)? as u32 as i32;
        let list = i64::try_from(self.at).ok().and_then(|at| at.checked_sub(back.into()));
        let list = list.and_then(|at| usize::try_from(at).ok()).ok_or(TORN)?;
        let size = number(self.buffer, list, 2)? as usize;
        if 4 + 2 * n + 2 > size {
            return Ok(None);
        }
        let step = number(self.buffer, list + 4 + 2 * n, 2)? as usize;
        Ok((step != 0).then_some(self.at + step))
    }

    /// A whole number of `size` bytes, 0 where it is not there.
    pub fn whole(&self, n: usize, size: usize) -> Result<u64, String> {
        self.field(n)?.map_or(Ok(0), |at| number(self.buffer, at, size))
    }

    /// The same, and another where it is not there.
    pub fn whole_or(&self, n: usize, size: usize, usual: u64) -> Result<u64, String> {
        self.field(n)?.map_or(Ok(usual), |at| number(self.buffer, at, size))
    }

    /// Where the field points.
    fn pointed(&self, n: usize) -> Result<Option<usize>, String> {
        let Some(at) = self.field(n)? else { return Ok(None) };
        let to = at.checked_add(number(self.buffer, at, 4)? as usize);
        to.map(Some).ok_or_else(|| TORN.to_owned())
    }

    /// Another table.
    pub fn table(&self, n: usize) -> Result<Option<Self>, String> {
        Ok(self.pointed(n)?.map(|at| Self { at, ..*self }))
    }

    /// A list of things of `size` bytes each, as their bytes; empty where it is not there.
    pub fn list(&self, n: usize, size: usize) -> Result<&'b [u8], String> {
        let Some(at) = self.pointed(n)? else { return Ok(&[]) };
        let bytes = (number(self.buffer, at, 4)? as usize).checked_mul(size).ok_or(TORN)?;
        let all = self.buffer.get(at + 4..).and_then(|rest| rest.get(..bytes));
        all.ok_or_else(|| TORN.to_owned())
    }

    /// A text of so many bytes at most; empty where it is not there.
    pub fn text(&self, n: usize, most: usize) -> Result<String, String> {
        let text = self.list(n, 1)?;
        if text.len() > most {
            return Err(format!("a name in it has more than {most} bytes; save it anew"));
        }
        Ok(String::from_utf8_lossy(text).into_owned())
    }

    /// A list of tables. Several entries may point at one table: whoever follows them counts.
    ///
    /// # Errors
    /// Also more of them than `most`.
    pub fn tables(&self, n: usize, most: usize) -> Result<Vec<Self>, String> {
        let list = self.list(n, 4)?;
        if list.len() / 4 > most {
            return Err(format!("it has lists of more than {most}; bring it in parts"));
        }
        let Some(start) = self.pointed(n)? else { return Ok(Vec::new()) };
        let table = |entry: usize| {
            let at = start + 4 + 4 * entry;
            let to = at.checked_add(number(self.buffer, at, 4)? as usize).ok_or(TORN)?;
            Ok(Self { at: to, ..*self })
        };
        (0..list.len() / 4).map(table).collect()
    }
}

/// A whole number of up to eight bytes, the lowest first.
pub(super) fn number(bytes: &[u8], at: usize, size: usize) -> Result<u64, String> {
    let there = bytes.get(at..).and_then(|rest| rest.get(..size)).ok_or(TORN)?;
    Ok(there.iter().rev().fold(0, |sum, byte| sum << 8 | u64::from(*byte)))
}

/// All numbers of a list of doubles.
pub(super) fn doubles(bytes: &[u8]) -> impl Iterator<Item = f64> {
    bytes.as_chunks().0.iter().map(|chunk| f64::from_le_bytes(*chunk))
}

/// What is behind so many bytes that a length of four stands before, and those.
pub(super) fn sized(bytes: &[u8]) -> Result<(&[u8], &[u8]), String> {
    let size = number(bytes, 0, 4)? as usize;
    bytes[4..].split_at_checked(size).ok_or_else(|| TORN.to_owned())
}
