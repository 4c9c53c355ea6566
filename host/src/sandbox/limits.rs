//! How much of the computer a step may use: the limits that can be set, and no others.
//!
//! What a plugin may be made of stands in [`super::make_up`], what its settings' schema may be in
//! [`super::settings_schema`]. SECURITY.md has all of them in one table.

/// The limits of a step.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Limits {
    /// The most work of one call, in million units; a unit is about one machine instruction. The same
    /// call uses the same work on every machine, so this is the limit that decides. All pieces that a call
    /// gives out may be as much work again, together.
    pub work_millions: u64,
    /// The longest time of one call with its pieces, in seconds. A safety net for slow machines, set so high that work
    /// runs out first.
    pub seconds: u64,
    /// The most memory of one call, in MiB, all of the step's memories together; of a piece as well.
    pub memory_mib: usize,
    /// The most that a step may hand back, in MiB: in one message, as one answer, and as all answers
    /// and messages of one step in a run.
    pub answer_mib: usize,
    /// The most log lines kept of one call; further ones are counted and dropped.
    pub log_lines: usize,
    /// The most findings kept of one call; further ones are counted and dropped.
    pub findings: usize,
    /// The most stitches that a design may hold after a step. Every step, check and picture after it
    /// takes time for each of them.
    pub stitches: usize,
    /// The largest plugin, in MiB.
    pub plugin_mib: usize,
    /// The longest that a plugin may take to be made ready for this machine, in seconds.
    pub ready_seconds: u64,
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            work_millions: 50_000,
            seconds: 120,
            memory_mib: 512,
            answer_mib: 256,
            log_lines: 200,
            findings: 1000,
            stitches: 1_000_000,
            plugin_mib: 32,
            ready_seconds: 120,
        }
    }
}
