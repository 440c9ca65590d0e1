//! What is struck out together? A group of options on this job: which of them concern it, and what one tap does.

use std::collections::BTreeMap;

use crate::catalogue;
use crate::catalogue::groups::{Group, groups};
use crate::circuit::file::{CircuitFile, Load, OptionState};
use crate::ids::OptionId;
use crate::job::act::Act;
use crate::job::state::Job;

/// A group that concerns loads of a job.
#[derive(Debug, Clone, PartialEq)]
pub struct Offered {
    /// The group.
    pub group: &'static Group,
    /// The loads that it is about, by name.
    pub loads: Vec<String>,
    /// None of them is there: it was struck out.
    pub struck: bool,
}

/// The groups that concern loads on the list of a circuit, in the order in which they are offered.
pub fn offered(circuit: &CircuitFile) -> Vec<Offered> {
    let offer = |group: &'static Group| {
        let of_it = concerned(circuit, group);
        let struck = of_it.iter().all(|load| circuit.state_of(load) == OptionState::Absent);
        let loads = of_it.into_iter().map(name).collect::<Vec<_>>();
        (!loads.is_empty()).then_some(Offered { group, loads, struck })
    };
    groups().iter().filter_map(offer).collect()
}

/// The acts that strike a group out, or put it back if it is struck out.
pub fn toggled(job: &Job, group: &Group) -> Vec<Act> {
    let Some(circuit) = &job.circuit else { return Vec::new() };
    let of_it = concerned(circuit, group);
    let back = of_it.iter().all(|load| circuit.state_of(load) == OptionState::Absent);
    // First the loads that change their option, so that all that is to be taken back comes last.
    let (mut acts, mut options) = (Vec::new(), BTreeMap::new());
    for load in of_it {
        let shared = load.of_option().is_some_and(|option| group.options.contains(option));
        let option = if shared { option_of(load) } else { own_option(load) };
        if !shared && back {
            let usual = load.item.as_ref().and_then(catalogue::item).and_then(|item| item.option.clone());
            // It is there, and the others of its usual option are not: it keeps one of its own.
            let gone =
                usual.as_ref().and_then(|usual| circuit.vehicle.options.get(usual)) == Some(&OptionState::Absent);
            acts.push(Act::Load(Load { option: if gone { Some(option.clone()) } else { usual }, ..load.clone() }));
        } else if !shared && load.option.as_ref() != Some(&option) {
            // The others of its option may well be there.
            acts.push(Act::Load(Load { option: Some(option.clone()), ..load.clone() }));
        }
        options.insert(option, if back { OptionState::Fitted } else { OptionState::Absent });
    }
    if !back {
        let missing = |option: &&OptionId| circuit.vehicle.options.get(*option) == Some(&OptionState::Absent);
        options.extend(group.brings.iter().filter(missing).map(|option| (option.clone(), OptionState::Fitted)));
    }
    let why = |state| if state == OptionState::Absent { group.why.clone() } else { String::new() };
    acts.extend(options.into_iter().map(|(option, state)| Act::Option { option, state, why: why(state) }));
    acts
}

/// The loads that a group is about. One of which only the wiring is left stays so: someone has looked.
fn concerned<'c>(circuit: &'c CircuitFile, group: &Group) -> Vec<&'c Load> {
    let open = |load: &&Load| circuit.state_of(load) != OptionState::RemovedWiringLeft;
    circuit.loads.iter().filter(|load| group.takes_off(load)).filter(open).collect()
}

/// The option a load belongs to; one of its own if it has none.
pub fn option_of(load: &Load) -> OptionId {
    load.of_option().cloned().unwrap_or_else(|| own_option(load))
}

fn own_option(load: &Load) -> OptionId {
    OptionId(format!("load_{}", load.id))
}

fn name(load: &Load) -> String {
    if load.label.is_empty() { load.id.0.clone() } else { load.label.clone() }
}
