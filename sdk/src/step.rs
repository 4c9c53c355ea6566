//! A step as native code calls it: in tests and benchmarks, without the sandbox.

use crate::{Description, Design, Failure, Object, Thread};

/// A step. A plugin's own comes from the function `step()` that its macro makes.
#[derive(Clone, Debug)]
pub struct Step {
    /// What the step says about itself.
    pub description: Description,
    /// What it does.
    pub process: Process,
}

/// What a step does. The last argument is its settings, as JSON.
#[derive(Clone, Copy, Debug)]
pub enum Process {
    /// An object step.
    Object(fn(Object, &Thread, &str) -> Result<Object, Failure>),
    /// A design step; the second argument holds the places of the selected objects.
    Design(fn(Design, &[usize], &str) -> Result<Design, Failure>),
}

impl Step {
    /// Runs the step on the objects at the places `selected`, as the host would; what it hands back
    /// is not checked. An object step runs on one object after the other, and no step runs where
    /// nothing is selected.
    ///
    /// # Errors
    /// What the step says, or a sentence when the settings do not fit.
    pub fn apply(
        &self,
        mut design: Design,
        selected: &[usize],
        settings: &str,
    ) -> Result<Design, Failure> {
        match self.process {
            _ if selected.is_empty() => Ok(design),
            Process::Design(process) => process(design, selected, settings),
            Process::Object(process) => {
                for &place in selected {
                    let Some(object) = design.objects.get(place) else {
                        continue;
                    };
                    let Some(thread) = design.threads.get(object.thread as usize) else {
                        return Err(
                            Failure::new("its thread is not in the design").about(&object.id)
                        );
                    };
                    design.objects[place] = process(object.clone(), thread, settings)?;
                }
                Ok(design)
            }
        }
    }
}
