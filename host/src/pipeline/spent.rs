//! What an object step hands back for all objects together. Each call has its own limit; a design has
//! any number of objects, and all answers are kept until the last has come.

use crate::design::{Object, Polyline, Shape};
use crate::sandbox::{Answer, CallError, Limits, RECORD, Unanswered};
use std::sync::atomic::{AtomicUsize, Ordering};

/// What was handed back so far.
pub(super) struct Spent {
    limit_mib: usize,
    bytes: AtomicUsize,
}

impl Spent {
    pub(super) fn of(limits: &Limits) -> Self {
        Self {
            limit_mib: limits.answer_mib,
            bytes: AtomicUsize::new(0),
        }
    }

    /// Calls the step on one object more, unless there was too much already.
    pub(super) fn hold(
        &self,
        call: impl FnOnce() -> Result<Answer<Object>, Unanswered>,
    ) -> Option<Result<Answer<Object>, Unanswered>> {
        if self.is_over() {
            return None;
        }
        let result = call();
        let bytes = match &result {
            Ok(answer) => of_object(&answer.value) + answer.log.bytes(),
            Err(unanswered) => unanswered.log.bytes(),
        };
        self.bytes.fetch_add(bytes, Ordering::Relaxed);
        (!self.is_over()).then_some(result)
    }

    fn is_over(&self) -> bool {
        self.bytes.load(Ordering::Relaxed) > self.limit_mib << 20
    }

    /// That there was too much. The sum is the same in whichever order the objects come, so the same
    /// design always ends the same way.
    pub(super) fn over(&self) -> Option<CallError> {
        self.is_over().then_some(CallError::Answers(self.limit_mib))
    }
}

fn of_object(object: &Object) -> usize {
    let line = |line: &Polyline| RECORD + 8 * (line.x.len() + line.y.len());
    let shape: usize = match &object.shape {
        Shape::Region(region) => region
            .polygons
            .iter()
            .flat_map(|polygon| std::iter::once(&polygon.outer).chain(&polygon.holes))
            .map(line)
            .sum(),
        Shape::Lines(lines) => lines.paths.iter().map(line).sum(),
        Shape::Manual => 0,
    };
    let tags: usize = object.tags.iter().map(|tag| RECORD + tag.len()).sum();
    let stitches = object.stitches.iter();
    let stitches: usize = stitches
        .map(|block| RECORD + 8 * (block.x.len() + block.y.len()))
        .sum();
    let marks = RECORD * object.sewing.direction_marks.len();
    RECORD + object.id.len() + object.name.len() + tags + shape + stitches + marks
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sandbox::Log;

    #[test]
    fn all_answers_share_one_limit() {
        let limits = Limits {
            answer_mib: 1,
            ..Limits::default()
        };
        let spent = Spent::of(&limits);
        let half_a_mib = || {
            let mut object = Object::new("a", Shape::Manual);
            object.name = "x".repeat(1 << 19);
            Ok(Answer {
                value: object,
                log: Log::default(),
            })
        };
        assert!(spent.hold(half_a_mib).is_some());
        assert_eq!(spent.over(), None);
        assert!(spent.hold(half_a_mib).is_none());
        assert_eq!(spent.over(), Some(CallError::Answers(1)));
        assert!(spent.hold(|| panic!("it is not called any more")).is_none());
    }
}
