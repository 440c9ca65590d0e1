//! In which order is the place found soonest? The exact order with the least expected time.
//!
//! Minimising Σ chance × completion time over steps that form a forest of precedence is solved exactly by
//! merging (W. A. Horn, "Single-machine job sequencing with treelike precedence ordering and linear delay
//! penalties", SIAM J. Appl. Math. 23, 1972, 189–202; in O(n log n): Adolphson & Hu, "Optimal linear
//! ordering", SIAM J. Appl. Math. 25, 1973): take the block with the best chance per minute and hang it
//! behind the block that must come before it, until everything has been handed out.
//!
//! What it leaves out: walking between zones, closing what was opened, and looks that depend on one another.

use std::cmp::{Ordering, Reverse};
use std::collections::BinaryHeap;

/// A step of a [`Forest`], as [`Forest::add`] gave it out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct StepIx(pub(super) usize);

/// Steps, some of which must come after another. No circle can be built: a step names one that is already there.
#[derive(Debug, Clone, Default)]
pub struct Forest {
    pub(super) steps: Vec<Step>,
}

#[derive(Debug, Clone, Copy)]
pub(super) struct Step {
    pub(super) minutes: f64,
    pub(super) chance: f64,
    pub(super) after: Option<usize>,
}

/// Steps that belong together: nothing else earns more a minute than to go through them all, one after the other.
#[derive(Debug, Clone, PartialEq)]
pub struct Block {
    /// Places of the steps, in order.
    pub steps: Vec<usize>,
    /// Minutes that they take together.
    pub minutes: f64,
    /// What they earn together.
    pub chance: f64,
}

impl Block {
    /// Chance per minute; infinite where it takes no time.
    pub fn per_minute(&self) -> f64 {
        ratio(self.chance, self.minutes)
    }
}

impl Forest {
    /// Adds a step and says where it stands in the forest. Equal steps keep the order in which they were added.
    ///
    /// `minutes` is how long it takes, `chance` what it earns; both count as 0 where negative or not finite.
    /// `after` must come from this forest.
    pub fn add(&mut self, minutes: f64, chance: f64, after: Option<StepIx>) -> StepIx {
        let sound = |value: f64| if value.is_finite() { value.max(0.0) } else { 0.0 };
        let place = self.steps.len();
        let after = after.map(|step| step.0).filter(|before| *before < place);
        self.steps.push(Step { minutes: sound(minutes), chance: sound(chance), after });
        StepIx(place)
    }

    /// How many steps.
    pub fn len(&self) -> usize {
        self.steps.len()
    }

    /// No step at all.
    pub fn is_empty(&self) -> bool {
        self.steps.is_empty()
    }

    /// The places of all steps, counted from 0 as they were added, in the order with the least expected time.
    pub fn order(&self) -> Vec<usize> {
        self.blocks().into_iter().flat_map(|block| block.steps).collect()
    }

    /// The same order in blocks, whose chance per minute never rises from one to the next: that is why no other order
    /// that is allowed is better.
    pub fn blocks(&self) -> Vec<Block> {
        let mut blocks = Blocks::of(&self.steps);
        let mut waiting: BinaryHeap<Candidate> = (0..self.steps.len()).map(|head| blocks.candidate(head)).collect();
        let mut order = Vec::new();
        while let Some(best) = waiting.pop() {
            let head = best.head.0;
            if best.grown != blocks.grown[head] {
                continue;
            }
            match self.steps[head].after.map(|before| blocks.holding(before)) {
                Some(before) if !blocks.handed_out[before] => {
                    blocks.append(before, head);
                    waiting.push(blocks.candidate(before));
                }
                _ => {
                    blocks.handed_out[head] = true;
                    let steps = blocks.steps_of(head).collect();
                    order.push(Block { steps, minutes: blocks.minutes[head], chance: blocks.chance[head] });
                }
            }
        }
        order
    }

    /// Σ chance × minutes elapsed at the end of the step ÷ Σ chance. `None` where no step has a chance.
    pub fn expected_minutes(&self, order: &[usize]) -> Option<f64> {
        let (mut elapsed, mut found, mut weighted) = (0.0, 0.0, 0.0);
        for step in order.iter().filter_map(|place| self.steps.get(*place)) {
            elapsed += step.minutes;
            found += step.chance;
            weighted += step.chance * elapsed;
        }
        (found > 0.0).then(|| weighted / found)
    }
}

/// Chance per minute of a block. A step that takes no time costs nothing, whatever it earns: it goes first.
fn ratio(chance: f64, minutes: f64) -> f64 {
    if minutes > 0.0 { chance / minutes } else { f64::INFINITY }
}

/// A block that waits, as it was when it was put on the heap.
#[derive(Debug)]
struct Candidate {
    ratio: f64,
    head: Reverse<usize>,
    grown: u32,
}

impl Ord for Candidate {
    fn cmp(&self, other: &Self) -> Ordering {
        self.ratio.total_cmp(&other.ratio).then(self.head.cmp(&other.head))
    }
}

impl PartialOrd for Candidate {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl PartialEq for Candidate {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Candidate {}

/// Steps that have been tied together: linked lists, and a union-find that knows the head of each.
struct Blocks {
    minutes: Vec<f64>,
    chance: Vec<f64>,
    /// How often the block of this head has changed: older candidates on the heap are stale.
    grown: Vec<u32>,
    handed_out: Vec<bool>,
    parent: Vec<usize>,
    next: Vec<usize>,
    last: Vec<usize>,
}

/// End of a linked list.
const NONE: usize = usize::MAX;

impl Blocks {
    fn of(steps: &[Step]) -> Self {
        let all = steps.len();
        Self {
            minutes: steps.iter().map(|step| step.minutes).collect(),
            chance: steps.iter().map(|step| step.chance).collect(),
            grown: vec![0; all],
            handed_out: vec![false; all],
            parent: (0..all).collect(),
            next: vec![NONE; all],
            last: (0..all).collect(),
        }
    }

    fn candidate(&self, head: usize) -> Candidate {
        let ratio = ratio(self.chance[head], self.minutes[head]);
        Candidate { ratio, head: Reverse(head), grown: self.grown[head] }
    }

    /// The head of the block that holds a step. Halves the way each time: near-constant, and no recursion.
    fn holding(&mut self, mut step: usize) -> usize {
        while self.parent[step] != step {
            self.parent[step] = self.parent[self.parent[step]];
            step = self.parent[step];
        }
        step
    }

    fn append(&mut self, head: usize, tail: usize) {
        self.parent[tail] = head;
        self.next[self.last[head]] = tail;
        self.last[head] = self.last[tail];
        self.minutes[head] += self.minutes[tail];
        self.chance[head] += self.chance[tail];
        self.grown[head] += 1;
        self.grown[tail] += 1;
    }

    fn steps_of(&self, head: usize) -> impl Iterator<Item = usize> {
        std::iter::successors(Some(head), |step| Some(self.next[*step]).filter(|next| *next != NONE))
    }
}
