//! A step of one's own: built, and shown at work.

use super::arguments::StepSource;
use super::commands::{sandbox, sources};
use super::steps;
use super::stop::Stop;
use super::tell::Teller;
use super::watch::Bar;
use clap::{Args, ValueHint};
use hoopwright::artwork::{Artwork, Asked, name_of};
use hoopwright::design::Design;
use hoopwright::diagnostics::{Diagnostic, path_in_words};
use hoopwright::fingerprint::Fingerprint;
use hoopwright::job::{self, Forms};
use hoopwright::output::{Spared, write_all};
use hoopwright::pipeline::{self, Checked, Opened, StepCache, Watch};
use hoopwright::plugins::{Origin, Place, Plugins};
use hoopwright::sandbox::Plugin;
use hoopwright::trial;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Options of `try`.
#[derive(Debug, Args)]
pub struct Try {
    /// The step's folder, as `hoopwright begin` makes it.
    #[arg(default_value = ".", value_hint = ValueHint::DirPath)]
    pub folder: PathBuf,
    /// The artwork. [default: sample.svg in the folder]
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub art: Option<PathBuf>,
    /// A pipeline that uses the step. [default: routine.json in the folder]
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub routine: Option<PathBuf>,
    /// Where other steps come from, and what steps may use.
    #[command(flatten)]
    pub steps: StepSource,
}

/// Builds the step and runs it. The plugin is written as soon as it is built and checked; what the
/// run gives, when all of it is there.
pub fn try_step(options: &Try, teller: &mut Teller) -> Result<(), Stop> {
    let bytes = trial::compile(&options.folder)?;
    let here = options.folder == Path::new(".");
    let in_folder = |name: &str| match here {
        true => PathBuf::from(name),
        false => options.folder.join(name),
    };
    let out = in_folder("out");
    let sandbox = sandbox(&options.steps)?;
    let built = Origin::File(options.folder.clone());
    let plugin = Plugin::load(&sandbox, &bytes, built)?;
    let file = out.join(format!("{}.wasm", plugin.name));
    write_all(&[(file.clone(), bytes)]).map_err(Stop::Output)?;
    let digest = Fingerprint(plugin.digest);
    let source = StepSource {
        plugins: options
            .steps
            .plugins
            .iter()
            .cloned()
            .chain([Place::Path(file.clone())])
            .collect(),
        ..options.steps
    };
    let sources = sources(&source)?;
    steps::describe(&sources.in_folder(&options.folder).0, &plugin.name, false)?;
    println!("\n{}\nsha256 {digest}\n", path_in_words(&file));
    teller.tell(&trial::unfit_defaults(&plugin.schema));

    let routine = options
        .routine
        .clone()
        .unwrap_or_else(|| in_folder("routine.json"));
    let art = options
        .art
        .clone()
        .unwrap_or_else(|| in_folder("sample.svg"));
    let Opened { plugins, checked } = pipeline::open(&routine, &sources)?;
    let turns = turns(&checked, &plugin.name, &routine)?;
    let cache = StepCache::default();
    let bar = Arc::new(Bar::new(true));
    let watch: Arc<dyn Watch> = bar.clone();
    let forms = Forms::default();
    let asked = Asked {
        size: checked.pipeline.artwork,
        machine: &checked.pipeline.machine,
    };
    let artwork = forms.readers.read(&art, &asked)?;
    let products = job::sew(&checked, artwork.clone(), &plugins, Some(&cache), &watch)
        .and_then(|sewn| sewn.products(&forms.writers));
    bar.finish();
    let products = products?;
    let [before, after] = around(checked, turns, &artwork, &plugins, &cache)?;
    let picture = trial::before_after(&before, &after, &plugin.name)?;
    let name = name_of(&art);
    let mut files: Vec<(PathBuf, Vec<u8>)> = products
        .files
        .into_iter()
        .map(|(ending, bytes)| (out.join(format!("{name}.{ending}")), bytes))
        .collect();
    let picture_file = out.join(format!("{}.before-after.png", plugin.name));
    files.push((picture_file.clone(), picture));
    teller.tell(&products.sewn.told());
    Spared::of_run(&art, &routine)
        .check(
            files.iter().map(|(path, _)| &**path),
            "Name other artwork, or another routine.",
        )
        .and_then(|()| write_all(&files))
        .map_err(Stop::Output)?;
    println!("{}", products.sewn.worksheet.on_one_line());
    for (path, _) in &files {
        println!("{}", path_in_words(path));
    }
    Ok(())
}

/// The first and the last of the routine's steps that are the one on trial.
fn turns(checked: &Checked, name: &str, routine: &Path) -> Result<[usize; 2], Diagnostic> {
    let is_it = |ready: &pipeline::check::Ready| ready.plugin.name == name;
    let first = checked.steps.iter().position(is_it);
    let last = checked.steps.iter().rposition(is_it);
    match (first, last) {
        (Some(first), Some(last)) => Ok([first, last]),
        _ => Err(Diagnostic::error(
            "not-in-routine",
            format!("the routine does not use the step \"{name}\""),
        )
        .in_file(routine)
        .help(format!("Add {{ \"step\": \"{name}\" }} to its steps."))),
    }
}

/// The design before the first of the step's turns, and after the last. The cache has what the steps
/// gave.
fn around(
    mut checked: Checked,
    [first, last]: [usize; 2],
    artwork: &Artwork,
    plugins: &Plugins,
    cache: &StepCache,
) -> Result<[Design; 2], Stop> {
    // What it has to say was told by the run.
    let (drawn, _) = artwork.wound(&checked);
    let watch: Arc<dyn Watch> = Arc::new(());
    let mut upto = |count: usize| {
        checked.steps.truncate(count);
        let outcome = pipeline::run(
            &checked,
            drawn.clone(),
            plugins.sandbox(),
            Some(cache),
            &watch,
        );
        outcome.map(|outcome| outcome.design)
    };
    let after = upto(last + 1)?;
    Ok([upto(first)?, after])
}
