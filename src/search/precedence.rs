//! What if a place stands behind two covers? The best order where steps come after several others.
//!
//! With one cover before each step the order is exact ([`Forest`]). With several it is NP-hard (E. L. Lawler, "Sequencing
//! jobs to minimize total weighted completion time subject to precedence constraints", Annals of Discrete Math. 2, 1978,
//! 75–90). Then the steps are cut into the sets that earn most a minute, one after the other (J. B. Sidney,
//! "Decomposition algorithms for single-machine sequencing with precedence relations and deferral costs", Operations
//! Research 23, 1975, 283–298): some best order keeps to them, and every order that keeps to them costs at most twice the
//! least (C. Chekuri & R. Motwani, "Precedence constrained scheduling to minimize sum of weighted completion times on a
//! single machine", Discrete Applied Math. 98, 1999, 29–38). A set is found as a minimum cut (J.-C. Picard, "Maximal
//! closure of a graph", Management Science 22, 1976, 1268–1272). Inside a set the order is exact where it is a forest or
//! small; where not, the answer says how good any order could be at best.

use petgraph::algo::dinics;
use petgraph::graph::{DiGraph, NodeIndex};
use petgraph::visit::EdgeRef as _;

use crate::gather::Order as _;
use crate::search::order::{Block, Forest, StepIx};

/// Sets of so many steps are solved by going through all their subsets: 2^14 of them, some milliseconds.
const EXACT: usize = 14;
/// Larger tangles are not cut into sets: their minimum cuts would keep a tap waiting.
const CUT_MOST: usize = 300;
/// Chances are counted in this many parts, and minutes in thousandths, so that cuts are exact.
const PARTS: f64 = 1e7;
const MILLI: f64 = 1e3;
/// No step takes longer, in thousandths of a minute.
const LONGEST: f64 = 1e8;

/// Steps, each of which may need several others first. No circle can be built: a step names those that are there.
#[derive(Debug, Clone, Default)]
pub struct Tangle {
    steps: Vec<Step>,
}

#[derive(Debug, Clone)]
struct Step {
    minutes: f64,
    chance: f64,
    after: Vec<usize>,
}

/// Steps that some best order does together.
struct Set {
    /// Chance per minute, by which the sets come one after the other.
    rate: f64,
    block: Block,
    /// The least that any order of it costs, where its own is not proven to be the best.
    bound: Option<f64>,
}

/// An order and how good it is.
#[derive(Debug, Clone, PartialEq)]
pub struct Ordered {
    /// The steps in blocks, whose chance per minute never rises from one to the next.
    pub blocks: Vec<Block>,
    /// Nothing: no order that is allowed is better. Else no order has a smaller Σ chance × minutes elapsed than this.
    pub at_least: Option<f64>,
}

impl Tangle {
    /// Adds a step that needs those first. Numbers as in [`Forest::add`]; the steps must come from this tangle.
    pub fn add(&mut self, minutes: f64, chance: f64, after: &[StepIx]) -> StepIx {
        let sound = |value: f64| if value.is_finite() { value.max(0.0) } else { 0.0 };
        let place = self.steps.len();
        let mut needs: Vec<usize> = Vec::new();
        for StepIx(before) in after {
            if *before < place && !needs.contains(before) {
                needs.push(*before);
            }
        }
        // What another need needs by itself is no need of its own.
        let all = needs.clone();
        needs.retain(|need| !all.iter().any(|other| other != need && self.needs(*other, *need)));
        self.steps.push(Step { minutes: sound(minutes), chance: sound(chance), after: needs });
        StepIx(place)
    }

    /// Whether a step needs another, directly or by way of others.
    fn needs(&self, step: usize, other: usize) -> bool {
        let mut open = vec![step];
        while let Some(step) = open.pop() {
            if self.steps[step].after.contains(&other) {
                return true;
            }
            // Needs come before what needs them.
            open.extend(self.steps[step].after.iter().filter(|before| **before > other));
        }
        false
    }

