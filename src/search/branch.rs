//! How likely is it that the place is on a branch of the circuit, or on anything that hangs from it?

use std::collections::HashMap;

use crate::circuit::tree::Branch;
use crate::ids::PointId;
use crate::search::plan::PointChance;
use crate::search::point::Point;

/// The chance of each branch with all that hangs from it, as its current is the sum of theirs.
///
/// Where several wires share a place, each counts for an equal part of its chance. Places that only wires outside of the
/// tree go through are not in it.
pub fn chances(branches: &[Branch], points: &[Point], plan: &[PointChance]) -> Vec<f64> {
    let probability: HashMap<&PointId, f64> = plan.iter().map(|point| (&point.id, point.probability)).collect();
    let mut of_run: HashMap<usize, f64> = HashMap::new();
    for point in points {
        let chance = probability.get(&point.id).copied().unwrap_or(0.0);
        for crossing in &point.crossings {
            *of_run.entry(crossing.run).or_default() += chance / point.crossings.len() as f64;
        }
    }
    let own = |branch: &Branch| branch.runs.iter().filter_map(|run| of_run.get(run)).sum::<f64>();
    let mut chances: Vec<f64> = branches.iter().map(own).collect();
    // Ends stand behind what they hang from.
    for index in (0..branches.len()).rev() {
        if let Some(from) = branches[index].from {
            chances[from] += chances[index];
        }
    }
    chances
}
