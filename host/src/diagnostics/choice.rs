//! What a caller of the library can choose otherwise.

/// What whoever called can choose otherwise, where that helps against what is told. The help says so in plain
/// words; how it is chosen is the caller's own: the command line has an option for each.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Choice {
    /// The file or the folder that is written.
    Place,
    /// The most work of one call of a step.
    Work,
    /// The longest time of one call of a step.
    Time,
    /// The most memory of one call of a step.
    Memory,
    /// The most that a step may hand back.
    Answer,
    /// The most stitches of a design after a step.
    Stitches,
    /// The longest time in which a plugin must be ready for this machine.
    ReadyTime,
    /// Whether compiled plugins are kept.
    KeepCompiled,
    /// From which severity on findings hold files back.
    HoldAt,
    /// The port of the live page.
    Port,
    /// Who asks a registry, with the password.
    Credentials,
    /// The file that the password is in.
    PasswordFile,
    /// Whether a registry is spoken to without encryption.
    PlainHttp,
    /// The file that says whose packs are trusted.
    TrustFile,
    /// A shop that is trusted no longer.
    TrustNoLonger,
}
