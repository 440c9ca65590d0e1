//! What does this program do in a browser, apart from its screens? A page that tries it, for `tests/browser_store.rs`.
//!
//! The part behind `#` in the address says what to try; what came of it is written into the page, a line each.

#[cfg(target_arch = "wasm32")]
fn main() {
    page::start();
}

#[cfg(not(target_arch = "wasm32"))]
fn main() {
    println!("this is a page for a browser: cargo xtask test browser_store");
}

#[cfg(target_arch = "wasm32")]
mod page {
    use std::cell::Cell;
    use std::rc::Rc;

    use js_sys::{ArrayBuffer, Uint8Array};
    use loomwalk::bundle::Leaving;
    use loomwalk::device::{self, DeviceError, worker};
    use loomwalk::ids::{BundleId, DeviceId, EventId, IdMaker, JobId, ShelvedId};
    use loomwalk::job::event::{Act, Event, Photo, Stage};
    use loomwalk::shelf::{Shelf, Shelved};
    use loomwalk::store::contract::{self, Subject};
    use loomwalk::store::{IdbStore, NewPhoto, Store, StoreError};
    use loomwalk::sync::outbox::Outbox;
    use wasm_bindgen::JsCast;
    use wasm_bindgen_futures::{JsFuture, spawn_local};
    use web_sys::{Document, Element, HtmlImageElement, HtmlInputElement};

    /// Loaded twice: as the page, and as its worker.
    pub fn start() {
        let Some(window) = web_sys::window() else { return device::start_worker() };
        let task = window.location().hash().unwrap_or_default();
        spawn_local(async move {
            let said = match task.as_str() {
                "#contract" => format!("{:?}", contract::run(&InIndexedDb(Cell::new(0))).await),
                "#durability" => told(durability().await),
                "#fill" => told(fill().await),
                "#listen" => told(listen().await),
                "#keep" => told(keep().await),
                "#shelve" => told(shelve().await),
                "#of-version-1" => told(of_version_1().await),
                "#photo" => told(photo().await),
                "#send" => told(send(true).await),
                "#send-without-bytes" => told(send(false).await),
                other => format!("unknown task {other:?}"),
            };
            write(&said);
        });
    }

    fn told(said: Result<String, StoreError>) -> String {
        said.unwrap_or_else(|error| error.to_string())
    }

    fn add(name: &str) -> Option<(Document, Element)> {
        let document = web_sys::window()?.document()?;
        let element = document.create_element(name).ok()?;
        document.body()?.append_child(&element).ok()?;
        Some((document, element))
    }

    fn write(line: &str) {
        if let Some((_, paragraph)) = add("p") {
            paragraph.set_text_content(Some(line));
        }
    }

    /// Stores of ever new names.
    struct InIndexedDb(Cell<u32>);

    impl InIndexedDb {
        fn name(&self) -> String {
            format!("contract-{}", self.0.get())
        }
    }

    impl Subject for InIndexedDb {
        type Store = IdbStore;

        async fn fresh(&self) -> Result<IdbStore, StoreError> {
            self.0.set(self.0.get() + 1);
            IdbStore::open_named(&self.name()).await
        }

        async fn reopened(&self, store: IdbStore) -> Result<IdbStore, StoreError> {
            drop(store);
            IdbStore::open_named(&self.name()).await
        }

        fn bytes(&self, plain: &[u8]) -> ArrayBuffer {
            Uint8Array::from(plain).buffer()
        }

        fn plain(&self, bytes: &ArrayBuffer) -> Vec<u8> {
            Uint8Array::new(bytes).to_vec()
        }
    }

    async fn durability() -> Result<String, StoreError> {
        Ok(format!("{:?}", IdbStore::open().await?.durability().await?))
    }

    /// Makes events of one device.
    #[derive(Default)]
    struct Pen {
        ids: IdMaker,
    }

    impl Pen {
        fn id(&mut self) -> uuid::Uuid {
            self.ids.make(device::now(), device::random())
        }

