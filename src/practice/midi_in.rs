//! What a MIDI keyboard sends, byte by byte: keys that go down and up.
//!
//! Source: MIDI 1.0 Detailed Specification (MIDI Manufacturers Association, document version 4.2, 1996), "Data format"
//! and "Channel voice messages" (from memory): bit 7 marks a status byte; a status holds for the data that follow
//! until another comes (running status); a note-on of velocity 0 is a note-off; real-time bytes, 0xF8 and above, may
//! stand anywhere, also inside another message, and change nothing about it; system common and system exclusive
//! messages end running status.

use crate::units::{MidiNote, Velocity};

/// A key that went down, or up.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum KeyMove {
    /// A key was struck.
    Down {
        /// Which.
        midi: MidiNote,
        /// How hard.
        velocity: Velocity,
        /// Whether it was struck clearly harder than this player strikes as a rule.
        accent: bool,
    },
    /// A key was let go.
    Up {
        /// Which.
        midi: MidiNote,
    },
}

/// One MIDI device: reads its bytes and remembers which keys are down. Any bytes in any pieces are taken.
#[derive(Clone, Debug)]
pub struct Keyboard {
    /// The status that data bytes belong to; 0 where they belong to none.
    status: u8,
    /// The first of two data bytes.
    first: Option<u8>,
    /// Which keys are down: for each note number a bit a channel.
    held: [u16; 128],
    /// How hard this player strikes as a rule: a running mean of velocities.
    usual: f32,
}

/// Nearer to an accent than to a plain note, above what is usual: half of the way from one velocity to the other.
const CLEARLY_HARDER: f32 = (Velocity::ACCENT.value() as f32 - Velocity::PLAIN.value() as f32) / 2.0;
/// How much each note moves what is usual: about the last eight notes count (chosen without a source).
const NEWEST_COUNTS: f32 = 1.0 / 8.0;

/// Note-off, note-on and control change: the upper four bits of a status.
const NOTE_OFF: u8 = 0x80;
const NOTE_ON: u8 = 0x90;
const CONTROL: u8 = 0xB0;
/// The controllers "all sound off" and, from here to 127, "all notes off" and the mode messages, which mean it too.
const ALL_SOUND_OFF: u8 = 120;
const ALL_NOTES_OFF: u8 = 123;
/// The first real-time status, and the last, system reset.
const REAL_TIME: u8 = 0xF8;
const RESET: u8 = 0xFF;

impl Default for Keyboard {
    fn default() -> Keyboard {
        Keyboard { status: 0, first: None, held: [0; 128], usual: f32::from(Velocity::PLAIN.value()) }
    }
}

impl Keyboard {
    /// Takes the next bytes; what they say about keys is added to `moves`.
    pub fn take(&mut self, bytes: &[u8], moves: &mut Vec<KeyMove>) {
        for &byte in bytes {
            match byte {
                RESET => self.let_go(u16::MAX, moves),
                REAL_TIME.. => {}
                0x80.. => {
                    // System messages hold no keys: their data are passed over.
                    self.status = if byte < 0xF0 { byte } else { 0 };
                    self.first = None;
                }
                data => self.take_data(data, moves),
            }
        }
    }

    /// Lets go whatever is still down: for a device that was unplugged. It begins anew when it comes back.
    pub fn unplug(&mut self, moves: &mut Vec<KeyMove>) {
        self.let_go(u16::MAX, moves);
        (self.status, self.first) = (0, None);
    }

    fn take_data(&mut self, data: u8, moves: &mut Vec<KeyMove>) {
        // Programme change and channel pressure have one data byte, and say nothing about keys.
        if !matches!(self.status & 0xF0, NOTE_OFF | NOTE_ON | CONTROL) {
            return;
        }
        let Some(first) = self.first.take() else {
            self.first = Some(data);
            return;
        };
        let channel = 1_u16 << (self.status & 0x0F);
        match (self.status & 0xF0, first, data) {
            (CONTROL, ALL_SOUND_OFF | ALL_NOTES_OFF.., _) => self.let_go(channel, moves),
            (CONTROL, ..) => {}
            (NOTE_ON, note, velocity @ 1..) => self.strike(channel, note, velocity, moves),
            (_, note, _) => self.release(channel, note, moves),
        }
    }

    fn strike(&mut self, channel: u16, note: u8, velocity: u8, moves: &mut Vec<KeyMove>) {
        let (Some(midi), Some(velocity)) =
            (MidiNote::new(i32::from(note)), Velocity::new(i32::from(velocity)))
        else {
            return;
        };
        if let Some(held) = self.held.get_mut(usize::from(note)) {
            *held |= channel;
        }
        let harder = f32::from(velocity.value()) - self.usual;
        self.usual += harder * NEWEST_COUNTS;
        moves.push(KeyMove::Down { midi, velocity, accent: harder >= CLEARLY_HARDER });
    }

    /// Ends a note on `channels`; it is up once it is down on none.
    fn release(&mut self, channels: u16, note: u8, moves: &mut Vec<KeyMove>) {
        let Some(held) = self.held.get_mut(usize::from(note)) else { return };
        let was_down = *held != 0;
        *held &= !channels;
        if was_down && *held == 0 {
            moves.extend(MidiNote::new(i32::from(note)).map(|midi| KeyMove::Up { midi }));
        }
    }

    fn let_go(&mut self, channels: u16, moves: &mut Vec<KeyMove>) {
        (0..128).for_each(|note| self.release(channels, note, moves));
    }
}
