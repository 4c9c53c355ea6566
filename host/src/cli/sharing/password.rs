//! The password of a secret key: from the environment, a file, or asked for.

use crate::cli::stop::Stop;
use hoopwright::diagnostics::Diagnostic;
use hoopwright::reading::read_text;
use std::io::IsTerminal as _;
use std::path::PathBuf;

/// The environment's name for it.
const VARIABLE: &str = "HOOPWRIGHT_PASSWORD";

/// Where a password comes from.
#[derive(Debug, clap::Args)]
pub struct PasswordSource {
    /// A file whose first line is the secret key's password. [default: the environment's
    /// HOOPWRIGHT_PASSWORD, else it is asked for]
    #[arg(long, value_name = "FILE", value_hint = clap::ValueHint::FilePath)]
    pub password_file: Option<PathBuf>,
}

impl PasswordSource {
    /// The password; a new one is asked for twice.
    pub fn password(&self, new: bool) -> Result<String, Stop> {
        if let Some(file) = &self.password_file {
            let text = read_text(file, 1)?;
            return Ok(text.lines().next().unwrap_or_default().to_owned());
        }
        if let Ok(password) = std::env::var(VARIABLE) {
            return Ok(password);
        }
        if !std::io::stdin().is_terminal() {
            return Err(
                Diagnostic::error("no-password", "the secret key needs a password")
                    .help(format!("Give --password-file, or set {VARIABLE}."))
                    .into(),
            );
        }
        let ask = |question: &str| {
            rpassword::prompt_password(question).map_err(|error| {
                Diagnostic::error(
                    "no-password",
                    format!("the password cannot be asked for: {error}"),
                )
            })
        };
        let password = ask("Password of the secret key: ")?;
        if new && ask("The same again: ")? != password {
            return Err(Diagnostic::error("no-password", "the two passwords differ")
                .help("Run the command again.")
                .into());
        }
        Ok(password)
    }
}
