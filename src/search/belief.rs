//! How likely is each point after all that was observed? Bayes over the guesses, in logarithms.
//!
//! A place that rubs opens the fuse at a rate that nobody knows: a gamma distribution, times what the situation
//! provokes there, times the chance that a touch there opens this fuse in that state. So a blow counts by that
//! product, and surviving minutes by (1 + provoked minutes ÷ usual minutes) ^ −(shape + blows). A chance becomes
//! exactly 0 only where physics says so: the wire was dead, too thin to open the fuse, or unplugged.

use std::collections::BTreeSet;
use std::sync::Arc;

use crate::gather::{Gather as _, Order as _};
use crate::search::electrics::{Electrics, Showed, StateFacts};
use crate::search::evidence::Seen;
use crate::search::likelihood::{Likelihood, tables};
use crate::search::point::Point;
use crate::search::prior::{Guess, Prior};
use crate::search::second::beside_bare;
use crate::search::sorted::{Presses, Situation, Sorted, State};

/// Chances after the evidence. Together with `not_listed` they sum to 1.
#[derive(Debug, Clone, PartialEq)]
pub struct Belief {
    /// By place of the point in the list.
    pub points: Vec<f64>,
    /// Chance that the place is on none of the points.
    pub not_listed: f64,
    /// Natural logarithm of the weight of all guesses together: how well they explain what was observed.
    pub weight: f64,
    /// What contradicts itself, in words.
    pub notes: Vec<String>,
    /// What the evidence says of the points in common, for the reasons.
    pub clues: Clues,
}

/// What the evidence says of the points in common.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Clues {
    /// How many blows there were, and how many times likelier being live at all of them makes a point.
    pub live_at_blows: Option<(u32, f64)>,
    /// What was unplugged in vain, which runs stayed live then, and how many times likelier that makes those.
    pub blew_without: Vec<(String, Vec<bool>, f64)>,
    /// By place of the point: chance that a touch opens the fuse, as a multiple of what is usual on this circuit.
    pub opens: Vec<f64>,
    /// Which runs each reading of an ohmmeter can tell of, what it told, and how likely that usually is.
    pub metered: Vec<(Vec<bool>, Showed, f64)>,
    /// By place of the point: how many times likelier bare places make it.
    pub beside: Vec<f64>,
    /// By place of the point: the presses there at which one of its wires was live.
    pub pressed: Vec<(usize, Pressed)>,
}

/// Presses as far as what was pressed was live.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Pressed {
    /// The number of presses of each try at which the fuse opened, smallest first; no more than count.
    pub opened: Vec<u32>,
    /// Presses at which it held.
    pub held: u32,
}

impl Pressed {
    /// Those at which `live` holds of what was switched on.
    fn of(presses: &Presses, live: impl Fn(&State) -> bool) -> Self {
        let opened = presses.opened.iter().filter(|(_, state)| live(state)).map(|(presses, _)| *presses);
        let mut opened: Vec<u32> = opened.collect();
        opened.order_by(Ord::cmp);
        opened.truncate(tables().press.counted_most as usize);
        let held = presses.held.iter().filter(|(state, _)| live(state));
        Self { opened, held: held.fold(0, |sum, (_, presses)| sum.saturating_add(*presses)) }
    }
}

/// No guess that physics allows falls further behind the best one than this (natural logarithm): e^-600 is
/// still a number.
const FURTHEST_BEHIND: f64 = 600.0;

/// Chances given all observations.
pub fn update(points: &[Point], prior: &Prior, electrics: &Electrics, sorted: &Sorted) -> Belief {
    let scene = Scene { points, prior, electrics };
    let mut weighing = Weighing {
        scene: &scene,
        guesses: prior.guesses.iter().map(|guess| guess.chance.ln()).collect(),
        elsewhere: prior.not_listed.ln(),
        clues: Clues::default(),
    };
    weighing.blows(sorted);
    weighing.blew_without(sorted);
    weighing.held(sorted);
    weighing.metered(sorted);
    weighing.at_places(sorted);
    let Weighing { guesses, elsewhere, clues, .. } = weighing;
    let notes = scene.contradictions(sorted, &guesses);
    settle(points.len(), &prior.guesses, &guesses, elsewhere, notes, clues)
}

/// The guesses while one kind of evidence after another is put on the scales.
struct Weighing<'a> {
    scene: &'a Scene<'a>,
    /// By guess, the logarithm of its weight.
    guesses: Vec<f64>,
    /// That of a place that is not listed.
    elsewhere: f64,
    clues: Clues,
}

