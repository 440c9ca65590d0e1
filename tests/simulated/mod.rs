//! Invented jobs with a fault that is known: drawn from the prior, with what would be observed of it. Whoever searches by
//! the plan is timed against whoever goes by other orders.
//!
//! A job is drawn by rejection: a fault, then observations, kept with the chance that this fault brings them about. So
//! what is drawn follows the model's own likelihoods without its arithmetic, and the chances that it tells can be held
//! against how often they come true.
#![allow(dead_code)]

use std::collections::{HashMap, HashSet};

pub use crate::dice::Dice;

use loomwalk::circuit::harness::Harness;
use loomwalk::ids::{Condition, NodeId};
use loomwalk::search::electrics::Electrics;
use loomwalk::search::evidence::{Heat, Motion, Observation, Seen};
use loomwalk::search::likelihood::tables;
use loomwalk::search::plan::{Plan, Search, Step, StepKind, Walk};
use loomwalk::search::prior::Prior;

/// A circuit to draw jobs on.
pub struct World {
    pub search: Search,
    pub prior: Prior,
    electrics: Electrics,
    /// States in which anything is live.
    states: Vec<Vec<Condition>>,
    /// What can be unplugged, with the runs that stay live then.
    plugs: Vec<(NodeId, Vec<bool>)>,
}

/// A job: what was observed, and where the fault is. None: on none of the points.
pub struct Drawn {
    pub evidence: Vec<Observation>,
    pub fault: Option<usize>,
}

impl World {
    pub fn new(search: Search, harness: &Harness, prior: Prior, electrics: Electrics) -> Self {
        let all: Vec<Condition> = harness.conditions().into_iter().collect();
        let without =
            |gone: usize| all.iter().enumerate().filter(move |(at, _)| *at != gone).map(|(_, name)| name.clone());
        let mut states: Vec<Vec<Condition>> = (0..all.len()).map(|gone| without(gone).collect()).collect();
        states.push(all.clone());
        states.retain(|state| electrics.in_state(&electrics.relevant(state)).any_live());
        let plugs = search.points().iter().filter_map(|point| {
            let node = NodeId(point.id.as_str().strip_prefix("point:plug:")?.to_owned());
            let live = electrics.live_without(&electrics.plug_at_node(&node)?);
            Some((node, live))
        });
        let plugs = plugs.collect();
        Self { search, prior, electrics, states, plugs }
    }

    /// Every guess `factor` times likelier or less likely than the model takes it to be, at random.
    pub fn misjudged(&self, factor: f64, dice: &mut Dice) -> Prior {
        let mut prior = self.prior.clone();
        for guess in &mut prior.guesses {
            guess.chance *= factor.powf(2.0 * dice.share() - 1.0);
        }
        let all: f64 = prior.guesses.iter().map(|guess| guess.chance).sum::<f64>() + prior.not_listed;
        prior.guesses.iter_mut().for_each(|guess| guess.chance /= all);
        prior.not_listed /= all;
        prior
    }

    /// How strongly a situation provokes each guess, and a place that is not listed.
    fn provoked(&self, state: &[Condition], motion: Motion, heat: Heat) -> (Vec<f64>, f64) {
        let facts = self.electrics.in_state(&self.electrics.relevant(state));
        let factors: Vec<f64> = self
            .prior
            .guesses
            .iter()
            .map(|guess| {
                let point = &self.search.points()[guess.point];
                facts.runs[guess.run].opens(guess.at)
                    * tables().motion.factor(motion, point.exposures, point.hinged)
                    * tables().warmth.factor(heat, point.exposures)
            })
            .collect();
        let possible = self.prior.guesses.iter().zip(&factors).filter(|(_, factor)| **factor > 0.0);
        let (weight, sum) = possible
            .fold((0.0, 0.0), |(weight, sum), (guess, factor)| (weight + guess.chance, sum + guess.chance * factor));
        (factors, if weight > 0.0 { sum / weight } else { 1.0 })
    }

    /// A job whose fault follows `truth`: one opening, sometimes minutes without one, something unplugged in vain, and a
    /// few looks and presses that found nothing.
    pub fn draw(&self, truth: &Prior, dice: &mut Dice) -> Drawn {
        loop {
            if let Some(drawn) = self.try_to_draw(truth, dice) {
                return drawn;
            }
        }
    }

