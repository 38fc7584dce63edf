//! Undo and redo: whole documents, whose parts are shared.

/// Past and future states around the present one.
#[derive(Clone, Debug)]
pub struct History<T> {
    past: Vec<T>,
    future: Vec<T>,
}

/// The most steps that can be undone. A step keeps only what it changed: other parts are shared.
pub const MOST_STEPS: usize = 300;

impl<T> Default for History<T> {
    fn default() -> History<T> {
        History { past: Vec::new(), future: Vec::new() }
    }
}

impl<T> History<T> {
    /// Remembers `before`, the state that is about to be left. What was undone cannot be redone any more.
    pub fn remember(&mut self, before: T) {
        self.future.clear();
        if self.past.len() >= MOST_STEPS {
            self.past.remove(0);
        }
        self.past.push(before);
    }

    /// Goes back: the state before, in exchange for `present`; `None` where there is none.
    pub fn undo(&mut self, present: T) -> Option<T> {
        let before = self.past.pop()?;
        self.future.push(present);
        Some(before)
    }

    /// Goes forward again.
    pub fn redo(&mut self, present: T) -> Option<T> {
        let after = self.future.pop()?;
        self.past.push(present);
        Some(after)
    }

    /// The states that can be gone back to, the oldest first.
    pub fn past(&self) -> &[T] {
        &self.past
    }

    /// Changes every state, past and future: for what happened outside them and cannot be undone.
    pub fn change_all(&mut self, change: impl FnMut(&mut T)) {
        self.past.iter_mut().chain(&mut self.future).for_each(change);
    }

    /// Whether there is something to undo.
    pub fn can_undo(&self) -> bool {
        !self.past.is_empty()
    }

    /// Whether there is something to redo.
    pub fn can_redo(&self) -> bool {
        !self.future.is_empty()
    }
}
