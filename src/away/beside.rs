//! What is to be said beside the walk? The test that saves more than looking, what the last observation moved, what else to
//! look at beside a bare place, and how soon this order finds it. Told so that the page has nothing to work out.

use serde::{Deserialize, Serialize};

use crate::circuit::expand::expand;
use crate::circuit::file::CircuitFile;
use crate::gather::Gather as _;
use crate::ids::{AccessId, Condition, NodeId, PointId};
use crate::search::course::{Course, courses};
use crate::search::evidence::{Observation, Seen};
use crate::search::lessons::Shop;
use crate::search::likelihood::tables;
use crate::search::moved::{Moved, moved};
use crate::search::plan::{Search, Walk};
use crate::search::said::{chance, nth};
use crate::search::second::Neighbour;
use crate::search::test_value::{Test, What};
use crate::vehicle::body::fit;

/// What is known so far.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Known {
    /// The circuit, found sound.
    pub circuit: CircuitFile,
    /// What was observed.
    pub evidence: Vec<Observation>,
    /// The last of it is news.
    pub news: bool,
    /// What is open.
    pub open: Vec<AccessId>,
    /// What cannot be reached.
    pub out_of_reach: Vec<PointId>,
    /// What was seen sound since it was mended.
    pub proven: Vec<PointId>,
    /// What was asked for first.
    pub first: Option<PointId>,
    /// What the shop's closed jobs had taught when it began.
    pub shop: Shop,
}

/// What is to be said beside the walk.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Beside {
    /// The best test, if one saves more than it takes.
    pub test: Option<TestTold>,
    /// The step that the whole plan begins with; empty where there is none.
    pub next: String,
    /// Why it comes first.
    pub why_next: String,
    /// The last observation, in words, where it moved anything.
    pub after: String,
    /// What it moved, the most first.
    pub moved: Vec<String>,
    /// Where a bare place was seen.
    pub found: String,
    /// What else to look at before it is closed.
    pub neighbours: Vec<NeighbourTold>,
}

/// A place close to a bare one.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct NeighbourTold {
    /// Which.
    pub point: PointId,
    /// Where that is.
    pub title: String,
    /// What both have in common, and how long it takes to look.
    pub why: String,
}

/// How soon orders find the place: lines on a sheet of 200 by 100, from the lower left.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct CourseTold {
    /// The plan's, along the list, by chance alone: each as the data of an SVG path.
    pub lines: [String; 3],
    /// The minutes at the right edge.
    pub minutes: f64,
    /// The chance at the upper edge, in words.
    pub top: String,
    /// All of it in words.
    pub words: String,
}

/// The best test, in words, and what is needed to note what came of it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct TestTold {
    /// What to do.
    pub title: String,
    /// What it takes and saves, and how it may end.
    pub worth: String,
    /// What can hurt someone.
    pub caution: String,
    /// The place to press.
    pub press: Option<PointId>,
    /// What to unplug.
    pub unplug: Option<NodeId>,
    /// What is switched on meanwhile.
    pub state: Vec<Condition>,
    /// For how many minutes it is watched.
    pub minutes: f64,
}

impl Known {
    fn search(&self) -> (Search, Walk) {
        let map = fit(&self.circuit.vehicle);
        let search =
            Search::of_circuit(&self.circuit, &expand(&self.circuit, &map), &map.map).taught_by(self.shop.clone());
        let walk = Walk {
            open: self.open.iter().cloned().gather(),
            out_of_reach: self.out_of_reach.iter().cloned().gather(),
            proven: self.proven.iter().cloned().gather(),
            first: self.first.clone(),
            ..Walk::default()
        };
        (search, walk)
    }
}

/// What is to be said beside the walk.
pub fn beside(known: &Known) -> Beside {
    let (search, walk) = known.search();
    let evidence = &known.evidence;
    let plan = search.plan(evidence, &walk);
    let mut beside = Beside {
        test: search.tests(evidence, &walk, 1).into_iter().next().map(told),
        next: plan.steps.first().map(|step| step.id.clone()).unwrap_or_default(),
        why_next: plan.why_next(1).unwrap_or_default(),
        ..Beside::default()
    };
    if let Some((last, before)) = evidence.split_last().filter(|_| known.news) {
        let moved = moved(&search.plan(before, &walk), &plan, MOVED);
        beside.moved = moved.iter().map(|moved| moved_told(moved, &title(&search, &moved.point))).collect();
        if !beside.moved.is_empty() {
            beside.after = observed(last, &search);
        }
    }
    let bare = |item: &Observation| match item {
        Observation::Look { point, seen: Seen::Bare | Seen::Severed } => Some(point.clone()),
        _ => None,
    };
    if let Some(found) = evidence.iter().rev().find_map(bare) {
        beside.found = title(&search, &found);
        let told = |near: Neighbour| NeighbourTold {
            why: format!("{}; {}", near.close.in_words(), minutes_told(near.minutes)),
            point: near.point,
            title: near.title,
        };
        beside.neighbours = search.neighbours(evidence, &found, NEIGHBOURS).into_iter().map(told).collect();
    }
    beside
}

