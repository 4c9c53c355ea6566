//! The worksheet as one page to print: self-contained, and readable in black and white.

use super::{Paper, PictureScale, Worksheet, cautions, hand_fields, wording};
use crate::design::Design;
use crate::preview::{self, PreviewOptions};
use maud::{DOCTYPE, Markup, PreEscaped, html};

/// What the picture may take beside the figures, in mm.
const ROOM: [f64; 2] = [104.0, 112.0];

/// Plain rules; the colour swatches print, and every colour has its needle's number beside it.
const STYLE: &str = "
body { font: 8.5pt/1.25 sans-serif; color: #000; background: #fff; max-width: 186mm; margin: 0 auto }
@media screen { body { padding: 4mm } }
h1 { font-size: 15pt; line-height: 1.15; margin: 0 0 2mm; overflow-wrap: anywhere }
h2 { font-size: 10pt; margin: 2.5mm 0 .5mm; border-bottom: .3mm solid #000; break-after: avoid }
.top { display: grid; grid-template-columns: auto 1fr; gap: 5mm; align-items: start }
.picture svg { display: block; border: .2mm solid #000; box-sizing: content-box }
.picture .rule { border: 0; margin-top: 1.5mm }
.picture p { margin: .5mm 0 0; font-size: 7.5pt; contain: inline-size }
.top h2 { border: 0 }
table { border-collapse: collapse; width: 100% }
th, td { text-align: left; padding: .3mm 1.5mm .3mm 0; vertical-align: top; border-bottom: .1mm solid #999; overflow-wrap: anywhere }
th { font-weight: 600 }
.facts th { white-space: nowrap }
.facts th, .facts td { border: 0 }
.number { text-align: right; font-variant-numeric: tabular-nums; white-space: nowrap }
.needle { white-space: nowrap }
.swatch { display: inline-block; width: 6mm; height: 2.8mm; border: .2mm solid #000; vertical-align: -.4mm; margin-right: 1.5mm; print-color-adjust: exact; -webkit-print-color-adjust: exact }
.line { display: block; border-bottom: .2mm solid #000; height: 1em }
.warnings { border: .5mm solid #000; padding: .5mm 3mm 1mm; margin: 0 0 2.5mm }
.warnings h2 { border: 0; margin: .5mm 0 }
ul { margin: 0; padding-left: 4mm }
.care { font-size: 7.5pt; break-inside: avoid }
.care ul { columns: 2; column-gap: 5mm }
.care p { margin: 0; font-weight: 600 }
.fields { display: flex; gap: 3mm; margin-top: 5mm; break-inside: avoid }
.fields div { display: flex; gap: 1.5mm }
.fields span { flex: 1; border-bottom: .2mm solid #000 }
tr, .warnings { break-inside: avoid }
";

/// The page, with a picture of the stitches of `design`. All text is escaped.
pub fn html(sheet: &Worksheet, design: &Design) -> String {
    let paper = sheet.setup.paper.css();
    let margin = Paper::MARGIN;
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width";
                title { "Worksheet: " (sheet.title) }
                style { (PreEscaped(format!("\n@page {{ size: {paper}; margin: {margin}mm }}{STYLE}"))) }
            }
            body {
                h1 { (wording::title(sheet)) }
                @if !sheet.warnings.is_empty() { (warnings(sheet)) }
                div .top {
                    (picture(sheet, design))
                    div {
                        (facts(sheet))
                        h2 { (wording::SETUP) }
                        (setup(sheet))
                    }
                }
                h2 { (wording::ORDER) }
                (order(sheet))
                @if !sheet.setup.notes.is_empty() {
                    h2 { (wording::NOTES) }
                    ul { @for note in &sheet.setup.notes { li { (note) } } }
                }
                div .care {
                    h2 { (wording::CAUTIONS) }
                    p { (cautions::FIRST) }
                    ul {
                        @for caution in sheet.cautions.iter().filter(|one| **one != cautions::FIRST) {
                            li { (caution) }
                        }
                    }
                }
                (fields())
            }
        }
    };
    page.into_string()
}

/// The picture at a known scale, with a rule under it.
fn picture(sheet: &Worksheet, design: &Design) -> Markup {
    // The rule under it tells the scale, and the hoop is named beside it.
    let options = PreviewOptions {
        scale_bar: false,
        ..PreviewOptions::default()
    };
    let around = 2.0 * options.margin;
    let drawn = [sheet.width + around, sheet.height + around];
    let scale = PictureScale::fitting(drawn, ROOM);
    let size = (scale != PictureScale::TRUE).then(|| {
        let [width, height] = drawn.map(|mm| mm * scale.factor());
        format!(".picture .stitches svg {{ width: {width:.2}mm; height: {height:.2}mm }}")
    });
    let rule = wording::RULE;
    let ticks: String = (0..=10)
        .map(|tick| {
            let x = f64::from(tick) * rule / 10.0;
            let long = if tick % 2 == 0 { 1.8 } else { 1.0 };
            format!("M{x} 0v{long}")
        })
        .collect();
    html! {
        div .picture {
            @if let Some(size) = size { style { (PreEscaped(size)) } }
            div .stitches { (PreEscaped(preview::svg(design, &options))) }
            svg .rule width={ (rule) "mm" } height="2mm" viewBox={ "0 0 " (rule) " 2" } {
                path fill="none" stroke="#000" stroke-width=".25" d={ "M0 .125H" (rule) (ticks) } {}
            }
            p { (scale.in_words()) ". " (wording::MEASURE) }
        }
    }
}

fn warnings(sheet: &Worksheet) -> Markup {
    html! {
        div .warnings {
            h2 { (wording::WARNINGS) }
            ul { @for warning in &sheet.warnings { li { (wording::warning(warning)) } } }
        }
    }
}

fn facts(sheet: &Worksheet) -> Markup {
    html! {
        table .facts {
            @for (name, value) in wording::facts(sheet) {
                tr { th scope="row" { (name) } td { (value) } }
            }
        }
    }
}

fn order(sheet: &Worksheet) -> Markup {
    html! {
        table {
            thead {
                tr {
                    th .number { "No." } th { "Needle" } th { "At the halt" } th { "Code" }
                    th { "Thread" } th .number { "Weight" } th .number { "Stitches" }
                    th .number { "Trims" } th .number { "As it lies" }
                }
            }
            tbody {
                @for run in &sheet.runs {
                    tr {
                        td .number { (run.position) }
                        td .needle {
                            span .swatch style={ "background:" (run.colour) } {}
                            b { (wording::needle(run.needle)) }
                        }
                        td { (wording::halt(run.begins)) }
                        td { (run.code) }
                        td { (run.name) " " (run.colour) }
                        td .number { (run.weight) }
                        td .number { (run.stitches) }
                        td .number { (run.trims) }
                        td .number { (format!("{:.2} m", run.laid_thread)) }
                    }
                }
            }
            tfoot {
                tr {
                    th colspan="6" { "In all" }
                    th .number { (sheet.stitches) }
                    th .number { (sheet.trims) }
                    th .number { (format!("{:.2} m", sheet.laid_thread)) }
                }
            }
        }
    }
}

fn setup(sheet: &Worksheet) -> Markup {
    html! {
        table .facts {
            @for (name, value) in wording::setup(sheet) {
                tr {
                    th scope="row" { (name) }
                    td { @if value.is_empty() { span .line {} } @else { (value) } }
                }
            }
        }
    }
}

fn fields() -> Markup {
    html! {
        div .fields {
            @for (name, share) in hand_fields::ALL {
                div style={ "flex:" (share) } { b { (name) } span {} }
            }
        }
    }
}
