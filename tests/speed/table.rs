//! What was measured, as the README's table.

use crate::figures::Figure;
use std::fmt::Write as _;
use std::path::Path;

/// The lines between which the table stands.
const BEGIN: &str = "<!-- cargo bench -p hoopwright --bench speed -- --table README.md -->";
const END: &str = "<!-- the end of what was measured -->";

/// All parts as Markdown.
pub fn of(parts: &[(&str, Vec<Figure>)]) -> String {
    let cores = std::thread::available_parallelism().map_or(1, usize::from);
    let system = (std::env::consts::ARCH, std::env::consts::OS);
    let mut text = format!(
        "{cores} cores, {}, {}. Ratios are medians of pairs by turns, with the middle half in brackets.\n",
        system.0, system.1
    );
    let _ = writeln!(text, "\n| measured | | target |\n|---|---|---|");
    for (title, figures) in parts {
        let _ = writeln!(text, "| **{title}** | | |");
        for figure in figures {
            let target = match &figure.target {
                Some((words, true)) => format!("{words}: kept"),
                Some((words, false)) => format!("{words}: **missed**"),
                None => String::new(),
            };
            let _ = writeln!(text, "| {} | {} | {target} |", figure.what, figure.measured);
        }
    }
    text
}

/// Puts the table between its two lines of `file`.
pub fn put_into(file: &Path, parts: &[(&str, Vec<Figure>)]) {
    let text = std::fs::read_to_string(file).unwrap();
    let around = text
        .split_once(BEGIN)
        .and_then(|(before, rest)| Some((before, rest.split_once(END)?.1)));
    let Some((before, after)) = around else {
        panic!("{} has no lines {BEGIN} and {END}", file.display());
    };
    let table = of(parts);
    std::fs::write(file, format!("{before}{BEGIN}\n{table}{END}{after}")).unwrap();
}