    /// The best order, or one and how good it is.
    pub fn ordered(&self) -> Ordered {
        if let Some(forest) = self.as_forest() {
            return Ordered { blocks: forest.blocks(), at_least: None };
        }
        let (plain, tangled): (Vec<_>, Vec<_>) =
            self.parts().into_iter().partition(|part| part.iter().all(|step| self.steps[*step].after.len() <= 1));
        if tangled.iter().any(|part| part.len() > CUT_MOST) {
            return self.uncut();
        }
        let mut sets: Vec<Set> = tangled.into_iter().flat_map(|part| self.cut(part)).collect();
        let mut plain: Vec<usize> = plain.into_iter().flatten().collect();
        plain.order_by(Ord::cmp);
        let trees = self.among(&plain).as_forest().unwrap_or_default().blocks().into_iter();
        sets.extend(trees.map(|block| Set { rate: block.per_minute(), block: named(block, &plain), bound: None }));
        sets.order_by(|one, other| other.rate.total_cmp(&one.rate));
        // What any order costs at least: that of each set, which begins when those before it are done.
        let (mut elapsed, mut least) = (0.0, 0.0);
        let proven = sets.iter().all(|set| set.bound.is_none());
        for Set { block, bound, .. } in &sets {
            least += block.chance * elapsed + bound.unwrap_or_else(|| self.cost(&block.steps));
            elapsed += block.minutes;
        }
        Ordered { blocks: sets.into_iter().map(|set| set.block).collect(), at_least: (!proven).then_some(least) }
    }

    /// An order of all steps without cutting them into sets.
    fn uncut(&self) -> Ordered {
        let blocks = [false, true].map(|turned| self.chained(turned).blocks());
        let [one, other] = blocks.map(|blocks| {
            let order: Vec<usize> = blocks.iter().flat_map(|block| block.steps.iter().copied()).collect();
            (self.cost(&order), blocks)
        });
        let (cost, blocks) = if other.0 < one.0 { other } else { one };
        let least = self.cost(&self.loosened().order());
        Ordered { blocks, at_least: (least < cost).then_some(least) }
    }

    /// The order as a forest, where no step needs several others.
    fn as_forest(&self) -> Option<Forest> {
        let mut forest = Forest::default();
        for step in &self.steps {
            let after = match step.after[..] {
                [] => None,
                [before] => Some(StepIx(before)),
                _ => return None,
            };
            forest.add(step.minutes, step.chance, after);
        }
        Some(forest)
    }

    /// A forest in which every order is allowed here too: what needs several steps finds them one after the other.
    pub fn as_chains(&self) -> Forest {
        self.chained(false)
    }

    /// Steps that are held together by what they need, each part in the order in which its steps were added.
    fn parts(&self) -> Vec<Vec<usize>> {
        let mut held: Vec<usize> = (0..self.steps.len()).collect();
        fn head(held: &mut [usize], mut step: usize) -> usize {
            while held[step] != step {
                held[step] = held[held[step]];
                step = held[step];
            }
            step
        }
        for (place, step) in self.steps.iter().enumerate() {
            for before in &step.after {
                let (one, other) = (head(&mut held, place), head(&mut held, *before));
                held[one.max(other)] = one.min(other);
            }
        }
        let mut parts: Vec<Vec<usize>> = vec![Vec::new(); self.steps.len()];
        for place in 0..self.steps.len() {
            parts[head(&mut held, place)].push(place);
        }
        parts.retain(|part| !part.is_empty());
        parts
    }

    /// Some steps alone; `chosen` rises. Needs that are not among them count as done.
    fn among(&self, chosen: &[usize]) -> Self {
        let place = |step: &usize| chosen.binary_search(step).ok();
        let step = |step: &usize| {
            let Step { minutes, chance, after } = &self.steps[*step];
            Step { minutes: *minutes, chance: *chance, after: after.iter().filter_map(place).collect() }
        };
        Self { steps: chosen.iter().map(step).collect() }
    }

    /// The sets that earn most a minute, one after the other, each in order with its bound.
    fn cut(&self, mut left: Vec<usize>) -> Vec<Set> {
        let mut sets: Vec<Set> = Vec::new();
        let mut rate = f64::INFINITY;
        while !left.is_empty() {
            let alone = self.among(&left);
            let set = alone.densest();
            let chosen: Vec<usize> = set.into_iter().map(|place| left[place]).collect();
            left.retain(|step| chosen.binary_search(step).is_err());
            let (block, bound) = self.block(&chosen);
            // Rounding must not put a later set before an earlier one.
            rate = rate.min(block.per_minute());
            sets.push(Set { rate, block, bound });
        }
        sets
    }

