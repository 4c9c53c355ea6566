//! Packs: made, looked into, and made into folders again.

use super::keys::TrustFile;
use super::password::PasswordSource;
use crate::cli::arguments::StepSource;
use crate::cli::commands::sources;
use crate::cli::stop::Stop;
use crate::cli::tell::Teller;
use clap::{Args, ValueHint};
use hoopwright::diagnostics::{Diagnostic, path_in_words};
use hoopwright::output::{OTHER_FILE, Spared, write_all};
use hoopwright::reading::{read_bytes, read_text};
use hoopwright::sharing::key::SecretKey;
use hoopwright::sharing::{self, Taken, Trust, limits};
use serde_json::json;
use std::path::{Path, PathBuf};

/// Options of `pack`.
#[derive(Debug, Args)]
pub struct Pack {
    /// The pipeline file.
    #[arg(value_hint = ValueHint::FilePath)]
    pub pipeline: PathBuf,
    /// The pack to write; its name ends in .pack.
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub to: PathBuf,
    /// Sign it with this secret key; the signature is written beside the pack.
    #[arg(long, value_name = "KEYFILE", value_hint = ValueHint::FilePath)]
    pub sign: Option<PathBuf>,
    /// Where the key's password comes from.
    #[command(flatten)]
    pub password: PasswordSource,
    /// Where steps come from and what they may use.
    #[command(flatten)]
    pub steps: StepSource,
}

const UNPACK_HELP: &str = "A pack is taken when a shop that you trust has signed it: see hoopwright trust. One that is changed in
any byte is refused, and so is one that holds anything but .json, .csv and .wasm files, more than 500
files, a file over 32 MiB or more than 256 MiB in all. Nothing is written unless all is well.
To look into a pack first: hoopwright inspect FILE.pack.";

/// Options of `unpack`.
#[derive(Debug, Args)]
#[command(after_help = UNPACK_HELP)]
pub struct Unpack {
    /// The pack.
    #[arg(value_hint = ValueHint::FilePath)]
    pub pack: PathBuf,
    /// The folder to make; where it is there already it must be empty.
    #[arg(long, value_name = "FOLDER", value_hint = ValueHint::DirPath)]
    pub into: PathBuf,
    /// Take the pack though nobody has signed it. A signature that is there must hold all the same.
    #[arg(long)]
    pub unsigned: bool,
    /// Whose packs are taken.
    #[command(flatten)]
    pub trust: TrustFile,
}

/// Packs a pipeline, and signs it where a key is given.
pub fn pack(options: &Pack) -> Result<(), Stop> {
    let (to, name) = sharing::pack_file(&options.to)?;
    let pack = sharing::pack(&options.pipeline, &sources(&options.steps)?)?;
    let broken = |why| Stop::from(Diagnostic::error("cannot-pack", why));
    let bytes = pack.to_bytes().map_err(broken)?;
    // What is sent is what any receiver takes.
    sharing::Pack::read(&bytes).map_err(|why| broken(format!("the pack {why}")))?;
    let size = bytes.len();
    let mut files = Vec::new();
    if let Some(file) = &options.sign {
        let text = read_text(file, 1)?;
        let key = SecretKey::read(&text, || {
            options
                .password
                .password(false)
                .map_err(|stop| Why::Stop(Box::new(stop)))
        });
        let key = key.map_err(|why| why.about(file))?;
        let signature = sharing::sign(&bytes, &name, &key).map_err(broken)?;
        files.push((sharing::signature_of(&to), signature));
    } else if let Ok(true) = sharing::signature_of(&to).try_exists() {
        return Err(Stop::Output(
            Diagnostic::error(
                "signature-there",
                format!(
                    "{} is there, and would not fit the new pack",
                    sharing::signature_of(&to).display()
                ),
            )
            .help("Sign the pack with --sign, or remove that file first."),
        ));
    }
    files.insert(0, (to, bytes));
    Spared::of_run(&options.pipeline, &options.pipeline)
        .check(files.iter().map(|(path, _)| &**path), OTHER_FILE)
        .and_then(|()| write_all(&files))
        .map_err(Stop::Output)?;
    let kib = size.div_ceil(1024);
    println!(
        "{} files, {kib} KiB, sha256 {}",
        pack.files().len(),
        sharing::Fingerprint::of(&files[0].1)
    );
    for (path, _) in &files {
        println!("{}", path_in_words(path));
    }
    Ok(())
}

