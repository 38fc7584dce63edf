//! JSON, written field by field.
//!
//! Derived writers are compiled anew for each type, and those of the view-models took much of the page's module. Here
//! an object is a list of names and values, and all of them share one writer.

use std::fmt::{self, Write};

/// What has a JSON text.
pub trait Json {
    /// Appends the text.
    fn write(&self, text: &mut String);

    /// Whether a field that holds this is left out of its object.
    fn is_absent(&self) -> bool {
        false
    }
}

/// Appends an object with these fields. Names are as in Rust; in JSON they stand in camel case.
pub fn write_object(text: &mut String, fields: &[(&str, &dyn Json)]) {
    text.push('{');
    for (index, (name, value)) in fields.iter().filter(|(_, value)| !value.is_absent()).enumerate() {
        if index > 0 {
            text.push(',');
        }
        text.push('"');
        push_camel_case(text, name);
        text.push_str("\":");
        value.write(text);
    }
    text.push('}');
}

/// `inScale` for `in_scale`.
pub fn camel_case(name: &str) -> String {
    let mut joined = String::with_capacity(name.len());
    push_camel_case(&mut joined, name);
    joined
}

fn push_camel_case(text: &mut String, name: &str) {
    // Some hundreds of names a key press: byte by byte, without a searcher for each.
    let mut rest = name;
    while let Some(at) = rest.bytes().position(|byte| byte == b'_') {
        text.push_str(&rest[..at]);
        rest = &rest[at + 1..];
        if let Some(first) = rest.bytes().next().filter(u8::is_ascii) {
            text.push(char::from(first.to_ascii_uppercase()));
            rest = &rest[1..];
        }
    }
    text.push_str(rest);
}

impl Json for str {
    fn write(&self, text: &mut String) {
        text.push('"');
        // Nearly every text goes as it is, at one stroke.
        let mut rest = self;
        while let Some(at) = rest.bytes().position(|byte| matches!(byte, b'"' | b'\\' | 0..=0x1f)) {
            text.push_str(&rest[..at]);
            match rest.as_bytes()[at] {
                sign @ (b'"' | b'\\') => text.extend(['\\', char::from(sign)]),
                sign => push(text, format_args!("\\u{sign:04x}")),
            }
            rest = &rest[at + 1..];
        }
        text.push_str(rest);
        text.push('"');
    }
}

impl Json for String {
    fn write(&self, text: &mut String) {
        self.as_str().write(text);
    }
}

impl Json for bool {
    fn write(&self, text: &mut String) {
        text.push_str(if *self { "true" } else { "false" });
    }
}

impl Json for i64 {
    fn write(&self, text: &mut String) {
        push(text, format_args!("{self}"));
    }
}

/// A number that is not finite, which JSON cannot say, is `null`.
impl Json for f64 {
    fn write(&self, text: &mut String) {
        if self.is_finite() { push(text, format_args!("{self}")) } else { text.push_str("null") }
    }
}

macro_rules! as_i64 {
    ($($type:ty),*) => {
        $(impl Json for $type {
            fn write(&self, text: &mut String) {
                i64::from(*self).write(text);
            }
        })*
    };
}

as_i64!(u8, u32, i32);

impl Json for usize {
    fn write(&self, text: &mut String) {
        push(text, format_args!("{self}"));
    }
}

impl<T: Json> Json for Option<T> {
    fn write(&self, text: &mut String) {
        match self {
            Some(value) => value.write(text),
            None => text.push_str("null"),
        }
    }

    fn is_absent(&self) -> bool {
        self.is_none()
    }
}

impl<T: Json> Json for [T] {
    fn write(&self, text: &mut String) {
        text.push('[');
        for (index, value) in self.iter().enumerate() {
            if index > 0 {
                text.push(',');
            }
            value.write(text);
        }
        text.push(']');
    }
}

impl<T: Json> Json for &[T] {
    fn write(&self, text: &mut String) {
        (**self).write(text);
    }
}

impl<T: Json> Json for Vec<T> {
    fn write(&self, text: &mut String) {
        self.as_slice().write(text);
    }
}

fn push(text: &mut String, words: fmt::Arguments<'_>) {
    text.write_fmt(words).expect("a string takes any text");
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn text_of(value: &dyn Json) -> String {
        let mut text = String::new();
        value.write(&mut text);
        text
    }

    proptest! {
        /// serde_json is the reference: it reads what is written as the same value.
        #[test]
        fn what_is_written_reads_back_the_same(word: String, number: f64, whole: i64, list: Vec<String>) {
            let fields: [(&str, &dyn Json); 4] =
                [("a_word", &word), ("number", &number), ("whole", &whole), ("list_of_words", &list)];
            let mut text = String::new();
            write_object(&mut text, &fields);
            let expected = serde_json::json!({
                "aWord": word, "number": number, "whole": whole, "listOfWords": list,
            });
            let read: serde_json::Value = serde_json::from_str(&text).unwrap();
            prop_assert_eq!(&read["aWord"], &expected["aWord"]);
            prop_assert_eq!(&read["whole"], &expected["whole"]);
            prop_assert_eq!(&read["listOfWords"], &expected["listOfWords"]);
            prop_assert!(read["number"].is_number());
            // To the last bit, which serde_json without its feature `float_roundtrip` does not promise.
            prop_assert_eq!(text_of(&number).parse::<f64>(), Ok(number));
        }
    }

    #[test]
    fn what_is_absent_is_left_out() {
        let mut text = String::new();
        write_object(&mut text, &[("a", &None::<u8>), ("b", &Some(1_u8)), ("c", &f64::NAN), ("d", &true)]);
        assert_eq!(text, r#"{"b":1,"c":null,"d":true}"#);
        assert_eq!(text_of(&vec![None, Some(0.5)]), "[null,0.5]");
    }
}
