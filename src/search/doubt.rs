//! What is likely wrong when the list of places no longer explains what was seen? And how does one tell?
//!
//! Asked as soon as "not listed" takes a good part of the chance, and when all places look sound. Each doubt says what speaks for it, by what was
//! observed and by what the circuit is, and which check tells. Signs multiply a weight that is stated beforehand; the
//! weights order the doubts and are no chances, so they are not shown.

use std::collections::BTreeSet;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::circuit::harness::{Harness, HarnessLoad, NodeIx};
use crate::circuit::live_work::NeverLive;
use crate::gather::{Gather as _, Order as _};
use crate::search::belief::{Belief, in_words};
use crate::search::electrics::{Electrics, Plug, StateFacts};
use crate::search::likelihood::tables;
use crate::search::prior::Prior;
use crate::search::sorted::Sorted;
use crate::search::suspects::Suspects;

/// Something that is likely wrong.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Doubt {
    /// What it is.
    pub what: DoubtKind,
    /// In words.
    pub title: String,
    /// What speaks for it, in words; at least one thing.
    pub speaks: Vec<String>,
    /// The check that tells, in words.
    pub check: String,
}

/// What can be wrong.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum DoubtKind {
    /// The search is in the wrong circuit.
    WrongFuse,
    /// A load, or its place, is not on the list.
    LoadMissing,
    /// A wire goes another way than assumed.
    OtherWay,
    /// There are two faults.
    SecondFault,
    /// No wire is hurt: a load is shorted inside.
    InsideLoad,
    /// An observation was noted wrong.
    NotedWrong,
}

/// What was tried with the fuse open and does not fit it.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Told {
    /// It works though this fuse should feed it.
    WorksThoughFed(String),
    /// It is dead and not on this circuit.
    DeadNotListed(String),
}

/// What a doubt is judged by.
pub(super) struct Case<'a> {
    pub prior: &'a Prior,
    pub electrics: &'a Electrics,
    pub suspects: &'a Suspects,
    pub never_live: &'a NeverLive,
    pub sorted: &'a Sorted,
    pub belief: &'a Belief,
    pub told: &'a [Told],
}

impl Case<'_> {
    /// Each place that has a chance was looked at, and none shows damage or opened the fuse when pressed.
    fn all_look_sound(&self) -> bool {
        let possible = self.belief.points.iter().enumerate().filter(|(_, chance)| **chance > 0.0);
        let sound =
            |place: usize| self.sorted.looks.get(&place).is_some_and(|looks| looks.sound && looks.damage.is_none());
        self.sorted.presses.values().all(|presses| presses.opened.is_empty())
            && possible.into_iter().all(|(place, _)| sound(place))
    }
}

/// The doubts, the likeliest first; none while the list explains what was seen.
pub(super) fn doubts(case: &Case) -> Vec<Doubt> {
    let explains = case.belief.not_listed <= tables().doubt.from && !case.all_look_sound();
    if case.prior.guesses.is_empty() || explains {
        return Vec::new();
    }
    let signs = Signs::of(case);
    let mut doubts = [
        signs.wrong_fuse(),
        signs.load_missing(),
        signs.other_way(),
        signs.second_fault(),
        signs.inside_load(),
        signs.noted_wrong(),
    ];
    // A stable sort: doubts of the same weight stay in the order above.
    doubts.order_by(|one, other| other.weight.total_cmp(&one.weight));
    doubts.into_iter().filter_map(Weighed::told).collect()
}

/// A doubt with all that speaks for it.
struct Weighed {
    what: DoubtKind,
    weight: f64,
    speaks: Vec<String>,
    title: String,
    check: String,
}

impl Weighed {
    fn new(what: DoubtKind, beforehand: f64, title: &str, check: &str) -> Self {
        Self { what, weight: beforehand, speaks: Vec::new(), title: title.to_owned(), check: check.to_owned() }
    }

    fn sign(&mut self, words: Option<String>) {
        self.speak(words, tables().doubt.sign);
    }

    fn strong_sign(&mut self, words: Option<String>) {
        self.speak(words, tables().doubt.strong_sign);
    }

