//! Many artworks: one summary for people, or a line for each as it finishes for scripts.

use super::arguments::{Arguments, StepSource, Telling};
use super::commands::sources;
use super::hold_at::HoldAtName;
use super::print;
use super::sharing::{self, LockOption};
use super::stop::Stop;
use super::tell::Teller;
use super::watch::Tally;
use super::{CANNOT_WRITE, WRONG_INPUT};
use clap::{Args, ValueHint};
use hoopwright::batch::{self, BatchArtwork, Finished, Outcome, Totals, gather};
use hoopwright::diagnostics::{Diagnostic, Severity, commands};
use hoopwright::job::Forms;
use hoopwright::output::check_folder;
use hoopwright::pipeline::{Opened, Watch};
use hoopwright::reading::read_text;
use serde::Serialize;
use std::io::{Read as _, Write as _};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// The longest list of artwork read, in MiB.
const LONGEST_LIST_MIB: u64 = 64;

const BATCH_HELP: &str = "Each artwork's products are written as soon as they are made. The file hoopwright.batch.json in the
folder records what they were made of: artwork, pipeline, rack, plugins, limits and the program's
version. Run the same command again, also after it was killed, and it does only what is new,
changed, failed or gone.

With --telling json standard output gets one JSON object a line: for each artwork as it finishes
\"line\": \"artwork\", its \"index\" in the order given, \"artwork\", \"name\", \"outcome\" (sewn, unchanged,
failed, not-written), figures, \"files\" and \"findings\"; and last \"line\": \"totals\".

Exit codes:
  0  every artwork is sewn, now or before
  1  the pipeline or an option is wrong, and nothing was sewn; or some artwork is wrong, and all
     others were sewn
  2  the command line is wrong
  3  products of some artwork cannot be written, and all others were; or the folder cannot be
     written into, or another batch is writing into it";

/// Options of `batch`.
#[derive(Debug, Args)]
#[command(after_help = BATCH_HELP)]
pub struct Batch {
    /// The pipeline file.
    #[arg(value_hint = ValueHint::FilePath)]
    pub pipeline: PathBuf,
    /// The artwork: files, or folders whose .svg, .design.json and .dst files are taken by name.
    #[arg(required_unless_present = "list", value_hint = ValueHint::AnyPath)]
    pub artwork: Vec<PathBuf>,
    /// A file that lists artwork, one path a line; `-` reads the list from standard input.
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub list: Option<PathBuf>,
    /// The folder to write into; it is made where it is missing.
    #[arg(long, value_name = "FOLDER", value_hint = ValueHint::DirPath)]
    pub into: PathBuf,
    /// Sew everything anew, also what has not changed.
    #[arg(long)]
    pub anew: bool,
    /// From which severity on findings hold an artwork's files back; it counts as failed.
    #[arg(long, value_enum, default_value_t = HoldAtName::Error)]
    pub hold_at: HoldAtName,
    /// How many cores to use. [default: all]
    #[arg(long, value_name = "NUMBER", value_parser = clap::value_parser!(u16).range(1..=1024))]
    pub cores: Option<u16>,
    /// Whether plugins must be the locked ones.
    #[command(flatten)]
    pub lock: LockOption,
    /// Where steps come from and what they may use.
    #[command(flatten)]
    pub steps: StepSource,
}

/// Sews all artworks, and tells what became of each.
pub fn sew_all(many: &Batch, arguments: &Arguments, teller: &mut Teller) -> Result<(), Stop> {
    if let Some(cores) = many.cores {
        // It fails only where something has run on all cores already, and nothing has.
        let _ = rayon::ThreadPoolBuilder::new()
            .num_threads(usize::from(cores))
            .build_global();
    }
    check_folder(&many.into).map_err(Stop::Output)?;
    let mut given = many.artwork.clone();
    if let Some(list) = &many.list {
        given.extend(batch::listed(&read_list(list)?));
    }
    let forms = Forms::default();
    let gathered = gather(&given, &many.into, &forms)?;
    teller.tell(&gathered.notes);
    let (opened, noticed) = sharing::held(&many.pipeline, &sources(&many.steps)?, &many.lock)?;
    teller.tell(&noticed);
    let Opened { plugins, checked } = opened;
    let all = batch::Batch {
        checked: &checked,
        plugins: &plugins,
        forms: &forms,
        artworks: &gathered.artworks,
        into: &many.into,
        anew: many.anew,
        hold_at: many.hold_at.into(),
    };
    let tally = Tally::new(all.artworks.len(), arguments.notes);
    let watch = |artwork: &BatchArtwork| -> Arc<dyn Watch> { tally.watch(&artwork.name) };
    let mut rows = Vec::new();
    let mut notices = Vec::new();
    let told = batch::run(
        &all,
        &watch,
        &mut |notice| notices.push(notice),
        &mut |finished| {
            tally.one_more(|| match arguments.telling {
                Telling::Json => json_line(finished, arguments.notes, teller),
                Telling::People => teller.tell(&worth_telling(finished, arguments.notes)),
            });
            rows.push(Row::of(finished));
        },
    );
    tally.finish();
    notices.extend(plugins.sandbox().noticed());
    teller.tell(&notices);
    let totals = told.map_err(Stop::Output)?;
    match arguments.telling {
        Telling::Json => line(&Line::Totals(&totals)),
        Telling::People => table(&mut rows, &totals),
    }
    if totals.not_written > 0 {
        Err(Stop::Told(CANNOT_WRITE))
    } else if totals.failed > 0 {
        Err(Stop::Told(WRONG_INPUT))
    } else {
        Ok(())
    }
}

