//! What a shop tells its operators about a job.

use super::{NeedleThread, Paper, Reach};
use crate::design::texts;
use crate::diagnostics::{Diagnostic, Severity};
use crate::formats::dst::{Hoop, Machine, MachineHoop};
use crate::json::Document;
use crate::report::Fabric;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What the operator needs to know beside the file. Every entry may be left out; the worksheet
/// leaves a line to fill in by hand.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case", deny_unknown_fields, default)]
pub struct OperatorNotes {
    /// The fabric, such as "cotton twill, 240 g". The name of the pipeline's `fabric` unless given.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub fabric: String,
    /// What lies under or over the fabric, such as "cut-away, 2 layers".
    #[serde(skip_serializing_if = "String::is_empty")]
    pub stabilizer: String,
    /// The needle, such as "75/11 sharp".
    #[serde(skip_serializing_if = "String::is_empty")]
    pub needle: String,
    /// The hoop's inside. The worksheet warns where the design does not fit.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Hoop")]
    pub hoop: Option<Hoop>,
    /// The top thread, such as "polyester, 40 weight".
    #[serde(skip_serializing_if = "String::is_empty")]
    pub top_thread: String,
    /// The bobbin thread, such as "white, 60 weight".
    #[serde(skip_serializing_if = "String::is_empty")]
    pub bobbin_thread: String,
    /// Which thread stands on which needle of the machine. The other threads are numbered in the
    /// order of their first use, on the needles that are left; without the list, all are.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub needles: Vec<NeedleThread>,
    /// The paper that the worksheet is printed on; A4 unless given.
    pub paper: Paper,
    /// Whatever else the operator should know, one line each.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub notes: Vec<String>,
}

impl OperatorNotes {
    /// With blanks in the place of control characters, which mislead whoever reads the sheet.
    pub(super) fn plain(&self) -> Self {
        Self {
            fabric: texts::plain(&self.fabric),
            stabilizer: texts::plain(&self.stabilizer),
            needle: texts::plain(&self.needle),
            top_thread: texts::plain(&self.top_thread),
            bobbin_thread: texts::plain(&self.bobbin_thread),
            notes: self.notes.iter().map(|note| texts::plain(note)).collect(),
            ..self.clone()
        }
    }

    /// Names the fabric that is sewn on, where the shop has no words for it.
    pub fn on(&mut self, fabric: Fabric) {
        if self.fabric.is_empty() {
            fabric.name().clone_into(&mut self.fabric);
        }
    }
}

/// A warning where a pipeline names a hoop that is none of `machine`'s; a machine without a list of
/// hoops may have any.
pub fn unknown_hoop(document: &Document, hoop: Hoop, machine: &Machine) -> Option<Diagnostic> {
    let is = |known: &MachineHoop| known.width == hoop.width && known.height == hoop.height;
    if machine.hoops.is_empty() || machine.hoops.iter().any(is) {
        return None;
    }
    let known = machine.hoops.iter();
    let known = known.map(|hoop| format!("{} ({} x {})", hoop.name, hoop.width, hoop.height));
    let known: Vec<String> = known.collect();
    let unknown = Diagnostic::warning(
        "unknown-hoop",
        format!(
            "the machine has no hoop of {} x {} mm",
            hoop.width, hoop.height
        ),
    )
    .help(format!(
        "Its profile has {}. Name one of them, or add the hoop to the profile.",
        known.join(", ")
    ));
    Some(document.point(unknown, document.value_range("/operator/hoop")))
}

/// What is wrong where a design that reaches so far from the hoop's centre does not fit: a warning where
/// it reaches into the margin, an error where the needle would strike the hoop itself.
pub(super) fn misfit(hoop: Hoop, reach: Reach) -> Option<Diagnostic> {
    // The file's own step, 0.1 mm, must not make a fit into a misfit.
    const TOLERANCE: f64 = 0.05;
    let across = reach.left.max(reach.right);
    let along = reach.up.max(reach.down);
    let [width, height] = hoop.room(hoop.margin);
    let has_room = |[width, height]: [f64; 2], across: f64, along: f64| {
        across <= width + TOLERANCE && along <= height + TOLERANCE
    };
    let fits = |across, along| has_room([width, height], across, along);
    if fits(across, along) {
        return None;
    }
    let severity = if has_room(hoop.room(0.0), across, along) {
        Severity::Warning
    } else {
        Severity::Error
    };
    let misfit = Diagnostic::new(
        severity,
        "hoop-too-small",
        format!(
            "the design reaches {across} mm sideways and {along} mm up or down from the hoop's centre; \
             a hoop of {} x {} mm less a margin of {} mm has room for {} and {}",
            hoop.width,
            hoop.height,
            hoop.margin,
            width.max(0.0),
            height.max(0.0),
        ),
    );
    Some(misfit.help(if fits(along, across) {
        "turn the design by a quarter, or take a larger hoop"
    } else {
        "take a larger hoop, or make the design smaller and digitize it again"
    }))
}
