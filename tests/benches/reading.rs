//! How long each door takes for the largest file that it reads, and for larger ones that it
//! refuses: `cargo bench -p lidoff-tests --bench reading`.

use std::time::Instant;

use lidoff_app_core::route::Route;
use lidoff_catalog::check::{Severity, examine_text};
use lidoff_estimate::LearnedTimes;
use lidoff_job::{fold, from_json, to_json};
use lidoff_limits::{JOB, JOB_EVENTS, LEARNED_TIMES};
use lidoff_report::exchange::report::report;
use lidoff_testkit::visit::{Visit, perch, recorder, replace};
use lidoff_testkit::{demo, scale_unit};

fn measure(door: &str, file: &str, text: &str, read: impl Fn(&str) -> String) {
    let begin = Instant::now();
    let answer = read(text);
    let ms = begin.elapsed().as_secs_f64() * 1000.0;
    let answer: String = answer.chars().take(90).collect();
    let megabytes = text.len() as f64 / 1e6;
    println!("| {door} | {file} | {megabytes:.2} | {ms:.0} | {answer} |");
}

fn job(text: &str) -> String {
    match from_json(text) {
        Ok((log, aside)) => {
            let read = fold(&log);
            let shown = report(&read).len();
            let (events, aside) = (log.events().len(), aside.iter().map(|one| one.count));
            format!(
                "{events} events, {} set aside, report {shown} B",
                aside.sum::<usize>()
            )
        }
        Err(error) => error.to_string(),
    }
}

fn times(text: &str) -> String {
    match LearnedTimes::from_json(text) {
        Ok(times) => format!("{} steps", times.steps.len()),
        Err(error) => error.to_string(),
    }
}

fn catalog(text: &str) -> String {
    match examine_text("unit", text) {
        Ok(checked) => format!("{} parts", checked.catalog.parts().len()),
        Err(faults) => format!(
            "{} errors: {}",
            faults.count(Severity::Error),
            faults.lines().first().cloned().unwrap_or_default()
        ),
    }
}

fn main() {
    println!("| door | file | MB | ms | answer |\n| --- | --- | --- | --- | --- |");
    jobs();
    learned_times();
    catalogs();
    for (name, long) in [("1 MB", 1_000_000), ("10 MB", 10_000_000)] {
        let link = format!("#/job/{}", "x/".repeat(long / 2));
        measure("link", name, &link, |link| Route::parse(link).href());
    }
}

fn jobs() {
    let file = |events: &str| {
        format!("{{\"format\": \"lidoff-job/1\", \"job\": \"j\", \"events\": [{events}]}}")
    };
    let event = |seq: usize, what: &str| {
        let ms = seq * 1000;
        format!(
            "{{\"id\":{{\"seq\":{seq},\"run\":1}},\"at\":{{\"wall_ms\":{ms},\"offset_min\":0,\
             \"mono_ms\":{ms},\"run\":1}},\"what\":{what}}}"
        )
    };
    let note = |bytes: usize| format!("{{\"note\":{{\"text\":\"{}\"}}}}", "x".repeat(bytes));
    let events = |count: usize, what: &str| {
        let all: Vec<String> = (0..count).map(|seq| event(seq, what)).collect();
        file(&all.join(","))
    };
    let backwards = |count: usize, what: &str| {
        let all: Vec<String> = (0..count).rev().map(|seq| event(seq, what)).collect();
        file(&all.join(","))
    };
    let unit = perch();
    let mut visit = Visit::begin(&unit, &[replace("fan"), replace("psu")]);
    visit.do_all();
    let whole = to_json(&visit.log);
    // As many whole plans as fit.
    let plan = whole
        .lines()
        .find(|line| line.contains("\"planned\""))
        .unwrap_or_default();
    let what = plan.split_once("\"what\":").map_or("", |(_, what)| what);
    let what = what.trim_end_matches(',').trim_end_matches('}');
    let what = format!("{what}{}", "}".repeat(braces(what)));
    let many = (JOB.bytes - 100) / (what.len() + 120);
    let many =
        many.min(JOB.values / (what.matches(',').count() + what.matches(['[', '{']).count() + 12));
    for (name, text) in [
        ("whole demo job", whole),
        ("largest number of notes", events(JOB_EVENTS, &note(800))),
        (
            "the same, last event first",
            backwards(JOB_EVENTS, &note(800)),
        ),
        ("notes of 60 kB", events(160, &note(60_000))),
        ("plans", events(many, &what)),
        (
            "unknown events",
            events(JOB_EVENTS, "{\"weighed\":{\"kg\":3}}"),
        ),
        ("damaged events", events(JOB_EVENTS, "{\"done\":{}}")),
        (
            "undone events",
            events(JOB_EVENTS, "{\"undone\":{\"event\":{\"seq\":1,\"run\":1}}}"),
        ),
        ("numbers", file(&vec!["1"; 22_000_000].join(","))),
        ("notes", events(14_000, &note(900))),
        ("text", file(&format!("\"{}\"", "x".repeat(49_000_000)))),
        ("brackets", "[".repeat(49_000_000)),
        (
            "numbers within the limit",
            file(&vec!["1"; JOB_EVENTS].join(",")),
        ),
        (
            "nested numbers within the limit",
            file(&format!("[{}]", vec!["1"; 490_000].join(","))),
        ),
    ] {
        measure("job", name, &text, job);
    }
}

