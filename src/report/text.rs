//! In which language does the customer read the sheet? The words stand in `assets/text`, a catalogue for each language
//! (Project Fluent); English where nothing fits better.

use chrono::{DateTime, Datelike as _, Utc};
use fluent_bundle::{FluentArgs, FluentBundle, FluentResource, FluentValue};
use rust_decimal::Decimal;

use crate::search::said::Whole;

/// A language of the sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Lang {
    /// English.
    #[default]
    En,
    /// German.
    De,
    /// Spanish.
    Es,
}

impl Lang {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::En, Self::De, Self::Es];

    /// The one that fits a language tag (BCP 47) best, such as a browser's `de-AT`.
    pub fn of(tag: &str) -> Self {
        let language = tag.trim().split(['-', '_']).next().unwrap_or_default();
        Self::ALL.into_iter().find(|known| known.tag().eq_ignore_ascii_case(language)).unwrap_or_default()
    }

    /// Its tag.
    pub fn tag(self) -> &'static str {
        match self {
            Self::En => "en",
            Self::De => "de",
            Self::Es => "es",
        }
    }

    /// Its own name.
    pub fn name(self) -> &'static str {
        match self {
            Self::En => "English",
            Self::De => "Deutsch",
            Self::Es => "Español",
        }
    }

    /// Its catalogue.
    pub fn source(self) -> &'static str {
        match self {
            Self::En => include_str!("../../assets/text/en.ftl"),
            Self::De => include_str!("../../assets/text/de.ftl"),
            Self::Es => include_str!("../../assets/text/es.ftl"),
        }
    }

    /// A number as it is written there: with a decimal comma, or a point.
    pub fn number(self, number: &str) -> String {
        match self {
            Self::En => number.to_owned(),
            Self::De | Self::Es => number.replace('.', ","),
        }
    }
}

/// What a message has of its own.
pub(super) type Args<'a> = &'a [(&'static str, Arg<'a>)];

/// A text, or a count by which the words change.
#[derive(Debug, Clone, Copy)]
pub(super) enum Arg<'a> {
    Text(&'a str),
    Count(usize),
}

/// The words of one language.
pub(super) struct Text {
    /// Which.
    pub lang: Lang,
    catalogue: FluentBundle<FluentResource>,
}

impl Text {
    #[allow(clippy::expect_used, reason = "part of the program: a test reads each")]
    pub fn of(lang: Lang) -> Self {
        let tag = lang.tag().parse().expect("a built-in language tag");
        let mut catalogue = FluentBundle::new(vec![tag]);
        // Those signs would be taken out of the page again: see `without_controls`.
        catalogue.set_use_isolating(false);
        let resource = FluentResource::try_new(lang.source().to_owned()).map_err(|(_, errors)| errors);
        catalogue.add_resource(resource.expect("a built-in catalogue")).expect("each message once");
        Self { lang, catalogue }
    }

    /// A message without anything of its own.
    pub fn say(&self, id: &str) -> String {
        self.say_with(id, &[])
    }

    /// A message. One that is not in the catalogue stands as its id: a test looks for that.
    pub fn say_with(&self, id: &str, args: Args) -> String {
        let Some(pattern) = self.catalogue.get_message(id).and_then(|message| message.value()) else {
            return id.to_owned();
        };
        let mut given = FluentArgs::new();
        for (name, arg) in args {
            match arg {
                Arg::Text(text) => given.set(*name, FluentValue::from(*text)),
                Arg::Count(count) => given.set(*name, FluentValue::from(*count)),
            }
        }
        let mut errors = Vec::new();
        self.catalogue.format_pattern(pattern, Some(&given), &mut errors).into_owned()
    }

    /// A day, in UTC.
    pub fn day(&self, at: DateTime<Utc>) -> String {
        let (day, year) = (at.day().to_string(), at.year().to_string());
        let month = Arg::Count(at.month() as usize);
        self.say_with("date", &[("day", Arg::Text(&day)), ("month", month), ("year", Arg::Text(&year))])
    }

