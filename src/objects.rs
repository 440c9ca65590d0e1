//! How is JSON read, if a thing with named fields must stand as an object?
//!
//! What serde derives also takes a list of the fields' values in their order: a second reader of each type, which no file
//! of ours needs, which would take a list for what it is not, and which every phone would download. Here a list is refused.

use serde::de::{
    self, Deserialize, DeserializeSeed, Deserializer, EnumAccess, MapAccess, SeqAccess, VariantAccess, Visitor,
};

/// Reads a text.
///
/// # Errors
/// As serde_json's, and where a list stands in place of an object.
pub(crate) fn from_str<'de, T: Deserialize<'de>>(text: &'de str) -> serde_json::Result<T> {
    let mut reader = serde_json::Deserializer::from_str(text);
    let read = T::deserialize(Objects(&mut reader))?;
    reader.end()?;
    Ok(read)
}

/// Where a reader came to a halt, as a JSON pointer (RFC 6901).
pub(crate) fn pointer(path: &serde_path_to_error::Path) -> String {
    use serde_path_to_error::Segment;
    /// Deeper than any file of ours: what is nested further is broken, and its whole way says nothing.
    const DEEPEST: usize = 16;
    /// Longer than any name of ours.
    const LONGEST: usize = 80;
    let mut pointer = String::new();
    for segment in path.iter().take(DEEPEST) {
        match segment {
            Segment::Seq { index } => pointer += &format!("/{index}"),
            Segment::Map { key } => {
                let key: String = key.chars().take(LONGEST).collect();
                pointer += &format!("/{}", key.replace('~', "~0").replace('/', "~1"));
            }
            Segment::Enum { variant } => pointer += &format!("/{variant}"),
            Segment::Unknown => {}
        }
    }
    pointer
}

/// Around any other reader.
pub(crate) struct Objects<D>(pub(crate) D);

/// Hands what cannot hold anything to the reader inside.
macro_rules! plainly {
    ($($name:ident)+) => {
        $(fn $name<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, D::Error> {
            self.0.$name(visitor)
        })+
    };
}

impl<'de, D: Deserializer<'de>> Deserializer<'de> for Objects<D> {
    type Error = D::Error;

    // Of anything: as for `Value`, which holds no fields with names of ours.
    plainly! {
        deserialize_any deserialize_bool
        deserialize_i8 deserialize_i16 deserialize_i32 deserialize_i64 deserialize_i128
        deserialize_u8 deserialize_u16 deserialize_u32 deserialize_u64 deserialize_u128
        deserialize_f32 deserialize_f64 deserialize_char deserialize_str deserialize_string
        deserialize_bytes deserialize_byte_buf deserialize_unit deserialize_identifier deserialize_ignored_any
    }

    fn deserialize_option<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, D::Error> {
        self.0.deserialize_option(Holder(visitor))
    }

    fn deserialize_unit_struct<V: Visitor<'de>>(self, name: &'static str, visitor: V) -> Result<V::Value, D::Error> {
        self.0.deserialize_unit_struct(name, visitor)
    }

    fn deserialize_newtype_struct<V: Visitor<'de>>(self, name: &'static str, visitor: V) -> Result<V::Value, D::Error> {
        self.0.deserialize_newtype_struct(name, Holder(visitor))
    }

    fn deserialize_seq<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, D::Error> {
        self.0.deserialize_seq(List(visitor))
    }

    fn deserialize_tuple<V: Visitor<'de>>(self, len: usize, visitor: V) -> Result<V::Value, D::Error> {
        self.0.deserialize_tuple(len, List(visitor))
    }

    fn deserialize_tuple_struct<V: Visitor<'de>>(
        self,
        name: &'static str,
        len: usize,
        visitor: V,
    ) -> Result<V::Value, D::Error> {
        self.0.deserialize_tuple_struct(name, len, List(visitor))
    }

    fn deserialize_map<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, D::Error> {
        self.0.deserialize_map(Fields(visitor))
    }

    fn deserialize_struct<V: Visitor<'de>>(
        self,
        _: &'static str,
        _: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, D::Error> {
        self.0.deserialize_map(Fields(visitor))
    }

    fn deserialize_enum<V: Visitor<'de>>(
        self,
        name: &'static str,
        variants: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, D::Error> {
        self.0.deserialize_enum(name, variants, OneOf(visitor))
    }
}

