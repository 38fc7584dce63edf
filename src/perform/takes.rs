//! Which take of a note is heard, so that nobody plays the same pitch twice running with the same samples.

use crate::perform::Part;
use crate::units::MidiNote;

/// How many takes there are of each note.
pub const TAKES: u8 = 3;

/// Counts the takes of each pitch of each part, in the order in which they are handed out: the same for the same music,
/// on a page and in a file.
#[derive(Clone, Debug, Default)]
pub struct Takes {
    dealt: Vec<Dealt>,
}

#[derive(Clone, Copy, Debug)]
struct Dealt {
    id: u64,
    part: Part,
    midi: MidiNote,
    take: u8,
}

impl Takes {
    /// The take of the sound `id`: another one than that of the sound of this part and pitch before it.
    pub fn deal(&mut self, id: u64, part: Part, midi: MidiNote) -> u8 {
        let before = self.dealt.iter().rfind(|dealt| dealt.part == part && dealt.midi == midi);
        let take = before.map_or(0, |dealt| (dealt.take + 1) % TAKES);
        self.dealt.push(Dealt { id, part, midi, take });
        take
    }

    /// Forgets sounds that will not be heard, so that the next ones follow what was.
    pub fn take_back(&mut self, cancelled: &[u64]) {
        self.dealt.retain(|dealt| !cancelled.contains(&dealt.id));
    }

    /// Keeps of the sounds that can no longer be taken back, those with an id below `id`, only the last of each pitch.
    pub fn settle(&mut self, id: u64) {
        let dealt = std::mem::take(&mut self.dealt);
        let follows = |at: usize, one: &Dealt| {
            let same = |later: &Dealt| later.id < id && (later.part, later.midi) == (one.part, one.midi);
            dealt[at + 1..].iter().any(same)
        };
        let kept = dealt.iter().enumerate().filter(|(at, one)| one.id >= id || !follows(*at, one));
        self.dealt = kept.map(|(_, one)| *one).collect();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const A: MidiNote = MidiNote::MIDDLE_C;

    #[test]
    fn neighbours_differ_also_after_some_were_taken_back() {
        let mut takes = Takes::default();
        let first: Vec<u8> = (0..5).map(|id| takes.deal(id, Part::Solo, A)).collect();
        assert_eq!(first, [0, 1, 2, 0, 1]);
        // Another part counts for itself.
        assert_eq!(takes.deal(5, Part::Bass, A), 0);
        takes.take_back(&[3, 4]);
        assert_eq!(takes.deal(6, Part::Solo, A), 0);
    }

    #[test]
    fn what_has_begun_is_remembered_in_little_room() {
        let mut takes = Takes::default();
        for id in 0..1000 {
            takes.deal(id, Part::Drums, A);
            takes.settle(id);
        }
        assert!(takes.dealt.len() <= 2, "{}", takes.dealt.len());
        assert_eq!(takes.deal(1000, Part::Drums, A), (1000 % 3) as u8);
    }
}