        fn event(&mut self, act: &Act) -> Event {
            let device = DeviceId(uuid::Uuid::from_u128(7));
            Event::new(EventId(self.id()), device::now(), device, act)
        }

        fn note(&mut self) -> Event {
            self.event(&Act::Note { point: None, text: "a note".to_owned() })
        }
    }

    fn noise(length: usize) -> Vec<u8> {
        let mut noise = vec![0; length];
        for part in noise.chunks_mut(10) {
            part.copy_from_slice(&device::random()[..part.len()]);
        }
        noise
    }

    /// Keeps photographs of a megabyte until there is no room; then what was refused must not be there.
    async fn fill() -> Result<String, StoreError> {
        let store = IdbStore::open().await?;
        let mut pen = Pen::default();
        let job = JobId(pen.id());
        for count in 0..200_usize {
            let Ok(hash) = format!("{count:064x}").parse() else { return Ok("no name".to_owned()) };
            let photo = NewPhoto {
                photo_hash: hash,
                media_type: "image/jpeg".to_owned(),
                // What could be squeezed would take less room than it says.
                original: Uint8Array::from(noise(1 << 20).as_slice()).buffer(),
                preview: None,
                thumb: None,
            };
            let hash = photo.photo_hash.clone();
            if let Err(error) = store.keep(job, &[pen.note()], vec![photo]).await {
                let as_before = store.log(job).await?.len() == count && store.photo(&hash).await?.is_none();
                // No room for a name of four megabytes either.
                let name: String = noise(2 << 20).iter().map(|byte| format!("{byte:02x}")).collect();
                let refused = store.keep_on_shelf(&shelved(&mut pen, &name)?.into()).await;
                let full = matches!(refused, Err(StoreError::Full { .. }));
                let as_it_was = store.shelf().await? == Shelf::default();
                write(&format!("the shelf is full: {full}, and as it was: {as_it_was}"));
                let enough = count > 0;
                return Ok(format!("{error} / some were kept: {enough}, the refused one left no trace: {as_before}"));
            }
        }
        Ok("there was always room".to_owned())
    }

    /// Hears what another tab keeps; keeps something itself when the network comes back.
    async fn listen() -> Result<String, StoreError> {
        let store = Rc::new(IdbStore::open().await?);
        let reading = Rc::clone(&store);
        store.on_change(move |job| {
            let store = Rc::clone(&reading);
            spawn_local(async move {
                let log = store.log(job).await.map(|log| log.len());
                write(&format!("changed: {log:?}"));
            });
        });
        let reading = Rc::clone(&store);
        store.on_shelf_change(move || {
            let store = Rc::clone(&reading);
            spawn_local(async move {
                let shelf = store.shelf().await.map(|shelf| shelf.entries().len());
                write(&format!("shelf changed: {shelf:?}"));
            });
        });
        let listener = device::on_online(move || {
            let store = Rc::clone(&store);
            spawn_local(async move { write(&told(keep_in(&store).await)) });
        });
        if let Some(listener) = listener {
            listener.for_good();
        }
        Ok("listening".to_owned())
    }

    /// A circuit for the shelf.
    fn shelved(pen: &mut Pen, label: &str) -> Result<Shelved, StoreError> {
        let circuit = serde_json::from_str(
            r#"{ "format": "loomwalk/circuit", "version": 1, "fuse": { "rating_a": 15 }, "loads": [] }"#,
        );
        let circuit = circuit.map_err(|error| StoreError::Failed { why: error.to_string() })?;
        let id = ShelvedId(pen.id());
        let (vin_begins, from_job) = (None, None);
        Ok(Shelved { id, kept_at: device::now(), label: label.to_owned(), vin_begins, from_job, circuit })
    }

    async fn shelve() -> Result<String, StoreError> {
        let store = IdbStore::open().await?;
        store.keep_on_shelf(&shelved(&mut Pen::default(), "van")?.into()).await?;
        Ok(format!("shelved {}", store.shelf().await?.entries().len()))
    }

