//! Steps to and from registries.

use super::arguments::StepSource;
use super::commands::{plugins, sandbox, sandbox_within};
use super::stop::Stop;
use super::tell::Teller;
use clap::{Args, ValueHint};
use hoopwright::diagnostics::Diagnostic;
use hoopwright::json::nearest::did_you_mean;
use hoopwright::pipeline::LARGEST_MIB;
use hoopwright::plugins::Origin;
use hoopwright::reading::{read_bytes, read_text};
use hoopwright::registry::layout::Artifact;
use hoopwright::registry::pull::{Pin, Pulled};
use hoopwright::registry::store::Store;
use hoopwright::registry::{
    Connection, Credentials, Digest, Encryption, Patience, Reference, pull, push,
};
use hoopwright::sandbox::{Limits, Plugin};
use hoopwright::sharing::Lock;
use serde_json::{Value, json};
use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

const PUSH_HELP: &str = "The step lies in the registry as the \"Wasm OCI Artifact layout\" asks, so that other programs for
Wasm can fetch it too. Pushing the same plugin again gives the same digest. The step is kept in your
own store as well, as if you had pulled it.";

/// Options of `push`.
#[derive(Debug, Args)]
#[command(after_help = PUSH_HELP)]
pub struct Push {
    /// The step: a plugin file, or the name of a step that `hoopwright steps` lists.
    #[arg(value_hint = ValueHint::FilePath)]
    pub step: PathBuf,
    /// Where to: oci:HOST[:PORT]/NAME:TAG.
    #[arg(value_name = "OCI:HOST/NAME:TAG")]
    pub to: Reference,
    /// As JSON, for scripts.
    #[arg(long)]
    pub json: bool,
    /// How the registry is spoken to.
    #[command(flatten)]
    pub access: Access,
    /// Where steps come from and what they may use.
    #[command(flatten)]
    pub steps: StepSource,
}

const PULL_HELP: &str = "A run never asks the network: it takes what was pulled from the store in your data folder. A step
is tried out before it is kept. A tag that means something else than before is told. Where a lock
file stands beside a pipeline, what it pins is pulled, whatever the tag means now.";

/// Options of `pull`.
#[derive(Debug, Args)]
#[command(after_help = PULL_HELP)]
pub struct Pull {
    /// What: oci:HOST[:PORT]/NAME:TAG, or the same with @sha256:… in place of :TAG, which is for
    /// ever the same; or a pipeline file, for all that its list of plugins names.
    #[arg(required = true, value_name = "OCI:… or PIPELINE", value_hint = ValueHint::FilePath)]
    pub what: Vec<String>,
    /// As JSON, for scripts.
    #[arg(long)]
    pub json: bool,
    /// How the registry is spoken to.
    #[command(flatten)]
    pub access: Access,
}

/// How a registry is spoken to.
#[derive(Debug, Args)]
pub struct Access {
    /// The name that the registry knows you by. The password comes from the environment variable
    /// HOOPWRIGHT_REGISTRY_PASSWORD, or from --password-file.
    #[arg(long, value_name = "NAME", help_heading = "Registry")]
    pub user: Option<String>,
    /// A file that holds the password and nothing else.
    #[arg(long, value_name = "FILE", requires = "user", help_heading = "Registry", value_hint = ValueHint::FilePath)]
    pub password_file: Option<PathBuf>,
    /// Speak to a registry on this computer with encryption too.
    #[arg(long, conflicts_with = "plain_http", help_heading = "Registry")]
    pub https: bool,
    /// Speak to a registry on another computer without encryption. Whoever is between can read
    /// what is sent, the password too.
    #[arg(long, help_heading = "Registry")]
    pub plain_http: bool,
}

impl Access {
    fn credentials(&self) -> Result<Option<Credentials>, Diagnostic> {
        let user = self.user.as_ref();
        user.map(|user| Credentials::of(user, self.password_file.as_deref()))
            .transpose()
    }

