//! How does one say what this fuse is, and what it does at a current?
//!
//! A link melts once and is replaced; a breaker that resets trips and closes again by itself, and must not be spoken of
//! as if it stayed open.

use crate::circuit::file::FuseStyle;
use crate::circuit::fuse::{Curve, OpenWindow};
use crate::units::Amps;

/// What stands in the fuse's place, in one word.
pub fn noun(style: FuseStyle) -> &'static str {
    if style.resets() { "breaker" } else { "fuse" }
}

/// The style, as it stands behind a rating: `15 A blade fuse`.
pub fn style(style: FuseStyle) -> &'static str {
    match style {
        FuseStyle::Blade => "blade fuse",
        FuseStyle::Mini => "mini fuse",
        FuseStyle::Maxi => "maxi fuse",
        FuseStyle::Cartridge => "slow cartridge fuse",
        FuseStyle::Breaker => "breaker that resets by itself",
    }
}

/// What follows once it has opened. Empty where it stays open.
pub fn and_then(style: FuseStyle) -> &'static str {
    if style.resets() { " It closes again by itself, and the wire heats at every closing." } else { "" }
}

/// What it does within a window: `opens within 0.15 to 5 s`, `trips within 2 to 60 s`, `need not open`.
pub fn does(style: FuseStyle, window: OpenWindow) -> String {
    let (does, not) = if style.resets() { ("trips", "trip") } else { ("opens", "open") };
    match window {
        OpenWindow { max_s: None, .. } => format!("need not {not}"),
        OpenWindow { min_s, max_s: Some(max_s) } if min_s <= 0.0 => format!("{does} within {}", time(max_s)),
        OpenWindow { min_s, max_s: Some(max_s) } => format!("{does} within {}", span(min_s, max_s)),
    }
}

/// Two times, the unit once where it is the same: `0.15 to 5 s`, `2 ms to 2 s`.
pub fn span(from_s: f64, to_s: f64) -> String {
    let (from, to) = (time(from_s), time(to_s));
    match (from.split_once(' '), to.split_once(' ')) {
        (Some((number, one)), Some((_, other))) if one == other => format!("{number} to {to}"),
        _ => format!("{from} to {to}"),
    }
}

/// How this fuse behaves, by its rating, A: what it holds, and how soon it opens at two and six times that.
pub fn behaviour(style: FuseStyle, rating_a: f64) -> String {
    let curve = Curve::of(style, rating_a);
    let (holds, _) = curve.bounds();
    let at = |times: f64| (Amps(times * rating_a), does(style, curve.window(times)));
    let ((twice, at_twice), (six, at_six)) = (at(2.0), at(6.0));
    let (holds, twice, six) = (amperes(Amps(holds * rating_a)), amperes(twice), amperes(six));
    format!(
        "Up to {holds} it holds without end. At twice its rating, {twice}, it {at_twice}; at six times, {six}, it \
         {at_six}.{}",
        and_then(style)
    )
}

/// A current with the digits that mean something.
pub fn amperes(amps: Amps) -> String {
    let text = if amps.0 < 99.95 { format!("{:.1}", amps.0) } else { format!("{:.0}", amps.0) };
    format!("{} A", text.strip_suffix(".0").unwrap_or(&text))
}

/// A time as short as it can be told: `2 ms`, `0.15 s`, `5 s`, `30 min`, `100 h`.
pub fn time(seconds: f64) -> String {
    let plain = |value: f64, unit: &str| {
        let text = if value < 10.0 { format!("{value:.2}") } else { format!("{value:.0}") };
        let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
        format!("{text} {unit}")
    };
    match seconds {
        _ if seconds < 0.01 => plain(seconds * 1000.0, "ms"),
        _ if seconds < 100.0 => plain(seconds, "s"),
        _ if seconds < 6000.0 => plain(seconds / 60.0, "min"),
        _ => plain(seconds / 3600.0, "h"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_and_currents_are_told_as_short_as_they_can_be() {
        let times = [0.002, 0.0004, 0.03, 0.15, 1.0, 5.0, 60.0, 600.0, 1800.0, 3600.0, 360_000.0];
        let told = times.map(time).join(", ");
        assert_eq!(told, "2 ms, 0.4 ms, 0.03 s, 0.15 s, 1 s, 5 s, 60 s, 10 min, 30 min, 60 min, 100 h");
        assert_eq!([16.5, 30.0, 90.04, 240.0].map(|amps| amperes(Amps(amps))).join(", "), "16.5 A, 30 A, 90 A, 240 A");
    }

    #[test]
    fn a_fuse_is_said_to_open_and_a_breaker_to_trip_and_close_again() {
        expect_test::expect!["Up to 16.5 A it holds without end. At twice its rating, 30 A, it opens within 0.15 to 5 s; at six times, 90 A, it opens within 0.03 to 0.1 s."]
            .assert_eq(&behaviour(FuseStyle::Blade, 15.0));
        expect_test::expect!["Up to 20 A it holds without end. At twice its rating, 40 A, it trips within 2 to 60 s; at six times, 120 A, it trips within 0.1 to 4 s. It closes again by itself, and the wire heats at every closing."]
            .assert_eq(&behaviour(FuseStyle::Breaker, 20.0));
        for style in FuseStyle::ALL {
            assert_eq!(behaviour(style, 30.0).contains("closes again"), style.resets(), "{style:?}");
            assert_eq!(behaviour(style, 30.0).contains("trips"), style.resets(), "{style:?}");
        }
    }
}
