//! What a sound design is, for all that take one from outside.

use super::{Design, texts, valid};
use crate::diagnostics::Diagnostic;

/// Everything that is unsound in a design: what may not cross into a step or a file, and what its texts may
/// not hold. Nothing where it is sound.
pub fn unsound(design: &Design) -> Vec<Diagnostic> {
    let mut problems = valid::problems(design);
    problems.extend(texts::problems(design));
    let told = |problem| Diagnostic::error("unsound-design", problem);
    problems.into_iter().map(told).collect()
}