    fn speak(&mut self, words: Option<String>, factor: f64) {
        if let Some(words) = words {
            self.weight *= factor;
            self.speaks.push(words);
        }
    }

    /// `None`: nothing speaks for it.
    fn told(self) -> Option<Doubt> {
        let Self { what, speaks, title, check, .. } = self;
        (!speaks.is_empty()).then_some(Doubt { what, title, speaks, check })
    }
}

/// What can be seen in the evidence, in words where it is there.
struct Signs<'a> {
    case: &'a Case<'a>,
    harness: &'a Harness,
    /// By what was unplugged while it opened, which runs stayed live.
    cleared: Vec<Vec<bool>>,
    /// States in which it opened though nothing listed was live.
    dead_at_blow: Option<String>,
    /// Some wire was live at each opening, but none at all of them.
    never_all_live: Option<String>,
    /// What was live at all openings is too weak to open the fuse.
    too_weak: Option<String>,
    /// Each wire was behind something that was unplugged while it opened.
    all_unplugged: Option<String>,
    /// How much of the chance beforehand looked sound, or held when pressed.
    sound: Option<String>,
    /// That is most of it.
    most_sound: bool,
}

impl<'a> Signs<'a> {
    fn of(case: &'a Case<'a>) -> Self {
        let sorted = case.sorted;
        let states: BTreeSet<_> = sorted.blows.keys().map(|situation| &situation.state).gather();
        let facts: Vec<_> = states.iter().map(|state| case.electrics.in_state(state)).collect();
        let dead = states.iter().zip(&facts).filter(|(_, facts)| !facts.any_live());
        let dead: Vec<String> = dead.map(|(state, _)| in_words(state)).collect();
        let dead_at_blow = (!dead.is_empty())
            .then(|| format!("It opened with {}: nothing on the list was live then.", dead.join("; or ")));
        let guesses = &case.prior.guesses;
        let live = |run: usize| facts.iter().all(|facts| facts.runs[run].live);
        let opens = |run: usize, at: f64| facts.iter().all(|facts| facts.runs[run].opens(at) > 0.0);
        let none_live = !guesses.iter().any(|guess| live(guess.run));
        let none_opens = !guesses.iter().any(|guess| opens(guess.run, guess.at));
        let each_live = facts.iter().all(|facts| facts.any_live());
        let cleared: Vec<Vec<bool>> =
            sorted.blew_without.iter().map(|plug| case.electrics.live_without(plug)).collect();
        let behind = |run: usize| cleared.iter().any(|live| !live[run]);
        let all_behind = !cleared.is_empty() && guesses.iter().all(|guess| behind(guess.run));
        let (sound, share) = sound(case);
        let places = if sound == 1 { "1 place".to_owned() } else { format!("{sound} places") };
        Self {
            case,
            harness: case.electrics.harness(),
            cleared,
            dead_at_blow,
            never_all_live: (each_live && none_live && states.len() > 1)
                .then(|| "Each time it opened some wire was live, but no wire was live each time.".to_owned()),
            too_weak: (!none_live && none_opens)
                .then(|| "A short on the listed wires is too weak to open a fuse of this rating.".to_owned()),
            all_unplugged: all_behind.then(|| "It opened with each of the listed wires unplugged in turn.".to_owned()),
            most_sound: share >= tables().doubt.most,
            sound: (sound > 0).then(|| {
                format!("{places} looked sound or held when pressed: {:.0} % of the chance beforehand.", share * 100.0)
            }),
        }
    }

    fn told(&self, which: impl Fn(&Told) -> Option<&String>, what: &str) -> Option<String> {
        let names: Vec<&str> = self.case.told.iter().filter_map(which).map(String::as_str).collect();
        (!names.is_empty()).then(|| format!("{what}: {}.", names.join(", ")))
    }

    fn dead_not_listed(&self) -> Option<String> {
        self.told(
            |told| match told {
                Told::DeadNotListed(name) => Some(name),
                Told::WorksThoughFed(_) => None,
            },
            "Dead, and not on the list",
        )
    }

