//! What was tried with the fuse open, on paper: what was dead, what worked, and whether that fits.

use maud::{Markup, html};

use super::{Page, words};
use crate::circuit::story::Misfit;
use crate::job::tale::Tale;

impl Page<'_> {
    pub(super) fn tried(&self) -> Markup {
        html! {
            @if !self.tales.is_empty() {
                section {
                    h2 { "What was dead with the fuse open" }
                    p { "All that this fuse feeds must be dead then, and nothing else." }
                    table {
                        thead { tr { th scope="col" { "What" } th scope="col" { "It" } th scope="col" { "Does that fit?" } th scope="col" { "Noted" } } }
                        @for tale in &self.tales { (self.tale(tale)) }
                    }
                }
            }
        }
    }

    fn tale(&self, tale: &Tale) -> Markup {
        html! {
            tbody {
                tr.zone {
                    th colspan="4" scope="rowgroup" {
                        "With " (words::state(&tale.state))
                        @if let Some(story) = &tale.story { ": " (story.meaning) }
                    }
                }
                @for answer in &tale.answers {
                    tr {
                        th scope="row" { (answer.name) }
                        td { @if answer.dead { strong { "was dead" } } @else { "worked" } }
                        td {
                            @match misfit(tale, &answer.what) {
                                _ if tale.story.is_none() => "cannot be told: no circuit was entered",
                                Some(misfit) => (misfit.meaning),
                                None => "fits",
                            }
                        }
                        td { @if let Some(event) = answer.event() { span.when { (self.when(event)) } } }
                    }
                }
            }
        }
    }
}

fn misfit<'a>(tale: &'a Tale, what: &str) -> Option<&'a Misfit> {
    let story = tale.story.as_ref()?;
    story.extra_alive.iter().chain(&story.extra_dead).find(|misfit| misfit.what == what)
}
