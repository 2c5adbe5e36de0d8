//! The program as a user runs it: what it prints, where, and its exit code.

use std::io::pipe;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

use lidoff_job::{PauseReason, to_json};
use lidoff_testkit::repository;
use lidoff_testkit::visit::{Visit, perch, replace};
use serde_json::{Value, json};
use tempfile::TempDir;

fn lidoff(args: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_lidoff"));
    command.args(args);
    command
}

fn run(args: &[&str]) -> (Option<i32>, String, String) {
    let Output {
        status,
        stdout,
        stderr,
    } = lidoff(args).output().expect("the program");
    let text = |bytes| String::from_utf8(bytes).expect("text");
    (status.code(), text(stdout), text(stderr))
}

fn perch_file() -> String {
    repository("catalogs/perch-22.json").display().to_string()
}

/// A file of a job on the demo unit, with some events more.
fn job_file(folder: &Path, more: &[Value]) -> PathBuf {
    let catalog = perch();
    let mut visit = Visit::begin(&catalog, &[replace("fan")]);
    for _ in 0..4 {
        visit.do_one();
    }
    let mut file: Value = serde_json::from_str(&to_json(&visit.log)).expect("a job");
    let events = file["events"].as_array_mut().expect("events");
    let last = events.last().cloned().expect("an event");
    for what in more {
        let mut event = last.clone();
        event["id"]["seq"] = events.len().into();
        event["what"] = what.clone();
        events.push(event);
    }
    let path = folder.join("job.json");
    std::fs::write(&path, file.to_string()).expect("a file");
    path
}

fn plan_from(more: &[Value], with: &[&str]) -> (Option<i32>, String, String) {
    let folder = TempDir::new().expect("a folder");
    let job = job_file(folder.path(), more).display().to_string();
    run(&[&["plan", &perch_file(), "--from", &job], with].concat())
}

#[test]
fn a_plan_from_a_whole_job_is_proven() {
    let pause = json!({"paused": {"reason": PauseReason::Break}});
    let (code, out, error) = plan_from(&[pause], &[]);
    assert_eq!(code, Some(0), "{error}");
    assert!(out.contains("\nProven: "), "{out}");
    assert_eq!(error, "");
}

#[test]
fn a_plan_from_a_job_with_unreadable_events_names_them_and_claims_no_proof() {
    let more = [json!({"done": {"step": -1}}), json!({"weighed": {"kg": 3}})];
    let (code, out, error) = plan_from(&more, &[]);
    assert_eq!(code, Some(1), "{error}");
    assert!(!out.contains("Proven:"), "{out}");
    assert!(out.contains("Nothing is proven"), "{out}");
    for words in [
        "job.json: event 7 of the document is left out: invalid value",
        "job.json: event 0000000007-000a11ce is left out: it is of a newer version",
        "\"weighed\"",
        "lidoff: 2 events of the job were left out",
        "Compare it with the unit",
    ] {
        assert!(error.contains(words), "{words} in {error}");
    }
}

#[test]
fn of_very_many_unreadable_events_the_first_are_named_and_the_others_counted() {
    let more = vec![json!({"done": {}}); 50];
    let (code, _, error) = plan_from(&more, &[]);
    assert_eq!(code, Some(1));
    assert_eq!(error.matches(" is left out: ").count(), 19, "{error}");
    assert!(
        error.contains("job.json: 31 more events are left out\n"),
        "{error}"
    );
    assert!(
        error.contains("50 events of the job were left out"),
        "{error}"
    );
}

#[test]
fn a_plan_as_json_says_how_many_events_were_left_out() {
    let (code, out, error) = plan_from(&[json!({"done": {}})], &["--json"]);
    assert_eq!(code, Some(1));
    let plan: Value = serde_json::from_str(&out).expect("JSON");
    assert_eq!(plan["events_left_out"], 1);
    assert!(
        error.contains("lidoff: 1 event of the job was left out"),
        "{error}"
    );
}

#[test]
fn the_schema_goes_into_a_closed_pipe_without_a_word() {
    let (reader, writer) = pipe().expect("a pipe");
    drop(reader);
    let mut schema = lidoff(&["schema"]);
    let ended = schema.stdout(writer).stderr(Stdio::piped()).output();
    let ended = ended.expect("the program");
    assert_eq!(String::from_utf8_lossy(&ended.stderr), "");
    assert_eq!(ended.status.code(), Some(0));
}

#[test]
fn a_file_that_is_too_large_is_refused_with_the_limit() {
    let folder = TempDir::new().expect("a folder");
    let path = folder.path().join("large.json");
    std::fs::write(&path, " ".repeat(11_000_000)).expect("a file");
    let file = path.display().to_string();
    let perch = perch_file();
    for (args, limit) in [
        (&["check", &file][..], "4.0 MB"),
        (&["plan", &file], "4.0 MB"),
        (&["plan", &perch, "--from", &file], "10.0 MB"),
        (&["plan", &perch, "--times", &file], "2.0 MB"),
        (&["compare", &file], "10.0 MB"),
        (&["times", &file], "10.0 MB"),
        (&["order", &file], "10.0 MB"),
    ] {
        let (code, _, error) = run(args);
        assert_eq!(code, Some(1), "{args:?}");
        let words = format!("it is larger than the limit of {limit}");
        assert!(error.contains(&words), "{args:?}: {error}");
    }
}