    fn works_though_fed(&self) -> Option<String> {
        self.told(
            |told| match told {
                Told::WorksThoughFed(name) => Some(name),
                Told::DeadNotListed(_) => None,
            },
            "Works with the fuse open, though this fuse should feed it",
        )
    }

    fn wrong_fuse(&self) -> Weighed {
        let mut doubt = Weighed::new(
            DoubtKind::WrongFuse,
            tables().doubt.wrong_fuse,
            "Another fuse, or another rating",
            "Read position and rating again. Then, with this fuse out, try all that is on the list: what still works \
             hangs on another fuse.",
        );
        doubt.strong_sign(self.works_though_fed());
        doubt.strong_sign(self.dead_at_blow.clone());
        doubt.strong_sign(self.too_weak.clone());
        doubt.sign(self.all_unplugged.clone());
        doubt.sign(self.dead_not_listed());
        doubt
    }

    fn load_missing(&self) -> Weighed {
        let mut doubt = Weighed::new(
            DoubtKind::LoadMissing,
            tables().doubt.load_missing,
            "A load that is not on the list, or whose place is not known",
            "With this fuse out, go through all that the vehicle has, accessories and what was fitted afterwards too: \
             what is dead belongs on the list.",
        );
        doubt.strong_sign(self.dead_not_listed());
        doubt.strong_sign(self.dead_at_blow.clone());
        doubt.strong_sign(self.all_unplugged.clone());
        doubt.sign(self.never_all_live.clone());
        doubt.sign(match self.harness.unplaced.len() {
            0 => None,
            1 => Some("1 load on the list has no place, so its wire is on no list of places.".to_owned()),
            loads => Some(format!("{loads} loads on the list have no place, so their wires are on no list of places.")),
        });
        doubt.sign(self.sound.clone());
        doubt
    }

    fn other_way(&self) -> Weighed {
        let mut doubt = Weighed::new(
            DoubtKind::OtherWay,
            tables().doubt.other_way,
            "A wire that goes another way than assumed",
            "With the fuse out, follow the wire by hand or with a tracer, from the fuse and from the load, and enter \
             the zones that it does go through.",
        );
        let assumed = self.harness.runs.iter().filter(|run| run.assumed && !run.path.is_empty()).count();
        // With no way assumed this is no doubt at all.
        if assumed > 0 {
            let all = self.harness.runs.iter().filter(|run| !run.path.is_empty()).count();
            doubt.sign(Some(format!("The ways of {assumed} of {all} wires were assumed.")));
            if self.most_sound {
                doubt.strong_sign(self.sound.clone());
            } else {
                doubt.sign(self.sound.clone());
            }
            doubt.sign(self.all_unplugged.clone());
        }
        doubt
    }

    fn second_fault(&self) -> Weighed {
        let mut doubt = Weighed::new(
            DoubtKind::SecondFault,
            tables().doubt.second_fault,
            "Two faults",
            "Take one opening at a time: switch on only what was on then, and unplug one branch after another until \
             it no longer opens.",
        );
        doubt.strong_sign(self.never_all_live.clone());
        if self.case.sorted.blew_without.len() > 1 {
            doubt.sign(self.all_unplugged.clone());
        }
        let opened = self.case.sorted.presses.values().filter(|presses| !presses.opened.is_empty()).count();
        doubt.sign((opened > 1).then(|| format!("It opened when pressed at {opened} places.")));
        doubt
    }

