//! The DST machine file.

use crate::chance::once_in;
use crate::{Subject, damage, told};
use arbitrary::{Result, Unstructured};
use hoopwright::design::{Design, StitchKind};
use hoopwright::diagnostics::Failed;
use hoopwright::formats::dst::{self, Machine, Place};
use hoopwright_tests::independent_dst::{self, Kind};
use std::path::Path;

/// Machine files: legal records with headers that fit, that lie, or that are missing.
pub const SUBJECT: Subject = Subject {
    name: "dst",
    make: any,
    wrongs,
    seeds: &[],
};

fn any(bytes: &mut Unstructured<'_>) -> Result<Vec<u8>> {
    let mut records = Vec::new();
    let runs = bytes.int_in_range(1..=12)?;
    for _ in 0..runs {
        // Machines trim after so many jumps in a row; some files have far more.
        let (kind, most): (u8, usize) = *bytes.choose(&[
            (STITCH, 30),
            (JUMP, 4),
            (STITCH, 60),
            (JUMP, 12),
            (HALT, 1),
            (STITCH, 3),
            (HALT, 3),
        ])?;
        for _ in 0..bytes.int_in_range(1..=most)? {
            records.extend(record(kind, bytes)?);
        }
    }
    if !once_in(bytes, 8)? {
        records.extend([0x00, 0x00, 0xF3]);
    }
    if once_in(bytes, 4)? {
        records.push(0x1A);
    }
    let mut file = header(records.len() / 3, bytes)?;
    file.extend(records);
    damage::seldom(file, bytes)
}

const STITCH: u8 = 0x03;
const JUMP: u8 = 0x83;
const HALT: u8 = 0xC3;

/// A record: its kind, and bits of its move. Bits that take each other back are legal, too.
fn record(kind: u8, bytes: &mut Unstructured<'_>) -> Result<[u8; 3]> {
    // Of a move of each bit once, the third byte holds the two farthest each way.
    let far = if once_in(bytes, 3)? {
        bytes.arbitrary::<u8>()? & 0x3C
    } else {
        0
    };
    Ok(match bytes.int_in_range(0..=3)? {
        0 => [bytes.arbitrary()?, 0, kind],
        1 => [0, bytes.arbitrary()?, kind],
        _ => [bytes.arbitrary()?, bytes.arbitrary()?, kind | far],
    })
}

/// 512 bytes: the fields of the layout with values that may lie, a header of another make, or nothing.
fn header(records: usize, bytes: &mut Unstructured<'_>) -> Result<Vec<u8>> {
    if once_in(bytes, 10)? {
        return Ok(Vec::new());
    }
    if once_in(bytes, 10)? {
        return Ok(vec![bytes.arbitrary()?; 512]);
    }
    let label = crate::words::word(bytes)?;
    let label: String = label.chars().take(16).collect();
    let said = |width: usize, bytes: &mut Unstructured<'_>| -> Result<String> {
        let number = bytes.int_in_range(0..=99_999_u32)?;
        Ok(format!("{number:>width$}"))
    };
    let mut header = format!("LA:{label:<16}\rST:{records:>7}\rCO:{}\r", said(3, bytes)?);
    for name in ["+X", "-X", "+Y", "-Y"] {
        header += &format!("{name}:{}\r", said(5, bytes)?);
    }
    for name in ["AX", "AY", "MX", "MY"] {
        let sign = *bytes.choose(&["+", "-", " "])?;
        header += &format!("{name}:{sign}{}\r", said(5, bytes)?);
    }
    header += "PD:******\r\u{1a}";
    let mut header = header.into_bytes();
    header.resize(512, b' ');
    Ok(header)
}

