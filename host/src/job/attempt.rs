//! A job among others that must go on.

use super::{HoldAt, Products, Sewn, sew};
use crate::diagnostics::{Diagnostic, Failed};
use crate::pipeline::{Checked, StepCache, Watch};
use crate::plugins::Plugins;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;
use std::sync::Arc;

/// Does a job like [`sew`], with all its products, for whoever has others to go on with: a fault of
/// the program itself is this job's failure only. What gives products may be written; where a finding
/// is as grave as `hold_at` it failed. `sewn` is told before the products are drawn.
///
/// # Errors
/// Everything that went wrong, after everything that was noticed before it.
pub fn attempt(
    checked: &Checked,
    art: &Path,
    plugins: &Plugins,
    cache: Option<&StepCache>,
    hold_at: HoldAt,
    watch: &Arc<dyn Watch>,
    sewn: impl FnOnce(&Sewn),
) -> Result<Products, Failed> {
    let pass = |done: &Sewn| match done.held(hold_at) {
        None => Ok(()),
        Some(held) => Err(Failed::from(held).after(done.told())),
    };
    let sewing = AssertUnwindSafe(|| {
        let done = sew(checked, art, plugins, cache, watch)?;
        pass(&done)?;
        sewn(&done);
        let products = done.products()?;
        // Drawing may have noticed something too.
        pass(&products.sewn)?;
        Ok(products)
    });
    catch_unwind(sewing).unwrap_or_else(|_| {
        let fault = format!("the program failed at {}", art.display());
        Err(Diagnostic::error("internal", fault)
            .help("This is a fault in the program. Report it, with the artwork and the pipeline.")
            .into())
    })
}
