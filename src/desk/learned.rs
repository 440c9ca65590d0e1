//! What have the shop's closed jobs taught? In what kinds of place its vehicles chafe.

use maud::{Markup, html};

use crate::search::lessons::Shop;

/// The table.
pub(super) fn page(shop: &Shop) -> Markup {
    let mut counts: Vec<_> = shop.counts.iter().collect();
    counts.sort_by(|one, other| other.factor().total_cmp(&one.factor()));
    html! {
        h1 { "Learned" }
        p {
            "A job teaches once it was handed over and its place was found: in what kind of place faults are, here. New jobs on "
            "paired phones begin with this table. It names no vehicle and no customer; practice jobs teach nothing."
        }
        @if shop.jobs == 0 { p.hint { "No closed job has taught anything yet." } }
        @else {
            table {
                thead { tr { th scope="col" { "Looked at" } th scope="col" { "By " (shop.jobs) " closed jobs" } } }
                tbody {
                    @for count in counts {
                        tr { td.number { "×" (format!("{:.2}", count.factor())) } td { (count.in_words(shop.jobs)) } }
                    }
                }
            }
        }
    }
}
