//! Every command and option, defined once: the parser, `--help` and the shell completions come
//! from here.

use super::limits::LimitOptions;
use super::sharing::{self, LockOption};
use super::{apply, begin, picture, registry, trial};
use clap::{Args, Parser, Subcommand, ValueEnum, ValueHint};
use hoopwright::job::HoldAt;
use hoopwright::plugins::Place;
use hoopwright::rack::Colour;
use std::convert::Infallible;
use std::path::PathBuf;

const EXIT_CODES: &str = "Exit codes:
  0  done
  1  something that was given is wrong: artwork, pipeline, plugin or settings
  2  the command line is wrong
  3  an output cannot be written
  4  findings hold the file back: see --hold-at
Nothing is written unless all is well; files that were there before stay as they are.";

/// Sends flat artwork through a shop's routine of embroidery steps, and writes what the machine
/// and its operator need.
///
/// A pipeline file lists the steps; each is a plugin that runs in a sandbox. Begin with
/// `hoopwright steps`, then look at the pipelines in demo-pipelines.
#[derive(Debug, Parser)]
#[command(name = "hoopwright", version, after_help = EXIT_CODES, max_term_width = 100)]
pub struct Arguments {
    /// How problems and notes are told on standard error.
    #[arg(long, global = true, value_enum, default_value_t = Telling::People)]
    pub telling: Telling,

    /// Tell notes too, not only warnings and errors.
    #[arg(long, global = true)]
    pub notes: bool,

    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

/// How diagnostics are printed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Telling {
    /// As sentences, with the lines of the file they are about.
    People,
    /// As one JSON object a line.
    Json,
}

/// What `hoopwright` can do.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Run a pipeline on artwork, and write machine file, design, preview, worksheet and report.
    Run(Run),
    /// Run a pipeline on many artworks; a second run does only what is new or changed.
    Batch(Batch),
    /// Sew again whenever artwork, pipeline, rack or plugin is saved, and show it in the browser.
    Live(Live),
    /// Check pipelines, and parts of pipelines, without running them.
    Check(Check),
    /// List all steps.
    Steps(Steps),
    /// Describe a step: what it does, and its settings with unit, range and default.
    Describe(Describe),
    /// Write the manual of the steps: a page for each, with its settings and a picture.
    Manual(Manual),
    /// Write a JSON Schema, so that an editor completes and checks your files while you type.
    Schema(Schema),
    /// Tell what is in a machine file, a design, artwork or a pack.
    Inspect(Inspect),
    /// Draw the stitches of a machine file or a design, as PNG or SVG.
    Picture(Picture),
    /// Judge a machine file or a sewn design: what would break thread, stiffen the cloth or show it.
    Report(Report),
    /// Write a page that plays the sewing of a machine file or a sewn design.
    Playback(Playback),
    /// Begin a step of your own: a crate that builds, with tests, a routine and artwork to try it on.
    Begin(begin::Begin),
    /// Build a step of your own, run it on artwork, and draw the design before and after it.
    Try(trial::Try),
    /// Run one step on one design; for tests and scripts.
    Apply(apply::Apply),
    /// Lock a pipeline to the plugins it has now: writes the lock file that --locked holds it to.
    Lock(sharing::Lock),
    /// Pack a pipeline with all that it needs into one file, for another shop.
    Pack(sharing::Pack),
    /// Make a folder of a pack that a trusted shop has signed.
    Unpack(sharing::Unpack),
    /// Make a shop's pair of keys: the secret one signs packs, the public one is for other shops.
    Key(sharing::Key),
    /// Trust a shop's packs by its public key, list whom you trust, or trust one no longer.
    Trust(sharing::TrustOptions),
    /// Push a step to a registry, so that other shops can pull it.
    Push(registry::Push),
    /// Pull steps from a registry; only this asks the network, a run never does.
    Pull(registry::Pull),
    /// Write a completion script for a shell.
    Completions(Completions),
}

/// Options of `run`.
#[derive(Debug, Args)]
pub struct Run {
    /// The pipeline file.
    #[arg(value_hint = ValueHint::FilePath)]
    pub pipeline: PathBuf,
    /// The artwork: SVG, design JSON or DST.
    #[arg(value_hint = ValueHint::FilePath)]
    pub artwork: PathBuf,
    /// The folder to write into; it is made where it is missing.
    #[arg(long, value_name = "FOLDER", default_value = ".", value_hint = ValueHint::DirPath)]
    pub into: PathBuf,
    /// The first part of the names of the files written. [default: the artwork's own name]
    #[arg(long, value_name = "NAME", value_parser = file_name)]
    pub name: Option<String>,
    /// From which severity on findings hold all files back.
    #[arg(long, value_enum, default_value_t = HoldAt::Error)]
    pub hold_at: HoldAt,
    /// Whether plugins must be the locked ones.
    #[command(flatten)]
    pub lock: LockOption,
    /// Where steps come from and what they may use.
    #[command(flatten)]
    pub steps: StepSource,
}

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
    #[arg(long, value_enum, default_value_t = HoldAt::Error)]
    pub hold_at: HoldAt,
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