    fn inside_load(&self) -> Weighed {
        let loads: Vec<&HarnessLoad> = self.harness.loads.iter().filter(|load| self.may_be_inside(load)).collect();
        let held: Vec<&HarnessLoad> = loads.iter().copied().filter(|load| self.held_without(load)).collect();
        let suspects: Vec<_> =
            self.case.suspects.inside().filter(|suspect| loads.iter().any(|load| load.id == suspect.load)).collect();
        let named = match (held.as_slice(), suspects.as_slice()) {
            ([first, ..], _) => Some(name(first)),
            ([], [first, ..]) => Some(first.label.as_str()),
            ([], []) => None,
        };
        let title = named.map_or("A load that is shorted inside".to_owned(), |name| {
            format!("A load that is shorted inside, such as {name}")
        });
        let mut doubt = Weighed::new(
            DoubtKind::InsideLoad,
            tables().doubt.inside_load,
            &title,
            "Unplug the load and put a lamp in the fuse's place: if it goes dark, the short is in the load or in its \
             flexible lead. Airbag and pretensioner plugs are never pulled live, and no plug where fuel can be smelt.",
        );
        if loads.is_empty() {
            return doubt;
        }
        let names: Vec<&str> = held.iter().map(|load| name(load)).collect();
        doubt.strong_sign((!held.is_empty()).then(|| format!("It held with this unplugged: {}.", names.join(", "))));
        for suspect in suspects {
            doubt.sign(Some(format!("A usual suspect, {}: {}", suspect.label, suspect.why)));
        }
        doubt.sign(self.sound.clone());
        doubt
    }

    fn noted_wrong(&self) -> Weighed {
        let mut doubt = Weighed::new(
            DoubtKind::NotedWrong,
            tables().doubt.noted_wrong,
            "Something was noted wrong",
            "Go through what was on when it opened, and what was unplugged, and take back what is not certain.",
        );
        doubt.sign(self.dead_at_blow.clone());
        doubt.sign(self.never_all_live.clone());
        doubt.sign(self.all_unplugged.clone());
        doubt
    }

    /// It was fed each time the fuse opened, was never unplugged then, and is no airbag or pretensioner.
    fn may_be_inside(&self, load: &HarnessLoad) -> bool {
        let Case { electrics, sorted, never_live, .. } = self.case;
        let fed = |live: &dyn Fn(usize) -> bool| {
            let ends = |at: usize| [self.harness.runs[at].from, self.harness.runs[at].to].contains(&load.feed);
            load.feed == NodeIx::FUSE || (0..self.harness.runs.len()).any(|run| ends(run) && live(run))
        };
        let at_blow = |facts: &StateFacts| facts.any_live() && fed(&|run| facts.runs[run].live);
        let without = |(plug, live): (&Plug, &Vec<bool>)| !plug.cut.contains(&load.feed) && fed(&|run| live[run]);
        !never_live.loads.contains(&load.id)
            && sorted.blows.keys().all(|situation| at_blow(&electrics.in_state(&situation.state)))
            && sorted.blew_without.iter().zip(&self.cleared).all(without)
    }

    /// The fuse survived some minutes with this load alone unplugged.
    fn held_without(&self, load: &HarnessLoad) -> bool {
        let plug = self.case.electrics.plug_of_load(&load.id);
        let held = self.case.sorted.held_without.iter().filter(|(_, minutes)| *minutes > 0.0);
        plug.is_some_and(|own| held.map(|((plug, _), _)| plug).any(|plug| plug.cut == own.cut))
    }
}

fn name(load: &HarnessLoad) -> &str {
    if load.label.is_empty() { load.id.as_str() } else { &load.label }
}

/// How many places looked sound or held when pressed, with nothing that speaks for them, and their share of the listed
/// chance beforehand.
fn sound(case: &Case) -> (usize, f64) {
    let sorted = case.sorted;
    let looked = sorted.looks.iter().filter(|(_, looks)| looks.sound).map(|(place, _)| *place);
    let held = sorted.presses.iter().filter(|(_, presses)| !presses.held.is_empty()).map(|(place, _)| *place);
    let suspicious = |place: &usize| {
        sorted.looks.get(place).is_some_and(|looks| looks.damage.is_some())
            || sorted.presses.get(place).is_some_and(|presses| !presses.opened.is_empty())
    };
    let places: BTreeSet<usize> = looked.chain(held).filter(|place| !suspicious(place)).gather();
    let of_these: f64 =
        case.prior.guesses.iter().filter(|guess| places.contains(&guess.point)).map(|guess| guess.chance).sum();
    let listed = 1.0 - case.prior.not_listed;
    (places.len(), if listed > 0.0 { of_these / listed } else { 0.0 })
}
