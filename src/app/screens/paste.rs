//! A list that someone else wrote: pasted, or a table from a file. Each line shows what it would become before it does.

use dioxus::core::spawn_forever;
use dioxus::prelude::*;
use gloo_storage::{LocalStorage, Storage};

use crate::app::house::{House, WordKind};
use crate::app::parts::{Choice, Field, FileKey, Screen, Waiting};
use crate::app::route::Route;
use crate::app::screens::circuit::fresh_id;
use crate::app::words;
use crate::away::entry::{LineUnderstood, ListAsked, Understood};
use crate::away::list_question;
use crate::device;
use crate::ids::JobId;
use crate::job::event::Act;
use crate::objects;

/// Where the list lies until it is on the circuit: a page that is loaded again has it still.
fn draft(job: JobId) -> String {
    format!("loomwalk/list/{job}")
}

/// What somebody chose for a line.
#[derive(Clone, PartialEq)]
struct Chosen {
    text: String,
    /// How many lines before it read the same.
    nth: usize,
    /// The label of the way that is taken; none: it is left out.
    way: Option<String>,
}

/// What is asked of the worker, and what it says.
#[derive(Clone, PartialEq, Default)]
struct Reading {
    text: String,
    table: bool,
    columns: Vec<usize>,
    understood: Understood,
    /// For each line which of its ways is taken, from 1; 0: it is left out.
    taken: Vec<usize>,
    /// What was chosen so far, also for lines that another reading of the list does not have.
    chosen: Vec<Chosen>,
}

impl Reading {
    fn asks(&self, asked: &ListAsked) -> bool {
        (&self.text, self.table, &self.columns) == (&asked.text, asked.table, &asked.columns)
    }

    /// Takes the answer in. A line stays as somebody chose, where that is still offered.
    fn answered(&mut self, understood: Understood) {
        self.understood = understood;
        let lines = self.understood.lines.iter().enumerate();
        self.taken = lines.map(|(at, line)| self.as_chosen(at).unwrap_or(usize::from(line.likely))).collect();
    }

    fn as_chosen(&self, at: usize) -> Option<usize> {
        let line = self.understood.lines.get(at)?;
        let same = |chosen: &&Chosen| chosen.text == line.text && chosen.nth == self.nth(at);
        match &self.chosen.iter().find(same)?.way {
            None => Some(0),
            Some(label) => Some(line.ways.iter().position(|way| way.label == *label)? + 1),
        }
    }

    fn choose(&mut self, at: usize, taken: usize) {
        let Some(line) = self.understood.lines.get(at) else { return };
        let way = taken.checked_sub(1).and_then(|way| line.ways.get(way)).map(|way| way.label.clone());
        let (text, nth) = (line.text.clone(), self.nth(at));
        self.chosen.retain(|chosen| chosen.text != text || chosen.nth != nth);
        self.chosen.push(Chosen { text, nth, way });
        if let Some(now) = self.taken.get_mut(at) {
            *now = taken;
        }
    }

    fn nth(&self, at: usize) -> usize {
        let lines = &self.understood.lines;
        lines.iter().take(at).filter(|line| lines.get(at).is_some_and(|this| this.text == line.text)).count()
    }
}

