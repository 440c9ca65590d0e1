//! How is such a place repaired? Methods in the trade's words, each with when it is right, when it is not, and its source.
//!
//! No maker's procedure: [`Methods::maker_first`] says what comes first wherever they are shown. Neither the fold nor the
//! state of a job names this table: the page asks its worker for it ([`crate::away::methods_question`]) and need not carry
//! it.

use std::sync::LazyLock;

use serde::{Deserialize, Serialize};

use crate::ids::MethodId;
use crate::job::act::Material;

/// All methods, in the order in which they are offered.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Methods {
    /// What comes before all of them, in a sentence.
    pub maker_first: String,
    /// The methods.
    pub methods: Vec<Method>,
}

/// A method of repair.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Method {
    /// Its id.
    pub id: MethodId,
    /// In a few words.
    pub name: String,
    /// When it is right.
    pub right_when: String,
    /// When it is not.
    pub not_when: String,
    /// What to do, in order.
    pub steps: Vec<String>,
    /// What keeps water out and pull off. May be empty.
    pub sealing: String,
    /// What it usually uses up: a start, to be corrected.
    pub materials: Vec<Material>,
    /// What it usually takes, min: a start, to be corrected. Without opening and closing the vehicle.
    pub minutes: f64,
    /// What can hurt someone, beyond what holds for all work on a vehicle.
    pub cautions: Vec<String>,
    /// Where its criteria come from.
    pub sources: Vec<Source>,
}

/// Where a criterion comes from.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Source {
    /// The criterion, in a few words.
    pub criterion: String,
    /// A publication with its paragraph, or that it is common practice without a source.
    pub source: String,
}

/// The methods that the program is built with.
#[allow(clippy::expect_used, reason = "part of the program: a test reads it")]
pub fn methods() -> &'static Methods {
    static METHODS: LazyLock<Methods> = LazyLock::new(|| {
        serde_json::from_str(include_str!(concat!(env!("OUT_DIR"), "/values/repair_methods.json")))
            .expect("built-in methods")
    });
    &METHODS
}

/// A method by its id. `None`: a newer program's, or none.
pub fn method(id: &MethodId) -> Option<&'static Method> {
    methods().methods.iter().find(|method| method.id == *id)
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;

    #[test]
    fn every_method_says_when_it_is_right_and_not_how_it_goes_and_where_that_comes_from() {
        let all = &methods().methods;
        assert_eq!(all.iter().map(|method| &method.id).collect::<BTreeSet<_>>().len(), all.len(), "an id twice");
        for Method { id, name, right_when, not_when, steps, materials, minutes, sources, .. } in all {
            for text in [name, right_when, not_when] {
                assert!(!text.trim().is_empty(), "{id}");
            }
            assert!(!steps.is_empty() && !sources.is_empty(), "{id}");
            assert!((5.0..=240.0).contains(minutes), "{id}: {minutes}");
            for Material { name, quantity, unit } in materials {
                assert!(*quantity > 0.0 && *quantity < 10.0, "{id}: {name}");
                assert!(["m", "pc"].contains(&unit.as_str()), "{id}: {name}: {unit}");
            }
        }
    }

    #[test]
    fn the_makers_instructions_come_first() {
        assert!(methods().maker_first.contains("maker's repair instructions come first"));
    }

    #[test]
    fn one_material_has_one_unit_whatever_the_method() {
        let materials = || methods().methods.iter().flat_map(|method| &method.materials);
        for one in materials() {
            assert!(materials().all(|other| other.name != one.name || other.unit == one.unit), "{}", one.name);
        }
    }
}
