//! What the walk over the paths has to say.

use super::drawing::{Paint, Walk};
use super::outline::{FARTHEST_READ, MOST_CORNERS};
use super::page::rounded;
use super::source::spoken;
use super::tangle::MOST_CROSSINGS;
use crate::diagnostics::{Diagnostic, Severity};
use roxmltree::Node;
use usvg::BlendMode;

/// A stroke that is this many times as wide in one direction as it is taken looks otherwise: about a quarter
/// more. Common practice.
const SEEN: f64 = 1.25;

impl<'s, 'a> Walk<'_, 's, 'a, '_> {
    /// Reports what a group does that a flat design cannot show.
    pub fn effects(&mut self, group: &usvg::Group) {
        let opacity = group.opacity().get();
        if opacity < 1.0 {
            let at = self.bearer("opacity");
            self.findings.warning(
                at,
                "opacity",
                format!(
                    "{} has an opacity of {} %; it is taken as opaque",
                    say(at),
                    rounded(f64::from(opacity) * 100.0)
                ),
                "give it the colour that is meant to be seen",
            );
        }
        if group.blend_mode() != BlendMode::Normal {
            let at = self.bearer("mix-blend-mode");
            self.findings.warning(
                at,
                "blend-mode",
                format!(
                    "{} is blended with what lies below ({}); it is taken as it is",
                    say(at),
                    group.blend_mode()
                ),
                "give it the colour that is meant to be seen",
            );
        }
        if !group.filters().is_empty() {
            let at = self.bearer("filter");
            self.findings.warning(
                at,
                "filter",
                format!("the filter of {} is left out", say(at)),
                "draw its effect as shapes if it is to be sewn",
            );
        }
        if group.mask().is_some() {
            let at = self.bearer("mask");
            self.findings.warning(
                at,
                "mask",
                format!(
                    "the mask of {} is left out: all of it is taken as seen",
                    say(at)
                ),
                "cut the shape in the drawing program, or use a clip path",
            );
        }
    }

    /// Reports that a clip path cannot be read.
    pub fn clip_left_out(&mut self) {
        let at = self.bearer("clip-path");
        self.findings.warning(
            at,
            "clip-path",
            format!(
                "the clip path of {} is too large or too tangled, and is left out",
                say(at)
            ),
            "cut the shape in the drawing program",
        );
    }

    /// Reports that a clip path leaves nothing of the path at hand.
    pub fn clipped_away(&mut self) {
        self.note(
            "clipped-away",
            |who| format!("a clip path leaves nothing of {who}"),
            "",
        );
    }

    /// Reports that the path at hand is hidden by `visibility`.
    pub fn hidden(&mut self) {
        self.note(
            "hidden",
            |who| format!("{who} is hidden, and is left out"),
            "show it in the drawing program if it is to be sewn",
        );
    }

    /// Reports that the path at hand has nothing to show.
    pub fn no_size(&mut self) {
        self.note(
            "no-size",
            |who| format!("{who} has no area and no stroke; nothing is made of it"),
            "",
        );
    }

    /// Reports that round or square dots of the path at hand are dropped, which are seen in the drawing.
    pub fn dots_left_out(&mut self) {
        let at = self.element();
        self.findings.warning(
            at,
            "dots",
            format!(
                "{} has dots, parts without length whose caps are seen; they are left out",
                say(at)
            ),
            "draw dots as circles if they are to be sewn",
        );
    }

    /// Reports that the stroke at hand is not equally wide all along: it is up to `greatest` mm wide, and is taken
    /// as `width`.
    pub fn stretched(&mut self, width: f64, greatest: f64) {
        let message = format!(
            "the stroke of {} is stretched; it is taken as {width:.2} mm wide all along",
            say(self.element())
        );
        let help = "turn the stroke into a filled path if its shape matters";
        let severity = if greatest > width * SEEN {
            Severity::Warning
        } else {
            Severity::Note
        };
        self.tell(severity, "uneven-stroke", message, help, Paint::Stroke);
    }

