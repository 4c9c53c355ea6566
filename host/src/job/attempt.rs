//! A job among others that must go on.

use super::{Forms, HoldAt, Products, Sewn, sew};
use crate::artwork::Asked;
use crate::diagnostics::{Diagnostic, Failed};
use crate::pipeline::{Checked, StepCache, Watch};
use crate::plugins::Plugins;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;
use std::sync::Arc;

/// How artwork is sewn by whoever has others to go on with.
pub struct Attempt<'a> {
    /// The pipeline.
    pub checked: &'a Checked,
    /// The steps.
    pub plugins: &'a Plugins,
    /// What comes in and what goes out.
    pub forms: &'a Forms,
    /// Results kept from one run to the next, where they are.
    pub cache: Option<&'a StepCache>,
    /// From which severity on findings fail the job.
    pub hold_at: HoldAt,
    /// Told how the steps go on.
    pub watch: &'a Arc<dyn Watch>,
}

impl Attempt<'_> {
    /// Reads artwork and sews it like [`sew`], with all its products: a fault of the program itself is
    /// this job's failure only. What gives products may be written. `sewn` is told before the products
    /// are drawn.
    ///
    /// # Errors
    /// Everything that went wrong, after everything that was noticed before it.
    pub fn sew(&self, art: &Path, sewn: impl FnOnce(&Sewn)) -> Result<Products, Failed> {
        let pass = |done: &Sewn| match done.held(self.hold_at) {
            None => Ok(()),
            Some(held) => Err(Failed::from(held).after(done.told())),
        };
        let sewing = AssertUnwindSafe(|| {
            let artwork = self.forms.readers.read(art, &Asked::by(self.checked))?;
            let done = sew(self.checked, artwork, self.plugins, self.cache, self.watch)?;
            pass(&done)?;
            sewn(&done);
            let products = done.products(&self.forms.writers)?;
            // Drawing may have noticed something too.
            pass(&products.sewn)?;
            Ok(products)
        });
        catch_unwind(sewing).unwrap_or_else(|_| {
            let fault = format!("the program failed at {}", art.display());
            Err(Diagnostic::error("internal", fault)
                .help(
                    "This is a fault in the program. Report it, with the artwork and the pipeline.",
                )
                .into())
        })
    }
}
