//! The whole way once: artwork and a checked pipeline in, everything a shop delivers out.

mod attempt;

pub use attempt::attempt;

use crate::artwork;
use crate::design::Design;
use crate::diagnostics::{Diagnostic, Failed, Severity};
use crate::formats::{design_json, dst};
use crate::pipeline::{Checked, StepCache, Watch, run};
use crate::plugins::Plugins;
use crate::worksheet::{self, Worksheet};
use crate::{preview, rack};
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
    /// What the operator needs.
    pub worksheet: Worksheet,
    /// Everything noticed on the way.
    pub findings: Vec<Diagnostic>,
}

/// The machine-readable account of a job.
#[derive(Serialize)]
struct Report<'a> {
    worksheet: &'a Worksheet,
    findings: &'a [Diagnostic],
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
    let (mut design, mut findings) = artwork::read_for(art, checked.pipeline.artwork, machine)?;
    if let Some(rack) = &checked.rack {
        findings.extend(rack::wind(&mut design, rack));
    }
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
    let worksheet = worksheet::build(&design, &written, machine, &checked.pipeline.operator);
    findings.extend(worksheet.warnings.iter().cloned());
    let preview = preview::svg(&design, &preview::PreviewOptions::default());
    Ok(Products {
        design,
        machine_file: written.bytes,
        preview,
        worksheet,
        findings,
    })
}

impl Products {
    /// Why nothing may be written: steps found errors.
    pub fn refusal(&self) -> Option<Diagnostic> {
        let errors = self
            .findings
            .iter()
            .filter(|finding| finding.severity == Severity::Error)
            .count();
        (errors > 0).then(|| {
            Diagnostic::error(
                "not-written",
                format!("nothing was written, because steps found {errors} errors"),
            )
        })
    }

    /// The files to write, each with the end of its name.
    pub fn files(&self) -> Vec<(&'static str, Vec<u8>)> {
        let report = Report {
            worksheet: &self.worksheet,
            findings: &self.findings,
        };
        // Plain structs of strings and finite numbers always serialize.
        let mut report = serde_json::to_vec_pretty(&report).unwrap_or_default();
        report.push(b'\n');
        vec![
            ("dst", self.machine_file.clone()),
            ("design.json", design_json::write(&self.design).into_bytes()),
            ("preview.svg", self.preview.clone().into_bytes()),
            (
                "worksheet.html",
                worksheet::html(&self.worksheet, &self.preview).into_bytes(),
            ),
            ("report.json", report),
        ]
    }
}
