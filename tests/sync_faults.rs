//! Two phones, one job, two desks on one store, and a network that breaks off, delays, repeats and lies: nothing is lost,
//! nothing is there twice, and in the end all hold the same.
//!
//! The phones here send by the same decisions as the app's (`sync::decide`); the network in between is a relay that is
//! told by a seed what to spoil.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;
use std::time::Duration;

use crate::desk_support::{at, client_of, hash, job_id, serve};
use crate::dice::Dice;
use loomwalk::bundle::file;
use loomwalk::desk::intake::Desk;
use loomwalk::desk::store::{Place, Store};
use loomwalk::ids::{BundleId, DeviceId, EventId, IdMaker, JobId, PhotoHash};
use loomwalk::job::event::{Event, Photo};
use loomwalk::job::log::Log;
use loomwalk::job::state::Job;
use loomwalk::sync::decide::{Confirmed, Here, Sending, decide};
use loomwalk::sync::protocol::{EventPage, Receipt};
use reqwest::{Client, StatusCode};
use serde_json::json;
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::{TcpListener, TcpStream};
use uuid::Uuid;

/// What the relay does to one connection.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Spoil {
    Nothing,
    /// Both sides are reset once so many bytes have passed, requests and answers counted together.
    ResetAfter(usize),
    /// The request passes, its answer never comes back.
    SwallowAnswer,
    /// The request reaches the desk twice.
    Twice,
    /// The desk is not asked; something before it says 500.
    Say500,
    /// Everything is late.
    Delay(u64),
}

/// Between phones and a desk.
struct Relay {
    base: String,
}

impl Relay {
    /// `plan`: what happens to each connection, by its number.
    async fn start(to: String, plan: impl Fn(usize) -> Spoil + Send + Sync + 'static) -> Self {
        let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
        let base = format!("http://{}", listener.local_addr().unwrap());
        tokio::spawn(async move {
            for number in 0.. {
                let Ok((near, _)) = listener.accept().await else { return };
                let (to, spoil) = (to.clone(), plan(number));
                // What breaks is what is wanted.
                tokio::spawn(async move { relay(near, &to, spoil).await.unwrap_or(()) });
            }
        });
        Self { base }
    }
}

async fn relay(mut near: TcpStream, to: &str, spoil: Spoil) -> std::io::Result<()> {
    let request = read_message(&mut near).await?;
    if let Spoil::Delay(millis) = spoil {
        tokio::time::sleep(Duration::from_millis(millis)).await;
    }
    if spoil == Spoil::Say500 {
        return near
            .write_all(b"HTTP/1.1 500 Internal Server Error\r\ncontent-length: 0\r\nconnection: close\r\n\r\n")
            .await;
    }
    let cut = match spoil {
        Spoil::ResetAfter(bytes) => bytes,
        _ => usize::MAX,
    };
    let mut answer = Vec::new();
    for _ in 0..if spoil == Spoil::Twice { 2 } else { 1 } {
        let mut far = TcpStream::connect(to.trim_start_matches("http://")).await?;
        far.write_all(&request[..request.len().min(cut)]).await?;
        if cut <= request.len() {
            far.set_zero_linger()?;
            return near.set_zero_linger();
        }
        answer.clear();
        far.read_to_end(&mut answer).await?;
    }
    if spoil == Spoil::SwallowAnswer {
        return near.set_zero_linger();
    }
    let until = answer.len().min(cut - request.len());
    near.write_all(&answer[..until]).await?;
    if until < answer.len() { near.set_zero_linger() } else { near.shutdown().await }
}

/// A whole request: its head, and as many bytes as it says.
async fn read_message(stream: &mut TcpStream) -> std::io::Result<Vec<u8>> {
    let (mut message, mut piece) = (Vec::new(), [0; 16 * 1024]);
    loop {
        if let Some(end) = message.windows(4).position(|four| four == b"\r\n\r\n") {
            let head = String::from_utf8_lossy(&message[..end]).to_lowercase();
            let length =
                head.split("content-length: ").nth(1).and_then(|rest| rest.lines().next()?.trim().parse().ok());
            if message.len() >= end + 4 + length.unwrap_or(0) {
                return Ok(message);
            }
        }
        match stream.read(&mut piece).await? {
            0 => return Err(std::io::ErrorKind::UnexpectedEof.into()),
            some => message.extend_from_slice(&piece[..some]),
        }
    }
}

