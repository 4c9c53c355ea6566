//! A machine file as a design: one object for each run of thread.

use super::grid::{Units, to_mm};
use super::header::{HEADER_LENGTH, MOST_HALTS, MOST_RECORDS, read_label};
use super::machine::Machine;
use super::record::Record;
use crate::design::valid::FARTHEST;
use crate::design::{
    Design, Object, Rectangle, Shape, Stitch, StitchKind, StitchList, StitchRole, Thread,
    stitches_of,
};
use crate::diagnostics::{Diagnostic, Failed};
use std::path::Path;

/// Reads the machine file `bytes`, for a machine that trims after the usual number of jumps. Also
/// returned: what is odd about the file, which is named `file`.
///
/// The design's objects have no shapes, one for each run of thread, in placeholder threads: the
/// file names none.
///
/// # Errors
/// The file holds no records that make sense, more of them or of halts than a header can tell, or no
/// stitches.
pub fn read(bytes: &[u8], file: &Path) -> Result<(Design, Vec<Diagnostic>), Failed> {
    read_for(bytes, file, &Machine::default())
}

/// Reads like [`read`], for a machine that trims after as many jumps as `machine` says.
///
/// # Errors
/// The file holds no records that make sense, more of them or of halts than a header can tell, or no
/// stitches; or a setting of the machine is out of range.
pub fn read_for(
    bytes: &[u8],
    file: &Path,
    machine: &Machine,
) -> Result<(Design, Vec<Diagnostic>), Failed> {
    machine.check()?;
    let found = Records::find(bytes).map_err(|Failed(problems)| {
        let named = problems.into_iter().map(|problem| problem.in_file(file));
        Failed(named.collect())
    })?;
    let mut notes = found.oddities();
    let mut runs = Runs::new(machine.trim_jumps.into());
    for &record in &found.records {
        runs.take(record);
    }
    let runs = runs.finish();
    let farthest = FARTHEST * super::record::UNITS_PER_MM;
    if runs.iter().any(|run| f64::from(run.farthest) > farthest) {
        return Err(not_a_machine_file("its moves lead more than 10 m away")
            .in_file(file)
            .into());
    }
    let (threads, objects) = objects(runs);
    let mut design = Design {
        title: found.label.clone().unwrap_or_else(|| file_stem(file)),
        page: Rectangle {
            least: to_mm([0, 0]).into(),
            greatest: to_mm([0, 0]).into(),
        },
        threads,
        objects,
    };
    let Some(sewn) = design.needle_bounds() else {
        return Err(
            Diagnostic::error("no-stitches", "the file holds no stitches")
                .in_file(file)
                .help("see whether it was cut short when it was copied")
                .into(),
        );
    };
    design.page = Rectangle {
        least: sewn.min().into(),
        greatest: sewn.max().into(),
    };
    for note in &mut notes {
        note.file = Some(file.to_owned());
    }
    Ok((design, notes))
}

/// The records of a file, and how well it keeps to the layout.
struct Records {
    label: Option<String>,
    records: Vec<Record>,
    has_header: bool,
    has_end: bool,
    malformed: usize,
    /// Bytes after the last whole record, where there is no end.
    left_over: usize,
}

impl Records {
    /// Finds the records: after a header, or from the first byte where there is none.
    fn find(bytes: &[u8]) -> Result<Self, Failed> {
        if bytes.is_empty() {
            return Err(not_a_machine_file("it is empty").into());
        }
        let label = read_label(bytes);
        let named = bytes.starts_with(b"LA:");
        let after = bytes.get(HEADER_LENGTH..).unwrap_or_default();
        if named {
            return Self::decode(after, true, label)?.sensible();
        }
        // A header of another make, or none at all.
        let headed = Self::decode(after, true, label).and_then(Self::sensible);
        let bare = Self::decode(bytes, false, None).and_then(Self::sensible);
        match (headed, bare) {
            (Ok(headed), Ok(bare)) if bare.malformed < headed.malformed => Ok(bare),
            (Ok(headed), _) => Ok(headed),
            (Err(_), bare) => bare,
        }
    }

