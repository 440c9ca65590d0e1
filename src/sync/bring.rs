//! What is fetched from the desk when someone asks for it: a pairing, the jobs that lie there, one of them, small pictures.
//!
//! The worker's side of `device::desk`. Events that came from the desk count as confirmed: they are not sent back.

use std::collections::{BTreeMap, BTreeSet};

use super::desk::{Desk, Trouble, later};
use crate::device::{DeviceError, now, random};
use crate::gather::Gather as _;
use crate::ids::{BundleId, EventId, IdMaker, JobId, PhotoHash};
use crate::job::event::Event;
use crate::job::{Job, Log};
use crate::search::lessons::Shop;
use crate::store::{IdbStore, Store, StoreError};
use crate::sync::protocol::{JobsAtDesk, Paired, Receipt};

/// The long edges in which the desk makes photographs small: for the screen, and for a list.
const EDGES: [u32; 2] = [1600, 320];

/// Pairs this phone by the code that the desk shows; gives the name by which the desk calls it.
pub(crate) async fn pair(code: &str, name: &str) -> Result<String, DeviceError> {
    let store = IdbStore::open().await.map_err(refused)?;
    let desk = Desk::of(&store).await.map_err(refused)?;
    // Another thing at this address would only say that it knows no such call.
    desk.health().await.map_err(refused)?;
    let Paired { token, name } = desk.pair(code, name).await.map_err(refused)?;
    store.keep_desk_token(Some(&token)).await.map_err(refused)?;
    store.keep_desk_seen().await.map_err(refused)?;
    Ok(name)
}

/// The jobs that lie at the desk, as the JSON of [`JobsAtDesk`].
pub(crate) async fn jobs(words: &str) -> Result<String, DeviceError> {
    let store = IdbStore::open().await.map_err(refused)?;
    let text = Desk::of(&store).await.map_err(refused)?.jobs(words).await.map_err(refused)?;
    // Read once, so that the page need not ask what it is.
    crate::objects::from_str::<JobsAtDesk>(&text).map_err(|error| {
        refused(format!("the desk's list cannot be read ({error}); one of the two needs an update"))
    })?;
    Ok(text)
}

/// What the shop's closed jobs have taught, as the JSON of a [`Shop`].
pub(crate) async fn lessons() -> Result<String, DeviceError> {
    let store = IdbStore::open().await.map_err(refused)?;
    let text = Desk::of(&store).await.map_err(refused)?.lessons().await.map_err(refused)?;
    crate::objects::from_str::<Shop>(&text).map_err(|error| {
        refused(format!("what the desk has learned cannot be read ({error}); one of the two needs an update"))
    })?;
    Ok(text)
}

/// Takes a job that lies at the desk onto this phone: all of its events, or none and why.
pub(crate) async fn bring(job: JobId) -> Result<(), DeviceError> {
    let store = IdbStore::open().await.map_err(refused)?;
    let desk = Desk::of(&store).await.map_err(refused)?;
    let (events, cursor) = all_at_desk(&desk, job).await.map_err(refused)?;
    take_in(&store, job, &events).await.map_err(refused)?;
    store.keep_cursor(job, cursor.as_deref()).await.map_err(refused)
}

/// Takes a job off this phone: one for practice; any other if the desk shows, asked now, that it has all of it: every event,
/// and every photograph of which the bytes are here. What was confirmed before does not count: a disk may be gone since, or a
/// copy brought back.
pub(crate) async fn let_go(job: JobId, practice: bool) -> Result<(), DeviceError> {
    let store = IdbStore::open().await.map_err(refused)?;
    if practice {
        return store.forget_job(job, None).await.map(drop).map_err(refused);
    }
    let desk = Desk::of(&store).await.map_err(refused)?;
    let events = match all_at_desk(&desk, job).await {
        Ok((events, _)) => events,
        // It has nothing of it any more, whatever it has confirmed: another disk is in the place of the one before.
        Err(Trouble::NoDesk) => Vec::new(),
        Err(trouble) => return Err(refused(trouble)),
    };
    let log = Log::of(store.log(job).await.map_err(refused)?).map_err(refused)?;
    let photos: BTreeSet<PhotoHash> = Job::fold(job, &log).photos.into_iter().map(|(_, photo)| photo.sha256).gather();
    let mut has_all = true;
    for hash in &photos {
        let here = store.photo(hash).await.map_err(refused)?.is_some();
        has_all &= !here || desk.has_photo(hash).await.map_err(refused)?;
    }
    let known = events.iter().map(|event| event.id).gather();
    if has_all && store.forget_job(job, Some(&known)).await.map_err(refused)? {
        return Ok(());
    }
    store.forget_confirmed(job, &photos).await.map_err(refused)?;
    Err(refused(
        "the desk does not have all of it, so all of it is offered to the desk again; try again once it is there",
    ))
}

/// All events of a job that the desk has, and the cursor behind them.
async fn all_at_desk(desk: &Desk, job: JobId) -> Result<(Vec<Event>, Option<String>), Trouble> {
    let (mut events, mut cursor) = (Vec::new(), None::<String>);
    loop {
        let page = desk.events(job, cursor.as_deref(), 0, None).await?;
        let anew = || Trouble::Refused { why: "the desk has begun anew meanwhile; try again".to_owned() };
        let page = page.ok_or_else(anew)?;
        events.extend(page.events);
        // A desk that says that there is more, and does not go on, would be asked for ever.
        let stays = cursor.as_ref() == Some(&page.next);
        cursor = Some(page.next);
        if !page.more || stays {
            return Ok((events, cursor));
        }
    }
}

/// Gets a photograph that lies at the desk, small, and keeps it so.
pub(crate) async fn small_photo(hash: &str) -> Result<(), DeviceError> {
    let hash: PhotoHash = hash.parse().map_err(refused)?;
    let store = IdbStore::open().await.map_err(refused)?;
    let desk = Desk::of(&store).await.map_err(refused)?;
    let preview = desk.small_photo(&hash, EDGES[0]).await.map_err(refused)?;
    let thumb = desk.small_photo(&hash, EDGES[1]).await.map_err(refused)?;
    store.keep_small(&hash, preview, thumb).await.map_err(refused)
}

/// Keeps what came from the desk, and that the desk has it. `true`: some of it is new here.
///
/// # Errors
/// As the store's; nothing was kept then.
pub(super) async fn take_in(store: &IdbStore, job: JobId, events: &[Event]) -> Result<bool, StoreError> {
    let here: BTreeMap<EventId, Event> = store.log(job).await?.into_iter().map(|event| (event.id, event)).gather();
    let (known, new): (Vec<&Event>, Vec<&Event>) = events.iter().partition(|event| here.contains_key(&event.id));
    let same = known.iter().all(|event| here.get(&event.id) == Some(*event));
    if new.is_empty() && same {
        return Ok(false);
    }
    store.keep(job, events, Vec::new()).await?;
    let receipt = Receipt {
        job,
        bundle_id: BundleId(IdMaker::default().make(now(), random())),
        events: new.iter().map(|event| event.id).collect(),
        log_digest: String::new(),
        missing_photos: Vec::new(),
    };
    store.keep_receipt(&receipt).await?;
    Ok(true)
}

/// The phone's own storage did not do it.
pub(super) fn kept(error: StoreError) -> Trouble {
    later(error.to_string())
}

fn refused(why: impl std::fmt::Display) -> DeviceError {
    DeviceError::Refused(why.to_string())
}
