//! What stands on the worksheet, in words; the same in HTML and in PDF.

use super::Worksheet;
use super::time::in_words;
use crate::diagnostics::Diagnostic;
use crate::formats::dst::Beginning;

/// Above the warnings.
pub const WARNINGS: &str = "Look at this before sewing";
/// Above the threads.
pub const ORDER: &str = "Thread order";
/// Above what the shop says about the job.
pub const SETUP: &str = "Set-up";
/// Above the shop's notes.
pub const NOTES: &str = "Notes";
/// Above the cautions.
pub const CAUTIONS: &str = "Take care";
/// The length of the rule beside the picture, in mm.
pub const RULE: f64 = 50.0;
/// Beside the rule.
pub const MEASURE: &str =
    "This rule is 50 mm long. If it is not, print again at 100 %, without fitting to the page.";

/// What the page is called.
pub fn title(sheet: &Worksheet) -> &str {
    if sheet.title.is_empty() {
        "Worksheet"
    } else {
        &sheet.title
    }
}

/// A warning as one sentence.
pub fn warning(warning: &Diagnostic) -> String {
    let object = warning
        .object
        .as_ref()
        .map_or(String::new(), |object| format!(" ({object})"));
    let help = warning
        .help
        .as_ref()
        .map_or(String::new(), |help| format!(": {help}"));
    format!("{}{object}{help}", warning.message)
}

/// Names and values of what the design is and needs.
pub fn facts(sheet: &Worksheet) -> Vec<(&'static str, String)> {
    let reach = sheet.reach;
    let mm = |length: Option<f64>| length.map_or("none".to_owned(), |mm| format!("{mm:.2} mm"));
    vec![
        (
            "Size",
            format!("{:.1} x {:.1} mm", sheet.width, sheet.height),
        ),
        (
            "From the start point",
            format!(
                "left {:.1}, right {:.1}, up {:.1}, down {:.1} mm",
                reach.left, reach.right, reach.up, reach.down
            ),
        ),
        ("Stitches", sheet.stitches.to_string()),
        ("Thread changes", sheet.thread_changes.to_string()),
        ("Stops", sheet.stops.to_string()),
        ("Trims", sheet.trims.to_string()),
        ("Shortest stitch", mm(sheet.shortest_stitch)),
        ("Longest stitch", mm(sheet.longest_stitch)),
        (
            "Machine time",
            format!(
                "about {}, sewing at {}/min",
                in_words(sheet.seconds),
                sheet.speed
            ),
        ),
        (
            "Top thread",
            format!(
                "about {:.1} m ({:.1} m as it lies)",
                sheet.top_thread, sheet.laid_thread
            ),
        ),
        (
            "Bobbin thread",
            format!("about {:.1} m", sheet.bobbin_thread),
        ),
    ]
}

/// Names and values of what the shop says about the job. An empty value is filled in by hand.
pub fn setup(sheet: &Worksheet) -> Vec<(&'static str, String)> {
    let setup = &sheet.setup;
    let hoop = setup.hoop.map_or(String::new(), |hoop| {
        format!(
            "{} x {} mm, margin {} mm",
            hoop.width, hoop.height, hoop.margin
        )
    });
    vec![
        ("Fabric", setup.fabric.clone()),
        ("Stabilizer", setup.stabilizer.clone()),
        ("Needle", setup.needle.clone()),
        ("Hoop", hoop),
        ("Top thread", setup.top_thread.clone()),
        ("Bobbin thread", setup.bobbin_thread.clone()),
    ]
}

/// What the machine halts for.
pub fn halt(begins: Beginning) -> &'static str {
    match begins {
        Beginning::Start => "start",
        Beginning::ThreadChange => "change thread",
        Beginning::Stop => "stop, keep thread",
    }
}

/// A needle's number; a dash where the machine has none for the thread.
pub fn needle(needle: Option<u16>) -> String {
    needle.map_or("\u{2013}".to_owned(), |needle| needle.to_string())
}
