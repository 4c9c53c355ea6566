//! The whole way once: artwork and a checked pipeline in, everything a shop delivers out.
//!
//! [`sew`] runs the steps, makes the machine file and judges it; [`Sewn::products`] draws and prints
//! all the rest, which takes longer than a small change of the design. Artwork comes in through a
//! [`Reader`](crate::artwork::Reader), and a [`Writer`] makes a further product; [`Forms`] hold both.

mod attempt;
mod forms;
mod hold;
mod products;
mod writer;

pub use attempt::Attempt;
pub use forms::Forms;
pub use hold::HoldAt;
pub use products::Products;
pub use writer::{Writer, Writers};

use crate::artwork::Artwork;
use crate::design::Design;
use crate::diagnostics::{Diagnostic, Failed, Severity};
use crate::formats::dst::{self, Machine, Written};
use crate::pipeline::{Checked, StepCache, Watch, run};
use crate::plugins::Plugins;
use crate::preview::{self, HoopOutline, PreviewOptions};
use crate::rack::{self, Colour};
use crate::report::{self, Report};
use crate::worksheet::{self, Worksheet};
use std::sync::Arc;

/// Artwork that was sewn and judged.
#[derive(Clone, Debug)]
pub struct Sewn {
    /// The sewn design.
    pub design: Design,
    /// The machine file.
    pub written: Written,
    /// A picture of the stitches, as SVG.
    pub preview: String,
    /// What the operator needs.
    pub worksheet: Worksheet,
    /// What makes the file good or bad on the machine.
    pub report: Report,
    /// Everything noticed on the way, besides what the report found.
    pub findings: Vec<Diagnostic>,
    /// The machine that it was sewn for.
    machine: Machine,
    /// The artwork as it was read.
    artwork: Artwork,
    /// The thread wound for each of the artwork's colours.
    wound: Vec<Colour>,
    /// How pictures of the stitches are drawn.
    options: PreviewOptions,
}

/// Sews artwork, with the results in `cache` where there is one. [`Readers`](crate::artwork::Readers)
/// read it, or whoever has a design makes it with [`Artwork::new`].
///
/// # Errors
/// Everything that went wrong, after everything that was noticed before it.
pub fn sew(
    checked: &Checked,
    mut artwork: Artwork,
    plugins: &Plugins,
    cache: Option<&StepCache>,
    watch: &Arc<dyn Watch>,
) -> Result<Sewn, Failed> {
    let machine = &checked.pipeline.machine;
    let mut findings = std::mem::take(&mut artwork.findings);
    let (design, of_threads) = artwork.wound(checked);
    findings.extend(of_threads);
    let wound = rack::wound(artwork.design(), &design);
    let outcome = match run(checked, design, plugins.sandbox(), cache, watch) {
        Ok(outcome) => outcome,
        Err(failed) => return Err(failed.after(findings)),
    };
    findings.extend(outcome.findings);
    let design = outcome.design;
    let written = match dst::write(&design, machine) {
        Ok(written) => written,
        Err(failed) => return Err(failed.after(findings)),
    };
    findings.extend(written.notes.iter().cloned());
    let operator = &checked.pipeline.operator;
    let mut worksheet = worksheet::build(&design, &written, machine, operator);
    let graver = findings
        .iter()
        .filter(|finding| finding.severity >= Severity::Warning)
        .cloned()
        .collect::<Vec<_>>();
    findings.extend(worksheet.warnings.iter().cloned());
    worksheet.warnings.extend(graver);
    let report = report::judge(&design, &written.route, machine, checked.pipeline.fabric());
    let outline = |hoop| HoopOutline {
        hoop,
        centre: written.route.origin,
    };
    let options = PreviewOptions {
        hoop: operator.hoop.map(outline),
        ..PreviewOptions::default()
    };
    Ok(Sewn {
        preview: preview::svg(&design, &options),
        design,
        written,
        worksheet,
        report,
        findings,
        machine: machine.clone(),
        artwork,
        wound,
        options,
    })
}

impl Sewn {
    /// The machine that it was sewn for.
    pub fn machine(&self) -> &Machine {
        &self.machine
    }

    /// The artwork as it was read, before any step.
    pub fn artwork(&self) -> &Design {
        self.artwork.design()
    }

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
}
