//! The sewing of a file, as a page to watch.

use super::profile::machine_of;
use super::stop::Stop;
use super::tell::Teller;
use clap::{Args, ValueHint};
use hoopwright::artwork::read_for;
use hoopwright::diagnostics::{Diagnostic, path_in_words};
use hoopwright::formats::dst::Route;
use hoopwright::output::{OTHER_FILE, Spared, write_all};
use hoopwright::pipeline::Size;
use hoopwright::playback::{self, Artwork};
use std::path::PathBuf;

/// Options of `playback`.
#[derive(Debug, Args)]
pub struct Playback {
    /// The file: DST or design JSON.
    #[arg(value_hint = ValueHint::FilePath)]
    pub file: PathBuf,
    /// The page to write; its name ends in .html.
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub to: PathBuf,
    /// The machine's profile: how many jumps in a row cut the thread, and how fast it sews. The usual
    /// machine unless given.
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub machine: Option<PathBuf>,
}

/// Writes the page that plays the sewing of a file. The design's own shapes, where it has any, lie beneath.
pub fn write(options: &Playback, teller: &mut Teller) -> Result<(), Stop> {
    let Playback { file, to, machine } = options;
    Spared::default()
        .and(file, "the file that is played")
        .check([&**to], OTHER_FILE)
        .map_err(Stop::Output)?;
    let ending = to.extension().and_then(|ending| ending.to_str());
    if !ending.is_some_and(|ending| ["html", "htm"].contains(&&*ending.to_ascii_lowercase())) {
        let form = format!("{} is no page", path_in_words(to));
        let form = Diagnostic::error("unknown-form", form);
        return Err(form.help("Let the name end in .html.").into());
    }
    let machine = machine_of(machine.as_deref())?;
    let (design, mut findings) = read_for(file, Size::default(), &machine)?;
    let (route, notes) = Route::plan(&design, &machine)?;
    findings.extend(notes);
    teller.tell(&findings);
    let beneath = Artwork::of(&design);
    let page = playback::html(&design, &route, &machine, beneath.as_ref());
    write_all(&[(to.clone(), page.into_bytes())]).map_err(Stop::Output)?;
    println!("{}", path_in_words(to));
    Ok(())
}
