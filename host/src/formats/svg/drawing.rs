//! The walk over the artwork's paths in paint order, which makes the objects.

use super::clip;
use super::findings::Findings;
use super::names::Names;
use super::origin::Origin;
use super::outline::{Budget, Refused, outline};
use super::page::Page;
use super::palette::Palette;
use super::source::Source;
use super::to_affine;
use crate::design::{Object, Sewing, Shape};
use crate::diagnostics::Diagnostic;
use geo::{Intersects, MultiPolygon, Rect};
use kurbo::Affine;
use roxmltree::Node;
use std::collections::BTreeSet;
use std::rc::Rc;
use usvg::{Color, PaintOrder};

/// What the walk made.
pub(super) struct Drawing {
    /// In paint order.
    pub objects: Vec<Object>,
    /// The colours used.
    pub palette: Palette,
    /// The shapes that usvg had a path for.
    pub seen: BTreeSet<usize>,
    /// Why the walk was given up.
    pub error: Option<Diagnostic>,
}

/// Makes an object of every paint of every path.
pub(super) fn draw<'a>(
    tree: &usvg::Tree,
    page: &Page,
    source: &Source<'a>,
    origins: &[Option<Origin>],
    findings: &mut Findings<'_, 'a>,
) -> Drawing {
    let mut walk = Walk {
        page: page.rect(),
        source,
        origins,
        place: 0,
        findings,
        pending: Vec::new(),
        budget: Budget::default(),
        names: Names::default(),
        drawing: Drawing {
            objects: Vec::new(),
            palette: Palette::default(),
            seen: origins
                .iter()
                .flatten()
                .map(|o| o.element.get_usize())
                .collect(),
            error: None,
        },
    };
    walk.group(tree.root(), Affine::scale(page.mm_per_px), &[]);
    walk.drawing
}

/// The clip paths around a place, in mm.
pub(super) type Clips = [Rc<MultiPolygon<f64>>];

/// Where the walk is, and what it has made so far.
pub(super) struct Walk<'w, 's, 'a, 'f> {
    pub page: Rect<f64>,
    pub source: &'s Source<'a>,
    pub origins: &'w [Option<Origin>],
    /// Which path the walk is at.
    pub place: usize,
    pub findings: &'w mut Findings<'f, 'a>,
    /// Findings about the path at hand that wait for their object's id, and which paint of the
    /// path they are about.
    pub pending: Vec<(usize, Paint)>,
    pub budget: Budget,
    pub names: Names,
    pub drawing: Drawing,
}

/// Which of an element's two paints.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Paint {
    Fill,
    Stroke,
}

impl Paint {
    /// As ids and messages have it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Fill => "fill",
            Self::Stroke => "stroke",
        }
    }
}

/// The shape that one paint of an element gives.
pub(super) struct Painted {
    pub shape: Shape,
    pub colour: Color,
    pub paint: Paint,
}

impl<'w, 's, 'a> Walk<'w, 's, 'a, '_> {
    fn group(&mut self, group: &usvg::Group, around: Affine, clips: &Clips) {
        let to_mm = around * to_affine(group.transform());
        if !has_path(group) || self.drawing.error.is_some() {
            return;
        }
        if group.opacity().get() == 0.0 {
            self.group_see_through();
            self.place += count_paths(group);
            return;
        }
        self.effects(group);
        let mut clips = clips.to_vec();
        if let Some(path) = group.clip_path() {
            match clip::area(path, to_mm, &mut self.budget) {
                Some(area) => clips.push(Rc::new(area)),
                None => self.clip_left_out(),
            }
        }
        for child in group.children() {
            match child {
                usvg::Node::Group(inner) => self.group(inner, to_mm, &clips),
                usvg::Node::Path(path) => {
                    self.path(path, to_mm, &clips);
                    self.place += 1;
                }
                // Neither comes: pictures are refused, and text needs a font.
                usvg::Node::Image(_) | usvg::Node::Text(_) => {}
            }
        }
    }

    fn path(&mut self, path: &usvg::Path, to_mm: Affine, clips: &Clips) {
        if !path.is_visible() {
            if path.fill().is_some() || path.stroke().is_some() {
                self.hidden();
            }
            return;
        }
        let subpaths = match outline(path.data(), to_mm, &mut self.budget) {
            Ok(subpaths) => subpaths,
            Err(Refused::Far) => return self.too_far(),
            Err(Refused::Long) => return self.give_up(),
        };
        let said = self.findings.said;
        self.pending.clear();
        let fill = path
            .fill()
            .and_then(|fill| self.fill(fill, &subpaths, clips));
        let stroke = path
            .stroke()
            .and_then(|stroke| self.stroke(stroke, &subpaths, to_mm, clips));
        let mut painted: Vec<Painted> = match path.paint_order() {
            PaintOrder::FillAndStroke => [fill, stroke],
            PaintOrder::StrokeAndFill => [stroke, fill],
        }
        .into_iter()
        .flatten()
        .collect();
        painted.retain(|painted| self.is_on_page(painted));
        if painted.is_empty() && self.findings.said == said {
            self.no_size();
        }
        self.make_objects(painted);
    }

    /// Whether any of the shape lies on the page.
    fn is_on_page(&mut self, painted: &Painted) -> bool {
        // Without bounds: cut at the page, nothing was left.
        let bounds = painted.shape.bounds();
        let inside = bounds.is_some_and(|bounds| bounds.intersects(&self.page));
        if !inside {
            self.outside();
        }
        inside
    }

    fn make_objects(&mut self, painted: Vec<Painted>) {
        if painted.is_empty() {
            return;
        }
        let origin = self.origin();
        let tags = origin.map_or_else(Vec::new, |origin| self.source.tags(origin));
        let written = origin.and_then(|origin| self.source.written_name(origin));
        let both = painted.len() > 1;
        let base = match origin {
            Some(origin) => self.names.for_origin(self.source, origin, both),
            None => self.names.unique(format!("shape-{}", self.place + 1)),
        };
        for Painted {
            shape,
            colour,
            paint,
        } in painted
        {
            let name = written.as_ref().unwrap_or(&base);
            let word = paint.word();
            let (id, name) = if both {
                (format!("{base}-{word}"), format!("{name} {word}"))
            } else {
                (base.clone(), name.clone())
            };
            for (finding, about) in &self.pending {
                if *about == paint {
                    self.findings.name_object(*finding, &id);
                }
            }
            self.drawing.objects.push(Object {
                id,
                name,
                tags: tags.clone(),
                thread: self.drawing.palette.thread(colour),
                shape,
                sewing: Sewing::default(),
                stitches: Vec::new(),
            });
        }
    }

    /// Where the path at hand came from.
    pub fn origin(&self) -> Option<&'w Origin> {
        self.origins.get(self.place).and_then(Option::as_ref)
    }

    /// The element of the path at hand.
    pub fn element(&self) -> Option<Node<'s, 'a>> {
        self.source.xml.get_node(self.origin()?.element)
    }
}

fn has_path(group: &usvg::Group) -> bool {
    group.children().iter().any(|child| match child {
        usvg::Node::Group(inner) => has_path(inner),
        usvg::Node::Path(_) => true,
        _ => false,
    })
}

fn count_paths(group: &usvg::Group) -> usize {
    let count = |child: &usvg::Node| match child {
        usvg::Node::Group(inner) => count_paths(inner),
        usvg::Node::Path(_) => 1,
        _ => 0,
    };
    group.children().iter().map(count).sum()
}