    /// Reports that the stroke at hand is dashed.
    pub fn dashed(&mut self) {
        let message = format!(
            "the stroke of {} is dashed; it is taken as a whole line",
            say(self.element())
        );
        let help = "draw each dash as a line of its own if they are to be sewn apart";
        self.tell(Severity::Warning, "dashes", message, help, Paint::Stroke);
    }

    /// Reports that a clip path made an area of the stroke at hand.
    pub fn no_line_any_more(&mut self) {
        let message = format!(
            "a clip path cuts into the stroke of {}; what is left is taken as an area",
            say(self.element())
        );
        self.tell(Severity::Note, "cut-stroke", message, "", Paint::Stroke);
    }

    /// Reports that the path at hand lies off the page.
    pub fn outside(&mut self) {
        self.note(
            "off-page",
            |who| format!("{who} lies outside the page, and is left out"),
            "move it onto the page if it is to be sewn",
        );
    }

    /// Reports that the path at hand is too large.
    pub fn too_far(&mut self) {
        let at = self.element();
        self.findings.warning(
            at,
            "too-far",
            format!(
                "{} reaches farther than {FARTHEST_READ} mm, and is left out",
                say(at)
            ),
            "draw it no larger than the page",
        );
    }

    /// Reports that the path at hand crosses itself too often to be cut.
    pub fn too_tangled(&mut self) {
        let at = self.element();
        self.findings.warning(
            at,
            "too-tangled",
            format!(
                "{} crosses itself so often (with those before it, over {MOST_CROSSINGS} times) \
                 that it is left out",
                say(at)
            ),
            "draw it as separate lines, or simplify it",
        );
    }

    /// Reports that something is fully transparent.
    pub fn see_through(&mut self, at: Option<Node<'_, '_>>) {
        self.findings.note(
            at,
            "see-through",
            format!("{} is fully see-through; nothing is made of it", say(at)),
            "give it an opacity if it is to be sewn",
        );
    }

    /// Reports a partly transparent paint of the path at hand.
    pub fn translucent(&mut self, opacity: f32, paint: Paint) {
        let percent = rounded(f64::from(opacity) * 100.0);
        let message = format!(
            "the {} of {} has an opacity of {percent} %; it is taken as opaque",
            paint.word(),
            say(self.element())
        );
        let help = "give it the colour that is meant to be seen";
        self.tell(Severity::Warning, "opacity", message, help, paint);
    }

    /// Stops the walk: there is more than can be read.
    pub fn give_up(&mut self) {
        let message = format!("the artwork has more than {MOST_CORNERS} corners");
        let error = Diagnostic::error("too-many-corners", message).help("simplify its paths");
        self.drawing.error = Some(match self.element() {
            Some(node) => self.source.place(error, node),
            None => error.in_file(self.source.file),
        });
    }

    /// Adds a finding about what one paint of the path at hand becomes.
    pub fn tell(
        &mut self,
        severity: Severity,
        code: &'static str,
        message: String,
        help: &'static str,
        paint: Paint,
    ) {
        let at = self.element();
        if let Some(finding) = self.findings.about(at, severity, code, message, help) {
            self.pending.push((finding, paint));
        }
    }

    fn note(
        &mut self,
        code: &'static str,
        message: impl FnOnce(&str) -> String,
        help: &'static str,
    ) {
        let at = self.element();
        self.findings.note(at, code, message(&say(at)), help);
    }

    /// The element that gives the group at hand this property. The walk stands at the group's
    /// first path.
    pub fn bearer(&self, property: &str) -> Option<Node<'s, 'a>> {
        self.source.bearer(self.origin()?, property)
    }

    /// Reports that a group is fully transparent.
    pub fn group_see_through(&mut self) {
        let at = self.bearer("opacity");
        self.see_through(at);
    }
}

/// How messages speak of an element, where it is known.
pub(super) fn say(node: Option<Node<'_, '_>>) -> String {
    node.map_or_else(|| "a shape".to_owned(), spoken)
}