/// A phone with one job, as much of it as sending is about.
struct Phone {
    ids: IdMaker,
    salt: u8,
    device: DeviceId,
    job: JobId,
    log: Log,
    photos: BTreeMap<PhotoHash, Vec<u8>>,
    confirmed: Confirmed,
    cursor: String,
}

impl Phone {
    fn new(job: JobId, salt: u8) -> Self {
        let device = DeviceId(Uuid::from_u128(u128::from(salt)));
        Self {
            ids: IdMaker::default(),
            salt,
            device,
            job,
            log: Log::default(),
            photos: BTreeMap::new(),
            confirmed: Confirmed::default(),
            cursor: String::new(),
        }
    }

    fn id(&mut self) -> Uuid {
        self.ids.make(at(), [self.salt; 10])
    }

    fn act(&mut self, kind: &str, body: serde_json::Value) {
        let event = Event { id: EventId(self.id()), at: at(), device_id: self.device, kind: kind.to_owned(), body };
        self.log.union([event]).unwrap();
    }

    fn photograph(&mut self, bytes: Vec<u8>) {
        let name = hash(&bytes);
        let body = json!({ "sha256": name, "bytes": bytes.len(), "media_type": "image/jpeg", "width": 4, "height": 3, "stage": "close" });
        self.act("photo", body);
        self.photos.insert(name, bytes);
    }

    /// One round: what is decided is sent, what the desk has is fetched. `Err`: it broke off; the next round goes on.
    async fn round(&mut self, client: &Client, base: &str) -> Result<(), String> {
        let broke = |error: reqwest::Error| error.to_string();
        let events: Vec<Event> = self.log.events().cloned().collect();
        let job = Job::fold(self.job, &self.log);
        let listed: Vec<Photo> = job.photos.iter().map(|(_, photo)| photo.clone()).collect();
        loop {
            let here: Vec<Photo> =
                listed.iter().filter(|photo| self.photos.contains_key(&photo.sha256)).cloned().collect();
            let sendings = decide(Here { events: &events, photos: &here }, &self.confirmed);
            let Some(next) = sendings.into_iter().next() else { break };
            match next {
                Sending::Photo(photo) => {
                    let url = format!("{base}/api/v1/photos/{}", photo.sha256);
                    let held = client.head(&url).send().await.map_err(broke)?.status();
                    if held == StatusCode::NOT_FOUND {
                        let sent =
                            client.put(&url).body(self.photos[&photo.sha256].clone()).send().await.map_err(broke)?;
                        if !sent.status().is_success() {
                            return Err(sent.status().to_string());
                        }
                    } else if held != StatusCode::OK {
                        return Err(held.to_string());
                    }
                    self.confirmed.photos.insert(photo.sha256.clone());
                }
                Sending::Bundle(going) => {
                    let going: Vec<EventId> = going.iter().map(|event| event.id).collect();
                    let chosen: Vec<Event> = events.iter().filter(|event| going.contains(&event.id)).cloned().collect();
                    let bundle = file::make(&job, &chosen, BundleId(self.id()), self.device, at());
                    let url = format!("{base}/api/v1/jobs/{}/bundles/{}", self.job, bundle.bundle_id);
                    let sent = client.put(url).json(&bundle).send().await.map_err(broke)?;
                    if !sent.status().is_success() {
                        return Err(sent.status().to_string());
                    }
                    let receipt: Receipt = sent.json().await.map_err(broke)?;
                    assert_eq!(receipt.events, going, "a receipt is true");
                    self.confirmed.take(&receipt);
                }
            }
        }
        loop {
            let url = format!("{base}/api/v1/jobs/{}/events?after={}", self.job, self.cursor);
            let answer = client.get(url).send().await.map_err(broke)?;
            if answer.status() == StatusCode::NOT_FOUND {
                return Ok(());
            }
            if !answer.status().is_success() {
                return Err(answer.status().to_string());
            }
            let page: EventPage = answer.json().await.map_err(broke)?;
            self.confirmed.events.extend(page.events.iter().map(|event| event.id));
            self.log.union(page.events).unwrap();
            self.cursor = page.next;
            if !page.more {
                return Ok(());
            }
        }
    }
}

/// Two desks on one store, and a client that may come in.
struct Shop {
    desks: Vec<Arc<Desk>>,
    bases: Vec<String>,
    client: Client,
}

