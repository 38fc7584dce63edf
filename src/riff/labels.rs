//! Labels: short words of a person's own on a riff or a chorus, such as "Tuesday group" or "slow".

use std::rc::Rc;

use crate::riff::edit::clean_name;

/// The labels of one riff or chorus.
///
/// Always true: at most [`Labels::MOST`], each a name of 1 to [`Labels::LONGEST`] characters with single spaces, in the
/// order of the alphabet, none twice whether in capitals or small letters.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Labels(Rc<[String]>);

impl Labels {
    /// The most labels on one riff or chorus.
    pub const MOST: usize = 12;
    /// The most characters of one.
    pub const LONGEST: usize = 30;

    /// Labels from texts, brought to what labels may be; those that find no room are left out.
    pub fn of(texts: impl IntoIterator<Item = String>) -> Labels {
        let none = Labels::default();
        texts.into_iter().fold(none, |labels, text| labels.with(&text).unwrap_or(labels))
    }

    /// The labels, in order.
    pub fn texts(&self) -> &[String] {
        &self.0
    }

    /// Whether this label is among them, in capitals or small letters.
    pub fn has(&self, label: &str) -> bool {
        self.0.iter().any(|own| is_same(own, label))
    }

    /// The same with one more; as it is where that is there already or is no label. `None` where there is no room.
    pub fn with(&self, label: &str) -> Option<Labels> {
        let label = clean(label);
        if label.is_empty() || self.has(&label) {
            return Some(self.clone());
        }
        let mut texts = self.0.to_vec();
        texts.push(label);
        texts.sort_by_cached_key(|text| (text.to_lowercase(), text.clone()));
        (texts.len() <= Labels::MOST).then(|| Labels(texts.into()))
    }

    /// The same without one.
    #[must_use]
    pub fn without(&self, label: &str) -> Labels {
        let label = clean(label);
        Labels(self.0.iter().filter(|own| !is_same(own, &label)).cloned().collect())
    }

    /// The labels of both, as they are written here; those that find no room are left out.
    #[must_use]
    pub fn and(&self, others: &Labels) -> Labels {
        others.0.iter().fold(self.clone(), |labels, text| labels.with(text).unwrap_or(labels))
    }
}

/// A label as it is kept, from what a person typed; empty where that is none.
pub fn clean(text: &str) -> String {
    let words = clean_name(text);
    let words = words.split_whitespace().collect::<Vec<_>>().join(" ");
    let cut: String = words.chars().take(Labels::LONGEST).collect();
    cut.trim_end().to_owned()
}

/// Whether two labels are the same, in capitals or small letters.
pub fn is_same(one: &str, other: &str) -> bool {
    one.to_lowercase() == other.to_lowercase()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn labels(texts: &[&str]) -> Labels {
        Labels::of(texts.iter().map(|text| (*text).to_owned()))
    }

    #[test]
    fn a_label_is_one_short_line_and_comes_once() {
        let found = labels(&["  slow ", "Tuesday \t group", "SLOW", "", " \n", "in\u{202e}side"]);
        assert_eq!(found.texts(), ["inside", "slow", "Tuesday group"]);
        assert_eq!(clean(&"x".repeat(99)).chars().count(), Labels::LONGEST);
        assert_eq!(found.without("sLow").texts(), ["inside", "Tuesday group"]);
        let many: Vec<String> = (0..20).map(|number| format!("{number:02}")).collect();
        let full = Labels::of(many.clone());
        assert_eq!(
            (full.texts().len(), full.with("more"), full.with("03")),
            (Labels::MOST, None, Some(full.clone()))
        );
    }

    proptest! {
        /// Laws of sets, as long as there is room; however the letters are written.
        #[test]
        fn labels_come_together_as_sets_do(
            one in proptest::collection::vec("[a-cA-C ]{0,2}", 0..4),
            other in proptest::collection::vec("[a-cA-C ]{0,2}", 0..4),
        ) {
            let (one, other) = (Labels::of(one), Labels::of(other));
            let both = one.and(&other);
            prop_assert_eq!(&both.and(&other), &both);
            prop_assert_eq!(&both.and(&one), &both);
            let small = |labels: &Labels| labels.texts().iter().map(|text| text.to_lowercase()).collect::<Vec<_>>();
            prop_assert_eq!(small(&both), small(&other.and(&one)));
            let all = both.texts().iter();
            prop_assert!(all.clone().all(|text| one.has(text) || other.has(text)));
            prop_assert!(one.texts().iter().chain(other.texts()).all(|text| both.has(text)));
            prop_assert_eq!(&Labels::of(both.texts().to_vec()), &both);
        }
    }
}