/// How many places are told that an observation moved.
const MOVED: usize = 3;
/// How many places are told that are close to a bare one.
const NEIGHBOURS: usize = 4;

fn title(search: &Search, id: &PointId) -> String {
    search.point(id).map_or_else(|| id.to_string(), |point| point.title.clone())
}

fn minutes_told(minutes: f64) -> String {
    if minutes < 1.0 { "under 1 min".to_owned() } else { format!("about {minutes:.0} min") }
}

fn moved_told(moved: &Moved, title: &str) -> String {
    let [was, is] = moved.chance.map(chance);
    let turn = match moved.turn {
        [Some(was), Some(is)] if was == is => format!("still {} in turn", nth(is)),
        [Some(was), Some(is)] => format!("{} in turn before, now {}", nth(was), nth(is)),
        [None, Some(is)] => format!("now {} in turn", nth(is)),
        [Some(_), None] => "no longer to be looked at on this pass".to_owned(),
        [None, None] => String::new(),
    };
    let turn = if turn.is_empty() { turn } else { format!("; {turn}") };
    format!("{title}: {was} before, {is} now{turn}.")
}

/// An observation in words.
fn observed(what: &Observation, search: &Search) -> String {
    match what {
        Observation::Blow { .. } => "it opened".to_owned(),
        Observation::Held { minutes, .. } => format!("it held for {minutes:.0} min"),
        Observation::Unplugged { blew: true, .. } => "it opened with something unplugged".to_owned(),
        Observation::Unplugged { .. } => "it held with something unplugged".to_owned(),
        Observation::Look { point, seen } => {
            format!("“{}” at {}", seen.word(), title(search, point))
        }
        Observation::Press { point, opened: true, .. } => format!("it opened when pressed at {}", title(search, point)),
        Observation::Press { point, .. } => format!("it held when pressed at {}", title(search, point)),
        Observation::Meter { .. } => "what the ohmmeter showed".to_owned(),
    }
}

/// How soon this order finds the place, and others would. Nothing where there is nothing to look at.
pub fn course(known: &Known) -> Option<CourseTold> {
    let (search, walk) = known.search();
    let courses = courses(&search.plan(&known.evidence, &walk));
    let minutes =
        courses.iter().filter_map(|course| course.steps.last()).fold(0.0, |most, [at, _]| f64::max(most, *at));
    let most =
        courses.iter().filter_map(|course| course.steps.last()).fold(0.0, |most, [_, found]| f64::max(most, *found));
    let [plan, list, likeliest] = [&courses[0], &courses[1], &courses[2]].map(|course| course.expected_minutes);
    let (plan, list, likeliest) = (plan?, list?, likeliest?);
    let line = |course: &Course| {
        let mut data = String::from("M0 100");
        for [at, found] in &course.steps[1..] {
            data += &format!("H{:.1}V{:.1}", at / minutes * 200.0, 100.0 - found / most * 100.0);
        }
        data
    };
    Some(CourseTold {
        lines: [line(&courses[0]), line(&courses[1]), line(&courses[2])],
        minutes,
        top: chance(most),
        words: format!(
            "If it is found on this pass, then after {plan:.0} min on average in this order; {list:.0} min along the \
             list as it stands here; {likeliest:.0} min if one went to the likeliest place each time, whatever it takes."
        ),
    })
}

fn told(test: Test) -> TestTold {
    let opens = test.outcomes.iter().find(|outcome| outcome.opens).map_or(0.0, |outcome| outcome.chance);
    let (press, unplug, state) = match test.what {
        What::Press { point, state } => (Some(point), None, state),
        What::Unplug { node, state, .. } => (None, Some(node), state),
        What::Drive { state, .. } => (None, None, state),
    };
    TestTold {
        title: test.title,
        worth: format!(
            "Takes about {:.0} min and saves {:.0} min on average. The fuse opens with a chance of {:.0} %.",
            test.minutes.ceil(),
            test.saves,
            opens * 100.0
        ),
        caution: test.caution.unwrap_or_default(),
        press,
        unplug,
        state,
        minutes: tables().test.watch_minutes,
    }
}
