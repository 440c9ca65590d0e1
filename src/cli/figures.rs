//! Do the figures of a plan, or of faults, agree with each other? What their types alone cannot say.

use std::collections::HashMap;

use crate::circuit::fault::Faults;
use crate::search::plan::{Plan, StepKind};

/// How far two figures that should be the same may be apart: they may have been printed with six places.
const ROUNDING: f64 = 1e-6;
/// No more is told than this.
const MOST_PROBLEMS: usize = 50;

/// As many places as are compared.
fn rounded(value: f64) -> f64 {
    (value * 1e6).round() / 1e6
}

/// What is found wrong: JSON pointer, what is wrong and what would be right.
#[derive(Default)]
struct Wrong(Vec<String>);

impl Wrong {
    fn add(&mut self, pointer: &str, why: impl AsRef<str>) {
        if self.0.len() < MOST_PROBLEMS {
            self.0.push(format!("{pointer}: {}", why.as_ref()));
        }
    }

    fn chance(&mut self, pointer: &str, value: f64) {
        if !(-ROUNDING..=1.0 + ROUNDING).contains(&value) {
            self.add(pointer, format!("it is {value}; a chance lies between 0 and 1"));
        }
    }

    fn not_negative(&mut self, pointer: &str, value: f64) {
        if value < -ROUNDING {
            self.add(pointer, format!("it is {value}; it should be 0 or more"));
        }
    }

    fn same(&mut self, pointer: &str, value: f64, right: f64, what: &str) {
        if (value - right).abs() > ROUNDING * right.abs().max(1.0) {
            self.add(pointer, format!("it is {}; {what} is {}", rounded(value), rounded(right)));
        }
    }
}

/// What does not fit together in a plan, by the rules of `loomwalk/plan`.
pub fn of_plan(plan: &Plan) -> Vec<String> {
    let mut wrong = Wrong::default();
    let mut chances = HashMap::new();
    for (place, point) in plan.points.iter().enumerate() {
        wrong.chance(&format!("/points/{place}/probability"), point.probability);
        if chances.insert(point.id.as_str(), point.probability).is_some() {
            wrong
                .add(&format!("/points/{place}/id"), format!("{:?} is listed twice; list each point once", point.id.0));
        }
    }
    wrong.chance("/not_listed", plan.not_listed);
    let all = plan.points.iter().map(|point| point.probability).sum::<f64>() + plan.not_listed;
    if (all - 1.0).abs() > ROUNDING {
        wrong.add("/points", format!("with `not_listed` their chances sum to {}; they should sum to 1", rounded(all)));
    }

    let mut done: HashMap<&str, StepKind> = HashMap::new();
    let (mut found_by, mut elapsed, mut weighted) = (0.0, 0.0, 0.0);
    for (place, step) in plan.steps.iter().enumerate() {
        let at = |field: &str| format!("/steps/{place}/{field}");
        if step.n != place + 1 {
            wrong.add(&at("n"), format!("it is {}; this is step {}", step.n, place + 1));
        }
        if let Some(before) = &step.after
            && done.get(before.as_str()) != Some(&StepKind::Access)
        {
            wrong.add(&at("after"), format!("no access step {:?} stands before this one", before.as_str()));
        }
        wrong.not_negative(&at("minutes"), step.minutes);
        wrong.chance(&at("detect"), step.detect);
        wrong.same(&at("chance"), step.chance, step.probability * step.detect, "probability × detect");
        if step.kind == StepKind::Look {
            match chances.get(step.id.as_str()) {
                Some(chance) => wrong.same(&at("probability"), step.probability, *chance, "its point's chance"),
                None => wrong.add(&at("id"), format!("{:?} is not in the list of points", step.id)),
            }
        } else {
            wrong.same(&at("probability"), step.probability, 0.0, "that of an access step");
        }
        if done.insert(&step.id, step.kind).is_some() {
            wrong.add(&at("id"), format!("{:?} is a step twice; do it once", step.id));
        }
        found_by += step.chance;
        elapsed += step.minutes;
        weighted += step.chance * elapsed;
        wrong.same(&at("found_by"), step.found_by, found_by, "the sum of all chances so far");
    }
    wrong.same("/left_over", plan.left_over, 1.0 - found_by, "1 less the sum of all chances");
    if let Some(minutes) = plan.expected_minutes.filter(|_| found_by > 0.0) {
        let right = weighted / found_by;
        wrong.same("/expected_minutes", minutes, right, "the mean of the minutes elapsed, weighted by chance,");
    }
    wrong.0
}