/// Takes a list in.
#[component]
pub fn Paste(job: JobId) -> Element {
    let house = House::get();
    let navigator = use_navigator();
    let mut reading = use_signal(Reading::default);
    let read =
        move |text: String, table: bool, columns: Vec<usize>| understand(house, job, reading, text, table, columns);
    let there = use_memo(move || house.open.read().of(job).is_some());
    use_effect(move || {
        if *there.read()
            && let Ok(text) = LocalStorage::get::<String>(draft(job))
        {
            let table = is_table(&text);
            read(text, table, Vec::new());
        }
    });
    let open = house.open.read();
    let Some(session) = open.of(job) else { return rsx! { Waiting { job } } };
    let has_fuse = session.job.has_fuse();
    drop(open);
    let now = reading.read().clone();
    let chosen = chosen(&now);
    let put_on = move |_| {
        let reading = reading.peek().clone();
        let acts: Vec<Act> = chosen_loads(&reading)
            .map(|load| Act::Load(crate::circuit::file::Load { id: fresh_id(house), ..load.clone() }))
            .collect();
        let told = format!("On the list: {} more.", words::count(acts.len(), "load", "loads"));
        let keeping = house.keeping(|| house.change(|_| acts));
        navigator.push(Route::Circuit { job });
        spawn_forever(async move {
            if keeping.all_kept().await {
                LocalStorage::delete(draft(job));
                house.say(WordKind::Done, told);
            }
        });
    };
    let action = rsx! {
        button { class: "key main", id: "put-on", disabled: chosen == 0, onclick: put_on,
            "Put {words::count(chosen, \"load\", \"loads\")} on the circuit"
        }
    };
    let (table, text) = (now.table, now.text.clone());
    let kinds = now.understood.kinds;
    let columns: Vec<usize> = now.understood.columns.iter().map(|(kind, _)| *kind).collect();
    rsx! {
        Screen { title: "From a list", back: Route::Circuit { job }, job, action,
            Field {
                id: "list",
                label: "Paste the list here",
                hint: "One load a line, in any order: name, side, watts or amperes, wire colour and size. Nothing goes on the circuit before you say so.",
                long: true,
                value: text.clone(),
                onkeep: move |text: String| {
                    let table = is_table(&text);
                    read(text, table, Vec::new());
                },
            }
            FileKey {
                id: "open-list",
                label: "Open a text or CSV file",
                accept: ".csv,.txt,.tsv,text/*",
                onfile: move |file: web_sys::Blob| {
                    spawn(async move {
                        match device::read_text(&file).await {
                            Ok(text) => {
                                // Another list: what was chosen for the one before is not meant for it.
                                reading.write().chosen.clear();
                                let table = is_table(&text);
                                read(text, table, Vec::new());
                            }
                            Err(error) => house.say(WordKind::Trouble, error.to_string()),
                        }
                    });
                },
            }
            if !text.is_empty() {
                Choice {
                    name: "shape",
                    legend: "It is",
                    answers: vec!["One load a line".to_owned(), "A table (CSV)".to_owned()],
                    chosen: Some(usize::from(table)),
                    onchoose: move |chosen: usize| {
                        let text = reading.peek().text.clone();
                        read(text, chosen == 1, Vec::new());
                    },
                }
            }
            if !now.understood.trouble.is_empty() {
                p { class: "trouble-text", role: "alert", {words::sentence(&now.understood.trouble)} }
            }
            for (at, (kind, title)) in now.understood.columns.into_iter().enumerate() {
                Pick {
                    key: "column-{at}",
                    id: "column-{at}",
                    label: "Column {at + 1}, “{title}”, is",
                    answers: kinds.clone(),
                    chosen: kind,
                    onpick: {
                        let columns = columns.clone();
                        move |kind| {
                            let mut columns = columns.clone();
                            columns[at] = kind;
                            let text = reading.peek().text.clone();
                            read(text, true, columns);
                        }
                    },
                }
            }
            if let Some((label, rating_a)) = now.understood.fuse.filter(|_| !has_fuse) {
                Fuse { label, rating_a }
            }
            ul { class: "told", id: "understood",
                for (at, line) in now.understood.lines.into_iter().enumerate() {
                    Line { key: "{at}", at, line, taken: now.taken.get(at).copied().unwrap_or_default(), onpick: move |way| {
                        reading.write().choose(at, way);
                    } }
                }
            }
        }
    }
}

/// One line, and what it becomes.
#[component]
fn Line(at: usize, line: LineUnderstood, taken: usize, onpick: EventHandler<usize>) -> Element {
    let mut answers = vec!["nothing: leave it out".to_owned()];
    answers.extend(line.ways.iter().map(|way| way.label.clone()));
    rsx! {
        li {
            strong { translate: "no", "{line.text}" }
            if !line.facts.is_empty() {
                span { "{line.facts}" }
            }
            if !line.missed.is_empty() {
                span { class: "hint missed", "Line {line.number}: {line.missed}" }
            }
            if !line.ways.is_empty() {
                Pick { id: "line-{at}", label: "becomes", answers, chosen: taken, onpick }
            }
        }
    }
}