    /// The set of steps, with all that they need, that earns most a minute. Rises.
    fn densest(&self) -> Vec<usize> {
        let all: f64 = self.steps.iter().map(|step| step.chance).sum();
        let parts = |step: &Step| if all > 0.0 { (step.chance / all * PARTS).round() as i64 } else { 0 };
        let counted: Vec<(i64, i64)> =
            self.steps.iter().map(|step| (parts(step), (step.minutes * MILLI).round().min(LONGEST) as i64)).collect();
        let sum = |set: &[usize]| {
            set.iter().fold((0, 0), |(earns, takes), step| (earns + counted[*step].0, takes + counted[*step].1))
        };
        // From the whole to ever denser sets (W. Dinkelbach, Management Science 13, 1967, 492–498).
        let mut set: Vec<usize> = (0..self.steps.len()).collect();
        loop {
            let (earns, takes) = sum(&set);
            let worth: Vec<i64> = counted.iter().map(|(chance, minutes)| chance * takes - earns * minutes).collect();
            let better = self.closure(&worth);
            if better.iter().map(|step| worth[*step]).sum::<i64>() <= 0 {
                return set;
            }
            set = better;
        }
    }

    /// The set of steps, with all that they need, that is worth most.
    fn closure(&self, worth: &[i64]) -> Vec<usize> {
        let mut graph: DiGraph<(), u64> = DiGraph::new();
        let ends = [graph.add_node(()), graph.add_node(())];
        let nodes: Vec<NodeIndex> = worth.iter().map(|_| graph.add_node(())).collect();
        let endless: u64 = worth.iter().map(|worth| worth.unsigned_abs()).sum::<u64>() + 1;
        for (place, step) in self.steps.iter().enumerate() {
            let most = worth[place].unsigned_abs();
            if worth[place] > 0 {
                graph.add_edge(ends[0], nodes[place], most);
            } else if most > 0 {
                graph.add_edge(nodes[place], ends[1], most);
            }
            for before in &step.after {
                graph.add_edge(nodes[place], nodes[*before], endless);
            }
        }
        let (_, flows) = dinics(&graph, ends[0], ends[1]);
        // What can still be reached from the source is on its side of the cut.
        let mut reached = vec![false; graph.node_count()];
        let mut open = vec![ends[0]];
        reached[ends[0].index()] = true;
        while let Some(node) = open.pop() {
            let on = graph.edges(node).filter(|edge| flows[edge.id().index()] < *edge.weight());
            let back =
                graph.edges_directed(node, petgraph::Direction::Incoming).filter(|edge| flows[edge.id().index()] > 0);
            let next: Vec<NodeIndex> = on.map(|edge| edge.target()).chain(back.map(|edge| edge.source())).collect();
            for node in next {
                if !std::mem::replace(&mut reached[node.index()], true) {
                    open.push(node);
                }
            }
        }
        (0..worth.len()).filter(|place| reached[nodes[*place].index()]).collect()
    }

    /// A set in order, and the least that any order of it costs, where this one is not proven to be the best.
    fn block(&self, chosen: &[usize]) -> (Block, Option<f64>) {
        let alone = self.among(chosen);
        let (order, bound) = match alone.as_forest() {
            Some(forest) => (forest.order(), None),
            None if chosen.len() <= EXACT => (alone.by_subsets(), None),
            None => {
                let orders = [alone.chained(false).order(), alone.chained(true).order()];
                let [one, other] = orders.map(|order| (alone.cost(&order), order));
                let (cost, order) = if other.0 < one.0 { other } else { one };
                let bound = alone.least();
                (order, (bound < cost).then_some(bound))
            }
        };
        let (minutes, chance) = self.sums(chosen);
        (named(Block { steps: order, minutes, chance }, chosen), bound)
    }

    fn sums(&self, chosen: &[usize]) -> (f64, f64) {
        let add = |(minutes, chance), step: &usize| {
            let step = &self.steps[*step];
            (minutes + step.minutes, chance + step.chance)
        };
        chosen.iter().fold((0.0, 0.0), add)
    }

