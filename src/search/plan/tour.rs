//! In which order are the places looked at, and what is opened on the way? One pass over the points.

use std::collections::{HashMap, HashSet};

use super::{Search, Step, StepKind, Walk};
use crate::ids::AccessId;
use crate::search::belief::Belief;
use crate::search::legs::Leg;
use crate::search::limits::{Limited, Limits};
use crate::search::order::{Block, StepIx};
use crate::search::precedence::{Ordered, Tangle};
use crate::search::reasons::why;
use crate::search::sorted::Sorted;
use crate::vehicle::body::AccessStep;

/// The steps that earn most in so many minutes, in blocks. Where places stand behind several covers, what is opened one
/// after the other there is not proven to be the best.
fn within(tangle: &Tangle, minutes: f64) -> Vec<Block> {
    let forest = tangle.as_chains();
    forest.blocks_of(&forest.within(minutes))
}

/// A stop on the walk.
#[derive(Debug, Clone, Copy)]
pub(super) enum Stop<'a> {
    Open(&'a AccessStep),
    /// By place of the point in the list.
    Look(usize),
}

/// All stops of a pass, in order.
pub(super) struct Route<'a> {
    pub(super) stops: Vec<Stop<'a>>,
    pub(super) legs: Vec<Leg>,
    /// The least Σ chance × minutes elapsed of any order, where this one is not proven to be the best.
    pub(super) at_least: Option<f64>,
}

/// Steps that lead to each thing that opens.
pub(super) type Ways<'a> = HashMap<&'a AccessId, Vec<&'a AccessStep>>;

/// What must be opened right before something, by what opens it: that itself if it is closed, else what is closed behind
/// it. (Someone may have said that an outer cover is shut again.)
pub(super) fn right_before<'a>(closed: &Ways<'a>, access: &AccessId) -> Vec<&'a AccessStep> {
    let way = closed.get(access).map_or(&[][..], Vec::as_slice);
    if let Some(last) = way.last().filter(|last| last.id == *access) {
        return vec![last];
    }
    let leads_to = |need: &AccessId, step: &AccessStep| {
        closed.get(need).is_some_and(|way| way.iter().any(|before| before.id == step.id))
    };
    let needed = |step: &&AccessStep| way.iter().any(|by| by.needs().any(|need| leads_to(need, step)));
    way.iter().filter(|step| !needed(step)).copied().collect()
}

/// One pass over the points, while it is being put in order.
pub(super) struct Tour<'a> {
    pub(super) search: &'a Search,
    pub(super) belief: &'a Belief,
    pub(super) sorted: &'a Sorted,
    pub(super) walk: &'a Walk,
    pub(super) limits: &'a Limits,
    /// What is still closed before each thing, itself included.
    pub(super) closed: Ways<'a>,
    /// Of that, what must be opened right before.
    pub(super) right_before: Ways<'a>,
}

impl<'a> Tour<'a> {
    /// Whether a look at a point is still to be made and can find something.
    fn is_open(&self, place: usize) -> bool {
        let point = &self.search.points[place];
        self.chance(place) > 0.0
            && !self.sorted.looks.contains_key(&place)
            && !self.walk.out_of_reach.contains(&point.id)
            && !self.walk.proven.contains(&point.id)
    }

    fn chance(&self, place: usize) -> f64 {
        self.belief.points[place] * self.search.points[place].detect
    }

    /// The steps still to be done to open something, in order; the innermost is the last.
    fn still_closed(&self, access: Option<&AccessId>) -> &[&'a AccessStep] {
        access.and_then(|access| self.closed.get(access)).map_or(&[], Vec::as_slice)
    }

    /// Of these, what must be opened right before it.
    fn right_before(&self, access: Option<&AccessId>) -> &[&'a AccessStep] {
        access.and_then(|access| self.right_before.get(access)).map_or(&[], Vec::as_slice)
    }

    /// Whether the limits let a point be gone to, time aside.
    fn in_reach(&self, place: usize) -> bool {
        let point = &self.search.points[place];
        self.limits.reach.as_ref().is_none_or(|reach| {
            reach.zone.as_ref() == Some(&point.zone) || self.still_closed(point.access.as_ref()).is_empty()
        })
    }

