//! Hoopwright: from artwork to a machine file, through sandboxed steps.
//!
//! The command `hoopwright` is thin over this library; whatever it does, your program can do.
//!
//! # The way of the data
//!
//! It is the order of the modules: [`artwork`] is read by [`formats`] into a [`design`], a [`pipeline`]
//! sends it through steps in the [`sandbox`], a [`report`] judges what was sewn, and formats,
//! [`preview`], [`playback`] and [`worksheet`] make what comes out; a [`comparison`] lays it beside the
//! artwork. [`diagnostics`] say what went wrong. [`job`] is that way once, [`batch`] many times, and
//! [`live`] again whenever something changes. [`begin`] makes the crate of a new step, and [`trial`] shows
//! it at work; [`sharing`] and a [`registry`] bring it to other shops.
//!
//! # Run a pipeline
//!
//! ```
//! use hoopwright::artwork::{Asked, Readers};
//! use hoopwright::{job, pipeline, plugins::Plugins, sandbox::{Limits, Sandbox}};
//! use std::{path::Path, sync::Arc};
//!
//! # fn main() -> Result<(), Box<dyn std::error::Error + Send + Sync>> {
//! # let folder = tempfile::tempdir()?;
//! # let art = folder.path().join("leaf.svg");
//! # std::fs::write(&art, r##"<svg xmlns="http://www.w3.org/2000/svg" width="30mm" height="30mm"
//! #     viewBox="0 0 30 30"><path id="leaf" fill="#6c8f5e" d="M5 15 Q15 5 25 15 Q15 25 5 15"/></svg>"##)?;
//! // Where steps run, and what each call of one may use; and the steps themselves.
//! let sandbox = Arc::new(Sandbox::new(Limits::default(), None)?);
//! let plugins = Plugins::stock(sandbox);
//!
//! // Every mistake in the pipeline is told before anything runs.
//! let routine = r#"{ "steps": [
//!     { "step": "line-run", "on": { "shape": "lines" } },
//!     { "step": "region-fill", "on": { "shape": "region" }, "settings": { "density": 0.4 } },
//!     { "step": "ties-and-trims" } ] }"#;
//! let checked = pipeline::check(Path::new("routine.json"), routine.to_owned(), &plugins)?;
//!
//! // Artwork in, stitches out.
//! let artwork = Readers::stock().read(&art, &Asked::by(&checked))?;
//! let watch: Arc<dyn pipeline::Watch> = Arc::new(());
//! let sewn = job::sew(&checked, artwork, &plugins, None, &watch)?;
//! assert!(sewn.worksheet.stitches > 100);
//! assert!(sewn.written.bytes.starts_with(b"LA:"));
//! # Ok(()) }
//! ```
//!
//! [`job::Sewn::products`] then draws and prints all that a shop delivers, and [`output::write_all`]
//! writes all files or none. The example `run_a_pipeline` does that.
//!
//! # Make it yours
//!
//! | you have | see | example |
//! |---|---|---|
//! | artwork in a form of your own | [`artwork::Reader`], [`artwork::Readers::with`] | `a_reader_of_your_own` |
//! | a design from your own program | [`artwork::Artwork::new`] | |
//! | something else to deliver | [`job::Writer`], [`job::Writers::with`] | `a_writer_of_your_own` |
//! | limits of your own | [`sandbox::Limits`] | `embed` |
//! | plugins | [`plugins::Plugins`] | `embed` |
//! | a progress bar, or a log | [`pipeline::Watch`] | `embed` |
//! | the same artwork again and again | [`pipeline::StepCache`] | `embed` |
//! | many artworks, none of which may stop the others | [`job::Attempt`], [`batch`] | `embed` |
//! | a step to write | the crate `hoopwright-sdk` | |
//!
//! The examples lie in `host/examples`, and the tests run them.
//!
//! # What holds
//!
//! - **The same input gives the same bytes**, on every machine: no clock, no random numbers, no order
//!   by hash. A reader, a writer or a plugin of your own is to keep to that too.
//! - **Errors are data.** What fails gives [`diagnostics::Failed`], which holds every problem that was
//!   found, with code, place and what to do. Bad input never panics.
//! - **Nothing is half written**, and nothing but a [`registry`] reaches a network.
//! - Lengths are millimetres, y grows down, angles are degrees, anticlockwise as seen; density is from
//!   a line to the second next.
//!
//! # What is stable
//!
//! Until 1.0 these are kept: the contract of steps (`sdk/wit`, versioned by itself), the files (pipelines,
//! parts, racks, profiles, designs, whose schemas only grow), the commands and their exit codes, the
//! codes of diagnostics, and of this library what the table above and the first example name. The other
//! public items serve the command line; they may change with any version.

pub mod artwork;
pub mod batch;
pub mod begin;
pub mod comparison;
pub mod design;
pub mod diagnostics;
pub mod fingerprint;
pub mod formats;
pub mod job;
pub mod json;
pub mod live;
pub mod manual;
pub mod output;
pub mod pipeline;
pub mod playback;
pub mod plugins;
pub mod preview;
pub mod rack;
pub mod reading;
pub mod registry;
pub mod report;
mod rounding;
pub mod sandbox;
pub mod sharing;
pub mod trial;
pub mod user_folders;
pub mod worksheet;
