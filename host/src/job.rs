//! The whole way once: artwork and a checked pipeline in, everything a shop delivers out.

mod attempt;
mod hold;

pub use attempt::attempt;
pub use hold::HoldAt;

use crate::artwork;
use crate::comparison::{self, Drawn, Score, Source};
use crate::design::Design;
use crate::diagnostics::{Diagnostic, Failed, Severity};
use crate::formats::{design_json, dst};
use crate::pipeline::{Checked, StepCache, Watch, run};
use crate::plugins::Plugins;
use crate::preview::{self, HoopOutline, PreviewOptions};
use crate::report::{self, Report};
use crate::worksheet::{self, Worksheet};
use crate::{playback, rack};
use serde::Serialize;
use std::path::Path;
use std::sync::Arc;

/// What a job gives. Nothing has been written yet.
#[derive(Clone, Debug)]
pub struct Products {
    /// The sewn design.
    pub design: Design,
    /// The machine file.
    pub machine_file: Vec<u8>,
    /// A picture of the stitches, as SVG.
    pub preview: String,
    /// The sewing as a page to watch.
    pub playback: String,
    /// The same picture as PNG.
    pub preview_png: Vec<u8>,
    /// The picture with the report's findings on it, by their numbers, as PNG.
    pub report_png: Vec<u8>,
    /// Artwork, stitches and where they differ, side by side, as PNG.
    pub compare_png: Vec<u8>,
    /// How near the stitches come to the artwork; nothing where nothing is drawn.
    pub score: Option<Score>,
    /// What the operator needs.
    pub worksheet: Worksheet,
    /// What makes the file good or bad on the machine.
    pub report: Report,
    /// The same, to print, as PDF.
    pub worksheet_pdf: Vec<u8>,
    /// Everything noticed on the way, besides what the report found.
    pub findings: Vec<Diagnostic>,
}

/// The machine-readable account of a job.
#[derive(Serialize)]
struct Account<'a> {
    worksheet: &'a Worksheet,
    score: Option<&'a Score>,
    findings: &'a [Diagnostic],
    judgement: &'a Report,
}

/// Does a job, with the results in `cache` where there is one.
///
/// # Errors
/// Everything that went wrong, after everything that was noticed before it.
pub fn sew(
    checked: &Checked,
    art: &Path,
    plugins: &Plugins,
    cache: Option<&StepCache>,
    watch: &Arc<dyn Watch>,
) -> Result<Products, Failed> {
    let machine = &checked.pipeline.machine;
    let artwork = artwork::read_whole(art, checked.pipeline.artwork, machine)?;
    let mut design = artwork.design.clone();
    let mut findings = artwork.findings;
    if let Some(rack) = &checked.rack {
        let limit = checked.pipeline.rack_limit.unwrap_or(rack::FAR);
        findings.extend(rack::wind(&mut design, rack, limit));
    }
    let wound = rack::wound(&artwork.design, &design);
    let after = |mut findings: Vec<Diagnostic>, failed: Failed| {
        findings.extend(failed.0);
        Failed(findings)
    };
    let outcome = match run(checked, design, plugins.sandbox(), cache, watch) {
        Ok(outcome) => outcome,
        Err(failed) => return Err(after(findings, failed)),
    };
    findings.extend(outcome.findings);
    let design = outcome.design;
    let written = match dst::write(&design, machine) {
        Ok(written) => written,
        Err(failed) => return Err(after(findings, failed)),
    };
    findings.extend(written.notes.iter().cloned());
    let mut worksheet = worksheet::build(&design, &written, machine, &checked.pipeline.operator);
    let graver = findings
        .iter()
        .filter(|finding| finding.severity >= Severity::Warning)
        .cloned()
        .collect::<Vec<_>>();
    findings.extend(worksheet.warnings.iter().cloned());
    let report = report::judge(&design, &written.route, machine, checked.pipeline.fabric());
    worksheet.warnings.extend(graver);
    let print = match worksheet::pdf(&worksheet, &design, written.route.origin) {
        Ok(print) => print,
        Err(failed) => return Err(after(findings, failed)),
    };
    findings.extend(print.findings);
    let drawn = Drawn {
        source: match &artwork.svg {
            Some((text, scale)) => Source::Svg(text, *scale),
            None => Source::Design,
        },
        read: &artwork.design,
        wound: &wound,
    };
    let options = PreviewOptions {
        hoop: checked
            .pipeline
            .operator
            .hoop
            .map(|hoop| HoopOutline::new(hoop, written.route.origin)),
        ..PreviewOptions::default()
    };
    let marked = PreviewOptions {
        overlay: report.overlay(),
        ..PreviewOptions::default()
    };
    let (pictures, compared) = rayon::join(
        || {
            Ok((
                preview::svg(&design, &options),
                preview::png(&design, &options)?,
                preview::png(&design, &marked)?,
            ))
        },
        || comparison::compare(&drawn, &design, &options),
    );
    let ((preview, preview_png, report_png), compared) = match (pictures, compared) {
        (Ok(pictures), Ok(compared)) => (pictures, compared),
        (Err(problem), _) | (_, Err(problem)) => return Err(after(findings, problem.into())),
    };
    findings.extend(compared.findings);
    let playback = playback::html(
        &design,
        &written.route,
        machine,
        playback::Artwork::of(&artwork.design).as_ref(),
    );
    Ok(Products {
        design,
        machine_file: written.bytes,
        preview,
        playback,
        preview_png,
        report_png,
        compare_png: compared.picture,
        score: compared.score,
        worksheet,
        report,
        worksheet_pdf: print.bytes,
        findings,
    })
}

impl Products {
    /// Why nothing should be written, where a finding is as grave as `hold_at`.
    pub fn held(&self, hold_at: HoldAt) -> Option<Diagnostic> {
        let judged = self.report.diagnostics();
        hold_at.hold(self.findings.iter().chain(&judged), "nothing was written")
    }

    /// What to tell of the job: everything noticed, and of each measure the worst; the report has all.
    pub fn told(&self) -> Vec<Diagnostic> {
        let mut told = self.findings.clone();
        told.extend(self.report.headlines());
        told
    }

    /// The files to write, each with the end of its name.
    pub fn files(&self) -> Vec<(&'static str, Vec<u8>)> {
        let report = Account {
            worksheet: &self.worksheet,
            score: self.score.as_ref(),
            findings: &self.findings,
            judgement: &self.report,
        };
        // Plain structs of strings and finite numbers always serialize.
        let mut report = serde_json::to_vec_pretty(&report).unwrap_or_default();
        report.push(b'\n');
        vec![
            ("dst", self.machine_file.clone()),
            ("design.json", design_json::write(&self.design).into_bytes()),
            ("preview.svg", self.preview.clone().into_bytes()),
            ("playback.html", self.playback.clone().into_bytes()),
            ("preview.png", self.preview_png.clone()),
            ("compare.png", self.compare_png.clone()),
            ("report.png", self.report_png.clone()),
            (
                "worksheet.html",
                worksheet::html(&self.worksheet, &self.design).into_bytes(),
            ),
            ("worksheet.pdf", self.worksheet_pdf.clone()),
            ("report.json", report),
        ]
    }
}
