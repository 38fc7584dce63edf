//! Formats as bytes and text.

pub mod abc;
pub mod incoming;
pub mod link;
pub mod melody;
pub mod midi;
pub mod musicxml;
pub mod qr;
pub mod record;
pub mod take;
pub mod wav;
pub mod whole;

/// A form in which music goes out and comes in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// A Standard MIDI File.
    Midi,
    /// MusicXML as text.
    MusicXml,
    /// MusicXML, packed.
    Mxl,
    /// Text in ABC.
    Abc,
}

impl Kind {
    /// Every form, the most common first.
    pub const ALL: [Kind; 4] = [Kind::Midi, Kind::MusicXml, Kind::Mxl, Kind::Abc];

    /// How the name of such a file ends, without the dot.
    pub fn ending(self) -> &'static str {
        match self {
            Kind::Midi => "mid",
            Kind::MusicXml => "musicxml",
            Kind::Mxl => "mxl",
            Kind::Abc => "abc",
        }
    }

    /// The form whose files end so.
    pub fn of_ending(ending: &str) -> Option<Kind> {
        Kind::ALL.into_iter().find(|kind| kind.ending() == ending)
    }
}
