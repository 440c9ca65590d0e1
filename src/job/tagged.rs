//! How is an act read from a kind and a body that lie apart, without copying the body first?
//!
//! Serde knows how an act is told apart by its tag; this only hands it the two parts in that order.

use serde::Deserialize as _;
use serde::de::value::{BorrowedStrDeserializer, MapDeserializer};
use serde::de::{Deserializer, IntoDeserializer, Visitor};
use serde::forward_to_deserialize_any;
use serde_json::{Error, Value};

use crate::job::act::Act;

/// The act of that kind with that body.
pub(super) fn read(kind: &str, body: &Value) -> Result<Act, Error> {
    let parts = [("kind", Part::Kind(kind)), ("body", Part::Body(body))];
    Act::deserialize(MapDeserializer::new(parts.into_iter()))
}

enum Part<'a> {
    Kind(&'a str),
    Body(&'a Value),
}

impl<'a> IntoDeserializer<'a, Error> for Part<'a> {
    type Deserializer = Self;

    fn into_deserializer(self) -> Self {
        self
    }
}

impl<'de> Deserializer<'de> for Part<'de> {
    type Error = Error;

    fn deserialize_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Error> {
        match self {
            Self::Kind(kind) => visitor.visit_borrowed_str(kind),
            Self::Body(body) => body.deserialize_any(visitor),
        }
    }

    /// The kind, as the name of a variant.
    fn deserialize_enum<V: Visitor<'de>>(
        self,
        name: &'static str,
        variants: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Error> {
        match self {
            Self::Kind(kind) => BorrowedStrDeserializer::new(kind).deserialize_enum(name, variants, visitor),
            Self::Body(body) => body.deserialize_enum(name, variants, visitor),
        }
    }

    // A body is an object whatever the act, and an object is what `deserialize_any` gives.
    forward_to_deserialize_any! {
        bool i8 i16 i32 i64 i128 u8 u16 u32 u64 u128 f32 f64 char str string bytes byte_buf option unit unit_struct
        newtype_struct seq tuple tuple_struct map struct identifier ignored_any
    }
}