    fn try_to_draw(&self, truth: &Prior, dice: &mut Dice) -> Option<Drawn> {
        let mut left = dice.share();
        let fault = truth.guesses.iter().position(|guess| {
            left -= guess.chance;
            left < 0.0
        });
        let mut evidence = Vec::new();
        let happens = |chance: f64, dice: &mut Dice| (dice.share() < chance).then_some(());

        // It opened: the more a situation provokes the place, the oftener.
        let motions = [Motion::Still, Motion::Smooth, Motion::Rough, Motion::Turning, Motion::DoorMoved];
        let heats = [Heat::Cold, Heat::Warm, Heat::Hot];
        let situation = |dice: &mut Dice| {
            (self.states[dice.below(self.states.len())].clone(), motions[dice.below(5)], heats[dice.below(3)])
        };
        let (state, motion, heat) = situation(dice);
        let (factors, elsewhere) = self.provoked(&state, motion, heat);
        let most = 20.0;
        happens(fault.map_or(elsewhere, |fault| factors[fault]) / most, dice)?;
        evidence.push(Observation::Blow { state, motion, heat });

        if dice.share() < 0.5 {
            let (state, motion, heat) = situation(dice);
            let minutes = 5.0 + 40.0 * dice.share();
            let (factors, _) = self.provoked(&state, motion, heat);
            let mean: f64 = self.prior.guesses.iter().zip(&factors).map(|(guess, factor)| guess.chance * factor).sum();
            let elsewhere = mean / (1.0 - self.prior.not_listed);
            let provoked = fault.map_or(elsewhere, |fault| factors[fault]) * minutes;
            let rate = &tables().rate;
            happens((1.0 + provoked / rate.minutes).powf(-(rate.shape + 1.0)), dice)?;
            evidence.push(Observation::Held { state, motion, heat, minutes });
        }
        if dice.share() < 0.4 && !self.plugs.is_empty() {
            let (node, live) = &self.plugs[dice.below(self.plugs.len())];
            if fault.is_some_and(|fault| !live[self.prior.guesses[fault].run]) {
                return None;
            }
            let state = self.states[0].clone();
            evidence.push(Observation::Unplugged {
                node: Some(node.clone()),
                load: None,
                blew: true,
                state,
                minutes: 0.0,
            });
        }
        let mut looked = HashSet::new();
        for _ in 0..dice.below(4) {
            let place = dice.below(self.search.points().len());
            if !looked.insert(place) {
                continue;
            }
            let point = &self.search.points()[place];
            let here = fault.is_some_and(|fault| self.prior.guesses[fault].point == place);
            if here {
                happens(1.0 - point.detect, dice)?;
            }
            evidence.push(Observation::Look { point: point.id.clone(), seen: Seen::Sound });
        }
        if dice.share() < 0.3 {
            let place = dice.below(self.search.points().len());
            let (presses, state) = (3, self.states[dice.below(self.states.len())].clone());
            let facts = self.electrics.in_state(&self.electrics.relevant(&state));
            let press = &tables().press;
            let here = fault.map(|fault| self.prior.guesses[fault]);
            let touched = here.is_some_and(|guess| guess.point == place && facts.runs[guess.run].live);
            // Held by chance elsewhere, for a place that is pressed while its wire is dead as well.
            let opens = if touched { press.reproduces } else { press.by_chance };
            happens((1.0 - opens).powi(presses), dice)?;
            let point = self.search.points()[place].id.clone();
            evidence.push(Observation::Press { point, opened: false, presses: presses as u32, state });
        }
        Some(Drawn { evidence, fault: fault.map(|fault| self.prior.guesses[fault].point) })
    }
}

/// How the places are gone to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Way {
    Plan,
    List,
    Chance,
    Nearest,
    Random,
}

pub const WAYS: [Way; 5] = [Way::Plan, Way::List, Way::Chance, Way::Nearest, Way::Random];

/// A look with all that is still closed before it, in an order that is allowed.
fn closed<'p>(steps: &HashMap<&str, &'p Step>, step: &'p Step, done: &HashSet<&str>) -> Vec<&'p Step> {
    let mut way: Vec<&Step> = Vec::new();
    let needs = step.after.iter().chain(&step.also_after).filter_map(|id| steps.get(id.as_str()).copied());
    for need in needs.filter(|need| !done.contains(need.id.as_str())) {
        for before in closed(steps, need, done) {
            if !way.iter().any(|known| known.id == before.id) {
                way.push(before);
            }
        }
    }
    way.push(step);
    way
}

