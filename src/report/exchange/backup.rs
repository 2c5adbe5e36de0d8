//! A file of records: everything on a device, or what was set aside. The page's own script
//! writes the same form when the app has stopped (`public/boot.js`), so that whatever was
//! rescued can be read in again.

use std::collections::BTreeMap;

use serde_json::{Value, json};

use lidoff_job::document::{DocumentError, from_json, without_mark};
use lidoff_job::{JobId, Log, QuarantinedRecord};
use lidoff_limits::BACKUP;

/// The form of the file.
pub const FORMAT: &str = "lidoff-rescue/1";

/// Names of the databases and of their stores, and the beginnings of names in local
/// storage, as the browser has them.
const RECORDS: &str = "lidoff";
const PHOTOS: &str = "lidoff-photos";
const JOB: &str = "lidoff/job/";
const ASIDE: &str = "lidoff/aside/";

/// What a file of records holds.
#[derive(Debug, Default, PartialEq)]
pub struct Backup {
    /// The jobs.
    pub jobs: Vec<Log>,
    /// Records that cannot be read, each with its job.
    pub unreadable: Vec<(JobId, QuarantinedRecord)>,
    /// Photos: job, name, picture.
    pub photos: Vec<(JobId, String, String)>,
    /// Catalogs that were added: name of the file, text.
    pub catalogs: Vec<(String, String)>,
}

/// The beginning of a file: the rest is passed over.
#[derive(serde::Deserialize)]
struct Head {
    format: Option<String>,
}

/// What is known of a job while a file is read.
#[derive(Default)]
struct Rows {
    /// Records as the journal, local storage and the quarantine have them: key and text.
    places: [Vec<(String, String)>; 3],
}

/// The text of a file of records. Each unreadable record has the time when it was set
/// aside.
pub fn write(backup: &Backup) -> String {
    let events: Vec<Value> = backup
        .jobs
        .iter()
        .flat_map(|log| {
            let job = log.job().as_str();
            log.records()
                .map(move |(key, text)| json!([[job, key], text]))
        })
        .collect();
    let aside: Vec<Value> = (0..)
        .zip(&backup.unreadable)
        .map(|(nth, (job, record))| {
            let note = json!({ "text": record.text, "why": record.why, "at_ms": nth });
            json!([[job.as_str(), record.key, nth], note.to_string()])
        })
        .collect();
    let photos = backup.photos.iter();
    let photos: Vec<Value> = photos
        .map(|(job, name, data)| json!([[job.as_str(), name], data]))
        .collect();
    let file = json!({
        "format": FORMAT,
        "indexedDB": {
            RECORDS: { "events": events, "aside": aside, "catalogs": backup.catalogs },
            PHOTOS: { "events": photos },
        },
    });
    file.to_string()
}

/// What is in a file of records, or in the file of one job.
///
/// # Errors
/// When it is neither, or too large.
pub fn read(text: &str) -> Result<Backup, DocumentError> {
    let records = without_mark(text);
    let head = serde_json::from_str::<Head>(records);
    if head.is_ok_and(|head| head.format.as_deref() == Some(FORMAT)) {
        BACKUP.check(records).map_err(DocumentError::TooLarge)?;
        return Ok(of_records(
            &serde_json::from_str(records).unwrap_or_default(),
        ));
    }
    let (log, unreadable) = from_json(text)?;
    let job = log.job().clone();
    Ok(Backup {
        jobs: vec![log],
        unreadable: unreadable
            .into_iter()
            .map(|one| (job.clone(), one))
            .collect(),
        ..Backup::default()
    })
}

fn of_records(file: &Value) -> Backup {
    let mut jobs: BTreeMap<JobId, Rows> = BTreeMap::new();
    let mut add = |place: usize, job: &str, key: &str, text: &str| {
        let job = jobs.entry(JobId(job.to_owned())).or_default();
        job.places[place].push((key.to_owned(), text.to_owned()));
    };
    let store = |database: &str, store: &str| {
        let rows = file["indexedDB"][database][store].as_array();
        rows.map(Vec::as_slice).unwrap_or_default()
    };
    let word = |value: &Value| value.as_str().unwrap_or_default().to_owned();
    for row in store(RECORDS, "events") {
        add(0, &word(&row[0][0]), &word(&row[0][1]), &word(&row[1]));
    }
    for row in store(RECORDS, "aside") {
        add(
            2,
            &word(&row[0][0]),
            &word(&row[0][1]),
            &noted(&word(&row[1])),
        );
    }
    for (name, text) in file["localStorage"].as_object().into_iter().flatten() {
        let (place, path, text) = match name.strip_prefix(ASIDE) {
            Some(path) => (2, path.trim_end_matches('+'), noted(&word(text))),
            None => (1, name.as_str(), word(text)),
        };
        // Keys of events hold no slash; ids of jobs might.
        let path = path
            .strip_prefix(JOB)
            .and_then(|path| path.rsplit_once('/'));
        if let Some((job, key)) = path {
            add(place, job, key, &text);
        }
    }
    let mut backup = Backup::default();
    for (job, Rows { places }) in jobs {
        let mut log = Log::new(job.clone());
        for rows in places {
            let (place, mut unreadable) = Log::from_records(job.clone(), rows);
            let (_, refused) = log.take_in(place);
            unreadable.extend(refused);
            let unreadable = unreadable.into_iter().map(|one| (job.clone(), one));
            backup.unreadable.extend(unreadable);
        }
        if !log.events().is_empty() {
            backup.jobs.push(log);
        }
    }
    let photo = |row: &Value| (JobId(word(&row[0][0])), word(&row[0][1]), word(&row[1]));
    backup.photos = store(PHOTOS, "events").iter().map(photo).collect();
    let catalog = |row: &Value| (word(&row[0]), word(&row[1]));
    backup.catalogs = store(RECORDS, "catalogs").iter().map(catalog).collect();
    backup
}

/// The text of a record that was set aside; the note itself if it cannot be read.
fn noted(note: &str) -> String {
    let read: Option<Value> = serde_json::from_str(note).ok();
    let text = read.as_ref().and_then(|note| note["text"].as_str());
    text.unwrap_or(note).to_owned()
}