fn read_list(list: &Path) -> Result<String, Diagnostic> {
    if list != Path::new("-") {
        return read_text(list, LONGEST_LIST_MIB);
    }
    let mut text = String::new();
    std::io::stdin()
        .take(LONGEST_LIST_MIB << 20)
        .read_to_string(&mut text)
        .map_err(|error| {
            Diagnostic::error(
                "unreadable",
                format!("the list on standard input cannot be read: {error}"),
            )
        })?;
    Ok(text)
}

/// For people: why an artwork failed. Warnings are counted in the table and stand in each report,
/// since those of a hundred artworks would bury the errors.
fn worth_telling(finished: &Finished, all: bool) -> Vec<Diagnostic> {
    let failed = matches!(finished.outcome, Outcome::Failed | Outcome::NotWritten);
    let findings = finished.findings.iter();
    findings
        .filter(|finding| all || failed && finding.severity == Severity::Error)
        .map(|finding| {
            let mut finding = finding.clone();
            // Several artworks finish side by side, so each finding says whose it is.
            finding.file.get_or_insert_with(|| finished.artwork.clone());
            finding
        })
        .collect()
}

/// A line for scripts.
#[derive(Serialize)]
#[serde(tag = "line", rename_all = "kebab-case")]
enum Line<'a> {
    Artwork(&'a Finished),
    Totals(&'a Totals),
}

fn json_line(finished: &Finished, notes: bool, teller: &Teller) {
    let mut finished = finished.clone();
    let findings = std::mem::take(&mut finished.findings).into_iter();
    let findings = findings.filter(|finding| notes || finding.severity > Severity::Note);
    finished.findings = findings.map(|told| teller.in_options(told)).collect();
    line(&Line::Artwork(&finished));
}

/// Prints a line. Whoever reads may have gone; the batch goes on all the same.
fn line(line: &Line<'_>) {
    // Plain strings and finite numbers always serialize.
    let text = serde_json::to_string(line).unwrap_or_default();
    let mut out = std::io::stdout().lock();
    print::keep(writeln!(out, "{text}").and_then(|()| out.flush()));
}

/// An artwork in the table.
struct Row {
    index: usize,
    cells: [String; 6],
}

const HEAD: [&str; 6] = ["name", "stitches", "changes", "trims", "minutes", "outcome"];

impl Row {
    fn of(finished: &Finished) -> Self {
        let figure = |of: fn(&batch::Figures) -> u64| {
            let figures = finished.figures.as_ref();
            figures.map_or_else(|| "-".to_owned(), |figures| of(figures).to_string())
        };
        let name = finished.name.chars();
        Self {
            index: finished.index,
            cells: [
                name.map(|c| if commands(c) { ' ' } else { c }).collect(),
                figure(|figures| figures.stitches as u64),
                figure(|figures| figures.thread_changes as u64),
                figure(|figures| figures.trims as u64),
                figure(batch::Figures::minutes),
                outcome(finished),
            ],
        }
    }
}

fn outcome(finished: &Finished) -> String {
    let word = match finished.outcome {
        Outcome::Sewn => "sewn",
        Outcome::Unchanged => "unchanged",
        Outcome::Failed => "failed",
        Outcome::NotWritten => "not written",
    };
    let warnings = finished.figures.map_or(0, |figures| figures.warnings);
    match (finished.error(), warnings) {
        (Some(error), _) => {
            let message = error.message.replace('\n', " ");
            format!("{word}: {message}")
        }
        (None, 0) => word.to_owned(),
        (None, 1) => format!("{word}, 1 warning"),
        (None, warnings) => format!("{word}, {warnings} warnings"),
    }
}

/// The summary for people, in the order in which the artworks were given.
fn table(rows: &mut [Row], totals: &Totals) {
    rows.sort_by_key(|row| row.index);
    let head = HEAD.map(str::to_owned);
    let all = || std::iter::once(&head).chain(rows.iter().map(|row| &row.cells));
    let width = |column: usize| {
        let widths = all().map(|cells| cells[column].chars().count());
        widths.max().unwrap_or(0)
    };
    let widths = [0, 1, 2, 3, 4].map(width);
    let mut text = String::new();
    for [name, stitches, changes, trims, minutes, outcome] in all() {
        let [first, second, third, fourth, fifth] = widths;
        text += &format!(
            "{name:first$}  {stitches:>second$}  {changes:>third$}  {trims:>fourth$}  {minutes:>fifth$}  {outcome}\n"
        );
    }
    text += &sentence(totals);
    println!("{text}");
}

fn sentence(totals: &Totals) -> String {
    let artworks = if totals.artworks == 1 {
        "artwork"
    } else {
        "artworks"
    };
    let parts = [
        (totals.sewn, "sewn"),
        (totals.unchanged, "unchanged"),
        (totals.failed, "failed"),
        (totals.not_written, "not written"),
    ];
    let parts: Vec<String> = parts
        .iter()
        .filter(|(count, _)| *count > 0)
        .map(|(count, word)| format!("{count} {word}"))
        .collect();
    let minutes = (totals.seconds / 60.0).ceil();
    format!(
        "{} {artworks}: {}; {} stitches, about {minutes} min to sew one of each",
        totals.artworks,
        parts.join(", "),
        totals.stitches,
    )
}
