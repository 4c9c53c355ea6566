//! Sentences for what went wrong.

use crate::{Failure, Finding, Point, Severity};
use geo::Coord;

impl Failure {
    /// A failure that says `message`.
    pub fn new(message: impl Into<String>) -> Self {
        Self {
            message: message.into(),
            object: None,
            help: None,
        }
    }

    /// Names the object it is about.
    #[must_use]
    pub fn about(mut self, object: &str) -> Self {
        self.object = Some(object.to_owned());
        self
    }

    /// Says what to do about it.
    #[must_use]
    pub fn help(mut self, help: impl Into<String>) -> Self {
        self.help = Some(help.into());
        self
    }
}

impl Finding {
    /// A note that says `message`.
    pub fn note(message: impl Into<String>) -> Self {
        Self::new(Severity::Note, message)
    }

    /// A warning that says `message`.
    pub fn warning(message: impl Into<String>) -> Self {
        Self::new(Severity::Warning, message)
    }

    /// An error that says `message`: the design must not be sewn as it is.
    pub fn error(message: impl Into<String>) -> Self {
        Self::new(Severity::Error, message)
    }

    fn new(severity: Severity, message: impl Into<String>) -> Self {
        Self {
            severity,
            message: message.into(),
            object: None,
            place: None,
            help: None,
        }
    }

    /// Names the object it is about.
    #[must_use]
    pub fn about(mut self, object: &str) -> Self {
        self.object = Some(object.to_owned());
        self
    }

    /// Says where on the cloth, in mm.
    #[must_use]
    pub fn at(mut self, place: Coord<f64>) -> Self {
        self.place = Some(Point {
            x: place.x,
            y: place.y,
        });
        self
    }

    /// Says what to do about it.
    #[must_use]
    pub fn help(mut self, help: impl Into<String>) -> Self {
        self.help = Some(help.into());
        self
    }
}