    /// What a store that the first version of the database kept has to say, and whether it takes a shelf.
    async fn of_version_1() -> Result<String, StoreError> {
        let store = IdbStore::open().await?;
        let device = store.device(DeviceId(uuid::Uuid::nil())).await?;
        let jobs = store.jobs().await?;
        let mut said = format!("device {device}, {} jobs", jobs.len());
        for job in jobs {
            let (log, receipts) = (store.log(job).await?, store.receipts(job).await?);
            said += &format!(", {} events of {job} ({}), {} receipts", log.len(), log[0].kind, receipts.len());
        }
        let confirmed = store.confirmed_photos().await?;
        said += &format!(", {} photos at the desk", confirmed.len());
        for hash in &confirmed {
            let plain = |found: Option<(String, ArrayBuffer)>| found.map(|(_, bytes)| Uint8Array::new(&bytes).to_vec());
            let (photo, small) = (plain(store.photo(hash).await?), plain(store.preview(hash).await?));
            said += &format!(", original {photo:?}, preview {small:?}, thumb {:?}", plain(store.thumb(hash).await?));
        }
        said += &format!(", shelf {}", store.shelf().await?.entries().len());
        store.keep_on_shelf(&shelved(&mut Pen::default(), "van")?.into()).await?;
        Ok(format!("{said}, then {}", store.shelf().await?.entries().len()))
    }

    async fn keep() -> Result<String, StoreError> {
        keep_in(&IdbStore::open().await?).await
    }

    async fn keep_in(store: &IdbStore) -> Result<String, StoreError> {
        let mut pen = Pen::default();
        let job = JobId(pen.id());
        store.keep(job, &[pen.note()], vec![]).await?;
        Ok(format!("kept {}", store.log(job).await?.len()))
    }

    /// Prepares the file that the test chooses, keeps it, packs it, and unpacks it again.
    async fn photo() -> Result<String, StoreError> {
        let Some(input) = add("input").and_then(|(_, input)| input.dyn_into::<HtmlInputElement>().ok()) else {
            return Ok("there is no input".to_owned());
        };
        input.set_type("file");
        let chosen = input.clone();
        let listener = device::Listener::new(&input, "change", move |_| {
            let Some(file) = chosen.files().and_then(|files| files.get(0)) else { return };
            spawn_local(async move {
                let said = around(file.into()).await;
                write(&said.unwrap_or_else(|error| error.to_string()));
            });
        });
        listener.for_good();
        Ok("choose a file".to_owned())
    }

    async fn around(file: web_sys::Blob) -> Result<String, DeviceError> {
        let made = worker::prepare_photo(file).await?;
        let mut said = format!(
            "{} {} {} bytes, {}x{}, taken {}, place removed: {}, preview {}, thumb {}",
            made.new.photo_hash,
            made.media_type,
            made.bytes,
            made.width,
            made.height,
            made.taken_at.map_or("?".to_owned(), |at| at.to_rfc3339()),
            made.location_removed,
            drawn(made.new.preview.as_ref()).await,
            drawn(made.new.thumb.as_ref()).await,
        );
        let refused = |error: StoreError| DeviceError::Refused(error.to_string());
        let mut pen = Pen::default();
        let (job, act) = (JobId(pen.id()), photo_of(&made));
        let events = [pen.event(&Act::JobOpened { practice: false }), pen.event(&act)];
        let original = Uint8Array::new(&made.new.original).to_vec();
        let store = Rc::new(IdbStore::open().await.map_err(refused)?);
        let made_hash = made.new.photo_hash.clone();
        store.keep(job, &events, vec![made.new]).await.map_err(refused)?;

        let leaving = Leaving {
            job,
            log: events.as_slice().into(),
            only: None,
            bundle_id: BundleId(pen.id()),
            device_id: DeviceId(pen.id()),
            made_at: device::now(),
        };
        let mut packed = worker::pack(&leaving, [made_hash].into(), store, |_| {}).await?;
        let file = packed.files.pop().filter(|_| packed.files.is_empty() && packed.lacks == 0);
        let file = file.ok_or_else(|| DeviceError::Refused("it is not one file with everything".to_owned()))?;
        let unpacked = worker::unpack(file, |_| {}).await?;
        let log: Vec<Event> = serde_json::from_str(&unpacked.log).unwrap_or_default();
        let same = unpacked.job == job
            && log == events
            && unpacked.photos.len() == 1
            && Uint8Array::new(&unpacked.photos[0].original).to_vec() == original;
        said += &format!(
            ", packed and unpacked the same: {same}, preview {}",
            drawn(unpacked.photos[0].preview.as_ref()).await
        );
        Ok(said)
    }

