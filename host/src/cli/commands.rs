//! What each command does.

use super::arguments::{Arguments, Check, Command, Run, Schema, SchemaOf, StepSource};
use super::stop::Stop;
use super::tell::Teller;
use super::watch::Bar;
use super::{
    CANNOT_WRITE, HELD_BACK, WRONG_INPUT, apply, batch, begin, inspect, judge, live, manual,
    picture, playback, print, registry, sharing, steps, trial,
};
use clap::CommandFactory as _;
use hoopwright::artwork::{Asked, name_of};
use hoopwright::diagnostics::{Diagnostic, Failed, path_in_words};
use hoopwright::job::{self, Forms};
use hoopwright::json::Document;
use hoopwright::output::{
    OTHER_FILE, OTHER_FOLDER, Spared, check_folder, outdated, report_of_a_run, spared_machine_file,
    write_all,
};
use hoopwright::pipeline::{self, Opened, Watch};
use hoopwright::plugins::{Pins, Plugins, Sources};
use hoopwright::reading::read_text;
use hoopwright::sandbox::{Limits, Sandbox};
use hoopwright::user_folders::user_folders;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::Arc;

/// Runs the command, which has this `name`, and tells what went wrong.
pub fn dispatch(arguments: &Arguments, name: &str) -> ExitCode {
    let mut teller = Teller::new(arguments, name);
    let done = match &arguments.command {
        Command::Run(run) => sew(run, arguments, &mut teller),
        Command::Batch(many) => batch::sew_all(many, arguments, &mut teller),
        Command::Live(watched) => live::keep_sewing(watched, &mut teller),
        Command::Check(check) => check_all(check, &mut teller),
        Command::Steps(list) => match &list.pipeline {
            Some(pipeline) => listed(pipeline, &list.steps),
            None => plugins(&list.steps),
        }
        .and_then(|all| steps::list(&all, list.json)),
        Command::Describe(describe) => plugins(&describe.steps)
            .and_then(|all| steps::describe(&all, &describe.step, describe.schema)),
        Command::Manual(options) => manual::write(options),
        Command::Schema(schema) => write_schema(schema),
        Command::Lock(options) => sharing::lock(options),
        Command::Pack(options) => sharing::pack(options),
        Command::Unpack(options) => sharing::unpack(options, &mut teller),
        Command::Key(options) => sharing::make_key(options),
        Command::Trust(options) => sharing::change_trust(options),
        Command::Inspect(file) if sharing::is_pack(&file.file) => {
            sharing::list(&file.file, file.json)
        }
        Command::Inspect(file) => inspect::inspect(file, &mut teller),
        Command::Picture(drawn) => picture::picture(drawn, &mut teller),
        Command::Report(options) => judge::judge(options, &mut teller),
        Command::Playback(page) => playback::write(page, &mut teller),
        Command::Begin(options) => begin::begin(options),
        Command::Try(options) => trial::try_step(options, &mut teller),
        Command::Apply(options) => apply::apply_step(options, arguments, &mut teller),
        Command::Push(step) => registry::push_step(step, &mut teller),
        Command::Pull(steps) => registry::pull_steps(steps, &mut teller),
        Command::Completions(completions) => {
            let mut command = Arguments::command();
            let mut script = Vec::new();
            clap_complete::generate(completions.shell, &mut command, "hoopwright", &mut script);
            print!("{}", String::from_utf8_lossy(&script));
            Ok(())
        }
    };
    let code = match done {
        Ok(()) => 0,
        Err(Stop::Input(diagnostics)) => {
            teller.tell(&diagnostics);
            WRONG_INPUT
        }
        Err(Stop::Told(code)) => code,
        Err(Stop::Output(diagnostic)) => {
            teller.tell(&[diagnostic]);
            CANNOT_WRITE
        }
        Err(Stop::Held(diagnostic)) => {
            teller.tell(&[diagnostic]);
            HELD_BACK
        }
    };
    let lost = print::lost();
    teller.tell(lost.as_slice());
    // What else went wrong says more than a list that is lost.
    ExitCode::from(match lost {
        Some(_) if code == 0 => CANNOT_WRITE,
        _ => code,
    })
}

/// Where the options say that steps come from.
pub(super) fn sources(source: &StepSource) -> Result<Sources, Stop> {
    let user = user_folders().map(|folders| folders.data_dir().join("steps"));
    Ok(Sources::new(sandbox(source)?, user, source.plugins.clone()))
}

/// The steps that a pipeline in this folder may name, for commands that are given none.
pub(super) fn plugins(source: &StepSource) -> Result<Plugins, Stop> {
    match sources(source)?.in_folder(Path::new("")) {
        (plugins, problems) if problems.is_empty() => Ok(plugins),
        (_, problems) => Err(Stop::Input(problems)),
    }
}

/// The steps that a pipeline may name.
pub(super) fn listed(pipeline: &Path, source: &StepSource) -> Result<Plugins, Stop> {
    let text = read_text(pipeline, pipeline::LARGEST_MIB)?;
    let document = Document::parse(pipeline, text).map_err(Stop::Input)?;
    match sources(source)?.for_pipeline(&document, &Pins::new()) {
        (plugins, problems) if problems.is_empty() => Ok(plugins),
        (_, problems) => Err(Stop::Input(problems)),
    }
}

/// The sandbox that the options ask for.
pub(super) fn sandbox(source: &StepSource) -> Result<Arc<Sandbox>, Stop> {
    sandbox_within(source.limits.limits(), !source.no_cache)
}

