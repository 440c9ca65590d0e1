//! Which test would save more than looking? What it costs, how it may end, and what the plan is then.
//!
//! The value of a test is the value of its information, one step deep (R. A. Howard, "Information value theory", IEEE
//! Trans. Systems Science and Cybernetics 2, 1966, 22–26): the cost of the plan now less the cost of the plans after each
//! outcome, weighed with their chances. The cost of a plan is Σ chance × minutes elapsed, and for what this pass misses,
//! the minutes of all of it. It is a lower bound of the whole search's, so a test that only helps a second pass is
//! undervalued. A place at which a press opens the fuse needs no more search: then only the chance that it opened by
//! itself costs what the plan cost before.
//!
//! The worth of a press is exact. That of a plug or a drive is near: after "it opened" the tables clear what was dead and
//! leave the rest as it stood, while "it held" counts the minutes, so the plans after both do not average to the plan now.
//!
//! An ohmmeter at the open fuse is no test here: what it shows counts as evidence, but a touch that comes and goes is
//! mostly away while it is measured. Weighed the same way on the vehicles of the tests, no reading saved what it took.
//!
//! How likely an outcome is follows from the same tables as the plan: the fuse holds with the chance by which the
//! evidence "held" lowers the weight of all guesses together. The plans are those that the program would show next.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::gather::Order as _;
use crate::ids::{AccessId, Condition, NodeId, PointId};
use crate::search::belief::{in_words, update};
use crate::search::evidence::{Heat, Motion, Observation};
use crate::search::likelihood::{TestTimes, tables};
use crate::search::plan::{Plan, PointChance, Search, Walk};
use crate::search::point::{Point, PointKind};
use crate::search::sorted::{State, sort};
use crate::vehicle::body::way_to;

/// So many plugs and so many places to press are weighed, those that promise most: each takes three plans.
const MOST_PLACES: usize = 16;

const SPARKS: &str = "A press makes sparks: no fuel vapour, eyes covered, finger off the bare place.";

/// A test that saves more minutes than it takes.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Test {
    /// What is done.
    #[serde(flatten)]
    pub what: What,
    /// What to do, in words.
    pub title: String,
    /// Minutes that it takes, with what must be opened for it.
    pub minutes: f64,
    /// Minutes that it saves on average, its own not taken off.
    pub saves: f64,
    /// Minutes saved per minute spent.
    pub per_minute: f64,
    /// How it may end.
    pub outcomes: Vec<Outcome>,
    /// What can hurt someone.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub caution: Option<String>,
}

/// What a test does.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum What {
    /// Something is unplugged, and the loom shaken.
    Unplug {
        /// Where.
        node: NodeId,
        /// The place of the plug.
        point: PointId,
        /// What is switched on.
        state: Vec<Condition>,
    },
    /// A place is pressed that was looked at, whatever was seen.
    Press {
        /// Where.
        point: PointId,
        /// What is switched on.
        state: Vec<Condition>,
    },
    /// A drive.
    Drive {
        /// How the vehicle moves.
        motion: Motion,
        /// What is switched on.
        state: Vec<Condition>,
    },
}

/// One way in which a test may end.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Outcome {
    /// Whether the fuse opens.
    pub opens: bool,
    /// How likely.
    pub chance: f64,
    /// The cost of the plan then, minutes.
    pub cost: f64,
}

/// Σ chance × minutes elapsed at the end of each step, and the minutes of all steps for what they miss.
pub fn cost(plan: &Plan) -> f64 {
    let (mut elapsed, mut sum) = (0.0, 0.0);
    for step in &plan.steps {
        elapsed += step.minutes;
        sum += step.chance * elapsed;
    }
    sum + plan.left_over.max(0.0) * elapsed
}

/// A test before it is known what it is worth.
struct Candidate<'a> {
    what: What,
    title: String,
    minutes: f64,
    /// What is open after it.
    opens: Vec<&'a AccessId>,
    /// The observation that is made, by whether the fuse opens.
    seen: Box<dyn Fn(bool) -> Observation>,
    /// What the weights leave out of the chance that it holds: the chance that it does not open by itself meanwhile.
    by_itself: f64,
    caution: Option<String>,
}

