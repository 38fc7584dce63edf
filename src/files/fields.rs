//! JSON objects, read field by field.
//!
//! Derived readers are compiled anew for each type and each variant; those of the commands were a large part of the page's
//! module. Here all of them share the reader of one value.

use std::fmt;

use serde::de::{Deserialize, Deserializer, Error as _, MapAccess, SeqAccess, Visitor};

/// Why an object does not read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Error {
    /// The text is not JSON.
    NotJson {
        /// What the reader says.
        why: String,
    },
    /// Something else than an object.
    NotAnObject,
    /// A field is missing or holds something else.
    Field {
        /// The field.
        name: String,
        /// What it should hold.
        expected: &'static str,
    },
    /// A field that is not known.
    Unknown {
        /// The field.
        name: String,
    },
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Error::NotJson { why } => write!(f, "not JSON: {why}"),
            Error::NotAnObject => write!(f, "expected a JSON object"),
            Error::Field { name, expected } => write!(f, "expected {expected} in field “{name}”"),
            Error::Unknown { name } => write!(f, "there is no field “{name}”"),
        }
    }
}

impl std::error::Error for Error {}

/// The fields of an object that are not read yet.
#[derive(Clone, Debug, PartialEq)]
pub struct Fields(Vec<(String, Value)>);

impl Fields {
    /// Reads the text of an object.
    pub fn parse(text: &str) -> Result<Fields, Error> {
        Fields::read(parse(text)?).ok_or(Error::NotAnObject)
    }

    /// Reads the text of a list of objects.
    pub fn parse_list(text: &str) -> Result<Vec<Fields>, Error> {
        Vec::read(parse(text)?).ok_or(Error::NotAnObject)
    }

    /// Takes out the field `name`. A field that is absent reads as `null`: nothing for an `Option`, else an error.
    pub fn take<T: Field>(&mut self, name: &str) -> Result<T, Error> {
        let place = self.0.iter().position(|(other, _)| other == name);
        let value = place.map_or(Value::Null, |place| self.0.swap_remove(place).1);
        T::read(value).ok_or_else(|| Error::Field { name: name.to_owned(), expected: T::EXPECTED })
    }

    /// Makes sure that no field is left.
    pub fn finish(mut self) -> Result<(), Error> {
        self.0.pop().map_or(Ok(()), |(name, _)| Err(Error::Unknown { name }))
    }
}

/// What a field can hold.
pub trait Field: Sized {
    /// What is expected, in words.
    const EXPECTED: &'static str;

    /// Reads a value, or `None` where it is something else.
    fn read(value: Value) -> Option<Self>;
}

/// Any value of JSON. Whole numbers beyond 2^53 lose their last digits, as in JavaScript.
#[derive(Clone, Debug, PartialEq)]
pub enum Value {
    /// `null`.
    Null,
    /// `true` or `false`.
    Truth(bool),
    /// A number.
    Number(f64),
    /// A string.
    Text(String),
    /// A list.
    List(Vec<Value>),
    /// An object, in the order of its text.
    Object(Vec<(String, Value)>),
}

fn parse(text: &str) -> Result<Value, Error> {
    serde_json::from_str(text).map_err(|error| Error::NotJson { why: error.to_string() })
}

impl<'a> Deserialize<'a> for Value {
    fn deserialize<D: Deserializer<'a>>(deserializer: D) -> Result<Value, D::Error> {
        deserializer.deserialize_any(AnyValue)
    }
}

struct AnyValue;

impl<'a> Visitor<'a> for AnyValue {
    type Value = Value;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a value")
    }

    fn visit_unit<E>(self) -> Result<Value, E> {
        Ok(Value::Null)
    }

    fn visit_bool<E>(self, truth: bool) -> Result<Value, E> {
        Ok(Value::Truth(truth))
    }

    fn visit_i64<E>(self, number: i64) -> Result<Value, E> {
        Ok(Value::Number(number as f64))
    }

    fn visit_u64<E>(self, number: u64) -> Result<Value, E> {
        Ok(Value::Number(number as f64))
    }

    fn visit_f64<E>(self, number: f64) -> Result<Value, E> {
        Ok(Value::Number(number))
    }

    fn visit_str<E>(self, text: &str) -> Result<Value, E> {
        Ok(Value::Text(text.to_owned()))
    }

    fn visit_seq<A: SeqAccess<'a>>(self, mut list: A) -> Result<Value, A::Error> {
        let mut values = Vec::new();
        while let Some(value) = list.next_element()? {
            values.push(value);
        }
        Ok(Value::List(values))
    }

    fn visit_map<A: MapAccess<'a>>(self, mut object: A) -> Result<Value, A::Error> {
        let mut fields: Vec<(String, Value)> = Vec::new();
        while let Some((name, value)) = object.next_entry()? {
            if fields.iter().any(|(other, _)| *other == name) {
                return Err(A::Error::custom("a field comes twice"));
            }
            fields.push((name, value));
        }
        Ok(Value::Object(fields))
    }
}

