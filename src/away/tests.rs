//! Which test beside the walk saves more than looking? Told so that the page has nothing to work out.

use serde::{Deserialize, Serialize};

use crate::circuit::expand::expand;
use crate::circuit::file::CircuitFile;
use crate::ids::{AccessId, Condition, NodeId, PointId};
use crate::search::evidence::Observation;
use crate::search::likelihood::tables;
use crate::search::plan::{Search, Walk};
use crate::search::test_value::{Test, What};
use crate::vehicle::body::fit;

/// What is known so far.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct TestsAsked {
    /// The circuit, found sound.
    pub circuit: CircuitFile,
    /// What was observed.
    pub evidence: Vec<Observation>,
    /// What is open.
    pub open: Vec<AccessId>,
    /// What cannot be reached.
    pub out_of_reach: Vec<PointId>,
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

/// The best test, if one saves more than it takes.
pub fn best(asked: TestsAsked) -> Option<TestTold> {
    let TestsAsked { circuit, evidence, open, out_of_reach } = asked;
    let map = fit(&circuit.vehicle);
    let search = Search::of_circuit(&circuit, &expand(&circuit, &map), &map.map);
    let walk =
        Walk { open: open.into_iter().collect(), out_of_reach: out_of_reach.into_iter().collect(), ..Walk::default() };
    search.tests(&evidence, &walk, 1).into_iter().next().map(told)
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
