//! What each command does.

use super::arguments::{Arguments, Check, Command, Run, Schema, SchemaOf, StepSource};
use super::stop::Stop;
use super::tell::Teller;
use super::watch::Bar;
use super::{
    CANNOT_WRITE, HELD_BACK, WRONG_INPUT, batch, inspect, judge, live, picture, playback, steps,
};
use clap::CommandFactory as _;
use hoopwright::artwork::{Asked, name_of, read_text};
use hoopwright::diagnostics::{Diagnostic, Failed};
use hoopwright::job::{self, Forms};
use hoopwright::output::write_all;
use hoopwright::pipeline::{self, Watch};
use hoopwright::plugins::Plugins;
use hoopwright::sandbox::{Limits, Sandbox};
use std::path::PathBuf;
use std::process::ExitCode;
use std::sync::Arc;

/// The largest pipeline or rack read, in MiB.
pub(super) const LARGEST_MIB: u64 = 16;

/// Runs the command and tells what went wrong.
pub fn dispatch(arguments: &Arguments) -> ExitCode {
    let mut teller = Teller::new(arguments);
    let done = match &arguments.command {
        Command::Run(run) => sew(run, arguments, &mut teller),
        Command::Batch(many) => batch::sew_all(many, arguments, &mut teller),
        Command::Live(watched) => live::keep_sewing(watched, &mut teller),
        Command::Check(check) => check_all(check),
        Command::Steps(list) => plugins(&list.steps).and_then(|all| steps::list(&all, list.json)),
        Command::Describe(describe) => plugins(&describe.steps)
            .and_then(|all| steps::describe(&all, &describe.step, describe.schema)),
        Command::Schema(schema) => write_schema(schema),
        Command::Inspect(file) => inspect::inspect(&file.file, file.json, &mut teller),
        Command::Picture(drawn) => picture::picture(drawn, &mut teller),
        Command::Report(options) => judge::judge(options, &mut teller),
        Command::Playback(page) => playback::write(&page.file, &page.to, &mut teller),
        Command::Completions(completions) => {
            let mut command = Arguments::command();
            clap_complete::generate(
                completions.shell,
                &mut command,
                "hoopwright",
                &mut std::io::stdout(),
            );
            Ok(())
        }
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(Stop::Input(diagnostics)) => {
            teller.tell(&diagnostics);
            ExitCode::from(WRONG_INPUT)
        }
        Err(Stop::Told(code)) => ExitCode::from(code),
        Err(Stop::Output(diagnostic)) => {
            teller.tell(&[diagnostic]);
            ExitCode::from(CANNOT_WRITE)
        }
        Err(Stop::Held(diagnostic)) => {
            teller.tell(&[diagnostic]);
            ExitCode::from(HELD_BACK)
        }
    }
}

/// The stock steps, and what the options add.
pub(super) fn plugins(source: &StepSource) -> Result<Plugins, Stop> {
    Plugins::with(sandbox(source)?, &source.plugins).map_err(Stop::Input)
}

/// The sandbox that the options ask for.
pub(super) fn sandbox(source: &StepSource) -> Result<Arc<Sandbox>, Stop> {
    let limits = Limits {
        work_millions: source.work_limit,
        seconds: source.time_limit,
        memory_mib: usize::from(source.memory_limit),
        ..Limits::default()
    };
    let cache = directories::ProjectDirs::from("", "", "hoopwright")
        .filter(|_| !source.no_cache)
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
    let text = read_text(&run.pipeline, LARGEST_MIB)?;
    let plugins = plugins(&run.steps)?;
    let checked = pipeline::check(&run.pipeline, text, &plugins)?;
    let bar = Arc::new(Bar::new(arguments.notes));
    let watch: Arc<dyn Watch> = bar.clone();
    let forms = Forms::default();
    let artwork = forms.readers.read(&run.artwork, &Asked::by(&checked));
    let products = artwork
        .and_then(|artwork| job::sew(&checked, artwork, &plugins, None, &watch))
        .and_then(|sewn| sewn.products(&forms.writers));
    bar.finish();
    let products = products?;
    let name = run.name.clone().unwrap_or_else(|| name_of(&run.artwork));
    let files: Vec<(PathBuf, Vec<u8>)> = products
        .files
        .into_iter()
        .map(|(ending, bytes)| (run.into.join(format!("{name}.{ending}")), bytes))
        .collect();
    teller.tell(&products.sewn.told());
    if let Some(held) = products.sewn.held(run.hold_at) {
        return Err(Stop::Held(held));
    }
    write_all(&files).map_err(Stop::Output)?;
    println!("{}", products.sewn.worksheet.on_one_line());
    if let Some(score) = &products.score {
        println!("{}", score.in_words());
    }
    for (path, _) in &files {
        println!("{}", path.display());
    }
    Ok(())
}

fn check_all(check: &Check) -> Result<(), Stop> {
    let plugins = plugins(&check.steps)?;
    let mut problems = Vec::new();
    for path in &check.pipelines {
        let text = match read_text(path, LARGEST_MIB) {
            Ok(text) => text,
            Err(problem) => {
                problems.push(problem);
                continue;
            }
        };
        let steps = if pipeline::is_part(&text) {
            pipeline::check_part(path, text, &plugins)
        } else {
            pipeline::check(path, text, &plugins).map(|checked| checked.steps.len())
        };
        match steps {
            Ok(steps) => println!("{}: {steps} steps, all well", path.display()),
            Err(Failed(found)) => problems.extend(found),
        }
    }
    if problems.is_empty() {
        Ok(())
    } else {
        Err(Stop::Input(problems))
    }
}

fn write_schema(schema: &Schema) -> Result<(), Stop> {
    let value = match schema.of {
        SchemaOf::Pipeline => pipeline::schema::composed(&plugins(&schema.steps)?)?,
        SchemaOf::Part => pipeline::schema::composed_part(&plugins(&schema.steps)?)?,
        SchemaOf::Rack => hoopwright::rack::schema(),
        SchemaOf::Design => hoopwright::formats::design_json::schema(),
        SchemaOf::Machine => hoopwright::formats::dst::machine::schema(),
        SchemaOf::Report => hoopwright::report::schema(),
    };
    let text = format!("{value:#}\n");
    match &schema.to {
        Some(path) => write_all(&[(path.clone(), text.into_bytes())]).map_err(Stop::Output),
        None => {
            print!("{text}");
            Ok(())
        }
    }
}
