//! What lies in a store only for a while, and goes when that is over?

use std::collections::BTreeSet;

use chrono::{DateTime, TimeDelta, Utc};
use futures::TryStreamExt;
use object_store::path::Path;
use object_store::{ObjectMeta, ObjectStore};

use super::{Store, StoreError};

/// Folders whose objects lose their use by themselves, and days after which all of them have: those for which they are good,
/// and at least one more for clocks that differ. A code goes before the mark that it was used.
const PASSING: [(&str, i64); 5] =
    [("arrivals", 7), (UPLOADS, 14), ("access/sessions", 15), ("access/codes", 2), ("access/used", 4)];
/// The pieces of one photograph go together: without its first one the others are none.
const UPLOADS: &str = "uploads";

impl Store {
    /// Removes what has lost its use by `now`; says how many objects that were.
    ///
    /// # Errors
    /// [`StoreError`]; what could not be removed is tried again the next time.
    pub async fn let_pass(&self, now: DateTime<Utc>) -> Result<usize, StoreError> {
        let mut gone = 0;
        for (folder, days) in PASSING {
            let folder = Path::from(folder);
            let there: Vec<ObjectMeta> = self
                .objects
                .list(Some(&folder))
                .try_collect()
                .await
                .map_err(|source| StoreError::Read { at: format!("{folder}/"), source })?;
            let is_new = |object: &&ObjectMeta| object.last_modified > now - TimeDelta::days(days);
            let wanted: BTreeSet<String> = there.iter().filter(is_new).map(|object| group(&object.location)).collect();
            for object in there.iter().filter(|object| !wanted.contains(&group(&object.location))) {
                self.remove(&object.location).await?;
                gone += 1;
            }
        }
        Ok(gone)
    }
}

/// What goes and stays with an object.
fn group(path: &Path) -> String {
    match (path.prefix_matches(&Path::from(UPLOADS)), path.as_ref().rsplit_once('/')) {
        (true, Some((folder, _))) => folder.to_owned(),
        _ => path.to_string(),
    }
}