/// Options of `check`.
#[derive(Debug, Args)]
pub struct Check {
    /// The pipeline files, and files of parts.
    #[arg(required = true, value_hint = ValueHint::FilePath)]
    pub pipelines: Vec<PathBuf>,
    /// Whether plugins must be the locked ones.
    #[command(flatten)]
    pub lock: LockOption,
    /// Where steps come from and what they may use.
    #[command(flatten)]
    pub steps: StepSource,
}

const STEPS_HELP: &str = "Steps are looked for in this order, and one that is found later stands in for one of the same name:
  1  built into the program
  2  your own folder of steps, for all pipelines: on Linux ~/.local/share/hoopwright/steps, on macOS
     ~/Library/Application Support/hoopwright/steps, on Windows %APPDATA%\\hoopwright\\data\\steps
  3  the folder \"steps\" beside the pipeline, or in this folder where no pipeline is given
  4  what the pipeline names in \"plugins\"
  5  what --plugin names
Two of one name in the same place are an error. Nothing is fetched: see pull.";

/// Options of `steps`.
#[derive(Debug, Args)]
#[command(after_help = STEPS_HELP)]
pub struct Steps {
    /// The pipeline that is to name them.
    #[arg(value_hint = ValueHint::FilePath)]
    pub pipeline: Option<PathBuf>,
    /// As JSON, for scripts.
    #[arg(long)]
    pub json: bool,
    /// Where steps come from and what they may use.
    #[command(flatten)]
    pub steps: StepSource,
}

/// Options of `describe`.
#[derive(Debug, Args)]
pub struct Describe {
    /// The step's name.
    pub step: String,
    /// The JSON Schema of its settings instead of the table.
    #[arg(long)]
    pub schema: bool,
    /// Where steps come from and what they may use.
    #[command(flatten)]
    pub steps: StepSource,
}

/// Options of `manual`.
#[derive(Debug, Args)]
pub struct Manual {
    /// The steps; all unless given.
    pub steps: Vec<String>,
    /// The folder to write into; it is made where it is missing.
    #[arg(long, value_name = "FOLDER", value_hint = ValueHint::DirPath)]
    pub into: PathBuf,
    /// The pipeline that is to name them.
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub pipeline: Option<PathBuf>,
    /// Where steps come from and what they may use.
    #[command(flatten)]
    pub source: StepSource,
}

/// Options of `schema`.
#[derive(Debug, Args)]
pub struct Schema {
    /// The kind of file that the schema is for.
    #[arg(value_enum, default_value_t = SchemaOf::Pipeline)]
    pub of: SchemaOf,
    /// The file to write; standard output unless given.
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub to: Option<PathBuf>,
    /// Where steps come from and what they may use.
    #[command(flatten)]
    pub steps: StepSource,
}

/// The files that have a schema.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum SchemaOf {
    /// A pipeline, with the settings of every known step.
    Pipeline,
    /// A part: steps with settings of their own, for pipelines to include.
    Part,
    /// A thread rack.
    Rack,
    /// A design.
    Design,
    /// A machine's profile.
    Machine,
    /// The lock of a pipeline.
    Lock,
    /// What `report --json` prints, and the part `judgement` of a run's report.
    Report,
}

/// Options of `inspect`.
#[derive(Debug, Args)]
pub struct Inspect {
    /// The file: DST, design JSON, SVG or a pack.
    #[arg(value_hint = ValueHint::FilePath)]
    pub file: PathBuf,
    /// As JSON, for scripts.
    #[arg(long)]
    pub json: bool,
}

/// Options of `picture`.
#[derive(Debug, Args)]
pub struct Picture {
    /// The stitches: DST or design JSON.
    #[arg(value_hint = ValueHint::FilePath)]
    pub file: PathBuf,
    /// The file to write; its name ends in .png or .svg.
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub to: PathBuf,
    /// The fabric's colour, as in CSS: "#1f2a44", navy. [default: undyed cotton, #f0ede5]
    #[arg(long, value_name = "COLOUR", value_parser = picture::colour)]
    pub fabric: Option<Colour>,
    /// Pixels in a mm of a PNG, 0.1 to 200; fewer where the picture would be over 16 million
    /// pixels. [default: what is sewn becomes 1200 pixels long]
    #[arg(long, value_name = "PX", value_parser = |text: &str| picture::number(text, 0.1, 200.0))]
    pub scale: Option<f64>,
    /// How thick a 40 weight thread is drawn, in mm, 0.05 to 2; other weights go by their number.
    #[arg(long, value_name = "MM", default_value = "0.4", value_parser = |text: &str| picture::number(text, 0.05, 2.0))]
    pub thread_width: f64,
    /// Mark each needle point with a dot.
    #[arg(long)]
    pub needle_points: bool,
    /// Mark sewn travel with lines and jumps with dashes.
    #[arg(long)]
    pub travel: bool,
    /// Mark trims: a cross where the thread is cut, a ring where it starts again.
    #[arg(long)]
    pub trims: bool,
    /// Draw the inside of a hoop of this width and height in mm around the machine's start, such
    /// as 130x180.
    #[arg(long, value_name = "MMxMM", value_parser = picture::two_lengths)]
    pub hoop: Option<[f64; 2]>,
    /// Space to keep free inside the hoop, in mm, 0 to 50; drawn as dashes.
    #[arg(long, value_name = "MM", default_value = "5", value_parser = |text: &str| picture::number(text, 0.0, 50.0))]
    pub hoop_margin: f64,
}

