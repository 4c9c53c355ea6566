//! Which options stand for what the library lets its callers choose.

use super::arguments::Arguments;
use clap::CommandFactory as _;
use hoopwright::diagnostics::{Choice, Diagnostic};

/// The options of the command that is run.
pub struct Options(Vec<String>);

impl Options {
    /// Those of the command of this name.
    pub fn of(command: &str) -> Self {
        let all = Arguments::command();
        let options = all.find_subcommand(command).map(|command| {
            let longs = command.get_arguments().filter_map(clap::Arg::get_long);
            longs.map(str::to_owned).collect()
        });
        Self(options.unwrap_or_default())
    }

    /// What is told, with the option by which its help can be followed, where the command has one.
    pub fn named(&self, mut told: Diagnostic) -> Diagnostic {
        let has = |option: &str| self.0.iter().any(|known| known == option);
        let words = told.choice.map_or(&[][..], words);
        let words = words.iter().find(|(option, _)| has(option));
        if let (Some((_, words)), Some(help)) = (words, &mut told.help) {
            let sentence = help.strip_suffix('.').unwrap_or(help);
            *help = format!("{sentence} {words}.");
        }
        told
    }
}

/// The options that a choice may have, and how a sentence goes on to name them.
fn words(choice: Choice) -> &'static [(&'static str, &'static str)] {
    match choice {
        Choice::Place => &[
            ("into", "with --into"),
            ("to", "with --to"),
            ("picture", "with --picture"),
        ],
        Choice::Work => &[("work-limit", "with --work-limit")],
        Choice::Time => &[("time-limit", "with --time-limit")],
        Choice::Memory => &[("memory-limit", "with --memory-limit")],
        Choice::Answer => &[("answer-limit", "with --answer-limit")],
        Choice::Stitches => &[("stitch-limit", "with --stitch-limit")],
        Choice::ReadyTime => &[("ready-limit", "with --ready-limit")],
        Choice::KeepCompiled => &[("no-cache", "with --no-cache")],
        Choice::HoldAt => &[("hold-at", "with --hold-at")],
        Choice::Port => &[("port", "with --port")],
        Choice::Credentials => &[(
            "user",
            "with --user NAME, and the password in the environment variable \
             HOOPWRIGHT_REGISTRY_PASSWORD or with --password-file",
        )],
        Choice::PasswordFile => &[("password-file", "that --password-file names")],
        Choice::PlainHttp => &[("plain-http", "with --plain-http")],
        Choice::TrustFile => &[("trust", "with --trust")],
        Choice::TrustNoLonger => &[("remove", "with --remove")],
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn help(command: &str, choice: Choice) -> Option<String> {
        let told = Diagnostic::error("x", "y").help("Name another.");
        Options::of(command).named(told.choosing(choice)).help
    }

    #[test]
    fn a_help_names_the_option_of_the_command_that_is_run() {
        for (command, choice, expected) in [
            ("run", Choice::Place, "Name another with --into."),
            ("picture", Choice::Place, "Name another with --to."),
            ("report", Choice::Place, "Name another with --picture."),
            ("lock", Choice::Place, "Name another."),
            ("run", Choice::Work, "Name another with --work-limit."),
            ("live", Choice::Time, "Name another with --time-limit."),
            ("try", Choice::Memory, "Name another with --memory-limit."),
            ("apply", Choice::Answer, "Name another with --answer-limit."),
            (
                "batch",
                Choice::Stitches,
                "Name another with --stitch-limit.",
            ),
            (
                "check",
                Choice::ReadyTime,
                "Name another with --ready-limit.",
            ),
            ("run", Choice::KeepCompiled, "Name another with --no-cache."),
            ("batch", Choice::HoldAt, "Name another with --hold-at."),
            ("live", Choice::Port, "Name another with --port."),
            ("unpack", Choice::TrustFile, "Name another with --trust."),
            (
                "trust",
                Choice::TrustNoLonger,
                "Name another with --remove.",
            ),
            ("pull", Choice::PlainHttp, "Name another with --plain-http."),
        ] {
            assert_eq!(
                help(command, choice).as_deref(),
                Some(expected),
                "{command}"
            );
        }
    }
}