/// What cannot be in an answer of `loomwalk faults`.
pub fn of_faults(faults: &Faults) -> Vec<String> {
    let mut wrong = Wrong::default();
    wrong.not_negative("/fault_ohms", faults.fault_ohms);
    wrong.not_negative("/no_fault_fuse_a", faults.no_fault_fuse_a);
    let mut ids = HashMap::new();
    for (place, run) in faults.runs.iter().enumerate() {
        if let Some(first) = ids.insert(run.id.as_str(), place) {
            wrong.add(&format!("/runs/{place}/id"), format!("{:?} is at /runs/{first} already", run.id.as_str()));
        }
        for (name, end) in [("near", &run.near), ("far", &run.far)] {
            let at = |field: &str| format!("/runs/{place}/{name}/{field}");
            wrong.not_negative(&at("fuse_a"), end.fuse_a);
            wrong.not_negative(&at("ratio"), end.ratio);
            let (earliest, latest) = end.open_s;
            wrong.not_negative(&at("open_s/0"), earliest);
            if let Some(latest) = latest.filter(|latest| *latest < earliest) {
                wrong.add(&at("open_s/1"), format!("it is {latest} s; it should not be before {earliest} s"));
            }
        }
    }
    wrong.0
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use crate::cli::check::check_bytes;
    use expect_test::{Expect, expect};
    use serde_json::{Value, json};

    /// Worked by hand: 4 minutes to open, then 1 and 2 minutes of looking.
    fn plan() -> Value {
        let look = |n: u32, id: &str, minutes: f64, probability: f64, found_by: f64| {
            json!({ "n": n, "id": id, "kind": "look", "after": "access:raise", "zone": "tank", "minutes": minutes,
                "probability": probability, "detect": 0.5, "chance": probability / 2.0, "found_by": found_by, "title": "" })
        };
        json!({ "format": "loomwalk/plan", "version": 1,
            "steps": [
                { "n": 1, "id": "access:raise", "kind": "access", "after": null, "minutes": 4.0, "chance": 0.0,
                    "found_by": 0.0, "title": "" },
                look(2, "point:a", 1.0, 0.6, 0.3),
                look(3, "point:b", 2.0, 0.2, 0.4),
            ],
            "points": [
                { "id": "point:a", "zone": "tank", "probability": 0.6 },
                { "id": "point:b", "zone": "tank", "probability": 0.2 },
            ],
            "not_listed": 0.2, "expected_minutes": 5.5, "left_over": 0.6 })
    }

    fn faults() -> Value {
        let end = |node: &str, fuse_a: f64, latest: Value| json!({ "node": node, "volts": 12.5, "fuse_a": fuse_a, "ratio": fuse_a / 15.0, "open_s": [0.0, latest] });
        json!({ "format": "loomwalk/faults", "version": 1, "state": ["key_on"], "fault_ohms": 0.01,
            "no_fault_fuse_a": 2.31,
            "runs": [{ "id": "r1", "near": end("fuse", 372.0, json!(0.1)), "far": end("s1", 12.0, Value::Null),
                "verdict": "may_open" }] })
    }

    fn said(mut file: Value, pointer: &str, value: Value, says: &Expect) {
        assert_eq!(check_bytes(file.to_string().as_bytes()).map(drop), Ok(()), "sound before it was changed");
        *file.pointer_mut(pointer).unwrap() = value;
        says.assert_eq(&check_bytes(file.to_string().as_bytes()).unwrap_err().join("\n"));
    }

    #[test]
    fn a_plan_whose_figures_disagree_is_not_sound() {
        for (pointer, value, says) in [
            ("/steps/0/n", json!(2), expect!["/steps/0/n: it is 2; this is step 1"]),
            (
                "/steps/1/after",
                json!("access:lid"),
                expect![[r#"/steps/1/after: no access step "access:lid" stands before this one"#]],
            ),
            (
                "/steps/1/minutes",
                json!(-1.0),
                expect![[r#"
                    /steps/1/minutes: it is -1; it should be 0 or more
                    /expected_minutes: it is 5.5; the mean of the minutes elapsed, weighted by chance, is 3.5"#]],
            ),
            (
                "/steps/1/detect",
                json!(5.0),
                expect![[r#"
                /steps/1/detect: it is 5; a chance lies between 0 and 1
                /steps/1/chance: it is 0.3; probability × detect is 3"#]],
            ),
            (
                "/steps/2/id",
                json!("point:a"),
                expect![[r#"
                /steps/2/probability: it is 0.2; its point's chance is 0.6
                /steps/2/id: "point:a" is a step twice; do it once"#]],
            ),
            (
                "/points/1/id",
                json!("point:a"),
                expect![[r#"
                /points/1/id: "point:a" is listed twice; list each point once
                /steps/1/probability: it is 0.6; its point's chance is 0.2
                /steps/2/id: "point:b" is not in the list of points"#]],
            ),
            (
                "/points/1/probability",
                json!(0.3),
                expect![[r#"
                    /points: with `not_listed` their chances sum to 1.1; they should sum to 1
                    /steps/2/probability: it is 0.2; its point's chance is 0.3"#]],
            ),
            (
                "/not_listed",
                json!(-0.2),
                expect![[r#"
                    /not_listed: it is -0.2; a chance lies between 0 and 1
                    /points: with `not_listed` their chances sum to 0.6; they should sum to 1"#]],
            ),
            (
                "/expected_minutes",
                json!(4.0),
                expect!["/expected_minutes: it is 4; the mean of the minutes elapsed, weighted by chance, is 5.5"],
            ),
            ("/left_over", json!(0.5), expect!["/left_over: it is 0.5; 1 less the sum of all chances is 0.6"]),
        ] {
            said(plan(), pointer, value, &says);
        }
    }

    #[test]
    fn faults_that_cannot_be_are_not_sound() {
        for (pointer, value, says) in [
            ("/fault_ohms", json!(-1), expect!["/fault_ohms: it is -1; it should be 0 or more"]),
            ("/runs/0/near/fuse_a", json!(-372.0), expect!["/runs/0/near/fuse_a: it is -372; it should be 0 or more"]),
            (
                "/runs/0/near/open_s/1",
                json!(-0.1),
                expect!["/runs/0/near/open_s/1: it is -0.1 s; it should not be before 0 s"],
            ),
        ] {
            said(faults(), pointer, value, &says);
        }
    }
}
