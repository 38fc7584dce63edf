//! The core of Riffloom.