/// The fuse that the list names, to be taken where the job has none.
#[component]
fn Fuse(label: String, rating_a: Option<f64>) -> Element {
    let house = House::get();
    let Some(rating_a) = rating_a else { return rsx! {} };
    rsx! {
        button {
            class: "key",
            id: "take-fuse",
            onclick: move |_| {
                let label = label.clone();
                house.change(|job| {
                    let circuit = job.circuit.as_ref();
                    let mut fuse = circuit.map_or_else(super::concern::no_fuse, |circuit| circuit.fuse.clone());
                    (fuse.label, fuse.rating_a) = (label, rating_a);
                    vec![Act::Fuse { fuse, supply: circuit.map(|circuit| circuit.supply).unwrap_or_default() }]
                });
            },
            "Take {label} {rating_a} A as this job's fuse"
        }
    }
}

/// One of several, in a list that opens.
#[component]
fn Pick(id: String, label: String, answers: Vec<String>, chosen: usize, onpick: EventHandler<usize>) -> Element {
    rsx! {
        div { class: "field",
            label { r#for: "{id}", "{label}" }
            select {
                id: "{id}",
                onchange: move |event: FormEvent| {
                    if let Ok(picked) = event.value().parse() {
                        onpick.call(picked);
                    }
                },
                for (at, answer) in answers.into_iter().enumerate() {
                    option { key: "{at}", value: "{at}", selected: at == chosen, "{answer}" }
                }
            }
        }
    }
}

/// Has a list understood, away from the page.
fn understand(house: House, job: JobId, mut reading: Signal<Reading>, text: String, table: bool, columns: Vec<usize>) {
    let vehicle = match house.open.peek().of(job) {
        Some(session) => session.job.circuit.as_ref().map(|circuit| circuit.vehicle.clone()),
        None => None,
    };
    // A browser that keeps no draft still shows the list.
    let _ = LocalStorage::set(draft(job), &text);
    let before = reading.peek().clone();
    let chosen = if is_another(&before.text, &text) { Vec::new() } else { before.chosen };
    reading.set(Reading { text: text.clone(), table, columns: columns.clone(), chosen, ..Reading::default() });
    if text.trim().is_empty() {
        return;
    }
    let asked = ListAsked { text, table, columns, vehicle: vehicle.unwrap_or_default() };
    spawn(async move {
        match ask(&asked).await {
            // Meanwhile another list may stand there.
            Ok(understood) if reading.peek().asks(&asked) => {
                reading.write().answered(understood);
            }
            Ok(_) => {}
            Err(why) => house.say(WordKind::Trouble, why),
        }
    });
}

async fn ask(asked: &ListAsked) -> Result<Understood, String> {
    let question = list_question(asked).map_err(|error| error.to_string())?;
    let answer = device::worker::ask(question).await.map_err(|error| error.to_string())?;
    objects::from_str(&answer).map_err(|error| error.to_string())
}

fn chosen_loads(reading: &Reading) -> impl Iterator<Item = &crate::circuit::file::Load> {
    let lines = reading.understood.lines.iter().zip(&reading.taken);
    lines.filter_map(|(line, taken)| line.ways.get(taken.checked_sub(1)?)).flat_map(|way| &way.loads)
}

fn chosen(reading: &Reading) -> usize {
    chosen_loads(reading).count()
}

/// Whether nothing of one list stands in the other.
fn is_another(one: &str, other: &str) -> bool {
    one.lines().filter(|line| !line.trim().is_empty()).all(|line| other.lines().all(|known| known != line))
}

/// What probably is a table: cells stand in its first line. The user may say otherwise.
fn is_table(text: &str) -> bool {
    let first = text.lines().find(|line| !line.trim().is_empty()).unwrap_or_default();
    first.contains('\t') || first.contains(';') || first.matches(',').count() >= 2
}
