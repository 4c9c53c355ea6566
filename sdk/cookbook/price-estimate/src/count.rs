//! What there is to sew.

use hoopwright_sdk::prelude::*;

/// How many of each.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct Count {
    /// How often the needle goes down.
    pub stitches: u64,
    /// How often the thread is cut.
    pub trims: u64,
    /// How often another thread is taken while sewing. The first is on already.
    pub colour_changes: u64,
}

impl Count {
    /// Counts what the objects at the places `selected` have to sew.
    pub fn of(design: &Design, selected: &[usize]) -> Self {
        let mut count = Self::default();
        let mut thread = None;
        let objects = selected
            .iter()
            .filter_map(|&place| design.objects.get(place));
        for object in objects {
            let before = count.stitches;
            for block in &object.stitches {
                match block.kind {
                    StitchKind::Needle => count.stitches += block.x.len() as u64,
                    StitchKind::Trim => count.trims += block.x.len() as u64,
                    StitchKind::Jump | StitchKind::Stop => {}
                }
            }
            // An object without stitches takes no thread.
            if count.stitches > before {
                let changes = thread.is_some_and(|thread| thread != object.thread);
                count.colour_changes += u64::from(changes);
                thread = Some(object.thread);
            }
        }
        count
    }
}
