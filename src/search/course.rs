//! How soon does this order find the place, and how soon would others? Chance found against minutes.

use std::collections::{HashMap, HashSet};

use crate::gather::Order as _;
use crate::search::plan::{Plan, Step, StepKind};

/// An order to go by.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum By {
    /// The plan's own.
    Plan,
    /// Along the list, as one walks around the vehicle.
    List,
    /// The likeliest place first, whatever it takes to get there.
    Chance,
}

/// What an order finds, and when.
#[derive(Debug, Clone, PartialEq)]
pub struct Course {
    /// The order.
    pub by: By,
    /// After each step: minutes elapsed and chance found by then. Begins at 0, 0.
    pub steps: Vec<[f64; 2]>,
    /// Minutes until it is found on average, if it is found on this pass.
    pub expected_minutes: Option<f64>,
}

/// The same steps in three orders: the plan's, along the list, by chance alone. Whatever must be opened is opened just
/// before it is needed.
pub fn courses(plan: &Plan) -> [Course; 3] {
    let place: HashMap<&str, usize> =
        plan.points.iter().enumerate().map(|(place, point)| (point.id.as_str(), place)).collect();
    let at = |step: &Step| place.get(step.id.as_str()).copied().unwrap_or(usize::MAX);
    [By::Plan, By::List, By::Chance].map(|by| {
        let mut looks: Vec<&Step> = plan.steps.iter().filter(|step| step.kind == StepKind::Look).collect();
        match by {
            By::Plan => return course(by, plan.steps.iter()),
            By::List => looks.order_by_key(|step| at(step)),
            By::Chance => looks.order_by(|one, other| other.chance.total_cmp(&one.chance)),
        }
        course(by, opened_for(plan, &looks).into_iter())
    })
}

/// Those looks, each with what is still closed before it.
fn opened_for<'p>(plan: &'p Plan, looks: &[&'p Step]) -> Vec<&'p Step> {
    let steps: HashMap<&str, &Step> = plan.steps.iter().map(|step| (step.id.as_str(), step)).collect();
    let mut done: HashSet<&str> = HashSet::new();
    let mut order: Vec<&Step> = Vec::new();
    for look in looks {
        // What stands before a step stands before it in the plan, too: so this ends.
        let mut open: Vec<&Step> = vec![look];
        while let Some(step) = open.last() {
            let needs = step.after.iter().chain(&step.also_after).filter_map(|id| steps.get(id.as_str()));
            let closed: Vec<&Step> =
                needs.filter(|need| !done.contains(need.id.as_str()) && need.n < step.n).copied().collect();
            if closed.is_empty() {
                if done.insert(&step.id) {
                    order.push(step);
                }
                open.pop();
            } else {
                open.extend(closed);
            }
        }
    }
    order
}

fn course<'p>(by: By, order: impl Iterator<Item = &'p Step>) -> Course {
    let (mut elapsed, mut found, mut weighted) = (0.0, 0.0, 0.0);
    let mut steps = vec![[0.0, 0.0]];
    for step in order {
        elapsed += step.minutes;
        found += step.chance;
        weighted += step.chance * elapsed;
        steps.push([elapsed, found]);
    }
    Course { by, steps, expected_minutes: (found > 0.0).then(|| weighted / found) }
}
