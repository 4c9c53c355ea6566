//! A picture of stitches that are there already.

use super::profile::machine_of;
use super::stop::Stop;
use super::tell::Teller;
use clap::{Args, ValueHint};
use hoopwright::artwork::read_for;
use hoopwright::design::{Design, Object, THREAD_WIDTH};
use hoopwright::diagnostics::Diagnostic;
use hoopwright::formats::dst::{Hoop, Machine, Route};
use hoopwright::output::{OTHER_FILE, Spared, write_all};
use hoopwright::pipeline::Size;
use hoopwright::preview::{self, HoopOutline, PreviewOptions};
use hoopwright::rack::Colour;
use std::path::{Path, PathBuf};

/// Options of `picture`.
#[derive(Debug, Args)]
pub struct Picture {
    /// The stitches: DST or design JSON.
    #[arg(value_hint = ValueHint::FilePath)]
    pub file: PathBuf,
    /// The file to write; its name ends in .png or .svg.
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub to: PathBuf,
    /// The fabric's colour, as in CSS: "#1f2a44", navy. [default: undyed cotton, #f0ede5]
    #[arg(long, value_name = "COLOUR", value_parser = colour)]
    pub fabric: Option<Colour>,
    /// Pixels in a mm of a PNG, 0.1 to 200; fewer where the picture would be over 16 million
    /// pixels. [default: what is sewn becomes 1200 pixels long]
    #[arg(long, value_name = "PX", value_parser = |text: &str| number(text, 0.1, 200.0))]
    pub scale: Option<f64>,
    /// How thick a 40 weight thread is drawn, in mm, 0.05 to 2; other weights go by their number.
    #[arg(long, value_name = "MM", default_value_t = THREAD_WIDTH, value_parser = |text: &str| number(text, 0.05, 2.0))]
    pub thread_width: f64,
    /// Mark each needle point with a dot.
    #[arg(long)]
    pub needle_points: bool,
    /// Mark sewn travel with lines and jumps with dashes.
    #[arg(long)]
    pub travel: bool,
    /// Mark trims: a cross where the thread is cut, a ring where it starts again.
    #[arg(long)]
    pub trims: bool,
    /// The machine's profile, for a machine file: how many jumps in a row cut the thread. The usual
    /// machine unless given.
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub machine: Option<PathBuf>,
    /// Draw the inside of a hoop of this width and height in mm around the machine's start, such
    /// as 130x180.
    #[arg(long, value_name = "MMxMM", value_parser = two_lengths)]
    pub hoop: Option<[f64; 2]>,
    /// Space to keep free inside the hoop, in mm, 0 to 50; drawn as dashes.
    #[arg(long, value_name = "MM", default_value = "5", value_parser = |text: &str| number(text, 0.0, 50.0))]
    pub hoop_margin: f64,
}

/// Draws the stitches of a machine file or a design.
pub fn picture(picture: &Picture, teller: &mut Teller) -> Result<(), Stop> {
    let form = PictureForm::of(&picture.to)?;
    Spared::default()
        .and(&picture.file, "the file that is drawn")
        .check([&*picture.to], OTHER_FILE)
        .map_err(Stop::Output)?;
    let machine = machine_of(picture.machine.as_deref())?;
    let (design, findings) = read_for(&picture.file, Size::default(), &machine)?;
    teller.tell(&findings);
    if !design.objects.iter().any(Object::is_sewn) {
        let file = picture.file.display();
        let nothing = Diagnostic::error("no-stitches", format!("{file} holds no stitches"))
            .help("Draw what a pipeline has sewn: run writes a .dst and a .design.json.");
        return Err(nothing.into());
    }
    let options = options(picture, &design, &machine)?;
    form.draw(&picture.to, &design, &options)
}

/// The form of a picture, as its file's name tells.
#[derive(Clone, Copy)]
pub enum PictureForm {
    /// Pixels.
    Png,
    /// Lines.
    Svg,
}

impl PictureForm {
    /// Draws `design` and writes the picture.
    pub fn draw(self, to: &Path, design: &Design, options: &PreviewOptions) -> Result<(), Stop> {
        let bytes = match self {
            Self::Png => preview::png(design, options)?,
            Self::Svg => preview::svg(design, options).into_bytes(),
        };
        write_all(&[(to.to_owned(), bytes)]).map_err(Stop::Output)
    }

    /// The form that the end of the name tells.
    pub fn of(path: &Path) -> Result<Self, Diagnostic> {
        let ending = path.extension().and_then(|ending| ending.to_str());
        match ending.map(str::to_ascii_lowercase).as_deref() {
            Some("png") => Ok(Self::Png),
            Some("svg") => Ok(Self::Svg),
            _ => Err(Diagnostic::error(
                "unknown-form",
                format!("{} is neither PNG nor SVG", path.display()),
            )
            .help("Let the name end in .png or .svg.")),
        }
    }
}

fn options(
    picture: &Picture,
    design: &Design,
    machine: &Machine,
) -> Result<PreviewOptions, Diagnostic> {
    let usual = PreviewOptions::default();
    let hoop = match picture.hoop {
        // The hoop's centre is where the machine starts.
        Some([width, height]) => {
            let start = Route::plan(design, machine).map(|(route, _)| route.origin);
            let page = design.page.middle();
            Some(HoopOutline {
                centre: start.unwrap_or(page),
                hoop: Hoop {
                    width,
                    height,
                    margin: picture.hoop_margin,
                },
            })
        }
        None => None,
    };
    Ok(PreviewOptions {
        fabric: picture
            .fabric
            .map_or(usual.fabric, |Colour { red, green, blue }| {
                [red, green, blue]
            }),
        thread_width: picture.thread_width,
        scale: picture.scale,
        needle_points: picture.needle_points,
        travel: picture.travel,
        trims: picture.trims,
        hoop,
        ..usual
    })
}

/// A CSS colour without transparency.
pub fn colour(text: &str) -> Result<Colour, String> {
    Colour::parse(text).ok_or_else(|| "write a CSS colour, such as \"#1f2a44\" or navy".to_owned())
}

/// A number within bounds.
pub fn number(text: &str, least: f64, greatest: f64) -> Result<f64, String> {
    text.parse::<f64>()
        .ok()
        .filter(|number| (least..=greatest).contains(number))
        .ok_or_else(|| format!("write a number from {least} to {greatest}"))
}

/// Two lengths in mm, such as 130x180.
pub fn two_lengths(text: &str) -> Result<[f64; 2], String> {
    let (width, height) = text
        .split_once(['x', 'X'])
        .ok_or("write width and height in mm, such as 130x180")?;
    Ok([
        number(width.trim(), 10.0, 2000.0)?,
        number(height.trim(), 10.0, 2000.0)?,
    ])
}