    /// All stops: first what was asked for first, then the order with the least expected time.
    pub(super) fn in_order(&self) -> Route<'a> {
        let mut stops = Vec::new();
        let mut opened: HashSet<&AccessId> = HashSet::new();
        let mut minutes = self.limits.minutes;
        let first = self.first();
        let mut spent = 0.0;
        if let Some((place, way)) = &first {
            spent = self.minutes_to(*place, way);
            minutes = minutes.map(|minutes| minutes - spent);
            opened.extend(way.iter().map(|step| &step.id));
            stops.extend(way.iter().map(|step| Stop::Open(step)));
            stops.push(Stop::Look(*place));
        }
        let earned_first = first.as_ref().map_or(0.0, |(place, _)| self.chance(*place) * spent);
        let first = first.map(|(place, _)| place);
        let mut tangle = Tangle::default();
        let mut planned: Vec<Stop> = Vec::new();
        let mut covers: HashMap<&AccessId, StepIx> = HashMap::new();
        let places = (0..self.search.points.len()).filter(|place| self.is_open(*place) && self.in_reach(*place));
        // Points come in the order of the vehicle, each cover just before the first point under it: so ties do too.
        for place in places.filter(|place| Some(*place) != first) {
            let point = &self.search.points[place];
            let closed = self.still_closed(point.access.as_ref()).iter().copied();
            for step in closed.filter(|step| !opened.contains(&step.id)) {
                if !covers.contains_key(&step.id) {
                    let needs = step.needs().flat_map(|need| self.right_before(Some(need)));
                    let needs: Vec<StepIx> = needs.filter_map(|step| covers.get(&step.id).copied()).collect();
                    planned.push(Stop::Open(step));
                    covers.insert(&step.id, tangle.add(step.minutes, 0.0, &needs));
                }
            }
            let needs = self.right_before(point.access.as_ref()).iter();
            let needs: Vec<StepIx> = needs.filter_map(|step| covers.get(&step.id).copied()).collect();
            planned.push(Stop::Look(place));
            tangle.add(point.minutes, self.chance(place), &needs);
        }
        let Ordered { blocks, at_least } = match minutes {
            Some(minutes) => Ordered { blocks: within(&tangle, minutes), at_least: None },
            None => tangle.ordered(),
        };
        let chance: f64 = blocks.iter().map(|block| block.chance).sum();
        let mut place = stops.len();
        let legs = blocks.iter().map(|block| {
            let leg = Leg { first: place + 1, steps: block.steps.len(), minutes: block.minutes, chance: block.chance };
            place += block.steps.len();
            leg
        });
        let legs = legs.collect();
        stops.extend(blocks.into_iter().flat_map(|block| block.steps).map(|place| planned[place]));
        Route { stops, legs, at_least: at_least.map(|least| earned_first + chance * spent + least) }
    }

    /// What was asked for first with what is still closed before it, in order, if it can be gone to.
    fn first(&self) -> Option<(usize, Vec<&'a AccessStep>)> {
        let place = *self.search.places.get(self.walk.first.as_ref()?)?;
        let way = self.still_closed(self.search.points[place].access.as_ref()).to_vec();
        let in_time = self.limits.minutes.is_none_or(|minutes| self.minutes_to(place, &way) <= minutes);
        (self.is_open(place) && self.in_reach(place) && in_time).then_some((place, way))
    }

    fn minutes_to(&self, place: usize, chain: &[&AccessStep]) -> f64 {
        chain.iter().map(|step| step.minutes).sum::<f64>() + self.search.points[place].minutes
    }

    /// What the limits were, and what they leave out.
    pub(super) fn limited(&self, steps: &[Step]) -> Limited {
        let planned: HashSet<&str> = steps.iter().map(|step| step.id.as_str()).collect();
        let out = |place: &usize| self.is_open(*place) && !planned.contains(self.search.points[*place].id.as_str());
        let out: Vec<usize> = (0..self.search.points.len()).filter(out).collect();
        Limited {
            within_minutes: self.limits.minutes,
            reach: self.limits.reach.clone(),
            set_aside: out.len(),
            set_aside_chance: out.into_iter().map(|place| self.chance(place)).sum(),
        }
    }

    pub(super) fn open(&self, access: &AccessStep) -> Step {
        let mut before: Vec<AccessId> = Vec::new();
        for step in access.needs().flat_map(|need| self.right_before(Some(need))) {
            if !before.contains(&step.id) {
                before.push(step.id.clone());
            }
        }
        let mut before = before.into_iter();
        let after = before.next();
        Step {
            n: 0,
            id: access.id.to_string(),
            kind: StepKind::Access,
            after,
            also_after: before.collect(),
            zone: None,
            minutes: access.minutes,
            probability: 0.0,
            detect: 0.0,
            chance: 0.0,
            found_by: 0.0,
            title: access.label.clone(),
            runs: Vec::new(),
            colours: Vec::new(),
            why: Vec::new(),
            why_next: None,
            caution: access.caution.clone(),
        }
    }

    pub(super) fn look(&self, place: usize) -> Step {
        let point = &self.search.points[place];
        let mut before = self.right_before(point.access.as_ref()).iter().map(|step| step.id.clone());
        let after = before.next();
        Step {
            n: 0,
            id: point.id.to_string(),
            kind: StepKind::Look,
            after,
            also_after: before.collect(),
            zone: Some(point.zone.clone()),
            minutes: point.minutes,
            probability: self.belief.points[place],
            detect: point.detect,
            chance: self.chance(place),
            found_by: 0.0,
            title: point.title.clone(),
            runs: point.runs.clone(),
            colours: point.colours.clone(),
            why: why(place, point, self.sorted, &self.belief.clues, (&self.search.suspects, &self.search.shop)),
            why_next: None,
            caution: point.caution.clone(),
        }
    }
}
