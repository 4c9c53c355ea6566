//! Tests of the whole program: artwork in, files out, and what happens when something is wrong.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on should stop")]

mod batch;
mod begin;
mod commands;
mod cookbook;
mod documents;
mod dst_trims;
mod examples;
mod faults;
mod files;
mod guests;
mod hostile;
mod in_process;
mod independent;
mod live;
mod manual_stitches;
mod measure;
mod native;
#[path = "../speed/native.rs"]
mod native_steps;
mod open_sets;
mod other_languages;
mod owl;
mod parts;
mod playback;
mod printing;
mod registry;
mod report;
mod sharing;
mod slips;
mod sources;
mod step_cache;
mod stock;
mod versions;
mod worksheet;
