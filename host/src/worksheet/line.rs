//! A worksheet on one line.

use super::Worksheet;
use crate::diagnostics::on_one_line;

impl Worksheet {
    /// What was sewn, on one line.
    pub fn on_one_line(&self) -> String {
        let minutes = (self.seconds / 60.0).ceil();
        format!(
            "{}: {} stitches, {} thread changes, {} trims, {} x {} mm, about {minutes} min",
            on_one_line(self.title.clone()),
            self.stitches,
            self.thread_changes,
            self.trims,
            self.width,
            self.height,
        )
    }
}
