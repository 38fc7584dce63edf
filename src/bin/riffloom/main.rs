//! The core of Riffloom on the command line.

fn main() {}