impl Weighing<'_> {
    /// So many times a factor by guess; elsewhere is taken to be like what is usual.
    fn add(&mut self, factors: &[f64], times: f64) -> f64 {
        for (ln, factor) in self.guesses.iter_mut().zip(factors) {
            *ln += times * factor.ln();
        }
        let usual = self.scene.usual(factors);
        self.elsewhere += times * usual.ln();
        usual
    }

    /// What was live and provoked when it opened.
    fn blows(&mut self, sorted: &Sorted) {
        let scene = self.scene;
        if sorted.blows.is_empty() {
            self.add(&scene.opens_in_some_state(), 1.0);
        }
        for (situation, times) in &sorted.blows {
            self.add(&scene.provoked(situation), f64::from(*times));
        }
        self.clues.live_at_blows = live_at_blows(scene, sorted);
        self.clues.opens = scene.opens_by_point(sorted);
    }

    /// What was unplugged while it opened is cleared.
    fn blew_without(&mut self, sorted: &Sorted) {
        let Scene { prior, electrics, .. } = self.scene;
        for plug in &sorted.blew_without {
            let live = electrics.live_without(plug);
            let mut stayed = 0.0;
            for (ln, guess) in self.guesses.iter_mut().zip(&prior.guesses) {
                if live[guess.run] {
                    stayed += guess.chance;
                } else {
                    *ln = f64::NEG_INFINITY;
                }
            }
            let listed = 1.0 - prior.not_listed;
            let factor = if stayed > 0.0 { listed / stayed } else { 1.0 };
            self.clues.blew_without.push((plug.label.clone(), live, factor));
        }
    }

    /// Minutes that it survived, with everything in place or something unplugged.
    fn held(&mut self, sorted: &Sorted) {
        let (survived, survived_elsewhere) = self.scene.survived(sorted);
        let rate = &tables().rate;
        let blows: u32 = sorted.blows.values().sum();
        let weight = rate.shape + f64::from(blows.max(1));
        for (ln, minutes) in self.guesses.iter_mut().zip(survived) {
            *ln -= weight * (minutes / rate.minutes).ln_1p();
        }
        self.elsewhere -= weight * (survived_elsewhere / rate.minutes).ln_1p();
    }

    /// What an ohmmeter showed at the open fuse.
    fn metered(&mut self, sorted: &Sorted) {
        let scene = self.scene;
        for (unplugged, state, showed) in &sorted.meter {
            let tied = scene.electrics.tied_without(unplugged, state);
            let of = |guess: &Guess| tables().meter.factor(*showed, tied[guess.run]);
            let factors: Vec<f64> = scene.prior.guesses.iter().map(of).collect();
            let usual = self.add(&factors, 1.0);
            self.clues.metered.push((tied, *showed, usual));
        }
    }

    /// Looks and presses at the places themselves.
    fn at_places(&mut self, sorted: &Sorted) {
        let scene = self.scene;
        let looked = scene.looked(sorted);
        let beside = beside_bare(scene.points, sorted);
        for (ln, guess) in self.guesses.iter_mut().zip(&scene.prior.guesses) {
            *ln += looked[guess.point] + beside[guess.point].ln();
            if let Some(presses) = sorted.presses.get(&guess.point) {
                *ln += scene.pressed(guess, presses);
            }
        }
        self.clues.beside = beside;
        self.clues.pressed =
            sorted.presses.iter().map(|(place, presses)| (*place, scene.pressed_at(*place, presses))).collect();
    }
}

/// From logarithms to chances that sum to 1.
fn settle(
    points: usize,
    guesses: &[Guess],
    ln: &[f64],
    elsewhere: f64,
    mut notes: Vec<String>,
    clues: Clues,
) -> Belief {
    let best = ln.iter().copied().fold(elsewhere, f64::max);
    let share = |ln: f64| if ln == f64::NEG_INFINITY { 0.0 } else { (ln - best).max(-FURTHEST_BEHIND).exp() };
    let mut chances = vec![0.0; points];
    for (guess, ln) in guesses.iter().zip(ln) {
        chances[guess.point] += share(*ln);
    }
    let not_listed = share(elsewhere);
    let all = chances.iter().sum::<f64>() + not_listed;
    chances.iter_mut().for_each(|chance| *chance /= all);
    let not_listed = not_listed / all;
    if notes.is_empty() && not_listed > tables().doubt.from && points > 0 {
        notes.push(format!(
            "The chance that the place is on none of the listed points has come to {:.0} %: check the list of \
                 loads, the ways of the loom that were assumed, and whether it is this fuse.",
            not_listed * 100.0
        ));
    }
    Belief { points: chances, not_listed, weight: best + all.ln(), notes, clues }
}

