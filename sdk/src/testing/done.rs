//! What a run in a test gave.

use super::expected;
use crate::{Design, Finding, Object, StitchKind, stitches_of};

/// What a run gave.
#[derive(Clone, Debug, PartialEq)]
pub struct Done {
    /// The design that the step was given.
    pub before: Design,
    /// The design that it handed back.
    pub after: Design,
    /// What it reported.
    pub findings: Vec<Finding>,
    /// What it logged, each line with its place in the source. A run in the sandbox shows its lines
    /// on standard error, and none here.
    pub log: Vec<String>,
}

impl Done {
    /// The object with this id, after the step.
    ///
    /// # Panics
    /// When there is none.
    pub fn object(&self, id: &str) -> &Object {
        let objects = &self.after.objects;
        match objects.iter().find(|object| object.id == id) {
            Some(object) => object,
            None => {
                let ids: Vec<&str> = objects.iter().map(|object| object.id.as_str()).collect();
                panic!("there is no object \"{id}\" after the step; there are {ids:?}")
            }
        }
    }

    /// Where the needle goes down for the object with this id, in order, in mm.
    ///
    /// # Panics
    /// When there is no such object.
    pub fn needle_points(&self, id: &str) -> Vec<(f64, f64)> {
        stitches_of(&self.object(id).stitches)
            .filter(|stitch| stitch.kind == StitchKind::Needle)
            .map(|stitch| (stitch.at.x, stitch.at.y))
            .collect()
    }

    /// Compares with the stored result `tests/expected/<name>.json`. The environment's
    /// `HOOPWRIGHT_RENEW=1` stores what came out instead; look at the difference before you keep it.
    ///
    /// # Panics
    /// When it differs by more than a thousandth of a millimetre, with the lines that differ; and when
    /// nothing is stored.
    pub fn as_expected(&self, name: &str) {
        expected::compare(name, &expected::text(&self.after, &self.findings));
    }

    /// Compares with another run.
    ///
    /// # Panics
    /// When designs or findings differ by more than a millionth of a millimetre, with the lines that
    /// differ.
    pub fn same_as(&self, other: &Self) {
        let text = |done: &Self| expected::exact(&done.after, &done.findings);
        let (this, that) = (text(self), text(other));
        assert!(
            expected::same(&this, &that, 1e-6),
            "the two runs differ:\n{}",
            expected::difference("the other run", &that, "this run", &this)
        );
    }
}
