//! The worksheet as one page to print: self-contained, and readable in black and white.

use super::time::in_words;
use super::{ThreadRun, Worksheet};
use crate::formats::dst::Beginning;
use maud::{DOCTYPE, Markup, PreEscaped, html};

/// Plain rules and one column; the colour swatches print, and every colour is named beside them.
const STYLE: &str = "
@page { margin: 14mm }
body { font: 9.5pt/1.3 sans-serif; color: #000; background: #fff; max-width: 182mm; margin: 0 auto; padding: 4mm }
h1 { font-size: 17pt; margin: 0 0 3mm }
h2 { font-size: 11pt; margin: 5mm 0 1mm; border-bottom: .4mm solid #000 }
.top { display: grid; grid-template-columns: auto 1fr; gap: 8mm; align-items: start }
.picture svg { max-width: 80mm; max-height: 80mm; height: auto; border: .2mm solid #000 }
table { border-collapse: collapse; width: 100% }
th, td { text-align: left; padding: .6mm 2mm .6mm 0; vertical-align: top; border-bottom: .1mm solid #999 }
th { font-weight: 600 }
.number { text-align: right; font-variant-numeric: tabular-nums }
.swatch { display: inline-block; width: 5mm; height: 3.4mm; border: .2mm solid #000; vertical-align: -.4mm; margin-right: 1.5mm; print-color-adjust: exact; -webkit-print-color-adjust: exact }
.line { display: inline-block; min-width: 60mm; border-bottom: .2mm solid #000; height: 1em }
.warnings { border: .5mm solid #000; padding: 1mm 3mm 2mm; margin: 0 0 4mm }
.warnings h2 { border: 0; margin: 1mm 0 }
ul { margin: 0; padding-left: 5mm }
tr, .warnings { break-inside: avoid }
";

/// The page. `preview_svg` is the picture that [`crate::preview::svg`] draws, and stands on the
/// page as it is; all other text is escaped.
pub fn html(sheet: &Worksheet, preview_svg: &str) -> String {
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width";
                title { "Worksheet: " (sheet.title) }
                style { (PreEscaped(STYLE)) }
            }
            body {
                h1 { @if sheet.title.is_empty() { "Worksheet" } @else { (sheet.title) } }
                @if !sheet.warnings.is_empty() { (warnings(sheet)) }
                div .top {
                    div .picture { (PreEscaped(preview_svg)) }
                    (facts(sheet))
                }
                h2 { "Thread order" }
                (order(&sheet.runs))
                h2 { "Set-up" }
                (setup(sheet))
                h2 { "Take care" }
                ul { @for caution in &sheet.cautions { li { (caution) } } }
            }
        }
    };
    page.into_string()
}

fn warnings(sheet: &Worksheet) -> Markup {
    html! {
        div .warnings {
            h2 { "Look at this before sewing" }
            ul {
                @for warning in &sheet.warnings {
                    li {
                        (warning.message)
                        @if let Some(object) = &warning.object { " (" (object) ")" }
                        @if let Some(help) = &warning.help { ": " (help) }
                    }
                }
            }
        }
    }
}

fn facts(sheet: &Worksheet) -> Markup {
    let reach = sheet.reach;
    let mm = |length: Option<f64>| length.map_or("none".to_owned(), |mm| format!("{mm:.2} mm"));
    let rows = [
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
            format!("about {} at {}/min", in_words(sheet.seconds), sheet.speed),
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
    ];
    html! {
        table .facts {
            @for (name, value) in rows { tr { th scope="row" { (name) } td { (value) } } }
        }
    }
}

fn order(runs: &[ThreadRun]) -> Markup {
    html! {
        table {
            thead {
                tr {
                    th .number { "No." } th { "At the halt" } th { "Code" } th { "Thread" }
                    th .number { "Weight" } th .number { "Stitches" } th .number { "Trims" }
                    th .number { "As it lies" }
                }
            }
            tbody {
                @for run in runs {
                    tr {
                        td .number { (run.position) }
                        td { (halt(run.begins)) }
                        td { (run.code) }
                        td {
                            span .swatch style={ "background:" (run.colour) } {}
                            (run.name) " " (run.colour)
                        }
                        td .number { (run.weight) }
                        td .number { (run.stitches) }
                        td .number { (run.trims) }
                        td .number { (format!("{:.2} m", run.laid_thread)) }
                    }
                }
            }
        }
    }
}

fn halt(begins: Beginning) -> &'static str {
    match begins {
        Beginning::Start => "start",
        Beginning::ThreadChange => "change thread",
        Beginning::Stop => "stop, keep thread",
    }
}

fn setup(sheet: &Worksheet) -> Markup {
    let setup = &sheet.setup;
    let hoop = setup.hoop.map_or(String::new(), |hoop| {
        format!(
            "{} x {} mm, margin {} mm",
            hoop.width, hoop.height, hoop.margin
        )
    });
    let rows = [
        ("Fabric", &setup.fabric),
        ("Stabilizer", &setup.stabilizer),
        ("Needle", &setup.needle),
        ("Hoop", &hoop),
        ("Top thread", &setup.top_thread),
        ("Bobbin thread", &setup.bobbin_thread),
    ];
    html! {
        table {
            @for (name, value) in rows {
                tr {
                    th scope="row" { (name) }
                    td { @if value.is_empty() { span .line {} } @else { (value) } }
                }
            }
        }
        @if !setup.notes.is_empty() {
            ul { @for note in &setup.notes { li { (note) } } }
        }
    }
}