/// Options of `report`.
#[derive(Debug, Args)]
pub struct Report {
    /// The machine file (DST) or the sewn design (JSON).
    #[arg(value_hint = ValueHint::FilePath)]
    pub file: PathBuf,
    /// The machine's profile; the usual settings and limits unless given.
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub machine: Option<PathBuf>,
    /// The fabric that is sewn on. [default: the profile's own, else woven]
    #[arg(long, value_enum)]
    pub fabric: Option<FabricName>,
    /// As JSON, for scripts.
    #[arg(long)]
    pub json: bool,
    /// Draw the findings too, by their numbers, on a picture of the stitches; the name ends in .png
    /// or .svg.
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub picture: Option<PathBuf>,
    /// From which severity on findings end the command with exit code 4.
    #[arg(long, value_enum, default_value_t = HoldAt::Error)]
    pub hold_at: HoldAt,
}

/// The fabrics.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum FabricName {
    /// Twill, canvas, shirting.
    Woven,
    /// Piqué and other knits.
    Pique,
    /// Fleece.
    Fleece,
    /// Terry.
    Terry,
}

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

/// Options of `completions`.
#[derive(Debug, Args)]
pub struct Completions {
    /// The shell.
    pub shell: clap_complete::Shell,
}

/// Where steps come from, and what each call of one may use.
#[derive(Debug, Args)]
pub struct StepSource {
    /// A plugin, a folder of plugins or a pack, or oci: and the reference of what was pulled from a
    /// registry; may be given more than once. Its steps stand in for others of the same name.
    #[arg(long = "plugin", value_name = "PLACE", value_parser = place, value_hint = ValueHint::AnyPath)]
    pub plugins: Vec<Place>,
    /// What each call may use.
    #[command(flatten)]
    pub limits: LimitOptions,
    /// Compile every plugin afresh instead of keeping the result in the user's cache folder.
    #[arg(long, help_heading = "Limits")]
    pub no_cache: bool,
}

/// The first part of files' names: no path, and nothing that hides them.
fn file_name(text: &str) -> Result<String, String> {
    let refused = |why: &str| Err(why.to_owned());
    if text.is_empty() {
        refused("it is empty")
    } else if text.starts_with('.') {
        refused("it begins with a dot, which hides files")
    } else if text.contains(['/', '\\']) {
        refused("it is a path; --into names the folder")
    } else if text.contains(char::is_control) {
        refused("it holds a character that cannot be seen")
    } else {
        Ok(text.to_owned())
    }
}

fn place(text: &str) -> Result<Place, Infallible> {
    text.parse()
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::CommandFactory as _;

    #[test]
    fn the_definition_is_sound() {
        Arguments::command().debug_assert();
    }

    /// A name that is a path would lead out of --into, and one with a dot before it is hidden on Unix
    /// (POSIX.1-2017, section 2.13.3: a leading period is matched only explicitly).
    #[test]
    fn the_name_of_files_is_no_path_and_hides_nothing() {
        let run = |name: &str| {
            let words = ["hoopwright", "run", "a.json", "a.svg", "--name", name];
            Arguments::try_parse_from(words)
        };
        for name in ["owl", "owl 2", "owl.v2", "Eule-ü", "-"] {
            assert!(run(name).is_ok(), "{name}");
        }
        for name in [
            "", ".", "..", ".owl", "../up", "/up", "a/b", "a\\b", "a\nb", "a\u{7f}",
        ] {
            assert!(run(name).is_err(), "{name:?}");
        }
    }

    #[test]
    fn the_limits_are_the_library_s_own() {
        let arguments = Arguments::parse_from(["hoopwright", "steps"]);
        let Command::Steps(steps) = arguments.command else {
            panic!("it is steps");
        };
        let limits = hoopwright::sandbox::Limits::default();
        assert_eq!(steps.steps.limits.limits(), limits);
    }
}
