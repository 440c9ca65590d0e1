//! How is what was photographed or spoken kept? Made ready in the worker, then kept with its act in one go.

use dioxus::core::spawn_forever;

use crate::app::house::{House, WordKind};
use crate::device::{self, DeviceError, Shared, ear::Recording};
use crate::ids::{EventId, JobId, PointId};
use crate::job::event::{Act, Photo, Stage};
use crate::store::StoreError;

/// What is said as long as a photograph is on its way into the store.
pub const KEEPING: &str = "Keeping the photograph …";

/// Gives out a photograph that could not be kept, as a file named by its kind. Says where it lies then.
pub async fn give_out(photo: web_sys::Blob) -> Result<&'static str, DeviceError> {
    let kind = photo.type_();
    let ending = match kind.as_str() {
        "image/png" => "png",
        "image/webp" => "webp",
        "image/heic" | "image/heif" => "heic",
        _ => "jpg",
    };
    give_out_as(photo, &format!("photograph.{ending}")).await
}

/// Gives out what could not be kept. Says where it lies then.
async fn give_out_as(what: web_sys::Blob, name: &str) -> Result<&'static str, DeviceError> {
    match device::share_or_download(what.clone(), name).await? {
        Shared::Given => return Ok("It was given out as a file: it lies where you have sent it."),
        Shared::Downloaded => {}
        // Whoever closed the phone's menu has it nowhere.
        Shared::Dismissed => device::download(&what, name)?,
    }
    Ok("It was given out as a file: it lies where this browser puts its downloads.")
}

impl House {
    /// Keeps a photograph from a file, made upright and without the place where it was taken.
    pub fn take_file(self, point: Option<PointId>, stage: Stage, file: web_sys::Blob) {
        let Some(job) = self.job_here() else { return };
        spawn_forever(async move {
            self.keep_photo(job, point, stage, file, "").await;
        });
    }

    /// Keeps a photograph from the phone's own camera, likewise. That may have put it nowhere else: what cannot be kept is
    /// given out as a file.
    pub fn take_photo(self, point: Option<PointId>, stage: Stage, photo: web_sys::Blob) {
        let Some(job) = self.job_here() else { return };
        let spare = photo.clone();
        let work = self.work(KEEPING);
        spawn_forever(async move {
            if self.keep_photo(job, point, stage, photo, "").await.is_none()
                && let Ok(told) = give_out(spare).await
            {
                self.say(WordKind::Trouble, told);
            }
            drop(work);
        });
    }

    /// Keeps a photograph in that job, which may not be the one on screen any more, with what it shows in words. Says how it
    /// went; gives its event once it is durable.
    pub async fn keep_photo(
        self,
        job: JobId,
        point: Option<PointId>,
        stage: Stage,
        file: web_sys::Blob,
        annotation: &str,
    ) -> Option<EventId> {
        let work = self.work(KEEPING);
        let kept = async {
            let prepared = device::worker::prepare_photo(file).await.map_err(|error| error.to_string())?;
            let photo = Photo {
                sha256: prepared.new.photo_hash.clone(),
                bytes: prepared.bytes,
                media_type: prepared.media_type,
                width: prepared.width,
                height: prepared.height,
                taken_at: prepared.taken_at,
                point,
                stage,
                annotation: annotation.to_owned(),
                seconds: None,
            };
            let events = self.events(&[Act::Photo(photo)]).ok_or_else(|| StoreError::NotOpen.to_string())?;
            let event = events.first().map(|event| event.id);
            self.keep(job, events, vec![prepared.new]).await.map_err(|error| error.to_string())?;
            Ok::<_, String>((event, prepared.location_removed))
        };
        let kept = kept.await;
        drop(work);
        match kept {
            Ok((event, location_removed)) => {
                let told = if location_removed {
                    "Photograph kept. The place where it was taken was removed from it."
                } else {
                    "Photograph kept."
                };
                self.say(WordKind::Done, told);
                event
            }
            Err(error) => {
                self.say(WordKind::Trouble, format!("The photograph was not kept: {error}"));
                None
            }
        }
    }

    /// Keeps a spoken note as photographs are kept, and says how it went.
    pub async fn keep_recording(self, job: JobId, point: Option<PointId>, recording: Recording) {
        let Recording { blob, seconds } = recording;
        let spare = blob.clone();
        let taken_at = device::now() - chrono::TimeDelta::milliseconds((seconds * 1_000.0) as i64);
        let kept = async {
            let prepared = device::worker::prepare_recording(blob).await.map_err(|error| error.to_string())?;
            let photo = Photo {
                sha256: prepared.photo_hash.clone(),
                bytes: prepared.original.byte_length().into(),
                media_type: prepared.media_type.clone(),
                width: 0,
                height: 0,
                taken_at: Some(taken_at),
                point,
                stage: Stage::Other,
                annotation: String::new(),
                seconds: Some((seconds * 10.0).round() / 10.0),
            };
            let events = self.events(&[Act::Photo(photo)]).ok_or_else(|| StoreError::NotOpen.to_string())?;
            self.keep(job, events, vec![prepared]).await.map_err(|error| error.to_string())
        };
        match kept.await {
            Ok(()) => self.say(WordKind::Done, "Spoken note kept."),
            // Given out as a file, so that what was said is not lost.
            Err(error) => {
                self.say(WordKind::Trouble, format!("The spoken note was not kept: {error}"));
                if let Ok(told) = give_out_as(spare, "spoken-note.webm").await {
                    self.say(WordKind::Trouble, told);
                }
            }
        }
    }
}
