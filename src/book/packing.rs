//! The values of rows one behind the other in few bytes, and out of them again.

use rusqlite::types::ValueRef;

use super::sound::misread;

/// Of so many texts the last are told by how long ago they came: days, people, ways of cutting.
const RECENT: usize = 16;

/// What stands before a value; from [`tag::AGAIN`] on, how long ago the text came.
mod tag {
    pub const NULL: u8 = 0;
    pub const INTEGER: u8 = 1;
    pub const REAL: u8 = 2;
    /// A real number that is whole.
    pub const WHOLE: u8 = 3;
    pub const TEXT: u8 = 4;
    pub const BLOB: u8 = 5;
    pub const AGAIN: u8 = 16;
}

/// Values being packed.
#[derive(Debug, Default)]
pub(super) struct Packing {
    bytes: Vec<u8>,
    /// Where the texts lie that came last, each at its number's place.
    recent: [(usize, usize); RECENT],
    texts: usize,
}

impl Packing {
    pub(super) fn put(&mut self, value: ValueRef) {
        match value {
            ValueRef::Null => self.bytes.push(tag::NULL),
            ValueRef::Integer(number) => {
                self.bytes.push(tag::INTEGER);
                put_number(&mut self.bytes, folded(number));
            }
            ValueRef::Real(number) if f64::from(number as i32) == number => {
                self.bytes.push(tag::WHOLE);
                put_number(&mut self.bytes, folded(i64::from(number as i32)));
            }
            ValueRef::Real(number) => {
                self.bytes.push(tag::REAL);
                self.bytes.extend_from_slice(&number.to_le_bytes());
            }
            ValueRef::Text(text) => self.put_text(text),
            ValueRef::Blob(blob) => {
                self.bytes.push(tag::BLOB);
                put_number(&mut self.bytes, blob.len() as u64);
                self.bytes.extend_from_slice(blob);
            }
        }
    }

    fn put_text(&mut self, text: &[u8]) {
        let reached = self.texts.min(RECENT);
        let ago = (0..reached).find(|ago| {
            let (start, end) = self.recent[(self.texts - 1 - ago) % RECENT];
            self.bytes[start..end] == *text
        });
        if let Some(ago) = ago {
            self.bytes.push(tag::AGAIN + ago as u8);
            return;
        }
        self.bytes.push(tag::TEXT);
        put_number(&mut self.bytes, text.len() as u64);
        let start = self.bytes.len();
        self.bytes.extend_from_slice(text);
        self.recent[self.texts % RECENT] = (start, self.bytes.len());
        self.texts += 1;
    }

    pub(super) fn into_bytes(self) -> Vec<u8> {
        self.bytes
    }
}

/// Packed values, to be taken in the order in which they were put.
#[derive(Debug)]
pub(super) struct Unpacking<'b> {
    left: &'b [u8],
    recent: [&'b [u8]; RECENT],
    texts: usize,
}

impl<'b> Unpacking<'b> {
    pub(super) fn of(bytes: &'b [u8]) -> Self {
        Self { left: bytes, recent: [&[]; RECENT], texts: 0 }
    }

