//! How the JSON is laid out: indented, but arrays of plain values on one line.

use serde_json::ser::Formatter;
use std::io::{self, Write};

/// Indents objects and arrays of objects; keeps arrays of numbers or words on one line.
#[derive(Default)]
pub struct Columns {
    depth: usize,
    /// Whether an array's next value may still turn out to be an object, which starts a line.
    at_value: bool,
    /// For each open array: whether its values have lines of their own.
    broken: Vec<bool>,
}

impl Columns {
    fn new_line<W: ?Sized + Write>(&self, writer: &mut W) -> io::Result<()> {
        writer.write_all(b"\n")?;
        (0..self.depth).try_for_each(|_| writer.write_all(b"  "))
    }
}

impl Formatter for Columns {
    fn begin_array<W: ?Sized + Write>(&mut self, writer: &mut W) -> io::Result<()> {
        self.depth += 1;
        self.broken.push(false);
        writer.write_all(b"[")
    }

    fn begin_array_value<W: ?Sized + Write>(
        &mut self,
        writer: &mut W,
        first: bool,
    ) -> io::Result<()> {
        self.at_value = true;
        if first {
            Ok(())
        } else {
            writer.write_all(b",")
        }
    }

    fn end_array_value<W: ?Sized + Write>(&mut self, _writer: &mut W) -> io::Result<()> {
        self.at_value = false;
        Ok(())
    }

    fn end_array<W: ?Sized + Write>(&mut self, writer: &mut W) -> io::Result<()> {
        self.depth -= 1;
        if self.broken.pop() == Some(true) {
            self.new_line(writer)?;
        }
        writer.write_all(b"]")
    }

    fn begin_object<W: ?Sized + Write>(&mut self, writer: &mut W) -> io::Result<()> {
        if std::mem::take(&mut self.at_value) {
            if let Some(broken) = self.broken.last_mut() {
                *broken = true;
            }
            self.new_line(writer)?;
        }
        self.depth += 1;
        writer.write_all(b"{")
    }

    fn begin_object_key<W: ?Sized + Write>(
        &mut self,
        writer: &mut W,
        first: bool,
    ) -> io::Result<()> {
        if !first {
            writer.write_all(b",")?;
        }
        self.new_line(writer)
    }

    fn begin_object_value<W: ?Sized + Write>(&mut self, writer: &mut W) -> io::Result<()> {
        writer.write_all(b": ")
    }

    fn end_object<W: ?Sized + Write>(&mut self, writer: &mut W) -> io::Result<()> {
        self.depth -= 1;
        self.new_line(writer)?;
        writer.write_all(b"}")
    }
}
