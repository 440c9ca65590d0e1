//! Where to look next? Points, how likely each is, and the order that finds the place soonest.
//!
//! - [`evidence`]: what was observed (03-formats: `loomwalk/evidence`).
//! - [`point`]: the places of a harness where rubbing could happen.
//! - [`likelihood`]: the tables that everything below reads.
//! - [`prior`]: how likely each point is before anything was observed.
//! - [`electrics`]: which wires are live in a state, and what is behind a plug.
//! - [`sorted`]: observations put in one order, whatever order they came in.
//! - [`belief`]: how evidence moves the chances.
//! - [`doubt`]: what is likely wrong when the places no longer explain what was seen.
//! - [`mind`]: what must be minded at a place, because of the loads there.
//! - [`order`]: the order with the least expected time (Horn 1972).
//! - [`precedence`]: the same where places stand behind several covers, with how good it is.
//! - [`legs`]: why a step comes before what follows.
//! - [`within`]: the best set of steps in so many minutes.
//! - [`limits`]: what a plan is held to for now.
//! - [`plan`]: all of it together; what `loomwalk plan` prints and the walk shows.
//! - [`course`]: how soon this order finds it, beside others.
//! - [`moved`]: what an observation changed.
//! - [`second`]: what lies close to a bare place.
//! - [`lessons`]: what closed jobs teach.
//! - [`branch`]: how likely each branch of the drawn circuit is.
//! - [`reasons`]: why, in words.
//! - [`test_value`]: which test would save more than looking.
//! - [`said`]: chances in words.
//! - [`silence`]: what a drive without an opening is worth.
//! - [`suspects`]: which wires lead to a load that often gives trouble.
//! - [`short`]: what a short at a point would do, in words.

pub mod belief;
pub mod branch;
pub mod course;
pub mod doubt;
pub mod electrics;
pub mod evidence;
pub mod legs;
pub mod lessons;
pub mod likelihood;
pub mod limits;
pub mod mind;
pub mod moved;
pub mod order;
pub mod plan;
pub mod point;
pub mod precedence;
pub mod prior;
pub mod reasons;
pub mod said;
pub mod second;
pub mod short;
pub mod silence;
pub mod sorted;
pub mod suspects;
pub mod test_value;
pub mod within;