    /// A chance. Never 0 or 100 where it is not quite that.
    pub fn percent(&self, chance: f64) -> String {
        match Whole::of(chance) {
            Whole::Over99 => self.say("over-99"),
            Whole::Under1 => self.say("under-1"),
            Whole::Percent(percent) => format!("{percent:.0} %"),
        }
    }

    /// An amount of money.
    pub fn money(&self, amount: Decimal, currency: &str) -> String {
        format!("{}\u{a0}{currency}", self.lang.number(&amount.to_string()))
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use std::collections::{BTreeMap, BTreeSet};

    use super::*;

    /// Each message of a catalogue with the variables in it.
    fn messages(lang: Lang) -> BTreeMap<String, BTreeSet<String>> {
        let mut all: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
        let mut id = String::new();
        for line in lang.source().lines().filter(|line| !line.starts_with('#')) {
            if let Some((name, _)) = line.split_once(" = ").filter(|_| !line.starts_with(' ')) {
                id = name.to_owned();
                all.insert(id.clone(), BTreeSet::new());
            }
            let word = |rest: &str| rest.chars().take_while(|c| c.is_alphanumeric()).collect::<String>();
            all.entry(id.clone()).or_default().extend(line.split('$').skip(1).map(word));
        }
        all.remove("");
        all
    }

    #[test]
    fn every_language_says_the_same_with_the_same_variables() {
        let english = messages(Lang::En);
        assert!(english.len() > 50);
        for lang in Lang::ALL {
            assert_eq!(messages(lang), english, "{lang:?}");
            let text = Text::of(lang);
            for id in english.keys() {
                assert!(text.catalogue.get_message(id).unwrap().value().is_some(), "{lang:?} {id}");
            }
        }
    }

    #[test]
    fn every_message_that_the_sheet_says_is_in_the_catalogue_and_no_other_is() {
        let code =
            include_str!("customer.rs").to_owned() + include_str!("text.rs").split("#[cfg(test)]").next().unwrap();
        let quoted: BTreeSet<&str> = code.split('"').collect();
        for id in messages(Lang::En).keys() {
            assert!(quoted.contains(id.as_str()), "{id} is said nowhere");
        }
        let said = code.split("say(\"").chain(code.split("say_with(\"")).skip(1);
        let said: BTreeSet<&str> =
            said.filter_map(|rest| rest.split('"').next()).filter(|id| !id.contains(' ')).collect();
        for id in said.into_iter().filter(|id| id.chars().all(|c| c.is_ascii_lowercase() || c == '-')) {
            assert!(messages(Lang::En).contains_key(id), "{id} is in no catalogue");
        }
    }

    #[test]
    fn dates_numbers_and_plurals_are_as_people_write_them() {
        let at = DateTime::from_timestamp(1_795_777_200, 0).unwrap();
        let days = Lang::ALL.map(|lang| Text::of(lang).day(at));
        assert_eq!(days, ["27 November 2026", "27. November 2026", "27 de noviembre de 2026"]);
        let money = Lang::ALL.map(|lang| Text::of(lang).money(Decimal::new(5730, 2), "EUR"));
        assert_eq!(money, ["57.30\u{a0}EUR", "57,30\u{a0}EUR", "57,30\u{a0}EUR"]);
        let undone =
            |lang, count| Text::of(lang).say_with("undone", &[("undone", Arg::Count(count)), ("of", Arg::Count(7))]);
        assert_eq!(undone(Lang::De, 1), "Eine von 7 Prüfungen wurde nicht gemacht.");
        assert_eq!(undone(Lang::De, 3), "3 von 7 Prüfungen wurden nicht gemacht.");
        assert_eq!(undone(Lang::Es, 1), "Una de 7 comprobaciones no se hizo.");
        assert_eq!(undone(Lang::En, 2), "2 of 7 checks were not done.");
    }

    #[test]
    fn the_language_that_fits_best_is_taken() {
        for (tag, lang) in
            [("de-AT", Lang::De), ("DE", Lang::De), ("es_MX", Lang::Es), ("fr", Lang::En), ("", Lang::En)]
        {
            assert_eq!(Lang::of(tag), lang, "{tag}");
        }
    }
}
