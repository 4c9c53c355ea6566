//! What each command does.

use super::arguments::{Arguments, Check, Command, Run, Schema, SchemaOf, StepSource};
use super::output::write_all;
use super::stop::Stop;
use super::tell::Teller;
use super::watch::Bar;
use super::{CANNOT_WRITE, WRONG_INPUT, inspect, picture, steps};
use clap::CommandFactory as _;
use hoopwright::artwork::read_text;
use hoopwright::diagnostics::{Diagnostic, Failed, Severity};
use hoopwright::job;
use hoopwright::pipeline::{self, Watch};
use hoopwright::plugins::Plugins;
use hoopwright::sandbox::{Limits, Sandbox};
use hoopwright::worksheet::Worksheet;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::Arc;

/// The largest pipeline or rack read, in MiB.
const LARGEST_MIB: u64 = 16;

/// Runs the command and tells what went wrong.
pub fn dispatch(arguments: &Arguments) -> ExitCode {
    let mut teller = Teller::new(arguments);
    let done = match &arguments.command {
        Command::Run(run) => sew(run, arguments, &mut teller),
        Command::Check(check) => check_all(check),
        Command::Steps(list) => plugins(&list.steps).and_then(|all| steps::list(&all, list.json)),
        Command::Describe(describe) => plugins(&describe.steps)
            .and_then(|all| steps::describe(&all, &describe.step, describe.schema)),
        Command::Schema(schema) => write_schema(schema),
        Command::Inspect(file) => inspect::inspect(&file.file, file.json, &mut teller),
        Command::Picture(drawn) => picture::picture(drawn, &mut teller),
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
        Err(Stop::Output(diagnostic)) => {
            teller.tell(&[diagnostic]);
            ExitCode::from(CANNOT_WRITE)
        }
    }
}

/// The stock steps, and what the options add.
fn plugins(source: &StepSource) -> Result<Plugins, Stop> {
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
    let mut plugins = Plugins::stock(Arc::new(sandbox));
    let mut problems = Vec::new();
    for path in &source.plugins {
        if let Err(found) = plugins.add(path) {
            problems.extend(found);
        }
    }
    if problems.is_empty() {
        Ok(plugins)
    } else {
        Err(Stop::Input(problems))
    }
}

fn sew(run: &Run, arguments: &Arguments, teller: &mut Teller) -> Result<(), Stop> {
    let text = read_text(&run.pipeline, LARGEST_MIB)?;
    let plugins = plugins(&run.steps)?;
    let checked = pipeline::check(&run.pipeline, text, &plugins)?;
    let bar = Arc::new(Bar::new(arguments.notes));
    let watch: Arc<dyn Watch> = bar.clone();
    let products = job::sew(&checked, &run.artwork, &plugins, None, &watch);
    bar.finish();
    let products = products?;
    let name = run.name.clone().unwrap_or_else(|| stem(&run.artwork));
    let files: Vec<(PathBuf, Vec<u8>)> = products
        .files()
        .into_iter()
        .map(|(ending, bytes)| (run.into.join(format!("{name}.{ending}")), bytes))
        .collect();
    teller.tell(&products.findings);
    let graver = products
        .findings
        .iter()
        .filter(|finding| finding.severity == Severity::Error)
        .count();
    if graver > 0 {
        let refused = Diagnostic::error(
            "not-written",
            format!("nothing was written, because steps found {graver} errors"),
        );
        return Err(refused.into());
    }
    write_all(&files).map_err(Stop::Output)?;
    println!("{}", summary(&products.worksheet));
    if let Some(score) = &products.score {
        println!("{}", score.in_words());
    }
    for (path, _) in &files {
        println!("{}", path.display());
    }
    Ok(())
}

/// What was sewn, on one line.
fn summary(worksheet: &Worksheet) -> String {
    let minutes = (worksheet.seconds / 60.0).ceil();
    format!(
        "{}: {} stitches, {} thread changes, {} trims, {} x {} mm, about {minutes} min",
        worksheet.title,
        worksheet.stitches,
        worksheet.thread_changes,
        worksheet.trims,
        worksheet.width,
        worksheet.height,
    )
}

fn stem(path: &Path) -> String {
    let name = path.file_stem().unwrap_or_default().to_string_lossy();
    name.strip_suffix(".design").unwrap_or(&name).to_owned()
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
        match pipeline::check(path, text, &plugins) {
            Ok(checked) => println!(
                "{}: {} steps, all well",
                path.display(),
                checked.steps.len()
            ),
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
        SchemaOf::Rack => hoopwright::rack::schema(),
        SchemaOf::Design => hoopwright::formats::design_json::schema(),
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