impl Shop {
    async fn open() -> Self {
        let store = Store::open(&Place::Memory).await.unwrap();
        let (mut desks, mut bases) = (Vec::new(), Vec::new());
        for _ in 0..2 {
            let desk = Arc::new(Desk::open(store.clone()).await.unwrap());
            let (base, _) = serve(&desk, None).await;
            desks.push(desk);
            bases.push(base);
        }
        let client = Self::pair(&desks[0]).await;
        Self { desks, bases, client }
    }

    /// A client that makes a connection for each call, so that each is spoiled by itself.
    async fn pair(desk: &Desk) -> Client {
        let (token, _) = desk.access().pair("tests").await.unwrap();
        client_of([("authorization", &format!("Bearer {token}")), ("connection", "close")])
    }
}

/// All three hold the same, and all that was ever made.
async fn hold_the_same(shop: &Shop, phones: &[Phone], made: usize) {
    for desk in &shop.desks {
        let shelf = desk.shelf(phones[0].job).await.unwrap();
        assert_eq!(shelf.log().len(), made);
        for phone in phones {
            assert_eq!(&phone.log, shelf.log());
        }
        let held = desk.held_photos(&shelf).await.unwrap();
        let taken: BTreeSet<PhotoHash> = phones.iter().flat_map(|phone| phone.photos.keys().cloned()).collect();
        assert_eq!(held, taken);
    }
}

fn spoil(dice: &mut Dice) -> Spoil {
    match dice.below(8) {
        0 => Spoil::ResetAfter(dice.below(4_000)),
        1 => Spoil::SwallowAnswer,
        2 => Spoil::Twice,
        3 => Spoil::Say500,
        4 => Spoil::Delay(dice.below(4) as u64),
        _ => Spoil::Nothing,
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_thousand_spoiled_exchanges_lose_nothing_and_leave_nothing_twice() {
    let shop = Shop::open().await;
    for seed in 0..1_000_u64 {
        let mut dice = Dice(seed);
        let job = job_id(u128::from(seed));
        let mut relays = Vec::new();
        for base in &shop.bases {
            let seeded = dice.bits();
            relays
                .push(Relay::start(base.clone(), move |number| spoil(&mut Dice(seeded ^ (number as u64) << 7))).await);
        }
        let mut phones = [Phone::new(job, 1), Phone::new(job, 2)];
        let mut made = 0;
        // Acts and rounds in any order; now this desk is reached, now that, and for a while neither.
        for _ in 0..6 {
            let phone = &mut phones[dice.below(2)];
            for _ in 0..dice.below(3) {
                phone.act("note", json!({ "text": format!("{}", dice.bits()) }));
                made += 1;
            }
            if dice.below(3) == 0 {
                phone.photograph(dice.bits().to_le_bytes().repeat(1 + dice.below(300)));
                made += 1;
            }
            if dice.below(3) > 0 {
                let _ = phone.round(&shop.client, &relays[dice.below(2)].base).await;
            }
        }
        // The network gets better. Two passes: what one sends last the other has not fetched in the first.
        for _ in 0..2 {
            for (phone, base) in phones.iter_mut().zip(&shop.bases) {
                phone.round(&shop.client, base).await.unwrap();
            }
        }
        if made > 0 {
            hold_the_same(&shop, &phones, made).await;
        }
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_reset_at_every_byte_of_a_small_exchange_costs_nothing_but_the_time() {
    let mut shop = Shop::open().await;
    let base = shop.bases[0].clone();
    // Which call of the round is cut, and after how many bytes.
    let mut job = 0;
    for call in 0..4_usize {
        let mut cut = 0;
        loop {
            job += 1;
            if job % 100 == 0 {
                // One phone alone would call too often.
                shop.client = Shop::pair(&shop.desks[0]).await;
            }
            let relay =
                Relay::start(
                    base.clone(),
                    move |number| if number == call { Spoil::ResetAfter(cut) } else { Spoil::Nothing },
                )
                .await;
            let mut phone = Phone::new(job_id(job), 1);
            phone.photograph(job.to_le_bytes().to_vec());
            let broke = phone.round(&shop.client, &relay.base).await.is_err();
            phone.round(&shop.client, &relay.base).await.unwrap();
            hold_the_same(&shop, &[phone], 1).await;
            if !broke {
                assert!(cut > 150, "a call is longer than {cut} bytes");
                break;
            }
            // A connection that is gone before anything came back is tried again by the client itself at times: go on until
            // the whole exchange passes.
            cut += 1;
        }
    }
}
