//! What has a process started, and how is all of it ended at once?

use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use super::PATIENCE;

/// The process, all that it has started, and all that they have.
pub fn family(id: u32) -> Vec<u32> {
    let all: Vec<(u32, u32)> = std::fs::read_dir("/proc")
        .unwrap()
        .flatten()
        .filter_map(|entry| {
            let id = entry.file_name().to_str()?.parse().ok()?;
            Some((id, status(id)?.1))
        })
        .collect();
    let mut found = vec![id];
    let mut next = 0;
    while let Some(&parent) = found.get(next) {
        found.extend(all.iter().filter(|(_, started_by)| *started_by == parent).map(|(id, _)| *id));
        next += 1;
    }
    found
}

/// All that were started for the browser with that profile and still run: who is just being started when a family is listed
/// goes on without it, and holds the profile.
pub fn left_of(profile: &Path) -> Vec<u32> {
    let profile = profile.as_os_str().as_encoded_bytes();
    let named = |command: &[u8]| command.windows(profile.len()).any(|part| part == profile);
    let all = std::fs::read_dir("/proc").unwrap().flatten();
    let ids = all.filter_map(|entry| entry.file_name().to_str()?.parse().ok());
    ids.filter(|id: &u32| std::fs::read(format!("/proc/{id}/cmdline")).is_ok_and(|command| named(&command))).collect()
}

/// Ends processes without time to write anything, and waits until none of them runs.
pub fn kill(ids: &[u32]) {
    let words = ids.iter().map(u32::to_string);
    let _ = Command::new("kill").arg("-9").args(words).stderr(Stdio::null()).status();
    let start = Instant::now();
    while ids.iter().any(|id| status(*id).is_some_and(|(state, _)| state != 'Z')) && start.elapsed() < PATIENCE {
        std::thread::sleep(Duration::from_millis(5));
    }
}

/// In which state a process is, and which one started it.
fn status(id: u32) -> Option<(char, u32)> {
    let text = std::fs::read_to_string(format!("/proc/{id}/stat")).ok()?;
    // Its name, in parentheses, may hold anything.
    let mut words = text.rsplit_once(')')?.1.split_whitespace();
    Some((words.next()?.chars().next()?, words.next()?.parse().ok()?))
}
