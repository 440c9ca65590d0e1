//! What must be minded at a place, because of the loads that are there?

use crate::catalogue;
use crate::circuit::file::CircuitFile;
use crate::circuit::harness::Harness;
use crate::search::point::Point;

/// What the catalogue says must be minded at the loads beside a place: those in its zone to which one of its wires goes.
/// Each said once. `harness` is that of `file`.
pub fn cautions_at(file: &CircuitFile, harness: &Harness, point: &Point) -> Vec<&'static str> {
    let ends_at = |node| {
        let run = |index: &usize| harness.runs.get(*index).is_some_and(|run| run.from == node || run.to == node);
        point.crossings.iter().any(|crossing| run(&crossing.run))
    };
    let here = |load: &&crate::circuit::harness::HarnessLoad| {
        load.zone.as_ref() == Some(&point.zone) && (ends_at(load.feed) || ends_at(load.return_))
    };
    let mut cautions = Vec::new();
    for load in harness.loads.iter().filter(here) {
        let stated = file.loads.iter().find(|stated| stated.id == load.id);
        let item = stated.and_then(|stated| stated.item.as_ref()).and_then(catalogue::item);
        if let Some(words) = item.and_then(|item| item.caution).map(catalogue::CautionClass::words)
            && !cautions.contains(&words)
        {
            cautions.push(words);
        }
    }
    cautions
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;
    use crate::circuit::expand::expand;
    use crate::search::point::points;
    use crate::vehicle::body::fit;

    #[test]
    fn a_fan_that_starts_by_itself_is_said_where_its_wire_ends_and_nowhere_else() {
        let text = r#"{"format": "loomwalk/circuit", "version": 1, "label": "", "vehicle": {"body": "panel_van"},
            "fuse": {"label": "F1", "rating_a": 15}, "loads": [
                {"id": "fan", "label": "Fan", "item": "radiator_fan"},
                {"id": "lamp", "label": "Lamp", "item": "tail_lamp_left"}]}"#;
        let file: CircuitFile = serde_json::from_str(text).unwrap();
        let map = fit(&file.vehicle);
        let harness = expand(&file, &map);
        let minded: Vec<Point> = points(&harness, &map.map)
            .into_iter()
            .filter(|point| !cautions_at(&file, &harness, point).is_empty())
            .collect();
        let fan = harness.loads.iter().find(|load| load.id.as_str() == "fan").unwrap();
        assert!(!minded.is_empty());
        for point in &minded {
            assert_eq!(Some(&point.zone), fan.zone.as_ref(), "{}", point.title);
            assert_eq!(cautions_at(&file, &harness, point), [catalogue::CautionClass::Moves.words()]);
        }
    }
}
