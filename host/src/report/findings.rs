//! The measures held against their limits: what is told, in which order and under which number.

use super::measure::Measure;
use super::measurement::{Measurement, Spot};
use crate::design::Design;
use crate::diagnostics::{Diagnostic, Severity};
use crate::formats::dst::Machine;
use crate::preview::{Mark, Overlay};
use crate::rounding::rounded;
use geo::{Coord, MultiPolygon};
use schemars::JsonSchema;
use serde::Serialize;
use std::collections::BTreeMap;

/// The judgement of a design: every measure, and every finding.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Report {
    /// Every measure, taken or not, in a fixed order.
    pub measures: Vec<Measured>,
    /// What is over a limit, worst first.
    pub findings: Vec<Finding>,
    #[serde(skip)]
    gaps: MultiPolygon<f64>,
}

/// One measure of the whole design.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Measured {
    /// Which.
    pub measure: Measure,
    /// The design's value, to three decimals; missing where the measure could not be taken.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub value: Option<f64>,
    /// The value's unit.
    pub unit: &'static str,
    /// More than this is a warning.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub warning: Option<f64>,
    /// More than this is an error.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub error: Option<f64>,
    /// Why the measure could not be taken, or what was taken for granted.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub remark: Option<String>,
}

/// One measure that is over its limit in one object, or in the whole design.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Finding {
    /// From 1, worst first; the number on the picture.
    pub number: usize,
    /// `warning` or `error`.
    #[schemars(with = "String")]
    pub severity: Severity,
    /// Which measure.
    pub measure: Measure,
    /// The value of the worst place, to three decimals.
    pub value: f64,
    /// The value's unit.
    pub unit: &'static str,
    /// The limit that the value is over.
    pub limit: f64,
    /// How many places of the object are over a limit.
    pub places: usize,
    /// The worst place, in mm, to two decimals: to the right and down.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub place: Option<[f64; 2]>,
    /// The id of the object.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub object: Option<String>,
    /// What to do about it.
    pub help: String,
}

/// The JSON Schema (draft 2020-12) of a report.
pub fn schema() -> serde_json::Value {
    serde_json::Value::from(schemars::schema_for!(Report))
}

/// Holds measures against limits. Repeats of one kind in one object are one finding.
pub(super) fn report(
    design: &Design,
    machine: &Machine,
    mut taken: Vec<Measurement>,
    gaps: MultiPolygon<f64>,
) -> Report {
    let limits = &machine.limits;
    taken.sort_by_key(|taken| taken.measure);
    let mut findings: Vec<Finding> = taken
        .iter()
        .flat_map(|taken| of_measure(taken, machine, design))
        .collect();
    // Worst first: by severity, then thread breaks before trims as the table of measures has them,
    // and then by how far over the limit.
    let times = |finding: &Finding| finding.value / finding.limit.max(1e-9);
    findings.sort_by(|a, b| {
        b.severity
            .cmp(&a.severity)
            .then(a.measure.cmp(&b.measure))
            .then(times(b).total_cmp(&times(a)))
    });
    for (i, finding) in findings.iter_mut().enumerate() {
        finding.number = i + 1;
    }
    let measures = taken.into_iter().map(|taken| {
        let limit = limits.of(taken.measure);
        Measured {
            measure: taken.measure,
            value: taken.value.map(|value| rounded(value, 3)),
            unit: taken.measure.unit(),
            warning: limit.warning,
            error: limit.error,
            remark: taken.remark,
        }
    });
    Report {
        measures: measures.collect(),
        findings,
        gaps,
    }
}

fn of_measure(taken: &Measurement, machine: &Machine, design: &Design) -> Vec<Finding> {
    let limit = machine.limits.of(taken.measure);
    let mut by_object: BTreeMap<Option<usize>, Vec<&Spot>> = BTreeMap::new();
    for spot in &taken.spots {
        by_object.entry(spot.object).or_default().push(spot);
    }
    let finding = |(object, spots): (Option<usize>, Vec<&Spot>)| {
        // The first of equals, so that the order of sewing decides.
        let worst = spots.iter().copied().reduce(|worst, spot| {
            if spot.value > worst.value {
                spot
            } else {
                worst
            }
        })?;
        let (severity, over) = [
            (Severity::Error, limit.error),
            (Severity::Warning, limit.warning),
        ]
        .into_iter()
        .find_map(|(severity, limit)| Some((severity, limit.filter(|&l| worst.value > l)?)))?;
        Some(Finding {
            number: 0,
            severity,
            measure: taken.measure,
            value: rounded(worst.value, 3),
            unit: taken.measure.unit(),
            limit: over,
            places: spots.len(),
            place: worst.at.map(|at| [rounded(at.x, 2), rounded(at.y, 2)]),
            object: object.and_then(|o| Some(design.objects.get(o)?.id.clone())),
            help: taken.measure.help(machine),
        })
    };
    by_object.into_iter().filter_map(finding).collect()
}

impl Report {
    /// The places of findings for a picture: place in mm, severity, number. What is about the whole
    /// design has no place.
    pub fn marks(&self) -> impl Iterator<Item = (Coord<f64>, Severity, usize)> + '_ {
        self.findings.iter().filter_map(|finding| {
            let [x, y] = finding.place?;
            Some((Coord { x, y }, finding.severity, finding.number))
        })
    }

    /// Where cloth will show, of those objects that have too much of it.
    pub fn gaps(&self) -> &MultiPolygon<f64> {
        &self.gaps
    }

    /// The findings as they are drawn over a picture of the stitches.
    pub fn overlay(&self) -> Overlay {
        let marks = self.marks().map(|(at, severity, number)| Mark {
            at,
            severity,
            number,
        });
        Overlay {
            marks: marks.collect(),
            gaps: self.gaps.clone(),
        }
    }

    /// The worst finding of each measure and severity as a diagnostic, with how many more there are.
    pub fn headlines(&self) -> Vec<Diagnostic> {
        let alike = |a: &Finding, b: &Finding| (a.severity, a.measure) == (b.severity, b.measure);
        let headline = |alike: &[Finding]| {
            let mut diagnostic = alike.first()?.diagnostic();
            if alike.len() > 1 {
                let more = alike.len() - 1;
                let objects = if more == 1 { "object" } else { "objects" };
                diagnostic.message += &format!(" (and in {more} more {objects})");
            }
            Some(diagnostic)
        };
        self.findings.chunk_by(alike).filter_map(headline).collect()
    }

    /// The findings as diagnostics.
    pub fn diagnostics(&self) -> Vec<Diagnostic> {
        self.findings.iter().map(Finding::diagnostic).collect()
    }
}

impl Finding {
    /// Value and limit in words.
    pub fn sentence(&self) -> String {
        let places = match self.places {
            0 | 1 => String::new(),
            places => format!(", in {places} places"),
        };
        let (measure, value) = (self.measure.name(), rounded(self.value, 2));
        format!(
            "{measure} {value} {}, over {}{places}",
            self.unit, self.limit
        )
    }

    fn diagnostic(&self) -> Diagnostic {
        let number = self.number;
        let mut diagnostic = Diagnostic::new(
            self.severity,
            self.measure.name(),
            format!("finding {number}: {}", self.sentence()),
        )
        .help(self.help.as_str());
        diagnostic.object.clone_from(&self.object);
        diagnostic.place = self.place;
        diagnostic
    }
}
