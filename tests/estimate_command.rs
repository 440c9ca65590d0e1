//! Does `loomwalk estimate` print, write and refuse as it should, and does `report` take prices and a sheet?
use std::process::{Command, Output};

use expect_test::{Expect, expect};
use loomwalk::report::estimate::Estimate;

const BUNDLE: &str = "assets/demo/van.loomwalk.json";
const PRICES: &str = "assets/demo/prices.json";

fn loomwalk(args: &[&str]) -> Output {
    let root = env!("CARGO_MANIFEST_DIR");
    Command::new(env!("CARGO_BIN_EXE_loomwalk")).current_dir(root).args(args).output().unwrap()
}

fn said(output: &Output, code: i32, stdout: &Expect, stderr: &Expect) {
    stdout.assert_eq(&String::from_utf8_lossy(&output.stdout));
    stderr.assert_eq(&String::from_utf8_lossy(&output.stderr));
    assert_eq!(output.status.code(), Some(code));
}

#[test]
fn the_estimate_is_printed_line_by_line_with_how_it_was_rounded() {
    said(
        &loomwalk(&["estimate", BUNDLE, "--prices", PRICES]),
        0,
        &expect![[r#"
            Done

            item                                                                    quantity  price      amount
            Labour: Damaged piece cut out, wire joined with a sealed crimp, end  …  42 min    86.40 / h  60.48   38 min worked

            without VAT 60.48 EUR, VAT 12.10 EUR, total 72.58 EUR

            Recommended and not done

            item                                                                    quantity  price      amount
            Labour: Fit a new grommet at the foot of the partition before the ta …  30 min    86.40 / h  43.20   25 min worked

            without VAT 43.20 EUR, VAT 8.64 EUR, total 51.84 EUR

            Labour: the minutes of each repair in steps of 6 min, a begun one whole, times the rate for an hour.
            Each line is rounded by itself to 0.01 EUR, half a unit away from zero.
            VAT of 20 % is added to the sum of the lines, of what was done and of what is recommended each by itself, and rounded in the same way.
            What is to be priced is in no sum.
        "#]],
        &expect![""],
    );
}

#[test]
fn as_json_it_is_the_librarys_and_as_csv_a_table() {
    let output = loomwalk(&["estimate", BUNDLE, "--prices", PRICES, "--json"]);
    let estimate: Estimate = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(estimate.both.total.to_string(), "124.42");
    let printed = loomwalk(&["estimate", BUNDLE, "--prices", PRICES, "--csv", "-"]).stdout;
    assert!(printed.starts_with(b"state,kind,repair,item,quantity,unit,price,amount,note\r\n"));
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("table.csv");
    let written = loomwalk(&["estimate", BUNDLE, "--prices", PRICES, "--csv", out.to_str().unwrap()]);
    assert_eq!(String::from_utf8_lossy(&written.stdout), format!("{}: written\n", out.display()));
    assert_eq!(std::fs::read(&out).unwrap(), printed);
    let both = loomwalk(&["estimate", BUNDLE, "--prices", PRICES, "--csv", "-", "--json"]);
    assert_eq!(both.status.code(), Some(2));
    assert_eq!(loomwalk(&["estimate", BUNDLE]).status.code(), Some(2));
}

#[test]
fn what_it_says_is_sound_to_the_check_command() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("estimate.json");
    std::fs::write(&out, loomwalk(&["estimate", BUNDLE, "--prices", PRICES, "--json"]).stdout).unwrap();
    assert_eq!(
        String::from_utf8_lossy(&loomwalk(&["check", PRICES, out.to_str().unwrap()]).stdout),
        format!(
            "{PRICES}: a sound loomwalk/prices, version 1: 10 parts, EUR\n{}: a sound loomwalk/estimate, version 1\n",
            out.display()
        )
    );
}

#[test]
fn prices_that_are_none_are_told_with_the_files_name() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("prices.json");
    let list = r#"{"format": "loomwalk/prices", "version": 1, "currency": "eur", "decimals": 1, "labour": {"rate_per_hour": 60}}"#;
    std::fs::write(&file, list).unwrap();
    let name = file.to_str().unwrap();
    let out = folder.path().join("page.html");
    for args in [
        &["estimate", BUNDLE, "--prices", name][..],
        &["report", BUNDLE, "-o", out.to_str().unwrap(), "--prices", name],
        &["check", name],
    ] {
        let output = loomwalk(args);
        assert_eq!(output.status.code(), Some(1));
        assert_eq!(
            String::from_utf8_lossy(&output.stderr).replace(name, "FILE"),
            "FILE: /currency: it is \"eur\"; write the three capital letters of ISO 4217, such as \"EUR\"\n\
             FILE: /decimals: it is 1; a currency has 0, 2 or 3 digits behind the point\n"
        );
    }
    assert!(!out.exists());
    said(
        &loomwalk(&["estimate", "assets/demo/van.circuit.json", "--prices", PRICES]),
        1,
        &expect![""],
        &expect![[r#"
            assets/demo/van.circuit.json: this is not a hand-over file: its format should be "loomwalk/bundle", but it is "loomwalk/circuit"
        "#]],
    );
}

#[test]
fn the_report_command_writes_the_customers_sheet_with_the_estimate() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("sheet.html");
    let output = loomwalk(&["report", BUNDLE, "-o", out.to_str().unwrap(), "--customer", "--prices", PRICES]);
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    let page = std::fs::read_to_string(&out).unwrap();
    assert!(page.contains("<main class=\"sheet\">") && page.contains("72.58\u{a0}EUR"));
    assert_eq!(page.matches("src=\"data:image/jpeg;base64,").count(), 3);
}
