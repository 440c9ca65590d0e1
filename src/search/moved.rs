//! What did an observation change? The places that gained or lost most, and where they stand now.

use std::collections::HashMap;

use crate::gather::Order as _;
use crate::ids::PointId;
use crate::search::plan::{Plan, StepKind};

/// A smaller change than this is none, to anyone.
const TELLS: f64 = 0.01;

/// A place whose chance changed.
#[derive(Debug, Clone, PartialEq)]
pub struct Moved {
    /// Which.
    pub point: PointId,
    /// Its chance before and after.
    pub chance: [f64; 2],
    /// How many looks came first, its own counted, before and after. None: it was, or is, no step.
    pub turn: [Option<usize>; 2],
}

/// The places whose chance changed most, the greatest change first; at most `most`.
pub fn moved(before: &Plan, after: &Plan, most: usize) -> Vec<Moved> {
    let turns = [turns(before), turns(after)];
    let known: HashMap<&PointId, f64> = before.points.iter().map(|point| (&point.id, point.probability)).collect();
    let mut moved: Vec<Moved> = Vec::new();
    for point in &after.points {
        let was = known.get(&point.id).copied().unwrap_or(0.0);
        if (point.probability - was).abs() >= TELLS {
            let turn = |turns: &HashMap<&str, usize>| turns.get(point.id.as_str()).copied();
            moved.push(Moved {
                point: point.id.clone(),
                chance: [was, point.probability],
                turn: [turn(&turns[0]), turn(&turns[1])],
            });
        }
    }
    let change = |moved: &Moved| (moved.chance[1] - moved.chance[0]).abs();
    moved.order_by(|one, other| change(other).total_cmp(&change(one)));
    moved.truncate(most);
    moved
}

fn turns(plan: &Plan) -> HashMap<&str, usize> {
    let looks = plan.steps.iter().filter(|step| step.kind == StepKind::Look);
    looks.enumerate().map(|(place, step)| (step.id.as_str(), place + 1)).collect()
}
