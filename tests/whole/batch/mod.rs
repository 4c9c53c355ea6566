//! Many artworks at once: what becomes of each, which there are, and what happens when it is killed.

mod endurance;
mod gathering;
mod outcomes;
mod shop;