    fn connect<'a>(
        &self,
        reference: &Reference,
        credentials: Option<Credentials>,
        tell: &'a dyn Fn(Diagnostic),
    ) -> Connection<'a> {
        let encryption = match (self.https, self.plain_http) {
            (true, _) => Encryption::Always,
            (false, true) => Encryption::Never,
            (false, false) => Encryption::Elsewhere,
        };
        Connection::new(
            reference,
            encryption,
            credentials,
            Patience::default(),
            tell,
        )
    }
}

/// Pushes a step, and keeps it in the user's own store too.
pub fn push_step(options: &Push, teller: &mut Teller) -> Result<(), Stop> {
    let teller = RefCell::new(teller);
    let tell = |diagnostic| teller.borrow_mut().tell(&[diagnostic]);
    let artifact = artifact(options)?;
    let credentials = options.access.credentials()?;
    let connection = options.access.connect(&options.to, credentials, &tell);
    let pushed = push::push(&connection, &options.to, &artifact)?;
    if let Some(before) = pushed.moved_from {
        tell(
            Diagnostic::warning(
                "tag-moved",
                format!(
                    "{} meant {before}, and means {} from now on",
                    options.to, pushed.manifest
                ),
            )
            .help("Whoever pulls it gets the new step. A new tag for each version is kinder."),
        );
    }
    Store::open_user()?
        .keep(&options.to, &artifact)
        .map_err(Stop::Output)?;
    if options.json {
        println!(
            "{:#}",
            json!({
                "reference": options.to,
                "manifest": pushed.manifest.to_string(),
                "sha256": pushed.plugin.hex(),
                "moved-from": pushed.moved_from.map(|digest| digest.to_string()),
                "was-there": pushed.was_there,
            })
        );
        return Ok(());
    }
    let done = if pushed.was_there {
        "there already"
    } else {
        "pushed"
    };
    println!("{} {done}", options.to);
    println!("  for ever {}", options.to.at(pushed.manifest));
    println!("  plugin   {}", pushed.plugin);
    Ok(())
}

/// The plugin file or the known step, laid out for a registry.
fn artifact(options: &Push) -> Result<Artifact, Stop> {
    if options.step.exists() || options.step.components().count() > 1 {
        let sandbox = sandbox(&options.steps)?;
        let bytes = read_bytes(&options.step, sandbox.limits().plugin_mib as u64)?;
        let plugin = Plugin::load(&sandbox, &bytes, Origin::File(options.step.clone()))?;
        return Ok(Artifact::of(&bytes, &plugin)?);
    }
    let plugins = plugins(&options.steps)?;
    let name = options.step.to_string_lossy();
    let plugin = plugins.get(&name).ok_or_else(|| {
        Diagnostic::error(
            "unknown-step",
            format!("there is neither a file nor a step \"{name}\""),
        )
        .help(did_you_mean(&name, plugins.names()))
    })??;
    Ok(Artifact::of(&plugin.bytes, &plugin)?)
}