/// The steps of a plan in that order, what must be opened just before it is needed.
fn in_order<'p>(plan: &'p Plan, way: Way, dice: &mut Dice) -> Vec<&'p Step> {
    if way == Way::Plan {
        return plan.steps.iter().collect();
    }
    let steps: HashMap<&str, &Step> = plan.steps.iter().map(|step| (step.id.as_str(), step)).collect();
    let place: HashMap<&str, usize> =
        plan.points.iter().enumerate().map(|(at, point)| (point.id.as_str(), at)).collect();
    let mut looks: Vec<&Step> = plan.steps.iter().filter(|step| step.kind == StepKind::Look).collect();
    match way {
        Way::List => looks.sort_by_key(|step| place[step.id.as_str()]),
        Way::Chance => looks.sort_by(|one, other| other.chance.total_cmp(&one.chance)),
        Way::Random => {
            for at in (1..looks.len()).rev() {
                looks.swap(at, dice.below(at + 1));
            }
        }
        Way::Plan | Way::Nearest => {}
    }
    let (mut order, mut done) = (Vec::new(), HashSet::new());
    while !looks.is_empty() {
        let next = if way == Way::Nearest {
            let minutes = |step: &&Step| closed(&steps, step, &done).iter().map(|step| step.minutes).sum::<f64>();
            let nearest =
                looks.iter().enumerate().min_by(|(_, one), (_, other)| minutes(one).total_cmp(&minutes(other)));
            nearest.map_or(0, |(at, _)| at)
        } else {
            0
        };
        for step in closed(&steps, looks.remove(next), &done) {
            done.insert(step.id.as_str());
            order.push(step);
        }
    }
    order
}

/// Minutes until the place is found by going that way. What the first pass misses is found on a second one in the same
/// order; what is on none of the points costs a pass.
fn minutes(world: &World, plan: &Plan, way: Way, fault: Option<usize>, missed: bool, dice: &mut Dice) -> f64 {
    let order = in_order(plan, way, dice);
    let all: f64 = order.iter().map(|step| step.minutes).sum();
    let Some(fault) = fault else { return all };
    let id = world.search.points()[fault].id.as_str();
    let mut elapsed = 0.0;
    for step in order {
        elapsed += step.minutes;
        if step.id == id {
            return if missed { all + elapsed } else { elapsed };
        }
    }
    // Looked at already, and taken for sound: a second pass finds it, on average half-way.
    all * 1.5
}

/// What came of many jobs.
#[derive(Debug, Clone, Default)]
pub struct Outcome {
    pub jobs: usize,
    /// Mean minutes, by [`WAYS`].
    pub minutes: [f64; 5],
    /// By tenth of the chance told: how often it was told, the sum of what was told, how often it was true.
    pub told: [(usize, f64, usize); 10],
}

impl Outcome {
    /// The expected calibration error: how far the chances told are from how often they came true, on average over all
    /// that was told.
    pub fn calibration_error(&self) -> f64 {
        let all: usize = self.told.iter().map(|(times, ..)| times).sum();
        self.told.iter().map(|(_, told, came_true)| (told - *came_true as f64).abs()).sum::<f64>() / all as f64
    }

    /// By tenth: how often told, the mean told, how often true.
    pub fn reliability(&self) -> impl Iterator<Item = (usize, f64, f64)> {
        let told = self.told.iter().filter(|(times, ..)| *times > 0);
        told.map(|(times, told, came_true)| (*times, told / *times as f64, *came_true as f64 / *times as f64))
    }
}

/// Draws so many jobs with faults that follow `truth`, and searches them in all ways.
pub fn simulate(world: &World, truth: &Prior, jobs: usize, dice: &mut Dice) -> Outcome {
    let mut outcome = Outcome { jobs, ..Outcome::default() };
    for _ in 0..jobs {
        let Drawn { evidence, fault } = world.draw(truth, dice);
        let plan = world.search.plan(&evidence, &Walk::default());
        let chances = plan.points.iter().map(|point| point.probability).enumerate();
        let listed = chances.map(|(place, chance)| (chance, fault == Some(place)));
        for (chance, is_it) in listed.chain([(plan.not_listed, fault.is_none())]) {
            let bin = &mut outcome.told[((chance * 10.0) as usize).min(9)];
            *bin = (bin.0 + 1, bin.1 + chance, bin.2 + usize::from(is_it));
        }
        let missed = fault.is_some_and(|fault| dice.share() >= world.search.points()[fault].detect);
        for (way, sum) in WAYS.into_iter().zip(&mut outcome.minutes) {
            *sum += minutes(world, &plan, way, fault, missed, dice) / jobs as f64;
        }
    }
    outcome
}
