//! What a step may use, as options. SECURITY.md tells all limits, also those that cannot be set.

use clap::Args;
use hoopwright::sandbox::Limits;

/// What each step may use of the computer.
#[derive(Clone, Copy, Debug, Args)]
#[command(next_help_heading = "Limits")]
pub struct LimitOptions {
    /// Most work of one call, in million units of about one machine instruction each.
    #[arg(long, value_name = "MILLIONS", default_value_t = Limits::default().work_millions)]
    pub work_limit: u64,
    /// Longest time of one call, in seconds.
    #[arg(long, value_name = "SECONDS", default_value_t = Limits::default().seconds)]
    pub time_limit: u64,
    /// Most memory of one call, in MiB.
    #[arg(long, value_name = "MIB", default_value_t = Limits::default().memory_mib as u16)]
    pub memory_limit: u16,
    /// Most that a step may hand back, in MiB: in one answer, and for all objects or pieces of an artwork.
    #[arg(long, value_name = "MIB", default_value_t = Limits::default().answer_mib as u16)]
    pub answer_limit: u16,
    /// Most log lines kept of one call; further ones are counted and dropped.
    #[arg(long, value_name = "NUMBER", default_value_t = Limits::default().log_lines as u32)]
    pub log_limit: u32,
    /// Most findings kept of one call; further ones are counted and dropped.
    #[arg(long, value_name = "NUMBER", default_value_t = Limits::default().findings as u32)]
    pub finding_limit: u32,
    /// Most stitches of a design after a step.
    #[arg(long, value_name = "NUMBER", default_value_t = Limits::default().stitches as u32)]
    pub stitch_limit: u32,
    /// Largest plugin, in MiB.
    #[arg(long, value_name = "MIB", default_value_t = Limits::default().plugin_mib as u16)]
    pub plugin_limit: u16,
    /// Longest time in which a plugin must be ready for this machine, in seconds; it is kept ready.
    #[arg(long, value_name = "SECONDS", default_value_t = Limits::default().ready_seconds)]
    pub ready_limit: u64,
}

impl LimitOptions {
    /// As the sandbox takes them.
    pub fn limits(&self) -> Limits {
        Limits {
            work_millions: self.work_limit,
            seconds: self.time_limit,
            memory_mib: usize::from(self.memory_limit),
            answer_mib: usize::from(self.answer_limit),
            log_lines: self.log_limit as usize,
            findings: self.finding_limit as usize,
            stitches: self.stitch_limit as usize,
            plugin_mib: usize::from(self.plugin_limit),
            ready_seconds: self.ready_limit,
        }
    }
}