/// Pulls steps, all that can be pulled, and tells what was wrong with the others.
pub fn pull_steps(options: &Pull, teller: &mut Teller) -> Result<(), Stop> {
    let mut problems = Vec::new();
    // Each once, with what a lock pins it to.
    let mut wanted: BTreeMap<Reference, Option<Pin>> = BTreeMap::new();
    for what in &options.what {
        let named = if Reference::is_meant(what) {
            let parsed = what.parse::<Reference>();
            parsed.map_or_else(|wrong| Err(vec![wrong.into()]), |one| Ok(vec![(one, None)]))
        } else {
            named_by(Path::new(what))
        };
        match named {
            Ok(named) => {
                for (reference, locked) in named {
                    let pinned = wanted.entry(reference).or_default();
                    *pinned = pinned.or(locked);
                }
            }
            Err(found) => problems.extend(found),
        }
    }
    let credentials = options.access.credentials()?;
    let registries: BTreeSet<&str> = wanted.keys().map(Reference::registry).collect();
    if credentials.is_some() && registries.len() > 1 {
        let help = "Pull from one registry at a time, so that none learns another's password.";
        let several = "--user is for one registry, and these are several";
        problems.push(Diagnostic::error("several-registries", several).help(help));
    }
    if !problems.is_empty() {
        return Err(Stop::Input(problems));
    }
    let store = Store::open_user()?;
    let sandbox = sandbox_within(Limits::default(), true)?;
    let teller = RefCell::new(teller);
    let tell = |diagnostic| teller.borrow_mut().tell(&[diagnostic]);
    let mut pulled = Vec::new();
    for (reference, &locked) in &wanted {
        let connection = options
            .access
            .connect(reference, credentials.clone(), &tell);
        match pull::pull(&connection, reference, locked, &store, &sandbox) {
            Ok(step) => {
                if let Some(before) = step.moved_from {
                    tell(moved(reference, before, &step));
                }
                if !options.json {
                    print(reference, &step);
                }
                pulled.push(as_json(reference, &step));
            }
            Err(problem) => problems.push(problem),
        }
    }
    if options.json {
        println!("{:#}", Value::Array(pulled));
    }
    if problems.is_empty() {
        return Ok(());
    }
    // A store that cannot be written is not the fault of what was asked for.
    match problems
        .iter()
        .position(|problem| problem.code == "cannot-write")
    {
        Some(place) => {
            let unwritable = problems.remove(place);
            problems.into_iter().for_each(tell);
            Err(Stop::Output(unwritable))
        }
        None => Err(Stop::Input(problems)),
    }
}

/// The registry's steps in a pipeline's list of plugins, with what its lock pins them to.
fn named_by(pipeline: &Path) -> Result<Vec<(Reference, Option<Pin>)>, Vec<Diagnostic>> {
    let text = read_text(pipeline, LARGEST_MIB).map_err(|problem| vec![problem])?;
    let document = hoopwright::json::Document::parse(pipeline, text)?;
    let lock = Lock::read(pipeline).map_err(|problem| vec![problem])?;
    let locked = lock.map(|lock| lock.pins()).unwrap_or_default();
    let mut references = Vec::new();
    let mut problems = Vec::new();
    let plugins = document.value.get("plugins").and_then(Value::as_array);
    for (i, entry) in plugins.into_iter().flatten().enumerate() {
        let Some(text) = entry.as_str().filter(|text| Reference::is_meant(text)) else {
            continue;
        };
        match text.parse::<Reference>() {
            Ok(reference) => {
                let pinned = locked.get(&reference.bare()).copied();
                references.push((reference, pinned));
            }
            Err(wrong) => {
                let wrong = Diagnostic::from(wrong);
                let range = document.value_range(&format!("/plugins/{i}"));
                problems.push(document.point(wrong, range));
            }
        }
    }
    if problems.is_empty() {
        Ok(references)
    } else {
        Err(problems)
    }
}

fn moved(reference: &Reference, before: Digest, step: &Pulled) -> Diagnostic {
    Diagnostic::warning(
        "tag-moved",
        format!(
            "{reference} meant {before} when it was pulled last, and means {} now",
            step.manifest
        ),
    )
    .help("Try what it sews. To stay with one step for ever, name it by digest: NAME@sha256:…")
}

fn print(reference: &Reference, step: &Pulled) {
    let done = if step.was_here {
        "here already"
    } else {
        "pulled"
    };
    println!("{reference} {done}: {} {}", step.name, step.version);
    println!("  for ever {}", reference.at(step.manifest));
    println!("  plugin   {}", step.plugin);
}

fn as_json(reference: &Reference, step: &Pulled) -> Value {
    json!({
        "reference": reference,
        "name": step.name,
        "version": step.version,
        "manifest": step.manifest.to_string(),
        "sha256": step.plugin.hex(),
        "moved-from": step.moved_from.map(|digest| digest.to_string()),
        "was-here": step.was_here,
    })
}
