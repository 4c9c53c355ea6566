//! What was done, added up for the people who run the pipeline.

use crate::CutLayers;
use crate::region::Cut;
use crate::shown::NOISE;
use crate::upper::Upper;
use hoopwright_sdk::geometry::area::{intersection, union};
use hoopwright_sdk::geometry::geo::{Area, MultiPolygon, Polygon};
use hoopwright_sdk::prelude::*;
use std::cmp::Reverse;

/// So many names are told; of more, how many there are.
const NAMED: usize = 3;

/// What showed and is left out is told from this much on, in mm².
const WORTH_TELLING: f64 = 0.01;

/// What was done so far.
#[derive(Default)]
pub(crate) struct Account {
    /// All that covers cloth, as it was.
    all: Vec<Polygon<f64>>,
    /// The sum of what each object covered, in mm².
    before: f64,
    /// The sum of what each object covers now, in mm².
    after: f64,
    cut: usize,
    gone: usize,
    kept: usize,
    /// Borders that come after their fills.
    borders: usize,
    /// Those that have stitches, with their places.
    sewn: Vec<(usize, String)>,
    /// What is to be told of single objects, with their places.
    findings: Vec<(usize, Finding)>,
    /// What showed and is left out as too small for a thread, in mm².
    lost: f64,
}

impl Account {
    /// An object as it was.
    pub fn meets(&mut self, object: &Object, area: &MultiPolygon<f64>, settings: &CutLayers) {
        if is_layer(object, settings) {
            self.before += area.unsigned_area();
            self.all.extend(area.iter().cloned());
        }
    }

    /// An object as it is left.
    pub fn leaves(&mut self, object: &Object, area: &MultiPolygon<f64>, settings: &CutLayers) {
        if is_layer(object, settings) {
            self.after += area.unsigned_area();
        }
    }

    /// The object at `place` lies beneath others, but stays whole: because it has stitches, or else by its tag.
    pub fn stays(&mut self, place: usize, object: &Object) {
        if object.stitches.is_empty() {
            self.kept += 1;
        } else {
            self.sewn.push((place, called(object)));
        }
    }

    /// A fill goes on beneath a border.
    pub fn grows(&mut self, gained: &MultiPolygon<f64>) {
        self.after += gained.unsigned_area();
    }

    /// So many borders come after the fills along them.
    pub fn moves(&mut self, borders: usize) {
        self.borders = borders;
    }

    /// What became of the object at `place` that covered `area`, beneath `above`.
    pub fn counts<'a>(
        &mut self,
        place: usize,
        object: &Object,
        area: &MultiPolygon<f64>,
        cut: &Cut<Shape>,
        above: &[&'a Upper],
        name: impl Fn(&'a Upper) -> String,
    ) {
        match cut {
            Cut::Whole => {}
            Cut::To(_, lost) => {
                self.cut += 1;
                self.lost += lost;
                if *lost > WORTH_TELLING {
                    self.findings.push((
                        place,
                        Finding::note(format!(
                            "{lost:.2} mm² of this object showed in pieces too small for a thread, which are left out."
                        ))
                        .about(&object.id)
                        .help("Where they matter, enlarge them in the artwork, or lower `least-visible-width` and `least-visible-area`."),
                    ));
                }
            }
            Cut::Gone(lost) => {
                self.gone += 1;
                self.lost += lost;
                let names = hiding(area, above).map(name).collect::<Vec<_>>();
                let but = if *lost > WORTH_TELLING {
                    format!(", but for {lost:.2} mm² too small for a thread")
                } else {
                    String::new()
                };
                self.findings.push((
                    place,
                    Finding::note(format!(
                        "\"{}\" is hidden by {}{but}, and is left out.",
                        called(object),
                        listed(&names),
                    ))
                    .about(&object.id)
                    .help("To sew it all the same, give it a tag of `keep-whole`, or give what hides it a tag of `never-cut`."),
                ));
            }
        }
    }

    /// Tells it all, of the topmost objects first.
    pub fn report(mut self) {
        self.findings.sort_by_key(|(place, _)| Reverse(*place));
        for (_, finding) in self.findings {
            messages::report(finding);
        }
        if !self.sewn.is_empty() {
            self.sewn.sort_by_key(|(place, _)| Reverse(*place));
            let sewn: Vec<String> = self.sewn.into_iter().map(|(_, name)| name).collect();
            messages::report(
                Finding::warning(format!(
                    "Objects that have stitches already cannot be cut and stay as they are: {}.",
                    listed(&sewn)
                ))
                .help("Put this step before those that make stitches."),
            );
        }
        let all: MultiPolygon<f64> = self.all.iter().cloned().collect();
        let covered = union(&all, &MultiPolygon::new(Vec::new())).unsigned_area();
        let percent = |area: f64| {
            if covered > 0.0 {
                100.0 * area / covered
            } else {
                0.0
            }
        };
        let stacked = [self.before, self.after].map(|sum| (sum - covered).max(0.0));
        let mut told = format!(
            "Layers beneath layers: {:.0} mm² before, {:.0} mm² now ({:.1} % and {:.1} % of the {covered:.0} mm² covered). {} cut, {} left out",
            stacked[0],
            stacked[1],
            percent(stacked[0]),
            percent(stacked[1]),
            objects(self.cut),
            objects(self.gone),
        );
        if self.borders > 0 {
            told += &format!(
                ", {} sewn after the fills along them as borders",
                objects(self.borders)
            );
        }
        if self.kept > 0 {
            told += &format!(", {} kept whole by tag", objects(self.kept));
        }
        if self.lost > WORTH_TELLING {
            told += &format!(
                ". Left out as too small for a thread, though it showed: {:.2} mm²",
                self.lost
            );
        }
        messages::report(Finding::note(told + "."));
    }
}

/// Whether an object lies on the cloth as a layer: a region, or a line that hides.
fn is_layer(object: &Object, settings: &CutLayers) -> bool {
    match &object.shape {
        Shape::Region(_) => true,
        Shape::Lines(lines) => lines.width >= settings.line_hides_from,
        Shape::Manual => false,
    }
}

/// Which of `above` lie on `area`, those first that hide the most.
fn hiding<'a>(
    area: &MultiPolygon<f64>,
    above: &[&'a Upper],
) -> impl Iterator<Item = &'a Upper> + use<'a> {
    let common = |upper: &Upper| intersection(area, &upper.area).unsigned_area();
    let mut hiding: Vec<(f64, &'a Upper)> = above
        .iter()
        .map(|&upper| (common(upper), upper))
        .filter(|&(common, _)| common > NOISE)
        .collect();
    hiding.sort_by(|a, b| b.0.total_cmp(&a.0));
    hiding.into_iter().map(|(_, upper)| upper)
}

/// What an object is called in a sentence.
pub(crate) fn called(object: &Object) -> String {
    let name = if object.name.is_empty() {
        &object.id
    } else {
        &object.name
    };
    name.clone()
}

fn objects(count: usize) -> String {
    if count == 1 {
        "1 object".to_owned()
    } else {
        format!("{count} objects")
    }
}

/// A few names in a sentence.
fn listed(names: &[String]) -> String {
    let told: Vec<String> = names
        .iter()
        .take(NAMED)
        .map(|name| format!("\"{name}\""))
        .collect();
    match names.len().saturating_sub(NAMED) {
        0 => told.join(", "),
        more => format!("{} and {more} more", told.join(", ")),
    }
}
