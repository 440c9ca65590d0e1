//! How do acts change the circuit? Vehicle, fuse, loads, options and marks, entered piece by piece.

use crate::circuit::check;
use crate::circuit::file::{self, CircuitFile, Fuse, FuseStyle, Mark, Supply, Vehicle};
use crate::circuit::mark::load_of_wire;
use crate::ids::{LoadId, MarkId, NodeId, RunId};
use crate::job::act::Act;
use crate::job::state::{Job, SetAside, TakenFrom};

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
                self.set_aside = SetAside::default();
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
                self.bring_back();
            }
            Act::LoadRemoved { load } => {
                let Some(circuit) = &mut self.circuit else { return };
                let Some(at) = circuit.loads.iter().position(|known| known.id == load) else { return };
                let struck = circuit.loads.remove(at);
                lay_aside(circuit, &mut self.set_aside, &load);
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
            Act::Mark(mark) => {
                let there = |run| self.circuit.as_ref().is_some_and(|circuit| has_run(circuit, run));
                if mark.run().is_none_or(there) {
                    self.set_aside.marks.retain(|known| known.id != mark.id);
                    put(&mut self.edited().marks, mark, |mark| &mark.id);
                } else {
                    // Marked on one phone while the wire went with its load on another.
                    self.take_off(&mark.id);
                    self.set_aside.marks.push(mark);
                }
            }
            Act::MarkRemoved { mark } => self.take_off(&mark),
            Act::Touch { touch: None } if self.circuit.is_none() => {}
            Act::Touch { touch } => self.edited().touch = touch,
            _ => {}
        }
    }

    fn take_off(&mut self, mark: &MarkId) {
        let marks = self.circuit.iter_mut().map(|circuit| &mut circuit.marks);
        marks.chain([&mut self.set_aside.marks]).for_each(|marks| marks.retain(|known| known.id != *mark));
    }

    /// Puts back what was set aside and has all that it leads to again.
    fn bring_back(&mut self) {
        if self.set_aside.is_empty() {
            return;
        }
        let Some(circuit) = &mut self.circuit else { return };
        circuit.joints.append(&mut self.set_aside.joints);
        let SetAside { runs, switches, marks, .. } = &mut self.set_aside;
        let CircuitFile { joints, loads, runs: laid, switches: fitted, .. } = circuit;
        let there = |node: &NodeId| {
            let terminal = node.as_str().strip_suffix(".feed").or_else(|| node.as_str().strip_suffix(".return"));
            ["fuse", "ground"].contains(&node.as_str())
                || joints.iter().any(|joint| joint.id.as_str() == node.as_str())
                || terminal.is_some_and(|of| loads.iter().any(|load| load.id.as_str() == of))
        };
        laid.extend(runs.extract_if(.., |run| there(&run.from) && there(&run.to)));
        fitted.extend(switches.extract_if(.., |switch| there(&switch.from) && there(&switch.to)));
        let back: Vec<Mark> = marks.extract_if(.., |mark| mark.run().is_none_or(|run| has_run(circuit, run))).collect();
        circuit.marks.extend(back);
        lay_unreached_aside(circuit, &mut self.set_aside);
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

/// Takes out what hangs on a load that was taken out: left in, it would lead to a node that no longer exists, or from the
/// fuse no way would lead to it, and the whole circuit could not be searched.
pub(crate) fn lay_aside(circuit: &mut CircuitFile, aside: &mut SetAside, load: &LoadId) {
    let terminals = [format!("{load}.feed"), format!("{load}.return")];
    lay_wiring_aside(circuit, aside, |node| terminals.iter().any(|gone| gone == node.as_str()));
    lay_unreached_aside(circuit, aside);
}

/// Takes out joints to which no way leads from the fuse any more, as a stud that grounded only what is gone. Not where a
/// load that is there has lost its way too: that its wiring is broken is to be seen, and no way assumed instead.
fn lay_unreached_aside(circuit: &mut CircuitFile, aside: &mut SetAside) {
    if circuit.joints.is_empty() {
        return;
    }
    let lost = check::unreached_joints(circuit);
    if lost.is_empty() {
        return;
    }
    let is_lost = |name: &str| lost.iter().any(|joint| joint.as_str() == name);
    aside.joints.extend(circuit.joints.extract_if(.., |joint| is_lost(joint.id.as_str())));
    lay_wiring_aside(circuit, aside, |node| is_lost(node.as_str()));
}

/// Takes out the wires and switches that end on what is gone, and the marks on wires that are gone.
fn lay_wiring_aside(circuit: &mut CircuitFile, aside: &mut SetAside, gone: impl Fn(&NodeId) -> bool) {
    aside.runs.extend(circuit.runs.extract_if(.., |run| gone(&run.from) || gone(&run.to)));
    aside.switches.extend(circuit.switches.extract_if(.., |switch| gone(&switch.from) || gone(&switch.to)));
    let mut marks = std::mem::take(&mut circuit.marks);
    aside.marks.extend(marks.extract_if(.., |mark| !mark.run().is_none_or(|run| has_run(circuit, run))));
    circuit.marks = marks;
}

/// Whether that run is in the circuit, or the assumed wire of a load that is.
pub(super) fn has_run(circuit: &CircuitFile, run: &RunId) -> bool {
    circuit.runs.iter().any(|known| known.id == *run)
        || load_of_wire(run).is_some_and(|of| circuit.loads.iter().any(|load| load.id.as_str() == of))
}
