//! Rooms: what of the core the page fetches after the first key can be played, and the doors to it.
//!
//! On the page the module is cut at the doors: the code behind them lies in files of its own, which come later and share
//! the module's memory. Until a room is [open](Room::open) its doors give `None`, and the page asks again when it is.
//! Elsewhere, on the command line and in tests, all rooms are open from the start.

use std::cell::Cell;
use std::future::Future;
use std::pin::pin;
use std::task::{Context, Poll, Waker};

/// A part of the core that comes by itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Room {
    /// Other forms of a riff.
    Vary,
    /// Choruses, suggestions, and what is found in free playing.
    Chorus,
    /// Practising, the notebook's cards, the plan and the look back.
    Practice,
    /// Links, typed charts, and reading what was kept.
    Files,
    /// Files of sound, and how loud the music is.
    Mixing,
    /// Riffs to start from.
    Shelf,
    /// Hearing a microphone: a worker opens it, the page does not.
    Listen,
    /// Music on a staff, and sheets to print.
    Staff,
    /// Lessons and the answers to them.
    Class,
    /// Reading QR codes in pictures.
    Scan,
    /// What was recorded with the microphone.
    Takes,
    /// The panel that says who plays, and how.
    Band,
}

thread_local! {
    /// A bit a room.
    static OPEN: Cell<u16> = const { Cell::new(if cfg!(target_arch = "wasm32") { 0 } else { u16::MAX }) };
}

impl Room {
    /// Every room.
    pub const ALL: [Room; 12] = [
        Room::Vary,
        Room::Chorus,
        Room::Practice,
        Room::Files,
        Room::Mixing,
        Room::Shelf,
        Room::Listen,
        Room::Staff,
        Room::Class,
        Room::Scan,
        Room::Takes,
        Room::Band,
    ];

    /// Its name, as the page and the doors have it.
    pub fn name(self) -> &'static str {
        match self {
            Room::Vary => "vary",
            Room::Chorus => "chorus",
            Room::Practice => "practice",
            Room::Files => "files",
            Room::Mixing => "mixing",
            Room::Shelf => "shelf",
            Room::Listen => "listen",
            Room::Staff => "staff",
            Room::Class => "class",
            Room::Scan => "scan",
            Room::Takes => "takes",
            Room::Band => "band",
        }
    }

    /// The room with this name.
    pub fn named(name: &str) -> Option<Room> {
        Room::ALL.into_iter().find(|room| room.name() == name)
    }

    /// Whether its code is here.
    pub fn is_open(self) -> bool {
        OPEN.get() & self.bit() != 0
    }

    /// Its code has come: from now on its doors lead to it.
    pub fn open(self) {
        OPEN.set(OPEN.get() | self.bit());
    }

    /// As it is on the page before the room has come; on this thread alone. For tests.
    pub fn close(self) {
        OPEN.set(OPEN.get() & !self.bit());
    }

    fn bit(self) -> u16 {
        1 << self as u8
    }
}

/// Declares a function whose code lies in a room: `door!(Vary, vary: pub fn name(argument: Type) -> Result { … })`. It
/// gives `None` while the room is not open.
macro_rules! door {
    ($room:ident, $split:ident: $(#[$meta:meta])* $vis:vis fn $name:ident($($argument:ident: $type:ty),* $(,)?) -> $result:ty $body:block) => {
        $(#[$meta])*
        $vis fn $name($($argument: $type),*) -> Option<$result> {
            #[wasm_split_helpers::wasm_split($split)]
            fn $name($($argument: $type),*) -> $result $body
            $crate::rooms::through($crate::rooms::Room::$room, $name($($argument),*))
        }
    };
}

pub(crate) use door;

/// Goes through a door: it is ready at once where its room is open. The page answers the first question, whether the
/// code is here, at once, so that the second has the result.
pub(crate) fn through<T>(room: Room, door: impl Future<Output = T>) -> Option<T> {
    if !room.is_open() {
        return None;
    }
    let mut door = pin!(door);
    let mut context = Context::from_waker(Waker::noop());
    let mut ask = || match door.as_mut().poll(&mut context) {
        Poll::Ready(result) => Some(result),
        Poll::Pending => None,
    };
    ask().or_else(ask)
}