/// Reading ends, with a sound design or with a reason. What is written of the design is a file of the
/// layout, as an independent reader sees it, with a header that tells what the records hold; read
/// again it has the same needle points, and written again the same bytes.
fn wrongs(file: &[u8]) -> Vec<String> {
    let path = Path::new("owl.dst");
    // The file is all bytes: nothing points into it.
    let (design, notes) = match dst::read(file, path) {
        Ok(read) => read,
        Err(failed) => return told::refusal(&failed, path, ""),
    };
    let mut wrongs = told::design(&design);
    wrongs.extend(told::all(&notes, path, ""));
    if dst::read(file, path).ok().as_ref() != Some(&(design.clone(), notes)) {
        wrongs.push("it is read in two ways".to_owned());
    }
    wrongs.extend(wrongs_of_writing(&design));
    wrongs
}

/// What does not hold of a design that is written as a machine file and read back.
pub fn wrongs_of_writing(design: &Design) -> Vec<String> {
    let path = Path::new("owl.dst");
    // The hoop begins where the design has its origin, so that places stay what they are.
    let machine = Machine {
        origin: Some(Place { x: 0.0, y: 0.0 }),
        ..Machine::default()
    };
    let written = match dst::write(design, &machine) {
        Ok(written) => written.bytes,
        Err(failed) => return wrongs_of_refusal(&failed),
    };
    let mut wrongs = wrongs_of_layout(&written);
    match dst::read(&written, path) {
        Err(failed) => wrongs.push(format!("what was written is not read: {failed}")),
        Ok((again, notes)) => {
            if !notes.is_empty() {
                wrongs.push(format!("what was written is odd: {notes:?}"));
            }
            if needle_points(&again) != needle_points(design) {
                wrongs.push("needle points got lost or moved on the way out and in".to_owned());
            }
            match dst::write(&again, &machine) {
                Ok(twice) if twice.bytes == written => {}
                Ok(_) => wrongs.push("written again, it is another file".to_owned()),
                Err(failed) => wrongs.push(format!("it cannot be written again: {failed}")),
            }
        }
    }
    wrongs
}

/// A design may be too large for the layout; it is then refused with that reason.
fn wrongs_of_refusal(failed: &Failed) -> Vec<String> {
    let mut wrongs = told::refusal(failed, Path::new(""), "");
    let errors = failed
        .0
        .iter()
        .filter(|told| !told.code.starts_with("dst-"));
    wrongs.extend(errors.map(|told| format!("it cannot be written: {told:?}")));
    wrongs
}

/// Published layout: `hoopwright_tests::independent_dst` names its sources.
pub fn wrongs_of_layout(written: &[u8]) -> Vec<String> {
    let file = match independent_dst::read(written) {
        Ok(file) => file,
        Err(error) => return vec![format!("an independent reader does not read it: {error}")],
    };
    let header = &file.header;
    let reach = independent_dst::reach(&file.records);
    let said = (
        header.right,
        header.left,
        header.up,
        header.down,
        header.end_x,
        header.end_y,
        header.changes,
    );
    let held = (
        reach.right,
        reach.left,
        reach.up,
        reach.down,
        reach.end_x,
        reach.end_y,
        reach.changes,
    );
    let mut wrongs = Vec::new();
    if said != held {
        wrongs.push(format!(
            "the header says {said:?}, and the records hold {held:?}"
        ));
    }
    if header.records as usize != file.records.len() {
        wrongs.push(format!(
            "the header counts {} records of {}",
            header.records,
            file.records.len()
        ));
    }
    if !file
        .records
        .iter()
        .any(|record| record.kind == Kind::Stitch)
    {
        wrongs.push("nothing is sewn".to_owned());
    }
    wrongs
}

/// Where the needle goes down, in 0.1 mm; on one place once.
pub fn needle_points(design: &Design) -> Vec<(i64, i64)> {
    let stitches = design
        .objects
        .iter()
        .flat_map(|object| object.each_stitch());
    let needles = stitches.filter(|stitch| stitch.kind == StitchKind::Needle);
    let unit = |v: f64| (v * 10.0).round() as i64;
    let mut points: Vec<_> = needles
        .map(|needle| (unit(needle.at.x), unit(needle.at.y)))
        .collect();
    points.dedup();
    points
}
