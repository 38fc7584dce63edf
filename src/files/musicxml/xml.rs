//! XML as a tree: as much of it as the files that are written and read here need.
//!
//! The text is the library's (`quick-xml`). Entities are only the five of XML and those of characters by number: a file
//! names nothing that would have to be fetched, and nothing that grows as it is read.

use quick_xml::Writer;
use quick_xml::escape::resolve_predefined_entity;
use quick_xml::events::{BytesEnd, BytesStart, BytesText, Event};
use quick_xml::reader::Reader;

/// An element with what is in it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Element {
    pub name: String,
    pub attributes: Vec<(String, String)>,
    /// The text directly in it.
    pub text: String,
    pub children: Vec<Element>,
}

/// How deep elements may stand in one another.
const DEEPEST: usize = 64;
/// The most elements of a file.
const MOST_ELEMENTS: usize = 200_000;

/// Why a text is no tree.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Unread {
    /// It is no XML, or breaks off.
    Damaged,
    /// It has more in it than is read.
    TooMuch,
}

impl Element {
    /// An empty element.
    pub fn new(name: &str) -> Element {
        Element { name: name.to_owned(), ..Element::default() }
    }

    /// An element with a text.
    pub fn of(name: &str, text: impl ToString) -> Element {
        Element { text: text.to_string(), ..Element::new(name) }
    }

    /// The same with an attribute more.
    pub fn with(mut self, name: &str, value: impl ToString) -> Element {
        self.attributes.push((name.to_owned(), value.to_string()));
        self
    }

    /// The same with elements in it.
    pub fn holding(mut self, children: impl IntoIterator<Item = Element>) -> Element {
        self.children.extend(children);
        self
    }

    /// The value of an attribute.
    pub fn attribute(&self, name: &str) -> Option<&str> {
        self.attributes.iter().find(|(other, _)| other == name).map(|(_, value)| value.as_str())
    }

    /// The first element of this name in it.
    pub fn child(&self, name: &str) -> Option<&Element> {
        self.children.iter().find(|child| child.name == name)
    }

    /// All elements of this name in it.
    pub fn all<'a>(&'a self, name: &'a str) -> impl Iterator<Item = &'a Element> {
        self.children.iter().filter(move |child| child.name == name)
    }

    /// The text of the first element of this name in it.
    pub fn text_of(&self, name: &str) -> Option<&str> {
        self.child(name).map(|child| child.text.trim())
    }

    /// The number of the first element of this name in it.
    pub fn number_of(&self, name: &str) -> Option<f64> {
        self.text_of(name)?.parse().ok().filter(|number: &f64| number.is_finite())
    }

    /// The element as a file, behind the declaration of XML and `doctype`.
    pub fn write(&self, doctype: &str) -> String {
        let mut writer = Writer::new_with_indent(Vec::new(), b' ', 1);
        self.put(&mut writer).expect("a vector takes all bytes");
        let body = String::from_utf8(writer.into_inner()).expect("what is written is UTF-8");
        format!("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n{doctype}\n{body}\n")
    }

    fn put(&self, writer: &mut Writer<Vec<u8>>) -> std::io::Result<()> {
        let mut start = BytesStart::new(self.name.as_str());
        for (name, value) in &self.attributes {
            start.push_attribute((name.as_str(), value.as_str()));
        }
        if self.children.is_empty() && self.text.is_empty() {
            return writer.write_event(Event::Empty(start));
        }
        writer.write_event(Event::Start(start))?;
        if !self.text.is_empty() {
            writer.write_event(Event::Text(BytesText::new(&self.text)))?;
        }
        self.children.iter().try_for_each(|child| child.put(writer))?;
        writer.write_event(Event::End(BytesEnd::new(self.name.as_str())))
    }