    /// `None` where these are not bytes that were packed, or where no more are left.
    #[inline]
    pub(super) fn value(&mut self) -> Option<ValueRef<'b>> {
        let [tag] = *self.take(1)? else { return None };
        Some(match tag {
            tag::NULL => ValueRef::Null,
            tag::INTEGER => ValueRef::Integer(unfolded(self.number()?)),
            tag::REAL => {
                ValueRef::Real(f64::from_le_bytes(self.take(size_of::<f64>())?.try_into().ok()?))
            }
            tag::WHOLE => ValueRef::Real(unfolded(self.number()?) as f64),
            tag::TEXT => {
                let text = self.counted()?;
                self.recent[self.texts % RECENT] = text;
                self.texts += 1;
                ValueRef::Text(text)
            }
            tag::BLOB => ValueRef::Blob(self.counted()?),
            _ => {
                let ago = usize::from(tag.checked_sub(tag::AGAIN)?);
                let reached = self.texts.min(RECENT);
                (ago < reached)
                    .then(|| ValueRef::Text(self.recent[(self.texts - 1 - ago) % RECENT]))?
            }
        })
    }

    /// The same.
    ///
    /// # Errors
    /// Where there is none.
    #[inline]
    pub(super) fn take_value(&mut self) -> rusqlite::Result<ValueRef<'b>> {
        self.value().ok_or_else(|| misread("what is packed of a patch".to_owned()))
    }

    /// What [`put_number`] wrote.
    #[inline]
    pub(super) fn number(&mut self) -> Option<u64> {
        let mut number = 0;
        for shift in (0..u64::BITS).step_by(7) {
            let [byte] = *self.take(1)? else { return None };
            number |= u64::from(byte & 0x7f) << shift;
            if byte < 0x80 {
                return Some(number);
            }
        }
        None
    }

    /// So many bytes as the number before them says.
    pub(super) fn counted(&mut self) -> Option<&'b [u8]> {
        let length = self.number()?;
        self.take(usize::try_from(length).ok()?)
    }

    /// How many bytes are left.
    pub(super) fn left(&self) -> usize {
        self.left.len()
    }

    #[inline]
    fn take(&mut self, bytes: usize) -> Option<&'b [u8]> {
        let (taken, left) = self.left.split_at_checked(bytes)?;
        self.left = left;
        Some(taken)
    }
}

/// Seven bits a byte, the lowest first; a byte with the eighth bit is not the last.
pub(super) fn put_number(bytes: &mut Vec<u8>, mut number: u64) {
    while number >= 0x80 {
        bytes.push(number as u8 | 0x80);
        number >>= 7;
    }
    bytes.push(number as u8);
}

/// Small numbers of either sign become small ones: 0, −1, 1, −2 …
fn folded(number: i64) -> u64 {
    (number.cast_unsigned() << 1) ^ (number >> 63).cast_unsigned()
}

fn unfolded(number: u64) -> i64 {
    (number >> 1).cast_signed() ^ -(number & 1).cast_signed()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use rusqlite::types::Value;

    fn value() -> impl Strategy<Value = Value> {
        prop_oneof![
            Just(Value::Null),
            any::<i64>().prop_map(Value::Integer),
            (-9i64..9).prop_map(Value::Integer),
            any::<f64>().prop_map(Value::Real),
            (-9i32..99).prop_map(|whole| Value::Real(whole.into())),
            "[a-d]{0,2}|.{0,9}".prop_map(Value::Text),
            proptest::collection::vec(any::<u8>(), 0..40).prop_map(Value::Blob),
        ]
    }

    /// As SQLite keeps it: it knows no sign of zero.
    fn bits(value: ValueRef) -> Option<u64> {
        match value {
            ValueRef::Real(number) => Some((number + 0.0).to_bits()),
            _ => None,
        }
    }

    proptest! {
        #[test]
        fn what_is_unpacked_is_what_was_packed(
            values in proptest::collection::vec(value(), 0..120),
        ) {
            let mut packing = Packing::default();
            values.iter().for_each(|value| packing.put(value.into()));
            let bytes = packing.into_bytes();
            let mut unpacking = Unpacking::of(&bytes);
            for value in &values {
                let found = unpacking.value().unwrap();
                match bits(value.into()) {
                    Some(number) => prop_assert_eq!(bits(found), Some(number)),
                    None => prop_assert_eq!(found, value.into()),
                }
            }
            prop_assert!(unpacking.value().is_none());
        }

        #[test]
        fn of_any_other_bytes_something_or_nothing_comes(
            bytes in proptest::collection::vec(any::<u8>(), 0..200),
        ) {
            let mut unpacking = Unpacking::of(&bytes);
            while unpacking.value().is_some() {}
        }
    }
}
