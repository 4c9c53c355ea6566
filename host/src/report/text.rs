//! The judgement in words: findings first, worst first, then every measure.

use super::findings::{Finding, Measured, Report};
use crate::diagnostics::Severity;
use std::fmt::{self, Display};

impl Display for Report {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let kinds = [
            (Severity::Error, "errors: do not sew this"),
            (Severity::Warning, "warnings: look at this before sewing"),
            (Severity::Note, "notes"),
        ];
        for (severity, title) in kinds {
            let told = || self.findings.iter().filter(|f| f.severity == severity);
            if told().next().is_none() {
                continue;
            }
            writeln!(f, "{title}")?;
            for finding in told() {
                line(f, finding)?;
            }
            writeln!(f)?;
        }
        if self.findings.is_empty() {
            writeln!(f, "no findings\n")?;
        }
        writeln!(f, "measures of the whole design")?;
        for measured in self.measures.iter().filter(|m| m.value.is_some()) {
            measure(f, measured)?;
        }
        let not = || self.measures.iter().filter(|m| m.value.is_none());
        if not().next().is_some() {
            writeln!(f, "\nnot taken")?;
        }
        for measured in not() {
            let why = measured.remark.as_deref().unwrap_or_default();
            writeln!(f, "  {:<15} {why}", measured.measure.name())?;
        }
        Ok(())
    }
}

fn line(f: &mut fmt::Formatter<'_>, finding: &Finding) -> fmt::Result {
    write!(f, "  {:>3}  {}", finding.number, finding.sentence())?;
    if let Some([x, y]) = finding.place {
        write!(f, ", at {x:.1}, {y:.1} mm")?;
    }
    if let Some(object) = &finding.object {
        write!(f, ", object \"{object}\"")?;
    }
    writeln!(f, ": {}", finding.help)
}

fn measure(f: &mut fmt::Formatter<'_>, measured: &Measured) -> fmt::Result {
    let value = measured.value.unwrap_or_default();
    let value = format!("{:.2} {}", value, measured.unit);
    let limit = |limit: Option<f64>, words: &str| {
        limit.map_or(String::new(), |limit| format!("{words} over {limit}"))
    };
    let limits = [
        limit(measured.warning, "warns"),
        limit(measured.error, "fails"),
    ];
    let limits: Vec<&str> = limits
        .iter()
        .map(String::as_str)
        .filter(|l| !l.is_empty())
        .collect();
    let name = measured.measure.name();
    write!(f, "  {name:<15} {value:>16}   {}", limits.join(", "))?;
    if let Some(remark) = &measured.remark {
        write!(f, "; {remark}")?;
    }
    writeln!(f)
}
