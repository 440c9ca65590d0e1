//! How are the tables that are built into the program read, with little code?
//!
//! A reader that serde derives checks what a stranger may have written, and says where it is wrong. What is built in was
//! checked by the tests (by just such a reader): the program that a phone downloads needs none of that.

use serde_json::Value;

use crate::ids::ZoneId;

/// Something in a built-in table.
pub(crate) trait Entry: Sized {
    /// Reads it; `None` where something else stands there.
    fn read(value: &Value) -> Option<Self>;
}

/// Reads a whole table. `None` only where a test would have found it unsound.
pub(crate) fn read<T: Entry>(text: &str) -> Option<T> {
    T::read(&serde_json::from_str(text).ok()?)
}

/// Reads a struct field by field; every field must be named.
macro_rules! entries {
    ($($name:ident { $($field:ident),+ $(,)? })+) => {
        $(impl $crate::table::Entry for $name {
            fn read(value: &serde_json::Value) -> Option<Self> {
                Some(Self { $($field: $crate::table::Entry::read(&value[stringify!($field)])?),+ })
            }
        })+
    };
}
pub(crate) use entries;

impl Entry for f64 {
    fn read(value: &Value) -> Option<Self> {
        value.as_f64()
    }
}

impl Entry for u32 {
    fn read(value: &Value) -> Option<Self> {
        value.as_u64()?.try_into().ok()
    }
}

impl Entry for String {
    fn read(value: &Value) -> Option<Self> {
        Some(value.as_str()?.to_owned())
    }
}

impl Entry for ZoneId {
    fn read(value: &Value) -> Option<Self> {
        Some(Self::from(value.as_str()?))
    }
}

impl<T: Entry> Entry for Vec<T> {
    fn read(value: &Value) -> Option<Self> {
        value.as_array()?.iter().map(T::read).collect()
    }
}

impl<const N: usize> Entry for [f64; N] {
    fn read(value: &Value) -> Option<Self> {
        Vec::<f64>::read(value)?.try_into().ok()
    }
}

impl<T: Entry> Entry for Option<T> {
    fn read(value: &Value) -> Option<Self> {
        if value.is_null() { Some(None) } else { T::read(value).map(Some) }
    }
}