impl Field for Fields {
    const EXPECTED: &'static str = "an object";

    fn read(value: Value) -> Option<Fields> {
        if let Value::Object(fields) = value { Some(Fields(fields)) } else { None }
    }
}

impl Field for String {
    const EXPECTED: &'static str = "a text";

    fn read(value: Value) -> Option<String> {
        if let Value::Text(text) = value { Some(text) } else { None }
    }
}

impl Field for bool {
    const EXPECTED: &'static str = "true or false";

    fn read(value: Value) -> Option<bool> {
        if let Value::Truth(truth) = value { Some(truth) } else { None }
    }
}

impl Field for f64 {
    const EXPECTED: &'static str = "a number";

    fn read(value: Value) -> Option<f64> {
        if let Value::Number(number) = value { Some(number) } else { None }
    }
}

impl Field for i64 {
    const EXPECTED: &'static str = "a whole number";

    fn read(value: Value) -> Option<i64> {
        let number = f64::read(value)?;
        // Beyond, neighbouring whole numbers are not told apart.
        let is_exact = number.fract() == 0.0 && number.abs() <= (1_i64 << f64::MANTISSA_DIGITS) as f64;
        is_exact.then_some(number as i64)
    }
}

macro_rules! narrower {
    ($($type:ty: $expected:literal),* $(,)?) => {
        $(impl Field for $type {
            const EXPECTED: &'static str = $expected;

            fn read(value: Value) -> Option<$type> {
                i64::read(value)?.try_into().ok()
            }
        })*
    };
}

narrower! {
    u8: "a whole number from 0 to 255",
    i32: "a whole number of 32 bits",
    u32: "a whole number of 32 bits, not negative",
    usize: "a whole number, not negative",
}

impl<T: Field> Field for Option<T> {
    const EXPECTED: &'static str = T::EXPECTED;

    fn read(value: Value) -> Option<Option<T>> {
        if value == Value::Null { Some(None) } else { T::read(value).map(Some) }
    }
}

impl<T: Field> Field for Vec<T> {
    const EXPECTED: &'static str = "a list";

    fn read(value: Value) -> Option<Vec<T>> {
        if let Value::List(values) = value { values.into_iter().map(T::read).collect() } else { None }
    }
}

impl<T: Field> Field for (T, T) {
    const EXPECTED: &'static str = "a pair";

    fn read(value: Value) -> Option<(T, T)> {
        let [first, second] = Vec::read(value)?.try_into().ok()?;
        Some((first, second))
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    proptest! {
        /// What serde_json writes is the reference.
        #[test]
        fn what_serde_json_writes_is_read(word: String, whole in -(1_i64 << 53)..1 << 53, truths: Vec<bool>) {
            let text = serde_json::json!({ "word": word, "whole": whole, "truths": truths }).to_string();
            let mut fields = Fields::parse(&text).unwrap();
            prop_assert_eq!(fields.take("word"), Ok(word));
            prop_assert_eq!(fields.take("whole"), Ok(whole));
            prop_assert_eq!(fields.take::<Option<u8>>("nothing"), Ok(None));
            prop_assert!(fields.clone().finish().is_err());
            prop_assert_eq!(fields.take("truths"), Ok(truths));
            prop_assert_eq!(fields.finish(), Ok(()));
        }

        #[test]
        fn no_text_makes_it_panic(text: String) {
            let _ = Fields::parse(&text);
        }
    }

    #[test]
    fn depth_is_limited() {
        assert!(Fields::parse(&"[".repeat(1_000_000)).is_err());
        assert!(Fields::parse(&r#"{"a":"#.repeat(1_000_000)).is_err());
    }
}
