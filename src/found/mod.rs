//! What was played freely over the form: on its beats ([`free`]), the riffs in it ([`find`]), and what is worth keeping of
//! it ([`ideas`]).

pub mod find;
pub mod free;
pub mod ideas;
