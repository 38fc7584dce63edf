//! The desk: the document with its undo history, and the commands that change it.

pub mod command;
