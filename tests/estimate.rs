//! Do the sums of an estimate come out as by hand, whatever the prices and in whatever order?
use chrono::DateTime;
use expect_test::{Expect, expect};
use loomwalk::ids::{DeviceId, EventId, JobId};
use loomwalk::job::act::Material;
use loomwalk::job::{Act, Event, Job, Log};
use loomwalk::report::estimate::Estimate;
use loomwalk::report::prices::{self, Prices};
use loomwalk::report::table;
use proptest::prelude::*;
use serde_json::{Value, json};
use uuid::Uuid;

fn job(acts: &[Act]) -> Job {
    let at = DateTime::from_timestamp_millis(1_770_000_000_000).unwrap();
    let device = DeviceId(Uuid::from_u128(1));
    let events = acts.iter().zip(1..).map(|(act, n)| Event::new(EventId(Uuid::from_u128(n)), at, device, act));
    Job::fold(JobId(Uuid::from_u128(7)), &Log::of(events).unwrap())
}

fn material(name: &str, quantity: f64, unit: &str) -> Material {
    Material { name: name.into(), quantity, unit: unit.into() }
}

fn repair(what: &str, done: bool, minutes: Option<f64>, materials: Vec<Material>) -> Act {
    Act::Repair { of: None, point: None, what: what.into(), done, minutes, method: None, materials }
}

/// 54.50 an hour in steps of 6 min, 19 % on top, unless `over` says otherwise.
fn list(over: Value) -> Prices {
    let mut file = json!({
        "format": "loomwalk/prices", "version": 1, "currency": "EUR",
        "labour": { "rate_per_hour": "54.50", "step_minutes": 6 },
        "tax": { "name": "VAT", "rate_percent": "19" },
        "parts": [
            { "name": "Butt splice, sealed", "unit": "pc", "price": "1.35" },
            { "name": "Split conduit", "unit": "m", "price": "2.15" },
            { "name": "Loom tape", "unit": "m", "price": 0.125 },
        ]
    });
    for (field, value) in over.as_object().unwrap() {
        file[field] = value.clone();
    }
    prices::read(file.to_string().as_bytes()).unwrap()
}

/// Line by line, then the sums.
fn told(estimate: &Estimate) -> String {
    let mut text = String::new();
    for line in &estimate.lines {
        let of = |amount: Option<prices::Amount>| amount.map_or("-".to_owned(), |amount| amount.to_string());
        let state = if line.done { "done" } else { "recommended" };
        text += &format!(
            "{state}: {} {} {} × {} = {}  {}\n",
            line.item,
            of(line.quantity),
            line.unit,
            of(line.price),
            of(line.amount),
            line.note
        );
    }
    for (name, sum) in [("done", estimate.done), ("recommended", estimate.recommended), ("both", estimate.both)] {
        text += &format!("{name}: lines {} net {} tax {} total {}\n", sum.lines, sum.net, sum.tax, sum.total);
    }
    text
}

fn check(acts: &[Act], prices: &Prices, expected: &Expect) {
    expected.assert_eq(&told(&Estimate::of(&job(acts), prices)));
}

