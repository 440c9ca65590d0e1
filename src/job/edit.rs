//! How do acts change the circuit? Vehicle, fuse, loads, options and marks, entered piece by piece.

use crate::circuit::file::{self, CircuitFile, Fuse, FuseStyle, Supply, Vehicle};
use crate::circuit::mark::load_of_wire;
use crate::ids::{LoadId, NodeId, RunId};
use crate::job::act::Act;
use crate::job::state::{Job, TakenFrom};

/// The circuit of a job of which only a part was entered: its fuse is rated 0 A until one is entered.
fn blank() -> CircuitFile {
    CircuitFile {
        format: file::FORMAT.to_owned(),
        version: file::VERSION,
        label: String::new(),
        vehicle: Vehicle::default(),
        supply: Supply::default(),
        fuse: Fuse {
            label: String::new(),
            rating_a: 0.0,
            style: FuseStyle::default(),
            zone: None,
            ohms: None,
            live_when: Vec::new(),
        },
        joints: Vec::new(),
        switches: Vec::new(),
        runs: Vec::new(),
        loads: Vec::new(),
        marks: Vec::new(),
        touch: None,
    }
}

impl Job {
    /// Whether a fuse was entered: a circuit of which only the vehicle or some loads are known has none.
    pub fn has_fuse(&self) -> bool {
        self.circuit.as_ref().is_some_and(|circuit| circuit.fuse.rating_a > 0.0)
    }

    /// How its fuse is built, as far as is known.
    pub fn fuse_style(&self) -> FuseStyle {
        self.circuit.as_ref().map(|circuit| circuit.fuse.style).unwrap_or_default()
    }

    /// Applies an act that changes the circuit; leaves it alone for any other.
    pub(super) fn edit(&mut self, act: Act) {
        match act {
            Act::Circuit { circuit, shelved } => {
                self.taken_from = shelved.map(|shelved| TakenFrom { shelved, circuit: (*circuit).clone() });
                self.circuit = Some(*circuit);
                self.struck_out.clear();
                self.option_why.clear();
            }
            Act::Vehicle(vehicle) => {
                let known = &mut self.edited().vehicle;
                // Options that were struck out before the vehicle was corrected stay struck out.
                let mut options = std::mem::take(&mut known.options);
                *known = vehicle;
                options.append(&mut known.options);
                known.options = options;
            }
            Act::Fuse { fuse, supply } => {
                let circuit = self.edited();
                circuit.fuse = fuse;
                circuit.supply = supply;
            }
            Act::Load(load) => {
                self.struck_out.remove(&load.id);
                put(&mut self.edited().loads, load, |load| &load.id);
            }
            Act::LoadRemoved { load } => {
                let Some(circuit) = &mut self.circuit else { return };
                let Some(at) = circuit.loads.iter().position(|known| known.id == load) else { return };
                let struck = circuit.loads.remove(at);
                drop_wiring(circuit, &load);
                self.struck_out.insert(load, struck);
            }
            Act::Option { option, state, why } => {
                if why.is_empty() {
                    self.option_why.remove(&option);
                } else {
                    self.option_why.insert(option.clone(), why);
                }
                self.edited().vehicle.options.insert(option, state);
            }
            Act::Mark(mark) => put(&mut self.edited().marks, mark, |mark| &mark.id),
            Act::MarkRemoved { mark } => {
                if let Some(circuit) = &mut self.circuit {
                    circuit.marks.retain(|known| known.id != mark);
                }
            }
            Act::Touch { touch: None } if self.circuit.is_none() => {}
            Act::Touch { touch } => self.edited().touch = touch,
            _ => {}
        }
    }

    fn edited(&mut self) -> &mut CircuitFile {
        self.circuit.get_or_insert_with(blank)
    }
}

/// Replaces the thing of that id in its place, or adds it behind the others.
pub(crate) fn put<T, Id: PartialEq>(things: &mut Vec<T>, thing: T, id: impl Fn(&T) -> &Id) {
    match things.iter_mut().find(|known| id(known) == id(&thing)) {
        Some(known) => *known = thing,
        None => things.push(thing),
    }
}

/// Takes out the wires and switches that end on a load that is gone, and the marks on them: left in, they
/// would lead to a node that no longer exists.
pub(crate) fn drop_wiring(circuit: &mut CircuitFile, load: &LoadId) {
    let terminals = [NodeId(format!("{load}.feed")), NodeId(format!("{load}.return"))];
    let on_load = |node: &NodeId| terminals.contains(node);
    circuit.runs.retain(|run| !on_load(&run.from) && !on_load(&run.to));
    circuit.switches.retain(|switch| !on_load(&switch.from) && !on_load(&switch.to));
    let CircuitFile { marks, runs, .. } = circuit;
    let stays = |run: &RunId| match load_of_wire(run) {
        Some(of) => of != load.as_str(),
        None => runs.iter().any(|known| known.id == *run),
    };
    marks.retain(|mark| mark.run().is_none_or(stays));
}
