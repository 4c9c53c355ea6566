//! The sewing of a file, as a page to watch.

use super::stop::Stop;
use super::tell::Teller;
use clap::{Args, ValueHint};
use hoopwright::artwork;
use hoopwright::diagnostics::path_in_words;
use hoopwright::formats::dst::{Machine, Route};
use hoopwright::output::{OTHER_FILE, Spared, write_all};
use hoopwright::pipeline::Size;
use hoopwright::playback::{self, Artwork};
use std::path::{Path, PathBuf};

/// Options of `playback`.
#[derive(Debug, Args)]
pub struct Playback {
    /// The file: DST or design JSON.
    #[arg(value_hint = ValueHint::FilePath)]
    pub file: PathBuf,
    /// The page to write.
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub to: PathBuf,
}

/// Writes the page `to` that plays the sewing of `file`, on a machine with the usual settings. The
/// design's own shapes, where it has any, lie beneath.
pub fn write(file: &Path, to: &Path, teller: &mut Teller) -> Result<(), Stop> {
    Spared::default()
        .and(file, "the file that is played")
        .check([to], OTHER_FILE)
        .map_err(Stop::Output)?;
    let (design, mut findings) = artwork::read(file, Size::default())?;
    let machine = Machine::default();
    let (route, notes) = Route::plan(&design, &machine)?;
    findings.extend(notes);
    teller.tell(&findings);
    let beneath = Artwork::of(&design);
    let page = playback::html(&design, &route, &machine, beneath.as_ref());
    write_all(&[(to.to_owned(), page.into_bytes())]).map_err(Stop::Output)?;
    println!("{}", path_in_words(to));
    Ok(())
}