impl Search {
    /// The tests that save more than they take, the best per minute first, at most `most`. None that must not be done
    /// live.
    pub fn tests(&self, evidence: &[Observation], walk: &Walk, most: usize) -> Vec<Test> {
        let now = self.plan(evidence, walk);
        let cost_now = cost(&now);
        let weight_now = self.weight(evidence);
        let mut tests: Vec<Test> = Vec::new();
        for candidate in self.candidates(evidence, walk, &now) {
            if is_done(&candidate.what, evidence) {
                continue;
            }
            let Candidate { what, title, minutes, opens, seen, by_itself, caution } = candidate;
            let with = |opened: bool| [evidence, &[seen(opened)]].concat();
            let holds = ((self.weight(&with(false)) - weight_now).exp() * by_itself).clamp(0.0, 1.0);
            if holds.is_nan() {
                continue;
            }
            let mut after = walk.clone();
            after.open.extend(opens.into_iter().cloned());
            let outcome = |opened: bool, chance: f64| {
                let then = self.plan(&with(opened), &after);
                let cost = match &what {
                    What::Press { point, .. } if opened => (1.0 - chance_of(&then, point)) * cost_now,
                    _ => cost(&then),
                };
                Outcome { opens: opened, chance, cost }
            };
            let outcomes = vec![outcome(true, 1.0 - holds), outcome(false, holds)];
            let saves = cost_now - outcomes.iter().map(|outcome| outcome.chance * outcome.cost).sum::<f64>();
            if saves > minutes {
                tests.push(Test { what, title, minutes, saves, per_minute: saves / minutes, outcomes, caution });
            }
        }
        tests.order_by(|one, other| other.per_minute.total_cmp(&one.per_minute));
        tests.truncate(most);
        tests
    }

    /// The logarithm of the weight of all guesses together.
    fn weight(&self, evidence: &[Observation]) -> f64 {
        let sorted = sort(evidence, &self.electrics, &self.places);
        update(&self.points, &self.prior, &self.electrics, &sorted).weight
    }

    fn candidates<'a>(&'a self, evidence: &[Observation], walk: &Walk, now: &Plan) -> Vec<Candidate<'a>> {
        let last = evidence.iter().rev().find_map(|item| match item {
            Observation::Blow { state, heat, .. } => Some((self.electrics.relevant(state), *heat)),
            _ => None,
        });
        let (state, heat) = last.unwrap_or_else(|| (self.electrics.everything_on(), Heat::Warm));
        let times = &tables().test;
        let unplug = self.dividing(now).into_iter().filter_map(|point| self.unplug(point, walk, &state, times));
        let looked_at = |point: &&Point| {
            let looked = |item: &Observation| matches!(item, Observation::Look { point: at, .. } if *at == point.id);
            chance_of(now, &point.id) >= times.press_from && evidence.iter().any(looked)
        };
        let mut likely: Vec<&Point> = self.points.iter().filter(looked_at).collect();
        likely.order_by(|one, other| chance_of(now, &other.id).total_cmp(&chance_of(now, &one.id)));
        likely.truncate(MOST_PLACES);
        let press = likely.into_iter().filter_map(|point| self.press(point, walk, &state, times));
        let mut all: Vec<Candidate> = unplug.chain(press).collect();
        // With covers off nobody drives.
        if walk.open.is_empty() {
            all.extend([Motion::Rough, Motion::Turning].map(|motion| drive(motion, heat, &state, times)));
        }
        all
    }

    /// What is still closed before a point.
    fn closed(&self, point: &Point, walk: &Walk) -> Vec<(&AccessId, f64)> {
        let way = way_to(|id| self.access.get(id), point.access.as_ref()).into_iter();
        way.filter(|step| !walk.open.contains(&step.id)).map(|step| (&step.id, step.minutes)).collect()
    }

    /// Whether no test with the current on is proposed at a place: fuel vapour, or wires of restraints, here or on the
    /// same wire.
    fn is_spared(&self, point: &Point) -> bool {
        point.fuel_vapour || point.restraint || self.never_live.forbids_press(&point.runs)
    }

    /// The plugs that divide what is likely best: as near to half of it as can be hangs behind them.
    fn dividing(&self, now: &Plan) -> Vec<&Point> {
        let behind = |point: &Point| {
            let plug = self.electrics.plug_at_node(&plug_of(point)?)?;
            let live = self.electrics.live_without(&plug);
            let chance = |(point, known): (&Point, &PointChance)| {
                point
                    .shares()
                    .filter(|(wire, _)| !live[wire.run])
                    .map(|(_, share)| share * known.probability)
                    .sum::<f64>()
            };
            Some(self.points.iter().zip(&now.points).map(chance).sum::<f64>())
        };
        let listed = 1.0 - now.not_listed;
        let mut plugs: Vec<(f64, &Point)> =
            self.points.iter().filter_map(|point| Some(((behind(point)? - listed / 2.0).abs(), point))).collect();
        plugs.order_by(|(one, _), (other, _)| one.total_cmp(other));
        plugs.truncate(MOST_PLACES);
        plugs.into_iter().map(|(_, point)| point).collect()
    }

    fn unplug<'a>(&'a self, point: &'a Point, walk: &Walk, state: &State, times: &TestTimes) -> Option<Candidate<'a>> {
        let node = plug_of(point)?;
        let forbidden = self.never_live.nodes.contains(&node) || self.is_spared(point);
        if point.kind != PointKind::Plug || forbidden || walk.out_of_reach.contains(&point.id) {
            return None;
        }
        let closed = self.closed(point, walk);
        let watched = times.watch_minutes;
        let what = What::Unplug { node: node.clone(), point: point.id.clone(), state: listed(state) };
        let state = listed(state);
        Some(Candidate {
            title: format!("Unplug: {}. Then shake the loom for {watched} min with {}", point.title, told(&state)),
            minutes: closed.iter().map(|(_, minutes)| minutes).sum::<f64>() + times.plug_minutes + watched,
            opens: closed.into_iter().map(|(id, _)| id).collect(),
            seen: Box::new(move |blew| Observation::Unplugged {
                node: Some(node.clone()),
                load: None,
                blew,
                state: state.clone(),
                minutes: watched,
            }),
            by_itself: 1.0,
            caution: point.caution.clone(),
            what,
        })
    }

    fn press<'a>(&'a self, point: &'a Point, walk: &Walk, state: &State, times: &TestTimes) -> Option<Candidate<'a>> {
        if self.is_spared(point) || !self.closed(point, walk).is_empty() {
            return None;
        }
        let presses = times.presses;
        let (at, state) = (point.id.clone(), listed(state));
        Some(Candidate {
            what: What::Press { point: at.clone(), state: state.clone() },
            title: format!("Press {presses} times, with {}: {}", told(&state), point.title),
            minutes: times.press_minutes,
            opens: Vec::new(),
            seen: Box::new(move |opened| Observation::Press {
                point: at.clone(),
                opened,
                presses,
                state: state.clone(),
            }),
            by_itself: tables().press.holds_by_chance(presses),
            caution: Some(match &point.caution {
                Some(caution) => format!("{SPARKS} {caution}"),
                None => SPARKS.to_owned(),
            }),
        })
    }
}

