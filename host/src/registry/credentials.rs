//! Who asks, where a registry wants to know.

use crate::diagnostics::{Choice, Diagnostic};
use base64::Engine as _;
use std::fmt;
use std::path::Path;

/// The environment variable that holds the password.
pub const PASSWORD_VARIABLE: &str = "HOOPWRIGHT_REGISTRY_PASSWORD";

/// The longest password, in bytes; tokens that stand for one may be long.
const LONGEST: usize = 64 << 10;

/// A user's name and password. They are never shown, not even for debugging.
#[derive(Clone, PartialEq, Eq)]
pub struct Credentials {
    user: String,
    password: String,
}

impl Credentials {
    /// A user's name, and the password from `file` or else from the environment variable
    /// `HOOPWRIGHT_REGISTRY_PASSWORD`. A command line never holds it: other users of the computer
    /// can read command lines.
    ///
    /// # Errors
    /// A password that is nowhere, empty or not text.
    pub fn of(user: &str, file: Option<&Path>) -> Result<Self, Diagnostic> {
        let wrong = |why: String| {
            let help = format!(
                "Put the password into the environment variable {PASSWORD_VARIABLE}, or into a file."
            );
            Diagnostic::error("no-password", why)
                .help(help)
                .choosing(Choice::PasswordFile)
        };
        if user.is_empty() || user.contains(':') {
            return Err(Diagnostic::error(
                "no-password",
                "a user's name has a letter at least and no colon",
            )
            .help("Give the name that the registry knows you by."));
        }
        let password = match file {
            Some(file) => {
                let text = crate::reading::read_text(file, 1)?;
                // An editor ends the last line.
                text.trim_end_matches(['\r', '\n']).to_owned()
            }
            None => std::env::var(PASSWORD_VARIABLE)
                .map_err(|_| wrong(format!("there is no password for the user {user}")))?,
        };
        if password.is_empty() || password.len() > LONGEST || password.contains(['\r', '\n']) {
            return Err(wrong(format!(
                "the password of the user {user} is empty, too long or more than one line"
            )));
        }
        Ok(Self {
            user: user.to_owned(),
            password,
        })
    }

    /// The value of the header `Authorization`. Source: RFC 7617, section 2.
    pub(super) fn basic(&self) -> String {
        let pair = format!("{}:{}", self.user, self.password);
        let encoded = base64::engine::general_purpose::STANDARD.encode(pair);
        format!("Basic {encoded}")
    }
}

impl fmt::Debug for Credentials {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Credentials(not shown)")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// RFC 7617, section 2: user "Aladdin", password "open sesame".
    #[test]
    fn is_the_standard_s_example() {
        let credentials = Credentials {
            user: "Aladdin".to_owned(),
            password: "open sesame".to_owned(),
        };
        assert_eq!(credentials.basic(), "Basic QWxhZGRpbjpvcGVuIHNlc2FtZQ==");
        assert!(!format!("{credentials:?}").contains("sesame"));
    }
}