#[test]
fn an_estimate_with_tax_on_top_by_hand() {
    // 38 min in steps of 6 are 42: 42 × 54.50 / 60 = 38.15.
    // 2 × 1.35 = 2.70. 0.5 × 2.15 = 1.075, half away from zero 1.08. 1 × 0.125 = 0.125 → 0.13.
    // Lines 38.15 + 2.70 + 1.08 + 0.13 = 42.06; 19 % of it 7.9914 → 7.99; total 50.05.
    // 25 min are 30: 30 × 54.50 / 60 = 27.25; 19 % of it 5.1775 → 5.18; total 32.43.
    // Both: 69.31 + 13.17 = 82.48.
    let acts = [
        repair(
            "Joined",
            true,
            Some(38.0),
            vec![
                material("butt splice, SEALED ", 2.0, "pc"),
                material("Split conduit", 0.5, "m"),
                material("Loom tape", 1.0, "m"),
            ],
        ),
        repair("New grommet", false, Some(25.0), vec![material("Grommet", 1.0, "pc")]),
    ];
    check(
        &acts,
        &list(json!({})),
        &expect![[r#"
            done: Labour 42 min × 54.50 = 38.15  38 min worked
            done: butt splice, SEALED 2 pc × 1.35 = 2.70  
            done: Split conduit 0.5 m × 2.15 = 1.08  
            done: Loom tape 1 m × 0.125 = 0.13  
            recommended: Labour 30 min × 54.50 = 27.25  25 min worked
            recommended: Grommet 1 pc × - = -  not on the price list
            done: lines 42.06 net 42.06 tax 7.99 total 50.05
            recommended: lines 27.25 net 27.25 tax 5.18 total 32.43
            both: lines 69.31 net 69.31 tax 13.17 total 82.48
        "#]],
    );
}

#[test]
fn an_estimate_with_the_tax_contained_by_hand() {
    // 38 min as they are: 38 × 54.50 / 60 = 34.51666… → 34.52. 3 × 1.35 = 4.05. Lines 38.57, which is the total.
    // Contained at 19 %: 38.57 × 19 / 119 = 6.15823… → 6.16; net 32.41.
    let acts = [repair("Joined", true, Some(38.0), vec![material("Butt splice, sealed", 3.0, "pc")])];
    let labour = json!({ "rate_per_hour": "54.50", "step_minutes": 1 });
    check(
        &acts,
        &list(json!({ "prices_include_tax": true, "labour": labour })),
        &expect![[r#"
            done: Labour 38 min × 54.50 = 34.52  
            done: Butt splice, sealed 3 pc × 1.35 = 4.05  
            done: lines 38.57 net 32.41 tax 6.16 total 38.57
            recommended: lines 0.00 net 0.00 tax 0.00 total 0.00
            both: lines 38.57 net 32.41 tax 6.16 total 38.57
        "#]],
    );
}

#[test]
fn a_currency_without_digits_behind_the_point_and_one_with_three() {
    // 20 min in steps of 15 are 30: half of 8,250 = 4,125. 10 % = 412.5 → 413. Total 4,538.
    let acts = [repair("Joined", true, Some(20.0), vec![])];
    let over = |currency: &str, decimals: u32, rate: &str| {
        list(json!({
            "currency": currency, "decimals": decimals,
            "labour": { "rate_per_hour": rate, "step_minutes": 15 },
            "tax": { "name": "Sales tax", "rate_percent": 10 },
        }))
    };
    check(
        &acts,
        &over("JPY", 0, "8250"),
        &expect![[r#"
            done: Labour 30 min × 8250 = 4125  20 min worked
            done: lines 4125 net 4125 tax 413 total 4538
            recommended: lines 0 net 0 tax 0 total 0
            both: lines 4125 net 4125 tax 413 total 4538
        "#]],
    );
    // Half of 12.345 = 6.1725 → 6.173. 10 % = 0.6173 → 0.617. Total 6.790.
    check(
        &acts,
        &over("KWD", 3, "12.345"),
        &expect![[r#"
            done: Labour 30 min × 12.345 = 6.173  20 min worked
            done: lines 6.173 net 6.173 tax 0.617 total 6.790
            recommended: lines 0.000 net 0.000 tax 0.000 total 0.000
            both: lines 6.173 net 6.173 tax 0.617 total 6.790
        "#]],
    );
}

#[test]
fn what_has_no_price_is_to_be_priced_and_in_no_sum() {
    let acts = [repair(
        "All of it",
        true,
        None,
        vec![
            material("Bracket", 1.0, "pc"),
            material("Split conduit", 2.0, "ft"),
            material("Loom tape", 1e300, "m"),
            material("Loom tape", -1.0, "m"),
            material("Butt splice, sealed", 1.0, "pc"),
        ],
    )];
    let prices = list(json!({}));
    check(
        &acts,
        &prices,
        &expect![[r#"
            done: Labour - min × 54.50 = -  the time is not stated
            done: Bracket 1 pc × - = -  not on the price list
            done: Split conduit 2 ft × - = -  the price list has it by the m
            done: Loom tape - m × - = -  the quantity is none that can be charged
            done: Loom tape - m × - = -  the quantity is none that can be charged
            done: Butt splice, sealed 1 pc × 1.35 = 1.35  
            done: lines 1.35 net 1.35 tax 0.26 total 1.61
            recommended: lines 0.00 net 0.00 tax 0.00 total 0.00
            both: lines 1.35 net 1.35 tax 0.26 total 1.61
        "#]],
    );
    let estimate = Estimate::of(&job(&acts), &prices);
    assert_eq!((estimate.to_be_priced, estimate.unpriced(true), estimate.unpriced(false)), (5, 5, 0));
}

#[test]
fn how_it_is_rounded_is_said() {
    let said = |prices: &Prices| Estimate::of(&job(&[]), prices).rules.join("\n");
    expect![[r#"
        Labour: the minutes of each repair in steps of 6 min, a begun one whole, times the rate for an hour.
        Each line is rounded by itself to 0.01 EUR, half a unit away from zero.
        VAT of 19 % is added to the sum of the lines, of what was done and of what is recommended each by itself, and rounded in the same way.
        What is to be priced is in no sum."#]]
    .assert_eq(&said(&list(json!({}))));
    expect![[r#"
        Labour: the minutes of each repair in steps of 6 min, a begun one whole, times the rate for an hour.
        Each line is rounded by itself to 1 EUR, half a unit away from zero.
        All prices contain VAT of 19 %. What is contained is taken out of the sum of the lines, of what was done and of what is recommended each by itself, and rounded in the same way.
        What is to be priced is in no sum."#]]
    .assert_eq(&said(&list(json!({ "prices_include_tax": true, "decimals": 0 }))));
    assert!(said(&list(json!({ "tax": null }))).contains("No tax is added."));
}

#[test]
fn the_practice_prices_price_the_practice_job() {
    let bundle: loomwalk::bundle::Bundle =
        serde_json::from_slice(include_bytes!("../assets/demo/van.loomwalk.json")).unwrap();
    let prices = prices::read(include_bytes!("../assets/demo/prices.json")).unwrap();
    // 38 min in steps of 6 are 42: 42 × 86.40 / 60 = 60.48; 20 % of it 12.096 → 12.10; total 72.58.
    // 25 min are 30: 43.20; 20 % 8.64; total 51.84.
    let estimate = loomwalk::report::estimate_of(&bundle, &prices);
    let totals = [estimate.done.total, estimate.recommended.total, estimate.both.total];
    assert_eq!(totals.map(|total| total.to_string()), ["72.58", "51.84", "124.42"]);
}

#[test]
fn a_table_for_a_spreadsheet_has_nothing_that_it_would_compute() {
    let evil = "=HYPERLINK(\"x\")";
    let acts =
        [repair(evil, true, Some(6.0), vec![material("+SUM(A1:A9)", 1.0, "@pc"), material("a, \"b\"\nc", 2.0, "m")])];
    let csv = table::csv(&Estimate::of(&job(&acts), &list(json!({}))));
    expect![[r#"
        state,kind,repair,item,quantity,unit,price,amount,note␍
        done,"labour, price per hour","'=HYPERLINK(""x"")",Labour,6,min,54.50,5.45,␍
        done,material,"'=HYPERLINK(""x"")",'+SUM(A1:A9),1,'@pc,,,to be priced: not on the price list␍
        done,material,"'=HYPERLINK(""x"")","a, ""b""
        c",2,m,,,to be priced: not on the price list␍
        done,net,,,,,EUR,5.45,␍
        done,tax,,,,,EUR,1.04,␍
        done,total,,,,,EUR,6.49,␍
        recommended,net,,,,,EUR,0.00,␍
        recommended,tax,,,,,EUR,0.00,␍
        recommended,total,,,,,EUR,0.00,␍
        both,net,,,,,EUR,5.45,␍
        both,tax,,,,,EUR,1.04,␍
        both,total,,,,,EUR,6.49,␍
    "#]]
    .assert_eq(&csv.replace("\r\n", "␍\n"));
    let mut reader = csv::ReaderBuilder::new().from_reader(csv.as_bytes());
    for record in reader.records() {
        for field in &record.unwrap() {
            assert!(!field.starts_with(['=', '+', '@', '\t', '\r']), "{field:?}");
        }
    }
}

#[test]
fn prices_that_cannot_be_used_are_told_by_place_with_what_would_be_right() {
    let wrong = |text: &str, expected: &Expect| {
        expected.assert_eq(&(prices::read(text.as_bytes()).unwrap_err().to_string() + "\n"));
    };
    wrong(
        "",
        &expect![[r#"
        the file: it should be JSON, but EOF while parsing a value at line 1 column 0
    "#]],
    );
    wrong(
        "[]",
        &expect![[r#"
        /format: nothing stands here; a file of prices has "loomwalk/prices"
    "#]],
    );
    wrong(
        r#"{"format": "loomwalk/plan"}"#,
        &expect![[r#"
        /format: loomwalk/plan stands here; a file of prices has "loomwalk/prices"
    "#]],
    );
    wrong(
        r#"{"format": "loomwalk/prices", "version": 9}"#,
        &expect![[r#"
        /version: this is version 9 of loomwalk/prices and this program reads up to version 1: update the program
    "#]],
    );
    wrong(
        r#"{"format": "loomwalk/prices", "version": 1}"#,
        &expect![[r#"
        /currency: it is missing; a file of prices needs it
    "#]],
    );
    wrong(
        r#"{"format": "loomwalk/prices", "version": 1, "currency": "EUR", "labour": {"rate_per_hour": "86,40"}}"#,
        &expect![[r#"
            /labour/rate_per_hour: "86,40" is no decimal number; write it with a point, as "4.20"
        "#]],
    );
    wrong(
        r#"{"format": "loomwalk/prices", "version": 1, "currency": "euro", "decimals": 4, "prices_include_tax": true,
            "labour": {"rate_per_hour": -1, "step_minutes": 0},
            "parts": [{"name": " ", "price": 1}, {"name": "Clip", "price": 1}, {"name": "clip ", "price": "2"},
                      {"name": "Tape", "price": "0.12345678"}]}"#,
        &expect![[r#"
            /currency: it is "euro"; write the three capital letters of ISO 4217, such as "EUR"
            /decimals: it is 4; a currency has 0, 2 or 3 digits behind the point
            /labour/rate_per_hour: it is -1; 0 to 100000000 is right
            /labour/step_minutes: it is 0; write 1 to 480 minutes, 1 for the minutes as they are
            /prices_include_tax: it is true and no tax is given; give its name and rate under "tax", or write false
            /parts/0/name: it is empty; write the name that a repair lists it by
            /parts/2: "clip " with this unit stands here twice; keep one of them
            /parts/3/price: it is 0.12345678; at most 6 digits behind the point
        "#]],
    );
    wrong(
        r#"{"format": "loomwalk/prices", "version": 1, "currency": "EUR", "labour": {"rate_per_hour": 60},
            "tax": {"name": "", "rate_percent": "120"}}"#,
        &expect![[r#"
            /tax/name: it is empty; write what the tax is called on paper
            /tax/rate_percent: it is 120; 0 to 100 is right
        "#]],
    );
}

fn any_repair() -> impl Strategy<Value = Act> {
    let name = prop_oneof![Just("Butt splice, sealed"), Just("Split conduit"), Just("Loom tape"), Just("Bracket")];
    let material = (
        name,
        prop_oneof![0.0..100.0, (0_u32..9000).prop_map(|mills| f64::from(mills) / 1000.0)],
        prop_oneof![Just("pc"), Just("m")],
    )
        .prop_map(|(name, quantity, unit)| material(name, quantity, unit));
    (any::<bool>(), proptest::option::of(0.0..600.0), proptest::collection::vec(material, 0..5))
        .prop_map(|(done, minutes, materials)| repair("x", done, minutes, materials))
}

fn any_prices() -> impl Strategy<Value = Prices> {
    (0_u32..20_000_000, 1_u32..60, 0_u32..10_000, any::<bool>(), prop_oneof![Just(0), Just(2), Just(3)]).prop_map(
        |(rate, step, tax, contained, decimals)| {
            list(json!({
                "labour": { "rate_per_hour": f64::from(rate) / 1000.0, "step_minutes": step },
                "tax": { "name": "VAT", "rate_percent": f64::from(tax) / 100.0 },
                "prices_include_tax": contained,
                "decimals": decimals,
            }))
        },
    )
}

proptest! {
    #[test]
    fn totals_are_the_sums_of_the_lines_and_the_order_does_not_matter(
        (repairs, turned) in proptest::collection::vec(any_repair(), 0..8)
            .prop_flat_map(|repairs| (Just(repairs.clone()), Just(repairs).prop_shuffle())),
        prices in any_prices(),
    ) {
        let estimate = Estimate::of(&job(&repairs), &prices);
        let other = Estimate::of(&job(&turned), &prices);
        prop_assert_eq!((estimate.done, estimate.recommended, estimate.both), (other.done, other.recommended, other.both));
        // In whole smallest units, so that nothing here is rounded.
        let units = |amount: prices::Amount| (amount.to_string().replace('.', "")).parse::<i128>().unwrap();
        for (sum, done) in [(estimate.done, true), (estimate.recommended, false)] {
            let lines: i128 = estimate.lines.iter().filter(|line| line.done == done).filter_map(|line| line.amount).map(units).sum();
            prop_assert_eq!(units(sum.lines), lines);
            prop_assert_eq!(units(sum.net) + units(sum.tax), units(sum.total));
            let counted = if prices.prices_include_tax { sum.total } else { sum.net };
            prop_assert_eq!(units(counted), lines);
            // Tax to within half a smallest unit, by whole numbers: the rate in hundredths of a percent.
            let rate = prices.tax.as_ref().unwrap().rate_percent.0.to_string().parse::<f64>().unwrap();
            let rate = (rate * 100.0).round() as i128;
            let whole = if prices.prices_include_tax { 10_000 + rate } else { 10_000 };
            prop_assert!((2 * (units(sum.tax) * whole - lines * rate)).abs() <= whole);
        }
        prop_assert_eq!(units(estimate.both.total), units(estimate.done.total) + units(estimate.recommended.total));
    }

    #[test]
    fn an_estimate_comes_back_out_of_its_json(repairs in proptest::collection::vec(any_repair(), 0..8), prices in any_prices()) {
        let estimate = Estimate::of(&job(&repairs), &prices);
        let text = serde_json::to_string(&estimate).unwrap();
        prop_assert_eq!(serde_json::from_str::<Estimate>(&text).unwrap(), estimate);
    }

    #[test]
    fn no_bytes_make_the_reader_of_prices_panic(bytes in proptest::collection::vec(any::<u8>(), 0..200)) {
        prop_assert!(prices::read(&bytes).is_err());
    }
}