    /// Takes records up to the end. What no header can tell is no machine file, and it would take memory
    /// without bound to go on.
    fn decode(bytes: &[u8], has_header: bool, label: Option<String>) -> Result<Self, Failed> {
        let mut found = Self {
            label,
            records: Vec::with_capacity((bytes.len() / 3).min(MOST_RECORDS)),
            has_header,
            has_end: false,
            malformed: 0,
            left_over: 0,
        };
        let mut halts = 0;
        let (whole, rest) = bytes.as_chunks::<3>();
        for &record in whole {
            let (record, sound) = Record::decode(record);
            found.malformed += usize::from(!sound);
            if record == Record::End {
                found.has_end = true;
                return Ok(found);
            }
            halts += usize::from(record == Record::Halt);
            for (count, most, what) in [
                (halts, MOST_HALTS, "halts"),
                (found.records.len() + 1, MOST_RECORDS, "records"),
            ] {
                if count > most {
                    return Err(too_many(most, what).into());
                }
            }
            found.records.push(record);
        }
        // Some writers put 1A after the end; a file that was cut short may end anywhere.
        found.left_over = rest.len();
        Ok(found)
    }

    fn sensible(self) -> Result<Self, Failed> {
        if self.records.is_empty() && !self.has_end {
            return Err(not_a_machine_file("it holds no records").into());
        }
        if self.malformed * 10 > self.records.len() {
            return Err(not_a_machine_file(&format!(
                "{} of its {} records are not well formed",
                self.malformed,
                self.records.len()
            ))
            .into());
        }
        Ok(self)
    }

    fn oddities(&self) -> Vec<Diagnostic> {
        let mut notes = Vec::new();
        if !self.has_header {
            notes.push(Diagnostic::warning(
                "dst-no-header",
                "the file has no header; its records were read from the first byte",
            ));
        } else if self.label.is_none() {
            notes.push(Diagnostic::note(
                "dst-no-label",
                "the header names no design; the file's name is its title",
            ));
        }
        if !self.has_end {
            let mut message = "the file stops without an end".to_owned();
            if self.left_over > 0 {
                message.push_str(", in the middle of a record");
            }
            notes.push(Diagnostic::warning("dst-cut-short", message).help(
                "it may have been cut short when it was copied: compare it with the original",
            ));
        }
        if self.malformed > 0 {
            notes.push(
                Diagnostic::warning(
                    "dst-malformed",
                    format!(
                        "{} of {} records are not well formed; the likeliest meaning was taken",
                        self.malformed,
                        self.records.len()
                    ),
                )
                .help("sew a sample of what is written from it before anything else"),
            );
        }
        notes
    }
}

fn not_a_machine_file(why: &str) -> Diagnostic {
    Diagnostic::error(
        "dst-unreadable",
        format!("this is not a DST machine file: {why}"),
    )
    .help("give a DST file; artwork and designs are read by their own endings, .svg and .json")
}

fn too_many(most: usize, what: &str) -> Diagnostic {
    Diagnostic::error(
        "dst-too-long",
        format!("the file holds more {what} than the {most} that a header can tell"),
    )
    .help("see whether it was damaged when it was copied, or give the design in several files")
}

/// What lies between two halts.
#[derive(Default)]
struct SewnRun {
    stitches: StitchList,
    sewn: bool,
    /// Where the machine halts after it, if it does.
    halt: Option<Units>,
    /// The farthest along an axis, in units.
    farthest: u32,
}

/// The runs of a file, being read.
struct Runs {
    trim_jumps: usize,
    done: Vec<SewnRun>,
    run: SewnRun,
    at: Units,
    jumps: usize,
}

impl Runs {
    fn new(trim_jumps: usize) -> Self {
        Self {
            trim_jumps,
            done: Vec::new(),
            run: SewnRun::default(),
            at: [0, 0],
            jumps: 0,
        }
    }

    fn take(&mut self, record: Record) {
        match record {
            Record::Jump(way) => {
                self.go(way.x.units(), way.y.units());
                self.jumps += 1;
            }
            Record::Stitch(way) => {
                self.go(way.x.units(), way.y.units());
                // The needle is up until it goes down here: the jumps before lead here, too.
                // What leads to the first stitch of a run is the writer's own concern.
                let place = to_mm(self.at);
                if self.run.sewn && self.jumps >= self.trim_jumps {
                    self.run.stitches.trim(place);
                } else if self.run.sewn && self.jumps > 0 {
                    self.run.stitches.jump(place);
                }
                self.run.stitches.needle(StitchRole::Cover, place);
                self.run.sewn = true;
                self.jumps = 0;
            }
            Record::Halt => {
                self.close();
                self.run.halt = Some(self.at);
                self.done.push(std::mem::take(&mut self.run));
            }
            Record::End => {}
        }
    }

