//! From a design to the exact list of records: the one place where stitches become moves of the
//! machine. The writer encodes it; the worksheet counts it.

mod needle_points;
mod remarks;

pub use needle_points::{NeedlePoint, Way};

use super::grid::{Grid, Units, length, way};
use super::header::{Extents, MOST_RECORDS};
use super::machine::Machine;
use super::record::{Move, Reach, Record, UNITS_PER_MM};
use super::travel::{approach, parts_needed, split};
use crate::design::{Design, Object, Stitch, StitchKind, StitchRole, Thread};
use crate::diagnostics::{Diagnostic, Failed};
use geo::Coord;
use remarks::Remarks;
use serde::Serialize;

/// Everything the machine does, in order.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Route {
    /// Where the machine starts, in mm of the design, y down.
    pub origin: Coord<f64>,
    /// Every record, the end included.
    pub records: Vec<Record>,
    /// What each record is there for.
    pub purposes: Vec<Purpose>,
    /// How the thread comes to each needle point of the design, in order; nothing where that lies on
    /// the one before and is left out. [`Route::needle_points`] puts the two together.
    pub ways: Vec<Option<Way>>,
    /// What is sewn from one halt to the next; a run may be empty.
    pub runs: Vec<Run>,
    /// How far the hoop moves from the start point.
    pub extents: Extents,
    /// Where the machine ends, in 0.1 mm from the start point, y up.
    pub last: Units,
}

/// What a record is there for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Purpose {
    /// The place of the object in the design's list.
    pub object: usize,
    /// What its stitch is for.
    pub role: StitchRole,
    /// What becomes of the thread on the way.
    pub passage: Passage,
}

/// What is sewn from one halt of the machine to the next.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Run {
    /// The place of the thread in the design's list.
    pub thread: u32,
    /// What the machine halted for before it.
    pub begins: Beginning,
    /// How often the needle goes down.
    pub stitches: usize,
    /// How often the thread is cut within the run, on purpose or because a way needs so many jumps.
    pub trims: usize,
    /// From needle point to needle point, as far as the thread is not cut, in mm.
    pub thread_length: f64,
    /// The shortest and the longest stitch, in mm.
    pub stitch_lengths: Option<(f64, f64)>,
}

/// What a run begins with.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Beginning {
    /// The start of the design.
    #[default]
    Start,
    /// The next thread.
    ThreadChange,
    /// The operator, and then the same thread.
    Stop,
}

impl Route {
    /// Plans the way of `machine` through `design`. Also returned: what is worth knowing about it.
    ///
    /// # Errors
    /// The design is not sound, holds no stitches, or the machine's settings are out of range.
    pub fn plan(design: &Design, machine: &Machine) -> Result<(Self, Vec<Diagnostic>), Failed> {
        let mut wrong = crate::design::unsound(design);
        if let Err(Failed(settings)) = machine.check() {
            wrong.extend(settings);
        }
        if !wrong.is_empty() {
            return Err(Failed(wrong));
        }
        let Some(grid) = Grid::of(design, machine) else {
            return Err(Diagnostic::error("no-stitches", "the design holds no stitches")
                .help("add steps that make stitches, such as region-fill, and see that they select the objects")
                .into());
        };
        let mut planner = Planner::new(grid, machine);
        for (place, object) in design.objects.iter().enumerate() {
            planner.sew(place, object, &design.threads);
        }
        Ok(planner.finish())
    }

    /// How often the machine halts: for a thread, or for the operator.
    pub fn halts(&self) -> usize {
        self.runs.len().saturating_sub(1)
    }

    /// How often the needle goes down.
    pub fn stitches(&self) -> usize {
        self.runs.iter().map(|run| run.stitches).sum()
    }

    /// How often the thread is cut between two halts.
    pub fn trims(&self) -> usize {
        self.runs.iter().map(|run| run.trims).sum()
    }
}

/// How the thread gets to the next needle point.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Passage {
    /// Under the needle: a stitch.
    Sewn,
    /// Over the cloth, uncut.
    Carried,
    /// Cut.
    Trimmed,
    /// There is none on the cloth to go on from: at the start, and around a halt.
    Bare,
}

struct Planner<'a> {
    grid: Grid,
    trim_jumps: usize,
    /// The longest move along an axis, in units.
    most: i32,
    sewn_gap: f64,
    route: Route,
    run: Run,
    at: Units,
    /// The place of the object being sewn, and what its stitch is for.
    object: usize,
    role: StitchRole,
    passage: Passage,
    /// Where stitches with the needle up have sent the hoop since the last needle point.
    aside: Option<Units>,
    /// Whether the thread was sewn with since the start or the last halt.
    threaded: bool,
    /// The thread sewn with last.
    thread: Option<&'a Thread>,
    remarks: Remarks<'a>,
}

impl<'a> Planner<'a> {
    fn new(grid: Grid, machine: &Machine) -> Self {
        let most = (machine.longest_move * UNITS_PER_MM + 1e-6).floor() as i32;
        Self {
            grid,
            trim_jumps: machine.trim_jumps.into(),
            most: most.clamp(1, Reach::MOST),
            sewn_gap: machine.sewn_gap,
            route: Route {
                origin: grid.start(),
                ..Route::default()
            },
            run: Run::default(),
            at: [0, 0],
            object: 0,
            role: StitchRole::Travel,
            passage: Passage::Carried,
            aside: None,
            threaded: false,
            thread: None,
            remarks: Remarks::default(),
        }
    }