/// Why a secret key could not be read.
enum Why {
    Stop(Box<Stop>),
    Words(String),
}

impl From<String> for Why {
    fn from(words: String) -> Self {
        Self::Words(words)
    }
}

impl Why {
    fn about(self, file: &Path) -> Stop {
        match self {
            Self::Stop(stop) => *stop,
            Self::Words(words) => Diagnostic::error("key-unusable", words)
                .in_file(file)
                .into(),
        }
    }
}

/// Makes a folder of a pack.
pub fn unpack(options: &Unpack, teller: &mut Teller) -> Result<(), Stop> {
    let trust = options.trust.read()?;
    let taken = if options.unsigned {
        Taken::UnsignedToo(&trust)
    } else {
        Taken::Signed(&trust)
    };
    let (pack, signer) = sharing::open(&options.pack, taken).map_err(|problem| {
        if problem.code == "unsigned" {
            problem.help("Ask its maker for the signature and put it beside the pack; or take the pack unsigned, with --unsigned.")
        } else {
            problem
        }
    })?;
    if let Some(then) = signer
        .as_ref()
        .and_then(|signer| signer.other_name.as_ref())
    {
        teller.tell(&[Diagnostic::warning(
            "other-name",
            format!("the pack was signed under another name: {then}"),
        )
        .help("See that it is the pack you meant, and not an older one in its place.")]);
    }
    let pipeline = sharing::unpack(&pack, &options.into).map_err(Stop::Output)?;
    println!("{}", pack.manifest().title);
    match signer {
        Some(signer) => println!("signed by {}", signer.name),
        None => println!("not signed"),
    }
    for path in pack.files().keys() {
        println!("{}", path_in_words(&options.into.join(path.to_path())));
    }
    println!(
        "hoopwright run --locked {} ARTWORK",
        path_in_words(&pipeline)
    );
    Ok(())
}

/// Whether a file is named like a pack.
pub fn is_pack(file: &Path) -> bool {
    file.to_string_lossy().ends_with(sharing::ENDING)
}

/// Tells what is in a pack, and who signed it, without taking anything from it.
pub fn list(file: &Path, as_json: bool) -> Result<(), Stop> {
    let bytes = read_bytes(file, limits::PACK_MIB)?;
    let pack = sharing::Pack::read(&bytes).map_err(|why| {
        Diagnostic::error("pack-refused", format!("{} {why}", file.display()))
            .help("Ask its maker to send it again.")
    })?;
    let manifest = pack.manifest();
    let signer = Trust::of_user().and_then(|trust| trust.signer(file, &bytes));
    if as_json {
        let signed = match &signer {
            Ok(signer) => json!({"by": signer.name}),
            Err(problem) => json!({"problem": problem}),
        };
        println!(
            "{:#}",
            json!({"manifest": manifest, "sha256": sharing::Fingerprint::of(&bytes), "signature": signed})
        );
        return Ok(());
    }
    println!("{}", manifest.title);
    println!("pipeline   {}", manifest.pipeline);
    println!(
        "packed by  hoopwright {}, contract {}",
        manifest.program, manifest.contract
    );
    println!("sha256     {}", sharing::Fingerprint::of(&bytes));
    match signer {
        Ok(signer) => println!("signature  of {}", signer.name),
        Err(problem) => println!("signature  {}", problem.message),
    }
    println!("\nfiles");
    for carried in &manifest.files {
        println!(
            "  {}  {:>9} bytes  {}",
            carried.sha256.short(),
            carried.bytes,
            carried.path
        );
    }
    Ok(())
}
