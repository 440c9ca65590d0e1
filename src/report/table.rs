//! How does an estimate go into a spreadsheet? As CSV (RFC 4180), with nothing in it that a spreadsheet would compute.

use rust_decimal::Decimal;

use super::estimate::{Estimate, Line, LineKind, Sum};

/// What stands above the columns.
const HEADS: [&str; 9] = ["state", "kind", "repair", "item", "quantity", "unit", "price", "amount", "note"];

/// An estimate as CSV: a line each, then the sums of what was done, of what is recommended, and of both.
pub fn csv(estimate: &Estimate) -> String {
    let mut rows: Vec<[String; 9]> = vec![HEADS.map(str::to_owned)];
    rows.extend(estimate.lines.iter().map(of_line));
    let sums = [("done", &estimate.done), ("recommended", &estimate.recommended), ("both", &estimate.both)];
    for (state, sum) in sums {
        let Sum { net, tax, total, .. } = sum;
        for (kind, amount) in [("net", net), ("tax", tax), ("total", total)] {
            let [none, too, also, unit, last] = [const { String::new() }; 5];
            let currency = estimate.currency.clone();
            rows.push([state.to_owned(), kind.to_owned(), none, too, also, unit, currency, amount.to_string(), last]);
        }
    }
    let mut out = ::csv::WriterBuilder::new().terminator(::csv::Terminator::CRLF).from_writer(Vec::new());
    for row in rows {
        // Into memory nothing fails, and every row has as many fields.
        if out.write_record(row.iter().map(|field| safe(field))).is_err() {
            break;
        }
    }
    out.into_inner().ok().and_then(|bytes| String::from_utf8(bytes).ok()).unwrap_or_default()
}

fn of_line(line: &Line) -> [String; 9] {
    let shown = |amount: Option<super::prices::Amount>| amount.map(|amount| amount.to_string()).unwrap_or_default();
    let note = match (line.amount, line.note.as_str()) {
        (None, "") => "to be priced".to_owned(),
        (None, why) => format!("to be priced: {why}"),
        (Some(_), note) => note.to_owned(),
    };
    [
        if line.done { "done" } else { "recommended" }.to_owned(),
        match line.kind {
            LineKind::Labour => "labour, price per hour",
            LineKind::Material => "material",
        }
        .to_owned(),
        line.repair.clone(),
        line.item.clone(),
        shown(line.quantity),
        line.unit.clone(),
        shown(line.price),
        shown(line.amount),
        note,
    ]
}

/// A field that a spreadsheet shows and does not compute: what could begin a formula gets an apostrophe before it, unless
/// it is a plain number.
fn safe(field: &str) -> String {
    let begins = field.starts_with(['=', '+', '-', '@', '\t', '\r', '\n', '＝', '＋', '－', '＠']);
    if begins && Decimal::from_str_exact(field).is_err() { format!("'{field}") } else { field.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::safe;

    #[test]
    fn what_a_spreadsheet_would_compute_stands_as_text_and_numbers_stay_numbers() {
        for formula in ["=1+1", "+SUM(A1)", "-2+3", "@x", "\t=1", "\r=1", "＝1", "-", "=cmd|' /C calc'!A0"] {
            assert_eq!(safe(formula), format!("'{formula}"));
        }
        for plain in ["-2.50", "+1", "4.20", "Grommet", "", "a=b"] {
            assert_eq!(safe(plain), plain);
        }
    }
}
