//! Every command and option, defined once: the parser, `--help` and the shell completions come
//! from here.

use super::hold_at::HoldAtName;
use super::limits::LimitOptions;
use super::sharing::{self, LockOption};
use super::{
    apply, batch, begin, inspect, judge, live, manual, picture, playback, registry, trial,
};
use clap::{Args, Parser, Subcommand, ValueEnum, ValueHint};
use hoopwright::diagnostics::commands;
use hoopwright::plugins::Place;
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
    Batch(batch::Batch),
    /// Sew again whenever artwork, pipeline, rack or plugin is saved, and show it in the browser.
    Live(live::Live),
    /// Check pipelines, and parts of pipelines, without running them.
    Check(Check),
    /// List all steps.
    Steps(Steps),
    /// Describe a step: what it does, and its settings with unit, range and default.
    Describe(Describe),
    /// Write the manual of the steps: a page for each, with its settings and a picture.
    Manual(manual::Manual),
    /// Write a JSON Schema, so that an editor completes and checks your files while you type.
    Schema(Schema),
    /// Tell what is in a machine file, a design, artwork or a pack.
    Inspect(inspect::Inspect),
    /// Draw the stitches of a machine file or a design, as PNG or SVG.
    Picture(picture::Picture),
    /// Judge a machine file or a sewn design: what would break thread, stiffen the cloth or show it.
    Report(judge::Report),
    /// Write a page that plays the sewing of a machine file or a sewn design.
    Playback(playback::Playback),
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
    #[arg(long, value_enum, default_value_t = HoldAtName::Error)]
    pub hold_at: HoldAtName,
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
    } else if text.contains(commands) {
        refused("it holds a character that cannot be seen, or turns the order of what is read")
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
        // The last but one is shown as "owl.exe.tsd", which is not what it is.
        for name in [
            "",
            ".",
            "..",
            ".owl",
            "../up",
            "/up",
            "a/b",
            "a\\b",
            "a\nb",
            "a\u{7f}",
            "owl.\u{202e}dst.exe",
            "a\u{2028}",
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
