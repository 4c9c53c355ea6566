//! The command `report`: judges a file that is there.

use super::hold_at::HoldAtName;
use super::picture::PictureForm;
use super::profile::machine_of;
use super::stop::Stop;
use super::tell::Teller;
use clap::{Args, ValueEnum, ValueHint};
use hoopwright::artwork::read_for;
use hoopwright::formats::dst::Route;
use hoopwright::job::HoldAt;
use hoopwright::output::{OTHER_FILE, Spared};
use hoopwright::pipeline::Size;
use hoopwright::preview::PreviewOptions;
use hoopwright::report::{self, Fabric};
use std::path::PathBuf;

/// Options of `report`.
#[derive(Debug, Args)]
pub struct Report {
    /// The machine file (DST) or the sewn design (JSON).
    #[arg(value_hint = ValueHint::FilePath)]
    pub file: PathBuf,
    /// The machine's profile; the usual settings and limits unless given.
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub machine: Option<PathBuf>,
    /// The fabric that is sewn on. [default: the profile's own, else woven]
    #[arg(long, value_enum)]
    pub fabric: Option<FabricName>,
    /// As JSON, for scripts.
    #[arg(long)]
    pub json: bool,
    /// Draw the findings too, by their numbers, on a picture of the stitches; the name ends in .png
    /// or .svg.
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub picture: Option<PathBuf>,
    /// From which severity on findings end the command with exit code 4.
    #[arg(long, value_enum, default_value_t = HoldAtName::Error)]
    pub hold_at: HoldAtName,
}

/// The fabrics.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum FabricName {
    /// Twill, canvas, shirting.
    Woven,
    /// Piqué and other knits.
    Pique,
    /// Fleece.
    Fleece,
    /// Terry.
    Terry,
}

/// Judges a machine file or a sewn design, prints the judgement, and stops where findings hold the
/// file back.
pub fn judge(options: &Report, teller: &mut Teller) -> Result<(), Stop> {
    let form = options.picture.as_deref().map(PictureForm::of);
    let form = form.transpose()?;
    Spared::default()
        .and(&options.file, "the file that is judged")
        .check(options.picture.as_deref(), OTHER_FILE)
        .map_err(Stop::Output)?;
    let machine = machine_of(options.machine.as_deref())?;
    let fabric = options
        .fabric
        .map(Fabric::from)
        .or(machine.fabric)
        .unwrap_or_default();
    let (design, mut findings) = read_for(&options.file, Size::default(), &machine)?;
    let (route, remarks) = match Route::plan(&design, &machine) {
        Ok(planned) => planned,
        Err(failed) => {
            teller.tell(&findings);
            return Err(failed.into());
        }
    };
    findings.extend(remarks);
    teller.tell(&findings);
    let report = report::judge(&design, &route, &machine, fabric);
    if options.json {
        // Plain strings and finite numbers always serialize.
        println!(
            "{}",
            serde_json::to_string_pretty(&report).unwrap_or_default()
        );
    } else {
        print!("{report}");
    }
    if let (Some(to), Some(form)) = (&options.picture, form) {
        let marked = PreviewOptions {
            overlay: report.overlay(),
            ..PreviewOptions::default()
        };
        form.draw(to, &design, &marked)?;
    }
    findings.extend(report.diagnostics());
    match HoldAt::from(options.hold_at).hold(&findings, "the file should not be sewn") {
        Some(held) => Err(Stop::Held(held)),
        None => Ok(()),
    }
}

impl From<FabricName> for Fabric {
    fn from(name: FabricName) -> Self {
        match name {
            FabricName::Woven => Self::Woven,
            FabricName::Pique => Self::Pique,
            FabricName::Fleece => Self::Fleece,
            FabricName::Terry => Self::Terry,
        }
    }
}
