//! Why can a circuit not be computed? Each reason names the place and what to do about it.

use crate::ids::NodeId;

/// Why a circuit could not be computed.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NetworkError {
    /// The source has no usable voltage.
    #[error("supply.volts is {0}, so nothing can flow: enter the battery's voltage, such as 12.6")]
    SupplyVolts(f64),
    /// The source has no resistance, or one that is no number.
    #[error(
        "supply.ohms and fuse.ohms together are {0} Ω, so a short at the fuse would draw without limit: enter a \
         resistance above 0 for at least one of them, such as 0.02 for the supply"
    )]
    SourceOhms(f64),
    /// A wire, switch or load has a resistance that cannot be.
    #[error("{place} has a resistance of {ohms} Ω: enter a finite number {wanted}")]
    Resistance {
        /// What it is, with its id.
        place: String,
        /// What was stated.
        ohms: f64,
        /// What would be right.
        wanted: &'static str,
    },
    /// Fuse and ground are one node in this state.
    #[error(
        "in this state the fuse is joined to ground without any resistance by {through}: as entered, the circuit is a \
         dead short; correct where these are connected"
    )]
    DeadShort {
        /// The elements without resistance.
        through: String,
    },
    /// Resistances around a node lie too far apart for the arithmetic.
    #[error(
        "the resistances that meet at {node} lie too far apart to compute with (more than a million million to one): \
         correct the smallest and the largest of them"
    )]
    Spread {
        /// Where.
        node: NodeId,
    },
    /// A result is too large to be a number.
    #[error("the current with a short at {node} is too large to be a number: correct supply.volts or the resistances")]
    Overflow {
        /// Where.
        node: NodeId,
    },
    /// More nodes than are computed.
    #[error("the circuit has {nodes} connected nodes; at most {most} are computed: split it by fuse")]
    TooLarge {
        /// How many.
        nodes: usize,
        /// How many there may be.
        most: usize,
    },
    /// So many wires cross-connect the nodes that solving would take too long.
    #[error(
        "around {node} the wires cross-connect far more than in any loom, so the circuit cannot be computed in \
         reasonable time: remove runs that do not exist"
    )]
    Tangled {
        /// A node in the thick of it.
        node: NodeId,
    },
    /// The fuse's rating is no rating.
    #[error("fuse.rating_a is {0}: enter the rating printed on the fuse, in amperes")]
    FuseRating(f64),
    /// The resistance of the short is no resistance.
    #[error("the short's resistance is {0} Ω: state a finite number of 0 or more")]
    FaultOhms(f64),
}
