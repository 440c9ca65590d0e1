//! Does `loomwalk faults` answer, and end, as it says (03-formats §2)?

use std::process::{Command, Output};

use loomwalk::circuit::fault::{Faults, Verdict};

const VAN: &str = "tests/cases/circuits/small_van.json";

fn faults(arguments: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_loomwalk"));
    command.current_dir(env!("CARGO_MANIFEST_DIR")).arg("faults").args(arguments).output().unwrap()
}

fn answer(arguments: &[&str]) -> Faults {
    let done = faults(arguments);
    assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
    serde_json::from_slice(&done.stdout).unwrap()
}

fn verdict(found: &Faults, run: &str) -> Verdict {
    found.runs.iter().find(|other| other.id.as_str() == run).unwrap().verdict
}

#[test]
fn a_switch_makes_the_wire_behind_it_live() {
    let driving = answer(&[VAN, "--state", "key_on", "--json"]);
    assert_eq!((driving.format.as_str(), driving.version, driving.fault_ohms), ("loomwalk/faults", 1, 0.01));
    assert_eq!((verdict(&driving, "r1"), verdict(&driving, "r4")), (Verdict::Opens, Verdict::NotLive));
    let reversing = answer(&[VAN, "--state", "key_on,reverse", "--json"]);
    assert_eq!((verdict(&reversing, "r4"), verdict(&reversing, "r5")), (Verdict::Opens, Verdict::Holds));
    assert!(reversing.no_fault_fuse_a > driving.no_fault_fuse_a);
}

#[test]
fn the_near_end_of_the_first_run_draws_what_the_source_alone_allows() {
    let found = answer(&[VAN, "--state", "key_on", "--fault-ohms", "0", "--json"]);
    // 12.6 V over 20 mΩ of supply and 5 mΩ of fuse.
    let near = &found.runs[0].near;
    assert!((near.fuse_a - 504.0).abs() < 1e-9 && (near.ratio - 33.6).abs() < 1e-9, "{near:?}");
    assert_eq!(near.open_s, (0.0, Some(0.1)));
}

#[test]
fn without_the_key_nothing_is_live_and_the_table_says_what_is_missing() {
    assert!(answer(&[VAN, "--json"]).runs.iter().all(|run| run.verdict == Verdict::NotLive));
    let done = faults(&[VAN]);
    let table = String::from_utf8(done.stdout).unwrap();
    assert!(table.contains("The fuse itself has no voltage in this state: it needs key_on."), "{table}");
}

#[test]
fn a_condition_that_nothing_asks_for_is_pointed_out() {
    let done = faults(&[VAN, "--state", "key_on,revers", "--json"]);
    assert!(done.status.success());
    assert_eq!(String::from_utf8_lossy(&done.stderr), "note: nothing in this circuit depends on revers\n");
}

#[test]
fn a_wrong_file_ends_with_1_and_names_the_place_and_wrong_usage_ends_with_2() {
    for wrong in ["tests/cases/wrong_circuits/several_at_once.json", "tests/cases/wrong_circuits/no_such_file.json"] {
        let done = faults(&[wrong, "--json"]);
        assert_eq!(done.status.code(), Some(1), "{wrong}");
        assert!(done.stdout.is_empty());
        let told = String::from_utf8(done.stderr).unwrap();
        assert!(!told.is_empty() && told.lines().all(|line| line.starts_with(wrong)), "{told}");
    }
    for usage in [&["--json"][..], &[VAN, "--fault-ohms", "-1"], &[VAN, "--fault-ohms", "nan"], &[VAN, "--what"]] {
        assert_eq!(faults(usage).status.code(), Some(2), "{usage:?}");
    }
}

#[test]
fn where_nothing_draws_the_fuse_carries_zero_not_minus_zero() {
    for state in ["key_on", "none"] {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("idle.json");
        let idle = r#"{"format": "loomwalk/circuit", "version": 1, "fuse": {"rating_a": 10, "live_when": ["key_on"]},
            "loads": [{"id": "a", "amps": 5, "live_when": ["brake"]}]}"#;
        std::fs::write(&path, idle).unwrap();
        let found = answer(&[path.to_str().unwrap(), "--state", state, "--json"]);
        assert!(found.no_fault_fuse_a == 0.0 && found.no_fault_fuse_a.is_sign_positive(), "{state}");
    }
}

#[test]
fn where_the_verdict_changes_and_what_is_left_after_several_blows_is_told() {
    let blows =
        [VAN, "--state", "key_on,reverse", "--fault-ohms", "0.65", "--blow", "key_on,reverse", "--blow", "key_on"];
    let found = answer(&[&blows[..], &["--json"]].concat());
    let changes: Vec<&str> =
        found.runs.iter().filter(|run| !run.changes_at.is_empty()).map(|run| run.id.as_str()).collect();
    assert!(changes.contains(&"r4"), "{changes:?}");
    let over = found.over_blows.unwrap();
    assert_eq!(over.states.len(), 2);
    let left = |id: &str| over.runs.iter().find(|run| run.id.as_str() == id).unwrap().stretches.clone();
    assert_eq!((left("r4").len(), left("r4")[0].verdict), (1, Verdict::NotLive), "dead in the second blow");
    let table = String::from_utf8(faults(&blows).stdout).unwrap();
    assert!(table.contains("opens, from "), "{table}");
    assert!(table.contains("What one short could have done in each of 2 recorded blows:"), "{table}");
    assert!(table.contains("had no voltage in one of them"), "{table}");
}

#[test]
fn the_touch_that_was_taken_is_told_and_the_circuit_may_state_its_own() {
    let shipped = answer(&[VAN, "--state", "key_on", "--json"]).touch.unwrap();
    assert_eq!((shipped.shortest_s, shipped.longest_s, shipped.stated), (0.002, 2.0, false));
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("touch.json");
    let van = std::fs::read_to_string(VAN).unwrap();
    let stated = van.replacen('{', r#"{ "touch": { "shortest_s": 0.0001, "longest_s": 0.003 },"#, 1);
    std::fs::write(&path, stated).unwrap();
    let path = path.to_str().unwrap();
    let brief = answer(&[path, "--state", "key_on", "--json"]).touch.unwrap();
    assert_eq!((brief.shortest_s, brief.longest_s, brief.stated), (0.0001, 0.003, true));
    let pairs = shipped.runs.iter().zip(&brief.runs);
    assert!(pairs.clone().all(|(shipped, brief)| brief.near <= shipped.near && brief.far <= shipped.far));
    assert!(pairs.clone().any(|(shipped, brief)| brief.far < shipped.far), "{brief:?}");
    let table = |path| String::from_utf8(faults(&[path, "--state", "key_on"]).stdout).unwrap();
    assert!(
        table(VAN).contains("touch for 2 ms to 2 s, any length between as likely on a logarithmic scale (as shipped;")
    );
    assert!(table(path).contains("touch for 0.1 to 3 ms,") && table(path).contains("(as the circuit file states;"));
}

#[test]
fn a_breaker_is_called_one_and_said_to_close_again() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("breaker.json");
    let van = std::fs::read_to_string(VAN).unwrap();
    let breaker = van.replace(r#""style": "blade""#, r#""style": "breaker""#);
    assert_ne!(van, breaker);
    std::fs::write(&path, breaker).unwrap();
    let table = String::from_utf8(faults(&[path.to_str().unwrap(), "--state", "key_on"]).stdout).unwrap();
    assert!(table.contains("15 A breaker that resets by itself; key_on"), "{table}");
    assert!(table.contains("trips and closes again by itself") && !table.contains("the fuse must"), "{table}");
}
