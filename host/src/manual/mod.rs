//! A page for each step, made from the plugin itself: what it does, when to use it, its settings, and
//! a picture of what it makes of a sample.
//!
//! [`sample`] sends the sample through the step, [`diagram`] draws it before and after, and [`page`]
//! puts all into one file that loads nothing.

mod diagram;
mod markdown;
mod page;
mod sample;

use crate::diagnostics::Failed;
use crate::plugins::Plugins;

/// A page of the manual.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Page {
    /// The file's name.
    pub name: String,
    /// The page, as HTML.
    pub html: String,
}

/// A page for each step of these `names`, and one that lists them, `index.html`. The same plugins give
/// the same bytes on every machine.
///
/// # Errors
/// Plugins that cannot be used.
pub fn pages(plugins: &Plugins, names: &[&str]) -> Result<Vec<Page>, Failed> {
    let sample = sample::Sample::new(plugins)?;
    let steps = plugins.all(names.iter().copied())?;
    let mut pages = vec![Page {
        name: "index.html".to_owned(),
        html: page::index(&steps),
    }];
    pages.extend(steps.iter().map(|plugin| Page {
        name: page::file_name(plugin),
        html: page::of(plugin, &sample.through(plugin, plugins.sandbox())),
    }));
    Ok(pages)
}

#[cfg(test)]
mod tests;
