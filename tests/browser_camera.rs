//! The camera in the app, by tapping: what is shot is kept, retaken, or said not to be; and photographs from a file stand
//! upright whichever way the phone was held.
//!
//! The browser's own made-up camera stands in for a phone's. Where each way of holding puts the corner of a picture:
//! Exif (CIPA DC-008), tag Orientation, "the 0th row is at the visual … of the image, the 0th column is the visual …".

use std::path::Path;

use crate::browser_support::{Desk, Phone, until};
use base64::Engine;
use serde_json::{Value, json};
use sha2::{Digest, Sha256};

/// The photographs in the log, in order.
async fn photos(phone: &Phone, job: &str) -> Vec<Value> {
    phone.kept_events(job).await.into_iter().filter(|event| event["kind"] == "photo").collect()
}

async fn shoot(phone: &Phone) {
    phone.finder_sees().await;
    phone.tap("#shutter").await;
    phone.see("#shot-keep").await;
}

#[tokio::test(flavor = "multi_thread")]
async fn what_is_shot_is_kept_and_a_retake_takes_the_first_back() {
    let desk = Desk::start().await;
    let phone = Phone::new().await;
    phone.open(&desk.url()).await;
    phone.permit("camera", true).await;
    let job = phone.practise(&desk).await;
    phone.to_a_place().await;
    let before = photos(&phone, &job).await.len();

    phone.tap("#shoot-lie").await;
    phone.see("#shutter:not(:disabled)").await;
    assert_eq!(phone.axe().await, Vec::<String>::new());
    phone.size(320, 640).await;
    phone.picture("camera-320").await;
    let wide = phone.script("return document.querySelector('.finder').scrollWidth", vec![]).await;
    assert!(wide.as_u64().unwrap() <= 320, "{wide}");
    phone.size(390, 844).await;
    phone.picture("camera").await;
    shoot(&phone).await;
    phone.picture("camera-kept").await;
    let kept = photos(&phone, &job).await;
    assert_eq!(kept.len(), before + 1, "kept before anything is answered");
    let first = kept.last().unwrap().clone();
    assert_eq!(first["body"]["stage"], "lie");
    let name = first["body"]["sha256"].as_str().unwrap().to_owned();
    let bytes = phone.kept_photo(&name).await;
    let hash: String = Sha256::digest(&bytes).iter().map(|byte| format!("{byte:02x}")).collect();
    assert_eq!(hash, name);
    assert_eq!(first["body"]["bytes"].as_u64(), Some(bytes.len() as u64));

    phone.tap("#shot-retake").await;
    shoot(&phone).await;
    phone.tap("#shot-keep").await;
    until("the finder is closed", async || {
        phone.script("return document.querySelector('#finder')", vec![]).await.is_null()
    })
    .await;
    let events = phone.kept_events(&job).await;
    let taken_back = events.iter().any(|event| event["kind"] == "taken_back" && event["body"]["event"] == first["id"]);
    assert!(taken_back, "the first is taken back, and stays in the log");
    assert_eq!(photos(&phone, &job).await.len(), before + 2);
    assert!(phone.see("#lift").await.is_enabled().await.unwrap(), "lift is open: there is a lie photo");
    // Tall enough for all of it: what has scrolled half behind the main action is no small target.
    phone.size(390, 12_000).await;
    assert_eq!(phone.axe().await, Vec::<String>::new());
    phone.size(390, 844).await;

    phone.tap_words("Grommet torn").await;
    phone.see("[aria-label='Take back the note: Grommet torn']").await;
}

#[tokio::test(flavor = "multi_thread")]
async fn without_leave_for_the_camera_the_screen_says_what_to_do_and_a_file_still_goes() {
    let desk = Desk::start().await;
    let phone = Phone::new().await;
    phone.open(&desk.url()).await;
    phone.permit("camera", false).await;
    let job = phone.practise(&desk).await;
    phone.to_a_place().await;
    let before = photos(&phone, &job).await.len();
    phone.tap("#shoot-lie").await;
    phone.reads("with the phone's own camera").await;
    assert!(!phone.see("#shutter").await.is_enabled().await.unwrap());
    phone.picture("camera-denied").await;
    phone.tap("#finder-close").await;
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/photos/upright.jpg");
    phone.choose_file("#photo-lie-file", &file).await;
    until("the file is kept", async || photos(&phone, &job).await.len() == before + 1).await;
}

