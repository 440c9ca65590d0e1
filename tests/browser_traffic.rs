//! What goes over the network: a job with large photographs goes to the desk once, with next to nothing around it.

use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

use crate::browser_support::{Desk, Phone, free_port, until};
use serde_json::json;
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::{TcpListener, TcpStream};

/// How much more may go up than what is to be there in the end: heads of requests, and questions in between.
const OVER_PAYLOAD: f64 = 1.02;

/// Between the phone and the desk; counts what goes up.
struct Counter {
    url: String,
    up: Arc<AtomicU64>,
}

impl Counter {
    async fn before(desk: &Desk) -> Self {
        let up = Arc::new(AtomicU64::new(0));
        let listener = TcpListener::bind(("127.0.0.1", free_port())).await.unwrap();
        let url = format!("http://{}", listener.local_addr().unwrap());
        let (counted, to) = (Arc::clone(&up), desk.port);
        tokio::spawn(async move {
            while let Ok((near, _)) = listener.accept().await {
                let far = TcpStream::connect(("127.0.0.1", to)).await.unwrap();
                let ((near_in, near_out), (far_in, far_out)) = (near.into_split(), far.into_split());
                tokio::spawn(pass(near_in, far_out, Some(Arc::clone(&counted))));
                tokio::spawn(pass(far_in, near_out, None));
            }
        });
        Self { url, up }
    }

    fn up(&self) -> u64 {
        self.up.load(Ordering::SeqCst)
    }
}

async fn pass(
    mut from: impl AsyncReadExt + Unpin,
    mut to: impl AsyncWriteExt + Unpin,
    counted: Option<Arc<AtomicU64>>,
) {
    let mut piece = vec![0; 64 * 1024];
    // A browser that closes a connection has no more to say on it.
    while let Ok(bytes @ 1..) = from.read(&mut piece).await {
        if let Some(counted) = &counted {
            counted.fetch_add(bytes as u64, Ordering::SeqCst);
        }
        if to.write_all(&piece[..bytes]).await.is_err() {
            return;
        }
    }
    let _ = to.shutdown().await;
}

#[tokio::test(flavor = "multi_thread")]
async fn photographs_go_up_once() {
    let desk = Desk::start().await;
    let counter = Counter::before(&desk).await;
    let phone = Phone::new().await;
    let code = desk.access(&["code"]);
    phone.open(&format!("{}/pair#{code}", counter.url)).await;
    phone.tap("#pair:not(:disabled)").await;
    phone.see("#paired").await;
    phone.open(&counter.url).await;
    phone.ready_for_offline().await;
    phone.tap("#practice").await;
    phone.see("#next-step").await;
    let job = phone.job().await;
    phone.reads("The desk has all of it").await;
    phone.to_a_place().await;
    let (before, held) = (counter.up(), desk.events(&job).await.len());
    // As a camera writes them: large, and not to be made smaller.
    phone
        .script_async(
            "const done = arguments[arguments.length - 1];
             (async () => {
               for (let number = 1; number <= 3; number++) {
                 const canvas = new OffscreenCanvas(2000, 1500);
                 const ink = canvas.getContext('2d');
                 const picture = ink.createImageData(2000, 1500);
                 for (let at = 0; at < picture.data.length; at++) picture.data[at] = at % 4 === 3 ? 255 : Math.random() * 256;
                 ink.putImageData(picture, 0, 0);
                 const blob = await canvas.convertToBlob({ type: 'image/jpeg', quality: 0.9 });
                 const files = new DataTransfer();
                 files.items.add(new File([blob], `${number}.jpg`, { type: 'image/jpeg' }));
                 const input = document.querySelector('#photo-lie-file');
                 input.files = files.files;
                 input.dispatchEvent(new Event('change', { bubbles: true }));
                 while (document.querySelectorAll('.strip li').length < number) await new Promise((go) => setTimeout(go, 20));
               }
               done();
             })();",
            vec![],
        )
        .await;
    until("the desk has the photographs", async || desk.events(&job).await.len() >= held + 3).await;
    phone.reads("The desk has all of it").await;
    let new = desk.events(&job).await.split_off(held);
    let photos: u64 = new.iter().filter_map(|event| event["body"]["bytes"].as_u64()).sum();
    assert!(photos > 4_000_000, "{photos} bytes are too few to show anything");
    let payload = photos + json!(new).to_string().len() as u64;
    let up = counter.up() - before;
    assert!(up as f64 <= payload as f64 * OVER_PAYLOAD, "{up} bytes went up for {payload}");
    assert!(up >= photos, "{up} bytes went up for photographs of {photos}: they took another way");
}
