//! What a caller of the library can choose otherwise.

/// What whoever called can choose otherwise, where that helps against what is told. The help says so in plain
/// words; how it is chosen is the caller's own: the command line has an option for each.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Choice {
    /// The file or the folder that is written.
    Place,
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
