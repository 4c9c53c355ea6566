//! A ladder as the axis draws it, made ready to sew: cut into sections at its sharp corners, the
//! fans that remain spread out.

use crate::column::{Column, Rung};
use crate::fan::{Fan, fans};
use crate::relax::relax;
use hoopwright_sdk::geometry::measure::distance;
use hoopwright_sdk::prelude::*;

/// A ladder along an axis.
pub struct Drawn {
    /// Its rungs; of a closed one the last is the first again.
    pub rungs: Vec<Rung>,
    /// Whether it runs all the way round.
    pub closed: bool,
    /// How many of its first rungs belong to a cap, which stays as it is.
    pub head: usize,
    /// How many rungs lie before its last cap.
    pub body: usize,
}

/// A stretch between two corners, with the rungs that finish it there.
struct Stretch {
    start: Vec<Rung>,
    first: usize,
    last: usize,
    end: Vec<Rung>,
}

impl Drawn {
    /// The column, with the places of `marked` rungs in it, each known by its rung and where its
    /// middle should lie.
    pub fn into_column(mut self, marked: &mut [(usize, Coord<f64>)]) -> Option<Column> {
        let width = Column::whole(self.rungs.clone(), self.closed)?.typical_width();
        let (mut first, mut start, mut end) = (0, Vec::new(), Vec::new());
        if self.closed
            && let Some(finish) = self.open_in_a_corner(marked)
        {
            (end, start) = finish;
        }
        let mut stretches = Vec::new();
        for fan in self.corners() {
            let (before, after) = fan.finish;
            stretches.push(Stretch {
                start,
                first,
                last: fan.first,
                end: before,
            });
            (first, start) = (fan.last, after);
        }
        stretches.push(Stretch {
            start,
            first,
            last: self.rungs.len() - 1,
            end,
        });
        let mut sections: Vec<Vec<Rung>> = Vec::new();
        let mut places = vec![None; marked.len()];
        let mut count = 0;
        for stretch in stretches {
            let mut section = stretch.start;
            let relaxed = self.relaxed(stretch.first, stretch.last, width);
            for (place, &(rung, at)) in places.iter_mut().zip(marked.iter()) {
                if place.is_none() && rung <= stretch.last {
                    let ahead = rung.saturating_sub(stretch.first) as f64;
                    let share = ahead / (stretch.last - stretch.first).max(1) as f64;
                    *place = Some(count + section.len() + nearest_rung(&relaxed, at, share));
                }
            }
            section.extend(relaxed);
            section.extend(stretch.end);
            if section.len() >= 2 {
                count += section.len();
                sections.push(section);
            }
        }
        for ((rung, _), place) in marked.iter_mut().zip(places) {
            *rung = place.unwrap_or(0).min(count.saturating_sub(1));
        }
        (count > 0).then(|| Column::of(sections, self.closed))
    }

    /// Its sharp corners, outside its caps.
    fn corners(&self) -> Vec<Fan> {
        let mut fans = if self.closed {
            Vec::new()
        } else {
            fans(&self.rungs)
        };
        fans.retain(|fan| fan.first >= self.head && fan.last < self.body);
        fans
    }

    /// Opens a closed ladder in one of its corners, if it has any, and gives the rungs that finish
    /// its end and its start there.
    fn open_in_a_corner(
        &mut self,
        marked: &mut [(usize, Coord<f64>)],
    ) -> Option<(Vec<Rung>, Vec<Rung>)> {
        let count = self.rungs.len() - 1;
        // The seam may lie in the only corner.
        let (turned, fan) = [0, count / 2].into_iter().find_map(|by| {
            let mut turned = self.rungs[..count].to_vec();
            turned.rotate_left(by);
            turned.extend(turned.first().copied());
            let fan = fans(&turned).into_iter().next()?;
            for (rung, _) in marked.iter_mut() {
                *rung = (*rung + 2 * count - by - fan.last) % count;
            }
            Some((turned, fan))
        })?;
        self.rungs = turned[fan.last..count]
            .iter()
            .chain(&turned[..=fan.first])
            .copied()
            .collect();
        (self.closed, self.head, self.body) = (false, 0, self.rungs.len());
        Some(fan.finish)
    }

    fn relaxed(&self, first: usize, last: usize, width: f64) -> Vec<Rung> {
        let head = self.head.clamp(first, last + 1);
        let body = self.body.clamp(head, last + 1);
        let mut rungs = self.rungs[first..head].to_vec();
        rungs.extend(relax(&self.rungs[head..body], self.closed, width));
        rungs.extend(&self.rungs[body..=last]);
        rungs
    }
}

/// The rung whose middle lies nearest to `place`, among those about as far along.
fn nearest_rung(rungs: &[Rung], place: Coord<f64>, share: f64) -> usize {
    let count = rungs.len();
    let here = (share * count.saturating_sub(1) as f64).round() as usize;
    let around = (count / 10).max(3);
    let range = here.saturating_sub(around)..(here + around + 1).min(count);
    let away = |rung: &usize| distance(rungs[*rung].middle, place);
    range
        .min_by(|a, b| away(a).total_cmp(&away(b)))
        .unwrap_or(0)
}