/// How many times likelier it makes a point to have been live at all blows.
fn live_at_blows(scene: &Scene, sorted: &Sorted) -> Option<(u32, f64)> {
    let blows = sorted.blows.values().sum();
    let states: Vec<Arc<StateFacts>> =
        sorted.blows.keys().map(|situation| scene.electrics.in_state(&situation.state)).collect();
    let live = |guess: &&Guess| states.iter().all(|facts| facts.runs[guess.run].live);
    let stayed: f64 = scene.prior.guesses.iter().filter(live).map(|guess| guess.chance).sum();
    (blows > 0 && stayed > 0.0).then(|| (blows, (1.0 - scene.prior.not_listed) / stayed))
}

/// What stays the same while observations are weighed.
struct Scene<'a> {
    points: &'a [Point],
    prior: &'a Prior,
    electrics: &'a Electrics,
}

impl Scene<'_> {
    /// What is usual among the guesses that a factor leaves possible. A place that is not listed is taken to be
    /// like them; where nothing is left possible, it says nothing about that place.
    fn usual(&self, factors: &[f64]) -> f64 {
        let possible = self.prior.guesses.iter().zip(factors).filter(|(_, factor)| **factor > 0.0);
        let (weight, sum) = possible
            .fold((0.0, 0.0), |(weight, sum), (guess, factor)| (weight + guess.chance, sum + guess.chance * factor));
        if weight > 0.0 { sum / weight } else { 1.0 }
    }

    /// By guess: chance that a touch opens the fuse in a state.
    fn opens(&self, state: &State) -> Vec<f64> {
        let facts = self.electrics.in_state(state);
        self.prior.guesses.iter().map(|guess| facts.runs[guess.run].opens(guess.at)).collect()
    }

    /// By guess: the best chance with everything on, or nothing. For when no blow says what was on.
    fn opens_in_some_state(&self) -> Vec<f64> {
        let on = self.opens(&self.electrics.everything_on());
        on.iter().zip(self.opens(&State::new())).map(|(on, off)| on.max(off)).collect()
    }

    /// By guess: how strongly a situation provokes a blow there.
    fn provoked(&self, situation: &Situation) -> Vec<f64> {
        let Likelihood { motion, warmth, .. } = tables();
        let fits: Vec<f64> = self
            .points
            .iter()
            .map(|point| {
                motion.factor(situation.motion, point.exposures, point.hinged)
                    * warmth.factor(situation.heat, point.exposures)
            })
            .collect();
        let opens = self.opens(&situation.state);
        self.prior.guesses.iter().zip(opens).map(|(guess, opens)| opens * fits[guess.point]).collect()
    }

    /// By point: chance that a touch opens the fuse, as a multiple of what is usual on this circuit.
    fn opens_by_point(&self, sorted: &Sorted) -> Vec<f64> {
        let mut opens = vec![0.0; self.prior.guesses.len()];
        for situation in sorted.blows.keys() {
            let more = self.opens(&situation.state);
            opens.iter_mut().zip(more).for_each(|(sum, more)| *sum += more / sorted.blows.len() as f64);
        }
        if sorted.blows.is_empty() {
            opens = self.opens_in_some_state();
        }
        let usual = self.usual(&opens);
        let mut by_point = vec![(0.0, 0.0); self.points.len()];
        for (guess, opens) in self.prior.guesses.iter().zip(opens).filter(|(_, opens)| *opens > 0.0) {
            let (weight, sum) = &mut by_point[guess.point];
            *weight += guess.chance;
            *sum += guess.chance * opens;
        }
        by_point.into_iter().map(|(weight, sum)| if weight > 0.0 { sum / weight / usual } else { 0.0 }).collect()
    }

    /// Provoked minutes that the fuse survived: by guess, and for a place that is not listed.
    fn survived(&self, sorted: &Sorted) -> (Vec<f64>, f64) {
        let mut minutes = vec![0.0; self.prior.guesses.len()];
        let mut elsewhere = 0.0;
        let mut add = |factors: Vec<f64>, for_minutes: f64| {
            let listed = 1.0 - self.prior.not_listed;
            let mean: f64 = self.prior.guesses.iter().zip(&factors).map(|(guess, factor)| guess.chance * factor).sum();
            elsewhere += if listed > 0.0 { mean / listed * for_minutes } else { 0.0 };
            minutes.iter_mut().zip(factors).for_each(|(sum, factor)| *sum += factor * for_minutes);
        };
        for (situation, held) in &sorted.held {
            add(self.provoked(situation), *held);
        }
        for ((plug, state), held) in &sorted.held_without {
            let live = self.electrics.live_without(plug);
            let opens = self.opens(state).into_iter().zip(&self.prior.guesses);
            add(opens.map(|(opens, guess)| if live[guess.run] { opens } else { 0.0 }).collect(), *held);
        }
        (minutes, elsewhere)
    }

    /// By point: what looks say, as a logarithm.
    fn looked(&self, sorted: &Sorted) -> Vec<f64> {
        let seen = &tables().seen;
        let mut looked = vec![0.0; self.points.len()];
        for (place, looks) in &sorted.looks {
            let detect = self.points[*place].detect;
            let sound = looks.sound.then_some(Seen::Sound);
            looked[*place] = sound.iter().chain(&looks.damage).map(|what| seen.factor(*what, detect).ln()).sum();
        }
        looked
    }

    /// What presses at its point say about a guess, as a logarithm. A press while the wire was dead says nothing, whether
    /// the fuse held or something else opened it.
    fn pressed(&self, guess: &Guess, presses: &Presses) -> f64 {
        let table = &tables().press;
        let Pressed { opened, held } = Pressed::of(presses, |state| self.is_live(guess.run, state));
        let opened: f64 = opened.iter().map(|presses| table.factor(true, *presses).ln()).sum();
        opened + table.factor(false, held).ln()
    }

    /// The presses at a point while any of its wires was live.
    fn pressed_at(&self, place: usize, presses: &Presses) -> Pressed {
        let crossings = &self.points[place].crossings;
        Pressed::of(presses, |state| crossings.iter().any(|crossing| self.is_live(crossing.run, state)))
    }

    fn is_live(&self, run: usize, state: &State) -> bool {
        self.electrics.in_state(state).runs[run].live
    }

    /// What is likely wrong where everything is ruled out, and what could not be computed.
    fn contradictions(&self, sorted: &Sorted, guesses: &[f64]) -> Vec<String> {
        let states: Vec<Arc<StateFacts>> =
            sorted.blows.keys().map(|situation| self.electrics.in_state(&situation.state)).collect();
        let on = self.electrics.in_state(&self.electrics.everything_on());
        let troubles: BTreeSet<String> = states.iter().chain([&on]).filter_map(|facts| facts.trouble.clone()).gather();
        let mut notes = Vec::from_iter(troubles);
        if guesses.is_empty() || guesses.iter().any(|ln| *ln > f64::NEG_INFINITY) {
            return notes;
        }
        for (situation, _) in sorted.blows.keys().zip(&states).filter(|(_, facts)| !facts.any_live()) {
            let note = format!(
                "At a blow with {} no wire on the list was live: what was on may be noted wrong, a load that is live \
                 then may be missing from the list, or it is another fuse.",
                in_words(&situation.state)
            );
            // Blows in one state that differ in motion or warmth say this once.
            if !notes.contains(&note) {
                notes.push(note);
            }
        }
        if notes.is_empty() {
            let live = |guess: &&Guess| states.iter().all(|facts| facts.runs[guess.run].live);
            let live_at_all: Vec<&Guess> = self.prior.guesses.iter().filter(live).collect();
            let opens = |guess: &&&Guess| states.iter().all(|facts| facts.runs[guess.run].opens(guess.at) > 0.0);
            notes.push(if live_at_all.is_empty() {
                "No wire on the list was live at every blow: what was on may be noted wrong, a load may be missing \
                 from the list, it is another fuse, or there are two faults."
                    .to_owned()
            } else if live_at_all.iter().any(|guess| opens(&guess)) {
                "Everything that was live was unplugged at some time while the fuse still opened: look for a wire \
                 that is not on the list, a way of the loom that was assumed wrongly, or another fuse."
                    .to_owned()
            } else {
                "A short on the listed wires is too weak to open this fuse: check its rating and the sizes and \
                 lengths of the wires, or look for another fuse."
                    .to_owned()
            });
        }
        notes
    }
}

/// A state in words.
pub fn in_words(state: &State) -> String {
    if state.is_empty() {
        return "nothing switched on".to_owned();
    }
    state.iter().map(|condition| condition.as_str().replace('_', " ")).collect::<Vec<_>>().join(", ")
}