    fn go(&mut self, x: i32, y: i32) {
        self.at = [self.at[0].saturating_add(x), self.at[1].saturating_add(y)];
        let far = self.at[0].unsigned_abs().max(self.at[1].unsigned_abs());
        self.run.farthest = self.run.farthest.max(far);
    }

    /// Keeps where the hoop was left after the last stitch.
    fn close(&mut self) {
        if std::mem::take(&mut self.jumps) > 0 {
            self.run.stitches.jump(to_mm(self.at));
        }
    }

    fn finish(mut self) -> Vec<SewnRun> {
        self.close();
        self.done.push(self.run);
        self.done
    }
}

/// One object and one thread for each run that is sewn. A halt beside a run without stitches can't
/// be for a thread, so it becomes a stop.
fn objects(runs: Vec<SewnRun>) -> (Vec<Thread>, Vec<Object>) {
    let mut threads = Vec::new();
    let mut objects: Vec<Object> = Vec::new();
    // What the runs without needle points hold, to be put before the next object.
    let mut idle = StitchList::new();
    let mut last_halt = None;
    for run in runs {
        let blocks = run.stitches.into_blocks();
        if run.sewn {
            let number = threads.len() + 1;
            let mut object = Object::new(&format!("run-{number}"), Shape::Manual);
            object.name = format!("Run {number}");
            object.thread = u32::try_from(threads.len()).unwrap_or(u32::MAX);
            // A run may be a large part of the program's memory: it is moved, and what was idle before it is
            // put before it only where there is something.
            let before = std::mem::take(&mut idle).into_blocks();
            object.stitches = blocks;
            object.stitches.splice(..0, before);
            threads.push(placeholder(number));
            objects.push(object);
            last_halt = run.halt;
        } else {
            idle.extend(stitches_of(&blocks));
            idle.extend(run.halt.map(stop));
        }
    }
    // Nothing is sewn after the last object, so the machine does not halt for a thread there.
    if let Some(object) = objects.last_mut() {
        let mut rest = StitchList::new();
        rest.extend(last_halt.map(stop));
        object.stitches.extend(rest.into_blocks());
        object.stitches.extend(idle.into_blocks());
    }
    (threads, objects)
}

fn stop(at: Units) -> Stitch {
    Stitch {
        at: to_mm(at),
        kind: StitchKind::Stop,
        role: StitchRole::Travel,
    }
}

/// A thread for the run `number`, from 1: the file tells no colours, so each differs from its
/// neighbours.
fn placeholder(number: usize) -> Thread {
    // The hue goes round by five twelfths, which visits all twelve before it comes back; each
    // round is a little darker.
    let hue = (number * 5) % 12;
    let round = (number / 12) % 3;
    let high = 200 - 40 * round;
    let low = 60;
    // Hues in twelfths of the circle: one channel is high, one low, and the third is either or
    // between.
    let between = (high + low) / 2;
    let [red, green, blue] = match (hue / 2, hue % 2) {
        (0, 0) => [high, low, low],
        (0, _) => [high, between, low],
        (1, 0) => [high, high, low],
        (1, _) => [between, high, low],
        (2, 0) => [low, high, low],
        (2, _) => [low, high, between],
        (3, 0) => [low, high, high],
        (3, _) => [low, between, high],
        (4, 0) => [low, low, high],
        (4, _) => [between, low, high],
        (_, 0) => [high, low, high],
        (_, _) => [high, low, between],
    };
    let channel = |v: usize| u8::try_from(v).unwrap_or(u8::MAX);
    Thread {
        name: format!("Thread {number}"),
        code: String::new(),
        red: channel(red),
        green: channel(green),
        blue: channel(blue),
        weight: 40,
    }
}

fn file_stem(file: &Path) -> String {
    file.file_stem()
        .map(|stem| stem.to_string_lossy().into_owned())
        .unwrap_or_default()
}

#[cfg(test)]
mod tests;
