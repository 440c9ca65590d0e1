//! The browser is killed at 50 random moments while someone captures: photographs, notes, what is drawn. After each, all
//! that the screen had said to be kept is there, and nothing half-written is shown.

use std::collections::BTreeSet;
use std::path::Path;
use std::time::{Duration, Instant};

use crate::browser_support::{Desk, Phone, until};
use crate::dice::Dice;
use serde_json::json;
use sha2::{Digest, Sha256};

const KILLS: usize = 50;

/// Entries and photographs that the screen says are kept.
fn said(text: &str) -> Option<(usize, usize)> {
    let numbers: Vec<usize> = text
        .strip_prefix("Kept on this phone: ")?
        .split([' ', ','])
        .filter_map(|word| word.parse().ok())
        .take(2)
        .collect();
    let [entries, photographs] = numbers[..] else { return None };
    Some((entries, photographs))
}

#[test]
fn the_line_of_what_is_kept_is_understood() {
    assert_eq!(said("Kept on this phone: 41 entries, 5 photographs. No desk here"), Some((41, 5)));
    assert_eq!(said("Reading the job …"), None);
}

/// Taps phrases and chooses photographs, one after the other, as fast as the page takes them.
const CAPTURE: &str = "
    const [pictures] = arguments;
    const bytes = Uint8Array.from(atob(pictures), (letter) => letter.charCodeAt(0));
    let count = 0;
    const choose = () => {
      const input = document.querySelector('#photo-lie-file');
      if (!input) return;
      const files = new DataTransfer();
      // What stands behind a picture's end belongs to nobody, and makes it another file.
      files.items.add(new File([bytes, `${Date.now()} ${count++}`], 'photo.jpg', { type: 'image/jpeg' }));
      input.files = files.files;
      input.dispatchEvent(new Event('change', { bubbles: true }));
    };
    const phrase = () => [...document.querySelectorAll('.outcomes .key')].find((key) => key.textContent.includes('Grommet'))?.click();
    setInterval(choose, 150);
    setInterval(phrase, 40);";

#[tokio::test(flavor = "multi_thread")]
async fn killed_at_fifty_random_moments_of_capture_nothing_that_was_said_to_be_kept_is_lost() {
    use base64::Engine as _;
    let upright = std::fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/photos/upright.jpg")).unwrap();
    let picture = base64::engine::general_purpose::STANDARD.encode(&upright);
    let mut desk = Desk::start().await;
    let mut phone = Phone::new().await;
    let job = phone.practise(&desk).await;
    phone.to_a_place().await;
    let place = phone.driver().current_url().await.unwrap().to_string();
    phone.ready_for_offline().await;
    desk.stop();

    let mut dice = Dice(20_261_127);
    let mut checked: BTreeSet<String> = BTreeSet::new();
    let mut most = (0, 0);
    // Within which the moments lie: a few times as long as this machine takes for a photograph.
    let mut window = Duration::from_millis(900);
    for kill in 0..KILLS {
        phone.open(&place).await;
        phone.see("#photo-lie-file").await;
        let kept_line = async || {
            let text = phone.script("return document.querySelector('#kept')?.innerText ?? ''", vec![]).await;
            said(text.as_str().unwrap_or_default())
        };
        until("the job is there", async || kept_line().await.is_some()).await;
        let before = kept_line().await;
        let began = Instant::now();
        phone.script(CAPTURE, vec![json!(picture)]).await;
        if kill == 0 {
            until("the first photograph", async || kept_line().await.map(|kept| kept.1) > before.map(|kept| kept.1))
                .await;
            window = window.max(began.elapsed() * 3);
        }
        let moment = window.mul_f64(dice.share());
        while began.elapsed() < moment {
            most = kept_line().await.map_or(most, |seen| (seen.0.max(most.0), seen.1.max(most.1)));
        }
        phone.restart().await;

        phone.open(&place).await;
        phone.see("#kept").await;
        let events = phone.kept_events(&job).await;
        let photos: Vec<&serde_json::Value> = events.iter().filter(|event| event["kind"] == "photo").collect();
        assert!(events.len() >= most.0, "kill {kill}: {} entries, {} were said to be kept", events.len(), most.0);
        assert!(photos.len() >= most.1, "kill {kill}: {} photographs, {} were said to be kept", photos.len(), most.1);
        for photo in photos {
            let name = photo["body"]["sha256"].as_str().unwrap().to_owned();
            if checked.insert(name.clone()) {
                let bytes = phone.kept_photo(&name).await;
                let hash: String = Sha256::digest(&bytes).iter().map(|byte| format!("{byte:02x}")).collect();
                assert_eq!(hash, name, "kill {kill}: half a photograph");
            }
        }
        let rows = phone.rows().await;
        for store in ["originals", "previews", "thumbs"] {
            assert_eq!(rows[store], json!(checked.len()), "kill {kill}: photographs without an entry, or the reverse");
        }
        most = (events.len(), most.1.max(checked.len().min(most.1)));
    }
    assert!(checked.len() > KILLS / 2, "photographs were taken: {}", checked.len());
    assert!(most.0 > KILLS, "entries were made: {}", most.0);
}