    fn photo_of(made: &worker::Prepared) -> Act {
        Act::Photo(Photo {
            sha256: made.new.photo_hash.clone(),
            bytes: made.bytes,
            media_type: made.media_type.clone(),
            width: made.width,
            height: made.height,
            taken_at: made.taken_at,
            point: None,
            stage: Stage::Other,
            annotation: String::new(),
            seconds: None,
        })
    }

    /// The pixels of a small picture, as the page shows it.
    async fn drawn(bytes: Option<&ArrayBuffer>) -> String {
        let Some(bytes) = bytes else { return "none".to_owned() };
        let Ok(url) = device::object_url(bytes, "image/jpeg") else { return "without address".to_owned() };
        let Ok(image) = HtmlImageElement::new() else { return "without image".to_owned() };
        image.set_src(url.as_str());
        match JsFuture::from(image.decode()).await {
            Ok(_) => format!("{}x{}", image.natural_width(), image.natural_height()),
            Err(_) => "not a picture".to_owned(),
        }
    }

    /// Keeps three events and two photographs at the first visit; sends what is still to be sent at every one. The bytes of the
    /// second photograph may be elsewhere, as on another phone.
    async fn send(all_here: bool) -> Result<String, StoreError> {
        let store = Rc::new(IdbStore::open().await?);
        let mut pen = Pen::default();
        if store.jobs().await?.is_empty() {
            let job = JobId(pen.id());
            let opened = pen.event(&Act::JobOpened { practice: false });
            store.keep(job, &[opened], vec![]).await?;
            for length in [200_000, 300_000] {
                let original = Uint8Array::from(noise(length).as_slice()).buffer();
                let new = NewPhoto {
                    photo_hash: hash_of(&original).await?,
                    media_type: "image/jpeg".to_owned(),
                    original,
                    preview: None,
                    thumb: None,
                };
                let photo = Photo {
                    sha256: new.photo_hash.clone(),
                    bytes: length as u64,
                    media_type: new.media_type.clone(),
                    width: 1,
                    height: 1,
                    taken_at: None,
                    point: None,
                    stage: Stage::Other,
                    annotation: String::new(),
                    seconds: None,
                };
                let bytes = if all_here || length == 200_000 { vec![new] } else { vec![] };
                store.keep(job, &[pen.event(&Act::Photo(photo))], bytes).await?;
            }
            // And a job for practice.
            let practice = pen.event(&Act::JobOpened { practice: true });
            store.keep(JobId(pen.id()), &[practice], vec![]).await?;
        }
        let device = store.device(DeviceId(pen.id())).await?;
        let outbox = Outbox::start(store, device, |status| write(&format!("{status:?}")));
        if let Some(listener) = device::on_online(move || outbox.wake()) {
            listener.for_good();
        }
        Ok("sending".to_owned())
    }

    async fn hash_of(bytes: &ArrayBuffer) -> Result<loomwalk::ids::PhotoHash, StoreError> {
        Ok(loomwalk::bundle::digest::photo_hash(&Uint8Array::new(bytes).to_vec()))
    }
}