/// A sandbox with these limits, which keeps what it compiles if it may.
pub(super) fn sandbox_within(limits: Limits, keep: bool) -> Result<Arc<Sandbox>, Stop> {
    let cache = user_folders()
        .filter(|_| keep)
        .map(|folders| folders.cache_dir().join("compiled"));
    let sandbox = Sandbox::new(limits, cache.as_deref()).map_err(|error| {
        Diagnostic::error(
            "no-sandbox",
            format!("this machine cannot run plugins: {error:#}"),
        )
    })?;
    Ok(Arc::new(sandbox))
}

fn sew(run: &Run, arguments: &Arguments, teller: &mut Teller) -> Result<(), Stop> {
    check_folder(&run.into).map_err(Stop::Output)?;
    let forms = Forms::default();
    let held = sharing::held(&run.pipeline, &sources(&run.steps)?, &run.lock);
    let (opened, noticed) = held.map_err(|Failed(mut found)| {
        // A path mistyped is told with the pipeline's mistakes, not after them.
        if let Err(Failed(of_artwork)) = forms.readers.open(&run.artwork) {
            found.extend(of_artwork);
        }
        Failed(found)
    })?;
    teller.tell(&noticed);
    let Opened { plugins, checked } = opened;
    let bar = Arc::new(Bar::new(arguments.notes));
    let watch: Arc<dyn Watch> = bar.clone();
    let artwork = forms.readers.read(&run.artwork, &Asked::by(&checked));
    let products = artwork
        .and_then(|artwork| job::sew(&checked, artwork, &plugins, None, &watch))
        .and_then(|sewn| sewn.products(&forms.writers));
    bar.finish();
    teller.tell(&plugins.sandbox().noticed());
    let name = run.name.clone().unwrap_or_else(|| name_of(&run.artwork));
    let outdated = || {
        let file = run.into.join(format!("{name}.dst"));
        report_of_a_run(&run.into, &name).map(|_| outdated(&file))
    };
    let products = products.map_err(|failed| failed.after(outdated().into_iter().collect()))?;
    let files: Vec<(PathBuf, Vec<u8>)> = products
        .files
        .into_iter()
        .map(|(ending, bytes)| (run.into.join(format!("{name}.{ending}")), bytes))
        .collect();
    teller.tell(&products.sewn.told());
    if let Some(held) = products.sewn.held(run.hold_at.into()) {
        teller.tell(outdated().as_slice());
        return Err(Stop::Held(held));
    }
    Spared::of_run(&run.artwork, &run.pipeline)
        .check(files.iter().map(|(path, _)| &**path), OTHER_FOLDER)
        .and_then(|()| spared_machine_file(&run.into, &name))
        .and_then(|()| write_all(&files))
        .map_err(Stop::Output)?;
    println!("{}", products.sewn.worksheet.on_one_line());
    if let Some(score) = &products.score {
        println!("{}", score.in_words());
    }
    for (path, _) in &files {
        println!("{}", path_in_words(path));
    }
    Ok(())
}

fn check_all(check: &Check, teller: &mut Teller) -> Result<(), Stop> {
    let sources = sources(&check.steps)?;
    let mut problems = Vec::new();
    for path in &check.pipelines {
        let steps = match read_text(path, pipeline::LARGEST_MIB) {
            Ok(text) if pipeline::is_part(&text) => pipeline::open_part(path, &sources),
            // What cannot be read is told by whoever opens it.
            _ => sharing::held(path, &sources, &check.lock).map(|(opened, noticed)| {
                teller.tell(&noticed);
                opened.checked.steps.len()
            }),
        };
        match steps {
            Ok(steps) => println!("{}: {steps} steps, all well", path_in_words(path)),
            Err(Failed(found)) => problems.extend(found),
        }
    }
    if problems.is_empty() {
        Ok(())
    } else {
        Err(Stop::Input(problems))
    }
}

/// Whether a file is a JSON Schema, as its own `$schema` says.
fn is_schema(path: &Path) -> bool {
    let text = read_text(path, pipeline::LARGEST_MIB).unwrap_or_default();
    let value: serde_json::Value = serde_json::from_str(&text).unwrap_or_default();
    let of = value["$schema"].as_str();
    of.is_some_and(|of| of.contains("json-schema.org"))
}

fn write_schema(schema: &Schema) -> Result<(), Stop> {
    let value = match schema.of {
        SchemaOf::Pipeline => pipeline::schema::composed(&plugins(&schema.steps)?)?,
        SchemaOf::Part => pipeline::schema::composed_part(&plugins(&schema.steps)?)?,
        SchemaOf::Rack => hoopwright::rack::schema(),
        SchemaOf::Design => hoopwright::formats::design_json::schema(),
        SchemaOf::Machine => hoopwright::formats::dst::machine::schema(),
        SchemaOf::Lock => hoopwright::sharing::lock::schema(),
        SchemaOf::Report => hoopwright::report::schema(),
    };
    let text = format!("{value:#}\n");
    match &schema.to {
        Some(path) if path.exists() && !is_schema(path) => {
            let other = format!("{} is there already, and is no JSON Schema", path.display());
            let other = Diagnostic::error("cannot-write", other);
            Err(Stop::Output(other.help(OTHER_FILE)))
        }
        Some(path) => write_all(&[(path.clone(), text.into_bytes())]).map_err(Stop::Output),
        None => {
            print!("{text}");
            Ok(())
        }
    }
}