    /// Σ chance × minutes elapsed at the end of the step.
    pub fn cost(&self, order: &[usize]) -> f64 {
        let (mut elapsed, mut cost) = (0.0, 0.0);
        for step in order {
            elapsed += self.steps[*step].minutes;
            cost += self.steps[*step].chance * elapsed;
        }
        cost
    }

    /// The best order of a few steps, by way of all sets that may be done first (M. Held & R. M. Karp, J. SIAM 10, 1962,
    /// 196–210).
    fn by_subsets(&self) -> Vec<usize> {
        let sets = 1_usize << self.steps.len();
        let needs: Vec<usize> =
            self.steps.iter().map(|step| step.after.iter().map(|before| 1 << before).sum()).collect();
        let mut best = vec![(f64::INFINITY, 0.0, 0_u8); sets];
        best[0].0 = 0.0;
        for done in 0..sets {
            let (cost, elapsed, _) = best[done];
            if cost == f64::INFINITY {
                continue;
            }
            for (place, step) in self.steps.iter().enumerate() {
                let with = done | 1 << place;
                if with != done && needs[place] & !done == 0 {
                    let at = elapsed + step.minutes;
                    let then = cost + step.chance * at;
                    if then < best[with].0 {
                        best[with] = (then, at, place as u8);
                    }
                }
            }
        }
        let mut order = Vec::new();
        let mut done = sets - 1;
        while done > 0 {
            let last = usize::from(best[done].2);
            order.push(last);
            done &= !(1 << last);
        }
        order.reverse();
        order
    }

    /// A forest in which every order is allowed here too. Where a step needs several others, what the second of them
    /// hangs from is hung behind the first, and so on; the other way round if `turned`.
    fn chained(&self, turned: bool) -> Forest {
        let mut under: Vec<Option<usize>> = Vec::with_capacity(self.steps.len());
        let up = |under: &[Option<usize>], step: usize| -> Vec<usize> {
            std::iter::successors(Some(step), |step| under[*step]).collect()
        };
        for step in &self.steps {
            let mut needs = step.after.clone();
            if turned {
                needs.reverse();
            }
            let mut last: Option<usize> = None;
            for need in needs {
                if let Some(first) = last {
                    let before = up(&under, first);
                    if before.contains(&need) {
                        continue;
                    }
                    let top = up(&under, need).into_iter().take_while(|step| !before.contains(step)).last();
                    if let Some(top) = top {
                        // Unless the first hangs behind it already.
                        under[top] = Some(first);
                    }
                }
                last = Some(need);
            }
            under.push(last);
        }
        self.hung(&under)
    }

    /// A forest in which all orders are allowed that are allowed here, and more: of several needs, only the one counts
    /// that takes longest to get to.
    fn loosened(&self) -> Forest {
        let mut minutes: Vec<f64> = Vec::with_capacity(self.steps.len());
        let mut under = Vec::with_capacity(self.steps.len());
        for step in &self.steps {
            let longest = step.after.iter().copied().max_by(|one, other| minutes[*one].total_cmp(&minutes[*other]));
            under.push(longest);
            minutes.push(step.minutes + longest.map_or(0.0, |before| minutes[before]));
        }
        self.hung(&under)
    }

    /// No order of these steps costs less. Two bounds, the better of them: that of the loosened forest, and that of a
    /// set of which no first part earns more a minute than the whole.
    fn least(&self) -> f64 {
        let all: Vec<usize> = (0..self.steps.len()).collect();
        let loose = self.cost(&self.loosened().order());
        let (minutes, chance) = self.sums(&all);
        let squares: f64 = self.steps.iter().map(|step| step.chance * step.chance).sum();
        let dense = self.densest().len() == self.steps.len();
        let even = if dense && chance > 0.0 { minutes * (chance * chance + squares) / (2.0 * chance) } else { 0.0 };
        loose.max(even)
    }

    /// The steps as a forest, each under one other.
    fn hung(&self, under: &[Option<usize>]) -> Forest {
        let hang = |(step, after): (&Step, &Option<usize>)| super::order::Step {
            minutes: step.minutes,
            chance: step.chance,
            after: *after,
        };
        Forest { steps: self.steps.iter().zip(under).map(hang).collect() }
    }
}

/// A block with its steps named as they are among all.
fn named(mut block: Block, names: &[usize]) -> Block {
    block.steps.iter_mut().for_each(|step| *step = names[*step]);
    block
}
