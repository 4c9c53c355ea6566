//! The live loop, told on the terminal; its page opens in the browser.

use super::arguments::StepSource;
use super::commands::sources;
use super::print;
use super::sharing::LockOption;
use super::stop::Stop;
use super::tell::Teller;
use clap::{Args, ValueHint};
use hoopwright::job::Forms;
use hoopwright::live::{self, Options, Told};
use std::io::Write as _;
use std::path::PathBuf;
use std::time::Duration;

/// Options of `live`.
#[derive(Debug, Args)]
pub struct Live {
    /// The pipeline file.
    #[arg(value_hint = ValueHint::FilePath)]
    pub pipeline: PathBuf,
    /// The artwork: SVG, design JSON or DST.
    #[arg(value_hint = ValueHint::FilePath)]
    pub artwork: PathBuf,
    /// A folder to write the products into after each run that goes well.
    #[arg(long, value_name = "FOLDER", value_hint = ValueHint::DirPath)]
    pub into: Option<PathBuf>,
    /// The page's port on this computer; a free one is taken unless given.
    #[arg(
        long,
        value_name = "NUMBER",
        default_value_t = 0,
        hide_default_value = true
    )]
    pub port: u16,
    /// Look at the files every so many seconds instead of being told of changes; for network
    /// drives, which often do not tell.
    #[arg(long, value_name = "SECONDS", value_parser = clap::value_parser!(u16).range(1..=3600))]
    pub look_every: Option<u16>,
    /// Whether plugins must be the locked ones.
    #[command(flatten)]
    pub lock: LockOption,
    /// Where steps come from and what they may use.
    #[command(flatten)]
    pub steps: StepSource,
}

/// Sews whenever something changes, until the program is ended.
pub fn keep_sewing(watched: &Live, teller: &mut Teller) -> Result<(), Stop> {
    let seconds = |number: u16| Duration::from_secs(u64::from(number));
    let live = live::Live::open(Options {
        artwork: watched.artwork.clone(),
        pipeline: watched.pipeline.clone(),
        sources: sources(&watched.steps)?,
        forms: Forms::default(),
        hold: watched.lock.hold(),
        into: watched.into.clone(),
        port: watched.port,
        look_every: watched.look_every.map(seconds),
    })?;
    line(&format!(
        "{}  open this in a browser; Ctrl-C ends it",
        live.address()
    ));
    live.run(&mut |told| match told {
        Told::WentWell(summary, effort, findings) => {
            teller.forget_texts();
            teller.tell(findings);
            line(&format!("{summary} ({effort})"));
        }
        Told::Failed(errors) => {
            teller.forget_texts();
            teller.tell(errors);
            line("failed; waiting for a change");
        }
        Told::Looking(period, why) => {
            let often = match period.as_secs() {
                1 => "every second".to_owned(),
                seconds => format!("every {seconds} s"),
            };
            match why {
                Some(why) => line(&format!(
                    "looking at the files {often}, because changes are not told: {why}"
                )),
                None => line(&format!("looking at the files {often}")),
            }
        }
    })
}

/// Prints a line at once. Whoever reads may have gone; the page is still there.
fn line(text: &str) {
    let mut out = std::io::stdout().lock();
    print::keep(writeln!(out, "{text}").and_then(|()| out.flush()));
}