/// Brackets that are open at the end.
fn braces(json: &str) -> usize {
    json.matches('{').count() - json.matches('}').count()
}

fn learned_times() {
    let file = |count: usize| {
        let step = |nth: usize| {
            format!(
                "{{\"unit\":\"recorder\",\"step\":\"w{nth}\",\"action\":\"Turn it.\",\
                 \"handbook_s\":18.8,\"seen_s\":28.2,\"n\":12}}"
            )
        };
        let steps: Vec<String> = (0..count).map(step).collect();
        format!(
            "{{\"format\":\"lidoff-times/1\",\"made\":\"\",\"jobs\":1,\"steps\":[{}],\"elements\":[]}}",
            steps.join(",")
        )
    };
    let most = (LEARNED_TIMES.values - 20) / 8;
    for (name, text) in [
        ("largest number of steps", file(most)),
        ("more steps", file(400_000)),
        ("numbers", format!("[{}]", vec!["1"; 22_000_000].join(","))),
    ] {
        measure("learned times", name, &text, times);
    }
    let catalog = recorder();
    let learned = LearnedTimes::from_json(&file(most)).unwrap_or_default();
    measure("learned times", "put to use", &file(most), |_| {
        learned.apply_to(&mut catalog.clone()).to_string()
    });
}

fn catalogs() {
    for (name, text) in demo::CATALOGS {
        measure("catalog", name, text, catalog);
    }
    for parts in [250, 500, 1_000, 2_000] {
        let text = serde_json::to_string(&scale_unit::file(parts)).unwrap_or_default();
        measure(
            "catalog",
            &format!("synthetic unit, {parts} parts"),
            &text,
            catalog,
        );
    }
    let good = demo::CATALOGS[0].1;
    let spoiled = |list: &str, entry: &str, count: usize| {
        let entries: Vec<String> = (0..count)
            .map(|nth| entry.replace('%', &nth.to_string()))
            .collect();
        let field = format!("\"{list}\": [");
        let text = good.replacen(&field, &format!("{field}{},", entries.join(",")), 1);
        assert_ne!(text, good, "{list}");
        text
    };
    let tool = r#"{"id":"t%","name":"","class":"basic"}"#;
    let part = r#"{"id":"p%","name":"Part","rides_on":"nowhere%"}"#;
    let option = r#"{"id":"o%","name":"","group":"nowhere%"}"#;
    let most = 60_000;
    for (name, text) in [
        ("tools without a name", spoiled("tools", tool, most)),
        ("parts on no face", spoiled("parts", part, 40_000)),
        ("options of no group", spoiled("options", option, 40_000)),
        ("a million tools", spoiled("tools", tool, 1_000_000)),
        ("numbers", format!("[{}]", vec!["1"; 22_000_000].join(","))),
        (
            "numbers within the limit",
            format!("[{}]", vec!["1"; 290_000].join(",")),
        ),
    ] {
        measure("catalog", name, &text, catalog);
    }
}