/// Of an option or a newtype: what is inside.
struct Holder<V>(V);

impl<'de, V: Visitor<'de>> Visitor<'de> for Holder<V> {
    type Value = V::Value;

    fn expecting(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        self.0.expecting(out)
    }

    fn visit_none<E: de::Error>(self) -> Result<V::Value, E> {
        self.0.visit_none()
    }

    fn visit_unit<E: de::Error>(self) -> Result<V::Value, E> {
        self.0.visit_unit()
    }

    fn visit_some<D: Deserializer<'de>>(self, reader: D) -> Result<V::Value, D::Error> {
        self.0.visit_some(Objects(reader))
    }

    fn visit_newtype_struct<D: Deserializer<'de>>(self, reader: D) -> Result<V::Value, D::Error> {
        self.0.visit_newtype_struct(Objects(reader))
    }

    // Of a part whose text is kept as it stands: see `serde_json::value::RawValue`.
    fn visit_map<A: MapAccess<'de>>(self, map: A) -> Result<V::Value, A::Error> {
        self.0.visit_map(map)
    }
}

/// Of a list: its items.
struct List<V>(V);

impl<'de, V: Visitor<'de>> Visitor<'de> for List<V> {
    type Value = V::Value;

    fn expecting(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        self.0.expecting(out)
    }

    fn visit_seq<A: SeqAccess<'de>>(self, items: A) -> Result<V::Value, A::Error> {
        self.0.visit_seq(Objects(items))
    }
}

/// Of an object: its fields.
struct Fields<V>(V);

impl<'de, V: Visitor<'de>> Visitor<'de> for Fields<V> {
    type Value = V::Value;

    fn expecting(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        self.0.expecting(out)
    }

    fn visit_map<A: MapAccess<'de>>(self, map: A) -> Result<V::Value, A::Error> {
        self.0.visit_map(Objects(map))
    }
}

/// Of one of several: which, and what is in it.
struct OneOf<V>(V);

impl<'de, V: Visitor<'de>> Visitor<'de> for OneOf<V> {
    type Value = V::Value;

    fn expecting(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        self.0.expecting(out)
    }

    fn visit_enum<A: EnumAccess<'de>>(self, which: A) -> Result<V::Value, A::Error> {
        self.0.visit_enum(Objects(which))
    }
}

/// What reads a part, by a reader that refuses lists for objects.
struct Seed<S>(S);

impl<'de, S: DeserializeSeed<'de>> DeserializeSeed<'de> for Seed<S> {
    type Value = S::Value;

    fn deserialize<D: Deserializer<'de>>(self, reader: D) -> Result<S::Value, D::Error> {
        self.0.deserialize(Objects(reader))
    }
}

impl<'de, A: SeqAccess<'de>> SeqAccess<'de> for Objects<A> {
    type Error = A::Error;

    fn next_element_seed<S: DeserializeSeed<'de>>(&mut self, seed: S) -> Result<Option<S::Value>, A::Error> {
        self.0.next_element_seed(Seed(seed))
    }

    fn size_hint(&self) -> Option<usize> {
        self.0.size_hint()
    }
}

impl<'de, A: MapAccess<'de>> MapAccess<'de> for Objects<A> {
    type Error = A::Error;

    fn next_key_seed<S: DeserializeSeed<'de>>(&mut self, seed: S) -> Result<Option<S::Value>, A::Error> {
        self.0.next_key_seed(seed)
    }

    fn next_value_seed<S: DeserializeSeed<'de>>(&mut self, seed: S) -> Result<S::Value, A::Error> {
        self.0.next_value_seed(Seed(seed))
    }
}

impl<'de, A: EnumAccess<'de>> EnumAccess<'de> for Objects<A> {
    type Error = A::Error;
    type Variant = Objects<A::Variant>;

    fn variant_seed<S: DeserializeSeed<'de>>(self, seed: S) -> Result<(S::Value, Self::Variant), A::Error> {
        let (value, variant) = self.0.variant_seed(seed)?;
        Ok((value, Objects(variant)))
    }
}