/// The node of a plug.
fn plug_of(point: &Point) -> Option<NodeId> {
    Some(NodeId(point.id.as_str().strip_prefix("point:plug:")?.to_owned()))
}

/// So much of a drive on a rough or winding road is rough or winding; the rest stands and rolls. Common practice, no source.
const OF_A_DRIVE: f64 = 0.5;

/// Whether the same was done already: once more it would tell the same again. (Presses count up by themselves.)
fn is_done(what: &What, evidence: &[Observation]) -> bool {
    let driven = |wanted: Motion| {
        let minutes = evidence.iter().map(|item| match item {
            Observation::Held { motion, minutes, .. } if *motion == wanted => *minutes,
            _ => 0.0,
        });
        minutes.sum::<f64>() >= tables().test.drive_minutes * OF_A_DRIVE
    };
    match what {
        What::Drive { motion, .. } => driven(*motion),
        What::Unplug { node, .. } => {
            evidence.iter().any(|item| matches!(item, Observation::Unplugged { node: Some(done), .. } if node == done))
        }
        _ => false,
    }
}

fn chance_of(plan: &Plan, id: &PointId) -> f64 {
    plan.points.iter().find(|point| point.id == *id).map_or(0.0, |point| point.probability)
}

fn drive<'a>(motion: Motion, heat: Heat, state: &State, times: &TestTimes) -> Candidate<'a> {
    let (minutes, state) = (times.drive_minutes, listed(state));
    let road = if motion == Motion::Rough { "on a rough road" } else { "in tight turns both ways" };
    Candidate {
        what: What::Drive { motion, state: state.clone() },
        title: format!("Drive {minutes} min {road}, with {}", told(&state)),
        minutes: minutes + times.ready_minutes,
        opens: Vec::new(),
        seen: Box::new(move |opened| {
            let state = state.clone();
            if opened {
                Observation::Blow { state, motion, heat }
            } else {
                Observation::Held { state, motion, heat, minutes }
            }
        }),
        by_itself: 1.0,
        caution: Some("Whoever drives watches the road; someone else watches the fuse.".to_owned()),
    }
}

fn listed(state: &State) -> Vec<Condition> {
    state.iter().cloned().collect()
}

fn told(state: &[Condition]) -> String {
    in_words(&state.iter().cloned().collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_drive_whose_silence_is_kept_in_parts_is_done_and_a_minute_of_it_is_none() {
        let held = |motion, minutes| Observation::Held { state: Vec::new(), motion, heat: Heat::Warm, minutes };
        let on = |motion| What::Drive { motion, state: Vec::new() };
        let minutes = tables().test.drive_minutes;
        let parts = [
            held(Motion::Rough, minutes / 4.0),
            held(Motion::Smooth, minutes / 2.0),
            held(Motion::Turning, minutes / 8.0),
            held(Motion::Rough, minutes / 4.0),
        ];
        assert!(is_done(&on(Motion::Rough), &parts));
        assert!(!is_done(&on(Motion::Turning), &parts) && !is_done(&on(Motion::Rough), &parts[..3]));
        let plug = |node: &str| What::Unplug { node: node.into(), point: "point:plug:c1".into(), state: Vec::new() };
        let pulled = Observation::Unplugged {
            node: Some("c1".into()),
            load: None,
            blew: false,
            state: Vec::new(),
            minutes: 2.0,
        };
        assert!(is_done(&plug("c1"), std::slice::from_ref(&pulled)) && !is_done(&plug("c2"), &[pulled]));
    }
}