/// A JPEG that the browser makes: blue, with a red quarter at the upper left.
async fn picture(phone: &Phone, width: u32, height: u32) -> Vec<u8> {
    let script = "
        const [width, height, done] = arguments;
        const canvas = new OffscreenCanvas(width, height);
        const context = canvas.getContext('2d');
        context.fillStyle = '#00f';
        context.fillRect(0, 0, width, height);
        context.fillStyle = '#f00';
        context.fillRect(0, 0, width / 2, height / 2);
        canvas.convertToBlob({ type: 'image/jpeg', quality: 0.9 }).then((blob) => {
          const reader = new FileReader();
          reader.onload = () => done(reader.result.split(',')[1]);
          reader.readAsDataURL(blob);
        });";
    let text = phone.script_async(script, vec![json!(width), json!(height)]).await;
    base64::engine::general_purpose::STANDARD.decode(text.as_str().unwrap()).unwrap()
}

/// The same with an Exif block that says how the phone was held.
fn held(jpeg: &[u8], orientation: u8) -> Vec<u8> {
    let mut block = b"Exif\0\0II*\0\x08\0\0\0\x01\0\x12\x01\x03\0\x01\0\0\0".to_vec();
    block.extend([orientation, 0, 0, 0, 0, 0, 0, 0]);
    let length = u16::try_from(block.len() + 2).unwrap().to_be_bytes();
    [&jpeg[..2], &[0xff, 0xe1], &length, &block, &jpeg[2..]].concat()
}

/// In which quarter the thumb of a photograph is red: rightwards, downwards.
async fn red_quarter(phone: &Phone, hash: &str) -> Value {
    let script = "
        const [hash, done] = arguments;
        const open = indexedDB.open('loomwalk');
        open.onsuccess = () => {
          const one = open.result.transaction('thumbs').objectStore('thumbs').get(hash);
          one.onsuccess = async () => {
            open.result.close();
            const bitmap = await createImageBitmap(new Blob([one.result], { type: 'image/jpeg' }));
            const canvas = new OffscreenCanvas(bitmap.width, bitmap.height);
            const context = canvas.getContext('2d');
            context.drawImage(bitmap, 0, 0);
            const red = [];
            for (const y of [0.25, 0.75]) for (const x of [0.25, 0.75]) {
              const [r, , b] = context.getImageData(x * bitmap.width, y * bitmap.height, 1, 1).data;
              if (r > b) red.push([x > 0.5, y > 0.5]);
            }
            done([red, bitmap.width > bitmap.height]);
          };
        };";
    phone.script_async(script, vec![json!(hash)]).await
}

#[tokio::test(flavor = "multi_thread")]
async fn photographs_stand_upright_in_all_eight_ways_of_holding_and_the_original_is_untouched() {
    let desk = Desk::start().await;
    let phone = Phone::new().await;
    let job = phone.practise(&desk).await;
    phone.to_a_place().await;
    let folder = tempfile::tempdir().unwrap();
    let plain = picture(&phone, 480, 320).await;
    // Where the corner of the file's first row and column is seen, and whether the picture is then wide.
    let seen = [
        (false, false, true),
        (true, false, true),
        (true, true, true),
        (false, true, true),
        (false, false, false),
        (true, false, false),
        (true, true, false),
        (false, true, false),
    ];
    for (orientation, (right, below, wide)) in (1..).zip(seen) {
        let before = photos(&phone, &job).await.len();
        let file = folder.path().join(format!("held-{orientation}.jpg"));
        let bytes = held(&plain, orientation);
        std::fs::write(&file, &bytes).unwrap();
        phone.choose_file("#photo-lie-file", &file).await;
        until("it is kept", async || photos(&phone, &job).await.len() == before + 1).await;
        let kept = photos(&phone, &job).await.pop().unwrap();
        let hash = kept["body"]["sha256"].as_str().unwrap();
        assert_eq!(phone.kept_photo(hash).await, bytes, "orientation {orientation}: the original");
        let size = (kept["body"]["width"].as_u64().unwrap(), kept["body"]["height"].as_u64().unwrap());
        assert_eq!(size, if wide { (480, 320) } else { (320, 480) }, "orientation {orientation}");
        assert_eq!(red_quarter(&phone, hash).await, json!([[[right, below]], wide]), "orientation {orientation}");
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_photograph_of_50_megapixels_is_kept_whole() {
    let desk = Desk::start().await;
    let phone = Phone::new().await;
    let job = phone.practise(&desk).await;
    phone.to_a_place().await;
    let before = photos(&phone, &job).await.len();
    let bytes = picture(&phone, 8_660, 5_774).await;
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("large.jpg");
    std::fs::write(&file, &bytes).unwrap();
    phone.choose_file("#photo-lie-file", &file).await;
    until("it is kept", async || photos(&phone, &job).await.len() == before + 1).await;
    let kept = photos(&phone, &job).await.pop().unwrap();
    assert_eq!((kept["body"]["width"].as_u64(), kept["body"]["height"].as_u64()), (Some(8_660), Some(5_774)));
    assert_eq!(kept["body"]["bytes"].as_u64(), Some(bytes.len() as u64));
    assert_eq!(red_quarter(&phone, kept["body"]["sha256"].as_str().unwrap()).await, json!([[[false, false]], true]));
}
