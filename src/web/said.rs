//! How a command is read: its name, or an object with its name and its fields (`www/command.js`).
//!
//! `serde_wasm_bindgen` by itself takes an object's fields in any order, with code for each field of each command: a
//! tenth of the first room. Here a command is asked for its fields by name, in the order in which they are declared, which
//! the derived code takes as a sequence; what a field holds `serde_wasm_bindgen` reads.

use js_sys::{Array, Object, Reflect};
use serde::de::value::StrDeserializer;
use serde::de::{DeserializeSeed, Deserializer, EnumAccess, Error as _, SeqAccess, VariantAccess, Visitor};
use serde_wasm_bindgen::Error;
use wasm_bindgen::JsValue;

/// Reads an enum whose variants have named fields, or none.
pub(super) struct Said(pub(super) JsValue);

/// The fields of a variant; undefined where it has none.
pub(super) struct Fields(JsValue);

/// Those that are still to be read.
struct InOrder {
    fields: JsValue,
    names: std::slice::Iter<'static, &'static str>,
}

impl<'de> Deserializer<'de> for Said {
    type Error = Error;

    fn deserialize_enum<V: Visitor<'de>>(
        self,
        _: &'static str,
        _: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Error> {
        visitor.visit_enum(self)
    }

    fn deserialize_any<V: Visitor<'de>>(self, _: V) -> Result<V::Value, Error> {
        Err(Error::custom("not an enum"))
    }

    serde::forward_to_deserialize_any! {
        bool i8 i16 i32 i64 i128 u8 u16 u32 u64 u128 f32 f64 char str string bytes byte_buf option unit unit_struct
        newtype_struct seq tuple tuple_struct map struct identifier ignored_any
    }
}

impl<'de> EnumAccess<'de> for Said {
    type Error = Error;
    type Variant = Fields;

    fn variant_seed<S: DeserializeSeed<'de>>(self, seed: S) -> Result<(S::Value, Fields), Error> {
        let (name, fields) = match self.0.as_string() {
            Some(name) => (name, JsValue::UNDEFINED),
            None => {
                // What is no object has no entries, and what is no pair has no name.
                let entry = Array::from(&Object::entries(&Object::from(self.0)).get(0));
                (entry.get(0).as_string().unwrap_or_default(), entry.get(1))
            }
        };
        Ok((seed.deserialize(StrDeserializer::<Error>::new(&name))?, Fields(fields)))
    }
}

impl<'de> VariantAccess<'de> for Fields {
    type Error = Error;

    fn unit_variant(self) -> Result<(), Error> {
        Ok(())
    }

    fn newtype_variant_seed<S: DeserializeSeed<'de>>(self, _: S) -> Result<S::Value, Error> {
        Err(Error::custom("a field without a name"))
    }

    fn tuple_variant<V: Visitor<'de>>(self, _: usize, _: V) -> Result<V::Value, Error> {
        Err(Error::custom("fields without names"))
    }

    fn struct_variant<V: Visitor<'de>>(
        self,
        names: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Error> {
        visitor.visit_seq(InOrder { fields: self.0, names: names.iter() })
    }
}

impl<'de> SeqAccess<'de> for InOrder {
    type Error = Error;

    fn next_element_seed<S: DeserializeSeed<'de>>(&mut self, seed: S) -> Result<Option<S::Value>, Error> {
        let Some(name) = self.names.next() else { return Ok(None) };
        let value = Reflect::get(&self.fields, &JsValue::from_str(name))?;
        seed.deserialize(serde_wasm_bindgen::Deserializer::from(value)).map(Some)
    }
}