    fn sew(&mut self, place: usize, object: &'a Object, threads: &'a [Thread]) {
        let halts = object.each_stitch().any(|s| s.kind == StitchKind::Stop);
        if !object.is_sewn() && !halts {
            self.remarks.unsewn.push(&object.id);
            return;
        }
        self.object = place;
        // An object that only stops the machine needs no thread of its own.
        if object.is_sewn() {
            let thread = threads.get(object.thread as usize);
            if self.thread.is_some() && self.thread != thread {
                self.halt(Beginning::ThreadChange);
            }
            self.thread = thread;
            self.run.thread = object.thread;
        }
        self.passage = self.passage.max(Passage::Carried);
        for stitch in object.each_stitch() {
            if self.route.records.len() > MOST_RECORDS {
                // The header refuses it; long stitches would make it larger than any memory.
                return;
            }
            self.stitch(object, stitch);
        }
    }

    fn stitch(&mut self, object: &'a Object, stitch: Stitch) {
        let place = self.grid.place(stitch.at);
        self.role = stitch.role;
        match stitch.kind {
            StitchKind::Needle => self.needle(object, place),
            StitchKind::Jump => {
                self.passage = self.passage.max(Passage::Carried);
                self.aside = Some(place);
            }
            StitchKind::Trim => {
                self.passage = Passage::Trimmed;
                self.aside = Some(place);
            }
            StitchKind::Stop => {
                self.aside = Some(place);
                self.halt(Beginning::Stop);
            }
        }
    }

    /// The needle goes down at `place`. Where the hoop was sent before with the needle up does
    /// not matter: the way goes straight to `place`, and its last part is the stitch.
    fn needle(&mut self, object: &'a Object, place: Units) {
        let way = way(self.at, place);
        let far = length(way);
        let still = way == [0, 0];
        let parts = parts_needed(way, self.most);
        self.aside = None;
        let came = match std::mem::replace(&mut self.passage, Passage::Sewn) {
            _ if !self.threaded => Some(Way::Begins),
            Passage::Sewn if still => {
                self.remarks.still += 1;
                None
            }
            Passage::Carried if still => None,
            Passage::Carried if far > self.sewn_gap => Some(if parts.max(2) > self.trim_jumps {
                Way::CutByLength
            } else {
                Way::Carried
            }),
            Passage::Sewn | Passage::Carried | Passage::Bare => Some(Way::Sewn),
            Passage::Trimmed => Some(Way::Cut),
        };
        self.threaded = true;
        self.route.ways.push(came);
        match came {
            None => {}
            Some(Way::Begins) => self.approach(Passage::Bare, way, parts.max(2)),
            Some(Way::Cut) => {
                self.run.trims += 1;
                self.approach(Passage::Trimmed, way, parts.max(self.trim_jumps + 1));
            }
            Some(Way::CutByLength) => {
                self.run.trims += 1;
                self.approach(Passage::Trimmed, way, parts.max(2));
                self.remarks.cut_by_length.push(&object.id);
            }
            Some(Way::Carried) => {
                self.approach(Passage::Carried, way, parts.max(2));
                self.run.thread_length += far;
            }
            Some(Way::Sewn) => {
                if parts > 1 {
                    self.remarks.split(&object.id);
                }
                let moves = split(way, parts);
                let each = far / moves.len() as f64;
                for part in moves {
                    self.push(Record::Stitch(part), Passage::Sewn);
                }
                self.run.thread_length += far;
                let (shortest, longest) = self.run.stitch_lengths.unwrap_or((each, each));
                self.run.stitch_lengths = Some((shortest.min(each), longest.max(each)));
            }
        }
    }

    /// Jumps, and one stitch at the end of the way.
    fn approach(&mut self, passage: Passage, way: Units, parts: usize) {
        let moves = approach(way, parts);
        if let Some((&stitch, jumps)) = moves.split_last() {
            for &jump in jumps {
                self.push(Record::Jump(jump), passage);
            }
            self.push(Record::Stitch(stitch), passage);
        }
    }

    /// The machine halts where the hoop was sent. It cuts the thread by itself: no trim is added,
    /// and none before it is kept.
    fn halt(&mut self, next: Beginning) {
        self.go_aside();
        self.push(Record::Halt, Passage::Bare);
        let thread = self.run.thread;
        self.route.runs.push(std::mem::replace(
            &mut self.run,
            Run {
                thread,
                begins: next,
                ..Run::default()
            },
        ));
        self.threaded = false;
        self.passage = Passage::Carried;
    }

    /// Jumps to where the hoop was sent with the needle up, if it was.
    fn go_aside(&mut self) {
        if let Some(place) = self.aside.take() {
            let way = way(self.at, place);
            for jump in split(way, parts_needed(way, self.most)) {
                self.push(Record::Jump(jump), Passage::Bare);
            }
        }
    }

    fn push(&mut self, record: Record, passage: Passage) {
        if let Record::Stitch(Move { x, y }) | Record::Jump(Move { x, y }) = record {
            self.at = [self.at[0] + x.units(), self.at[1] + y.units()];
            self.route.extents.take_in(self.at);
        }
        if let Record::Stitch(_) = record {
            self.run.stitches += 1;
        }
        self.route.records.push(record);
        self.route.purposes.push(Purpose {
            object: self.object,
            role: self.role,
            passage,
        });
    }

    fn finish(mut self) -> (Route, Vec<Diagnostic>) {
        self.go_aside();
        self.push(Record::End, Passage::Bare);
        self.route.last = self.at;
        self.route.runs.push(self.run);
        (self.route, self.remarks.into_diagnostics(self.most))
    }
}

#[cfg(test)]
mod tests;