    /// Reads the outermost element of a text.
    pub fn read(text: &str) -> Result<Element, Unread> {
        let mut reader = Reader::from_str(text);
        // The outermost holds the root.
        let mut open = vec![Element::default()];
        let mut count = 0;
        loop {
            let event = reader.read_event().map_err(|_| Unread::Damaged)?;
            let top = open.last_mut().ok_or(Unread::Damaged)?;
            match event {
                Event::Start(start) => {
                    count += 1;
                    if count > MOST_ELEMENTS || open.len() > DEEPEST {
                        return Err(Unread::TooMuch);
                    }
                    open.push(begun(&start)?);
                }
                Event::Empty(start) => {
                    count += 1;
                    if count > MOST_ELEMENTS {
                        return Err(Unread::TooMuch);
                    }
                    top.children.push(begun(&start)?);
                }
                Event::End(_) => {
                    let done = open.pop().ok_or(Unread::Damaged)?;
                    open.last_mut().ok_or(Unread::Damaged)?.children.push(done);
                }
                Event::Text(text) => top.text.push_str(&text.xml10_content()),
                Event::CData(text) => top.text.push_str(&text.xml10_content()),
                Event::GeneralRef(name) => match name.resolve_char_ref() {
                    Ok(Some(sign)) => top.text.push(sign),
                    Ok(None) => {
                        top.text.push_str(resolve_predefined_entity(&name.xml10_content()).unwrap_or(""));
                    }
                    Err(_) => return Err(Unread::Damaged),
                },
                Event::Comment(_) | Event::Decl(_) | Event::PI(_) | Event::DocType(_) => {}
                Event::Eof => break,
            }
        }
        let outermost = open.pop().filter(|_| open.is_empty()).ok_or(Unread::Damaged)?;
        outermost.children.into_iter().next().ok_or(Unread::Damaged)
    }
}

fn begun(start: &BytesStart<'_>) -> Result<Element, Unread> {
    let mut element = Element::new(start.name().as_ref());
    for attribute in start.attributes() {
        let attribute = attribute.map_err(|_| Unread::Damaged)?;
        let value =
            attribute.normalized_value(quick_xml::XmlVersion::Explicit1_0).map_err(|_| Unread::Damaged)?;
        element.attributes.push((attribute.key.as_ref().to_owned(), value.into_owned()));
    }
    Ok(element)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_written_reads_back_the_same() {
        let tree = Element::new("a").with("b", "<\"&'>").holding([
            Element::of("c", "Tom & <Jerry> „ü“\u{1f3b7}"),
            Element::new("d").holding([Element::new("e")]),
        ]);
        let read = Element::read(&tree.write("<!DOCTYPE a>")).unwrap();
        assert_eq!((read.attribute("b"), read.text_of("c")), (Some("<\"&'>"), tree.text_of("c")));
        assert_eq!(read.child("d").and_then(|d| d.child("e")), Some(&Element::new("e")));
    }

    /// XML 1.0, sections 2.4 (CDATA), 4.1 (references); entities of a file's own stand for nothing here.
    #[test]
    fn references_are_signs_and_nothing_is_fetched() {
        let text = "<!DOCTYPE a [<!ENTITY own SYSTEM \"file:///etc/passwd\"><!ENTITY two \"&own;&own;\">]>\
                    <a>x&#65;&#x42;&lt;<![CDATA[<y>&amp;]]>&own;&two;</a>";
        assert_eq!(Element::read(text).unwrap().text, "xAB<<y>&amp;");
    }

    #[test]
    fn what_is_damaged_or_too_much_says_so() {
        for text in ["", "x", "<a>", "<a><b></a>", "</a>", "<a b></a>", "<a b='1' b='2'/>"] {
            assert_eq!(Element::read(text), Err(Unread::Damaged), "{text}");
        }
        let deep = "<a>".repeat(100) + &"</a>".repeat(100);
        assert_eq!(Element::read(&deep), Err(Unread::TooMuch));
        let many = format!("<a>{}</a>", "<b/>".repeat(MOST_ELEMENTS));
        assert_eq!(Element::read(&many), Err(Unread::TooMuch));
    }
}
