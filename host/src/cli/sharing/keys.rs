//! A shop's own key, and the keys of those it trusts.

use super::password::PasswordSource;
use crate::cli::stop::Stop;
use clap::{Args, ValueHint};
use hoopwright::diagnostics::{Diagnostic, path_in_words};
use hoopwright::output::{write_all, write_secret};
use hoopwright::reading::read_text;
use hoopwright::sharing::Trust;
use hoopwright::sharing::key::{self, Guard, PublicKey};
use std::path::{Path, PathBuf};

/// Options of `key`.
#[derive(Debug, Args)]
pub struct Key {
    /// The shop's name, for people who look into the key's file.
    pub name: String,
    /// The secret key's file, which must not be there yet. The public key is written beside it, with
    /// .pub at the end of the name.
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub to: PathBuf,
    /// Keep the secret key without a password: whoever reads the file can sign as your shop.
    #[arg(long, conflicts_with = "password_file")]
    pub no_password: bool,
    /// Where the password comes from.
    #[command(flatten)]
    pub password: PasswordSource,
}

/// Options of `trust`.
#[derive(Debug, Args)]
pub struct TrustOptions {
    /// The shop's name, as you want to be told it.
    #[arg(requires = "key", required_unless_present_any = ["list", "remove"])]
    pub name: Option<String>,
    /// Its public key: the 56 characters that begin with RW, or the file that holds them.
    pub key: Option<String>,
    /// List the shops that are trusted, with their keys.
    #[arg(long, conflicts_with_all = ["name", "remove"])]
    pub list: bool,
    /// Trust this shop no longer.
    #[arg(long, value_name = "NAME", conflicts_with = "name")]
    pub remove: Option<String>,
    /// The trust file.
    #[command(flatten)]
    pub trust: TrustFile,
}

/// Which trust file counts.
#[derive(Debug, Args)]
pub struct TrustFile {
    /// The trust file. [default: trust.json in your own folder of settings]
    #[arg(long = "trust", value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub file: Option<PathBuf>,
}

impl TrustFile {
    /// The trust file, read.
    pub fn read(&self) -> Result<Trust, Diagnostic> {
        match &self.file {
            Some(file) => Trust::read(file),
            None => Trust::of_user(),
        }
    }
}

/// Makes a pair of keys.
pub fn make_key(options: &Key) -> Result<(), Stop> {
    let mut public = options.to.clone().into_os_string();
    public.push(".pub");
    let public = PathBuf::from(public);
    for file in [&options.to, &public] {
        if file.symlink_metadata().is_ok() {
            return Err(Stop::Output(
                Diagnostic::error("key-there", format!("{} is there already", file.display()))
                    .help("A key that is lost cannot be made again, so none is written over. Name another file."),
            ));
        }
    }
    let guard = if options.no_password {
        Guard::None
    } else {
        Guard::Password(options.password.password(true)?)
    };
    let made = key::make(&options.name, guard).map_err(|why| Diagnostic::error("no-key", why))?;
    write_secret(&options.to, &made.secret).map_err(Stop::Output)?;
    write_all(&[(public.clone(), made.public)]).map_err(Stop::Output)?;
    println!(
        "{}  the secret key: keep it, and give it to nobody",
        path_in_words(&options.to)
    );
    println!(
        "{}  the public key, number {}:",
        path_in_words(&public),
        made.key.number()
    );
    println!("{}", made.key);
    Ok(())
}

/// Lists, adds or removes trusted shops.
pub fn change_trust(options: &TrustOptions) -> Result<(), Stop> {
    let mut trust = options.trust.read()?;
    if options.list {
        for (name, key) in trust.keys() {
            println!("{key}  {name}");
        }
        return Ok(());
    }
    if let Some(name) = &options.remove {
        trust.remove(name)?;
        trust.write().map_err(Stop::Output)?;
        println!("\"{name}\" is not trusted any more");
        return Ok(());
    }
    // The parser sees to it that both are there.
    let (Some(name), Some(key)) = (&options.name, &options.key) else {
        return Ok(());
    };
    let file = Path::new(key);
    let text = if file.is_file() {
        read_text(file, 1)?
    } else {
        key.clone()
    };
    let key = PublicKey::parse(&text).map_err(|why| {
        Diagnostic::error("not-a-key", why)
            .help("Give the characters themselves, or the file that holds them.")
    })?;
    let number = key.number();
    trust.add(name, key)?;
    trust.write().map_err(Stop::Output)?;
    println!("\"{name}\" is trusted from now on, by key {number}");
    Ok(())
}