impl<'de, A: VariantAccess<'de>> VariantAccess<'de> for Objects<A> {
    type Error = A::Error;

    fn unit_variant(self) -> Result<(), A::Error> {
        self.0.unit_variant()
    }

    fn newtype_variant_seed<S: DeserializeSeed<'de>>(self, seed: S) -> Result<S::Value, A::Error> {
        self.0.newtype_variant_seed(Seed(seed))
    }

    fn tuple_variant<V: Visitor<'de>>(self, len: usize, visitor: V) -> Result<V::Value, A::Error> {
        self.0.tuple_variant(len, List(visitor))
    }

    fn struct_variant<V: Visitor<'de>>(
        self,
        fields: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, A::Error> {
        self.0.struct_variant(fields, Fields(visitor))
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use std::collections::BTreeMap;

    use serde_json::{Value, json};

    use super::*;

    #[derive(Debug, PartialEq, serde::Serialize, serde::Deserialize)]
    struct Inner {
        x: f64,
        words: Option<String>,
    }

    #[derive(Debug, PartialEq, serde::Serialize, serde::Deserialize)]
    struct Name(String);

    #[derive(Debug, PartialEq, serde::Serialize, serde::Deserialize)]
    #[serde(rename_all = "snake_case")]
    enum Which {
        Unit,
        New(Inner),
        Pair(u8, Inner),
        Fields { inner: Inner, more: Vec<Inner> },
    }

    #[derive(Debug, PartialEq, serde::Serialize, serde::Deserialize)]
    struct Whole {
        name: Name,
        perhaps: Option<Inner>,
        all: Vec<Which>,
        by_name: BTreeMap<String, Inner>,
        pair: (u8, i64),
        anything: Value,
        #[serde(default)]
        left_out: bool,
    }

    fn whole() -> Value {
        let inner = |x: f64| json!({ "x": x, "words": null });
        json!({
            "name": "a", "perhaps": inner(1.5),
            "all": ["unit", { "new": inner(2.0) }, { "pair": [7, inner(3.0)] }, { "fields": { "inner": inner(4.0), "more": [inner(5.0)] } }],
            "by_name": { "one": inner(6.0) }, "pair": [1, -2], "anything": [1, { "a": [null] }], "left_out": true,
        })
    }

    #[test]
    fn what_serde_writes_is_read_as_serde_reads_it() {
        let text = whole().to_string();
        let read: Whole = from_str(&text).unwrap();
        assert_eq!(read, serde_json::from_str(&text).unwrap());
        assert_eq!(serde_json::to_value(&read).unwrap(), whole());
        assert_eq!(from_str::<Option<Inner>>("null").unwrap(), None);
    }

    #[test]
    fn a_list_in_place_of_an_object_is_refused_wherever_it_stands() {
        let lists = [
            ("/perhaps", json!([1.5, null])),
            ("/all/1/new", json!([2.0, null])),
            ("/all/2/pair/1", json!([3.0, null])),
            ("/all/3/fields", json!([{ "x": 4.0, "words": null }, []])),
            ("/all/3/fields/more/0", json!([5.0, null])),
            ("/by_name/one", json!([6.0, null])),
        ];
        for (place, list) in lists {
            let mut odd = whole();
            *odd.pointer_mut(place).unwrap() = list;
            let text = odd.to_string();
            assert!(serde_json::from_str::<Whole>(&text).is_ok(), "{place}: serde itself takes it");
            let why = from_str::<Whole>(&text).unwrap_err().to_string();
            assert!(why.starts_with("invalid type: sequence, expected "), "{place}: {why}");
        }
    }

    #[test]
    fn what_is_wrong_is_told_as_serde_json_tells_it() {
        for text in [
            "",
            "{",
            r#"{"x":1}"#,
            r#"{"x":"one","words":null}"#,
            r#"{"x":1,"words":2}"#,
            r#"{"x":1,"words":null} more"#,
        ] {
            let (ours, theirs) = (from_str::<Inner>(text), serde_json::from_str::<Inner>(text));
            assert_eq!(ours.map_err(|error| error.to_string()), theirs.map_err(|error| error.to_string()), "{text}");
        }
    }
}
