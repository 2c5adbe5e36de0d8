//! Whatever a log holds, it folds.

use lidoff_catalog::format::{HandBackId, HazardId, Reading, Record, RecordKind};
use lidoff_catalog::setup::Configuration;
use lidoff_job::event::Mishap;
use lidoff_job::{
    Danger, Duty, Event, EventId, EventKind, Fasteners, HandBackPiece, JobId, JobPhase, Lack, Log,
    NamedTask, OpRef, Opened, Outcome, Owed, PauseReason, Photo, PlanSnapshot, PlannedStep, Reason,
    RecordedValue, Restart, RunId, Stamp, Taken, TaskRef, UnavailablePart, UnitRef, WaitStarted,
    WayRef, closing_up, fold, outlook, position, tally,
};
use lidoff_report::exchange::page::page;
use lidoff_report::exchange::report::report;
use proptest::prelude::*;

use lidoff_testkit::visit::recorder;

/// Stamps of which some are sane and some are not.
fn stamp() -> impl Strategy<Value = Stamp> {
    let ms = prop_oneof![
        8 => 0i64..40_000_000,
        1 => Just(i64::MIN),
        1 => Just(i64::MAX),
        1 => any::<i64>(),
    ];
    (ms.clone(), any::<i16>(), ms.clone(), 0u32..3, ms).prop_map(
        |(wall_ms, offset_min, mono_ms, run, hidden_ms)| Stamp {
            wall_ms,
            offset_min,
            mono_ms,
            run: RunId(run),
            hidden_ms,
        },
    )
}

fn id() -> impl Strategy<Value = EventId> {
    (0u32..30, 0u32..3).prop_map(|(seq, run)| EventId {
        seq,
        run: RunId(run),
    })
}

fn task() -> impl Strategy<Value = TaskRef> {
    prop_oneof![
        3 => Just(TaskRef::Replace("board".into())),
        1 => Just(TaskRef::Inspect("cover".into())),
        1 => Just(TaskRef::Serve("nothing".into())),
    ]
}

fn op() -> impl Strategy<Value = OpRef> {
    let part = prop_oneof![Just("cover"), Just("board"), Just("ghost")];
    (part, 0..6u8).prop_map(|(part, kind)| {
        let part = part.into();
        let way = if kind == 5 {
            WayRef::Bench
        } else {
            WayRef::InPlace
        };
        match kind {
            0 => OpRef::Ease(part),
            1 => OpRef::Swap(part),
            2 => OpRef::Settle(part),
            3 => OpRef::PutBack { part, way },
            _ => OpRef::TakeOff { part, way },
        }
    })
}

fn fasteners() -> impl Strategy<Value = Vec<Fasteners>> {
    let one = (0..2u8, any::<u16>(), any::<bool>(), any::<bool>());
    let one = one.prop_map(|(which, count, captive, single_use)| Fasteners {
        fastening: ["cover-screws", "board-screws"][usize::from(which)].into(),
        kind: "screw".into(),
        name: "screw".into(),
        size: None,
        part: "cover".into(),
        part_name: "Cover".into(),
        count,
        well: Some(1),
        captive,
        single_use,
        details: Vec::new(),
        torque: None,
    });
    proptest::collection::vec(one, 0..2)
}

fn step() -> impl Strategy<Value = PlannedStep> {
    let names = prop_oneof![
        Just("w1"),
        Just("w9"),
        Just("s1"),
        Just("p2"),
        Just("unplug"),
        Just("ghost")
    ];
    let phase = (0..JobPhase::ALL.len()).prop_map(|at| JobPhase::ALL[at]);
    (
        (0u32..12, names, phase, proptest::option::of(op())),
        (0u16..4, 0u16..4, proptest::collection::vec(op(), 0..3)),
        (fasteners(), fasteners(), 0.0f64..100.0, any::<bool>()),
    )
        .prop_map(
            |((number, name, phase, op), (nth, of, completes), (undo, redo, work_s, odd))| {
                PlannedStep {
                    on_failure: None,
                    records: vec![Record {
                        id: "serial".into(),
                        text: "serial".to_owned(),
                        kind: RecordKind::Serial,
                        pattern: None,
                        required: true,
                        old_or_new: None,
                    }],
                    number,
                    step: name.into(),
                    phase,
                    op,
                    nth,
                    of,
                    completes,
                    about: None,
                    action: "Do it.".into(),
                    how: None,
                    tool: None,
                    face: None,
                    tool_instead: Vec::new(),
                    people: 1,
                    kit: Vec::new(),
                    tool_change: odd,
                    turn: false,
                    work_s,
                    cv: 0.5,
                    measured: odd,
                    elements: Vec::new(),
                    catalog_s: 0.0,
                    seen: 0,
                    change_s: 0.0,
                    wait_s: 0.0,
                    undo,
                    redo,
                    unplug: Vec::new(),
                    plug: Vec::new(),
                    hazards: vec![HazardId("h".into())],
                    uses: Vec::new(),
                    hand_back: odd.then(|| HandBackPiece {
                        id: HandBackId("b".into()),
                        name: "bracket".into(),
                    }),
                    asks: None,
                    reading: odd.then(|| Reading::Seen("lamp".into())),
                    confirm: None,
                    starts_wait: odd.then(|| WaitStarted {
                        id: "w".into(),
                        text: "it cools".into(),
                        seconds: 90,
                    }),
                    after_wait: (!odd).then(|| "w".into()),
                    starts_limit: odd.then(|| WaitStarted {
                        id: "l".into(),
                        text: "it dries".into(),
                        seconds: 60,
                    }),
                    ends_limit: (!odd).then(|| "l".into()),
                }
            },
        )
}

fn what() -> impl Strategy<Value = EventKind> {
    let mishap = || {
        (0..3u8, any::<u16>()).prop_map(|(which, count)| Mishap {
            fastening: ["cover-screws", "board-screws", "ghost"][usize::from(which)].into(),
            count,
            note: String::new(),
        })
    };
    let named = || {
        task().prop_map(|task| NamedTask {
            task,
            name: "it".into(),
        })
    };
    let opened = proptest::collection::vec(named(), 0..3).prop_map(|tasks| {
        EventKind::Opened(Opened {
            unit: UnitRef {
                id: "recorder".into(),
                name: "Recorder".into(),
                revision: "1".into(),
            },
            reference: "TM-0002".into(),
            site: String::new(),
            technician: String::new(),
            setup: Configuration::default(),
            tasks,
            leave_by_ms: None,
            follows: None,
        })
    });
    let planned = proptest::collection::vec(step(), 0..8).prop_map(|steps| EventKind::Planned {
        plan: PlanSnapshot {
            steps,
            ..PlanSnapshot::default()
        },
        because: Reason::First,
    });
    let words = "[a-zé=\"\\n]{0,6}";
    prop_oneof![
        2 => opened,
        3 => planned,
        8 => (0u32..12).prop_map(|step| EventKind::Done { step }),
        6 => id().prop_map(|event| EventKind::Undone { event }),
        2 => words.prop_map(|note| EventKind::Paused { reason: PauseReason::Other, part: None, note }),
        2 => Just(EventKind::Resumed),
        2 => (any::<i64>(), any::<i64>(), any::<i64>())
            .prop_map(|(from_ms, to_ms, work_ms)| EventKind::Gap { from_ms, to_ms, work_ms }),
        1 => Just(EventKind::Answered { question: "q".into(), answer: "a".into() }),
        2 => named().prop_map(EventKind::TaskAdded),
        2 => task().prop_map(EventKind::TaskDropped),
        1 => Just(EventKind::TurnedBack),
        1 => (0u32..12, -1.0f64..1.0).prop_map(|(step, value)| EventKind::Read { step, taken: Taken::Value(value) }),
        1 => (0u32..12, any::<bool>()).prop_map(|(step, seen)| EventKind::Read { step, taken: Taken::Seen(seen) }),
        1 => (0u32..12).prop_map(|step| EventKind::Confirmed { step }),
        1 => (0u32..12, words).prop_map(|(step, text)| EventKind::Recorded {
            step,
            record: "serial".into(),
            value: RecordedValue::Text(text),
        }),
        1 => (0u32..12).prop_map(|step| EventKind::Heeded { hazard: "h".into(), step }),
        1 => mishap().prop_map(EventKind::FastenerLost),
        1 => mishap().prop_map(EventKind::FastenerStripped),
        1 => mishap().prop_map(EventKind::SpareUsed),
        1 => (any::<i32>(), words).prop_map(|(difference, note)| EventKind::Explained {
            fastening: "cover-screws".into(),
            difference,
            note,
        }),
        2 => task().prop_map(EventKind::TaskLeft),
        2 => (0u32..12, any::<u16>()).prop_map(|(step, count)| EventKind::PartlyDone {
            step,
            fastening: "cover-screws".into(),
            count,
        }),
        1 => words.prop_map(|note| EventKind::DangerFound { what: Danger::Smoke, step: None, note }),
        2 => (named(), any::<bool>()).prop_map(|(task, wrong)| EventKind::PartUnavailable(UnavailablePart {
            task,
            lack: if wrong { Lack::Wrong } else { Lack::Missing },
        })),
        1 => (0u32..12, words).prop_map(|(step, note)| EventKind::FailureKept { step, note }),
        1 => (0u32..12, any::<u16>()).prop_map(|(step, demand)| EventKind::DemandMet { hazard: "h".into(), step, demand }),
        1 => Just(EventKind::WaitBegun { hazard: "h".into() }),
        1 => (proptest::option::of(stamp()), stamp())
            .prop_map(|(alive, since)| EventKind::AppRestarted(Restart { alive, since })),
        1 => (0u32..12, words).prop_map(|(step, why)| EventKind::WaitCutShort { wait: "w".into(), step, why }),
        1 => (0..5u8, any::<u32>(), words).prop_map(|(which, count, note)| EventKind::Accounted {
            owed: match which {
                0 => Owed::Gone { fastening: "cover-screws".into(), count },
                1 => Owed::Cable("c".into()),
                2 => Owed::HandBack(HandBackId("b".into())),
                3 => Owed::OldPart { part: "cover".into(), duty: Duty::Return },
                _ => Owed::Strange("ghost".into()),
            },
            note,
        }),
        1 => Just(EventKind::OldPartHandled { part: "cover".into(), duty: Duty::Wipe }),
        1 => words.prop_map(|text| EventKind::CatalogWrong { text, step: Some(3) }),
        1 => (words, any::<u32>()).prop_map(|(name, bytes)| EventKind::PhotoTaken(Photo { name, step: Some(2), bytes })),
        1 => words.prop_map(|text| EventKind::Note { text, step: Some(3) }),
        1 => any::<Option<i64>>().prop_map(|at_ms| EventKind::LeaveBy { at_ms }),
        1 => words.prop_map(|to| EventKind::HandedOver { to, note: String::new() }),
        1 => words.prop_map(|note| EventKind::Closed { outcome: Outcome::Complete, note }),
    ]
}

/// Events in any order, of any sense.
pub fn events() -> impl Strategy<Value = Vec<Event>> {
    let event = (id(), stamp(), what()).prop_map(|(id, at, kind)| Event { id, at, kind });
    proptest::collection::vec(event, 0..40)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, ..ProptestConfig::default() })]

    #[test]
    fn every_log_folds_and_can_be_read(all in events(), now in stamp()) {
        let catalog = recorder();
        let mut log = Log::new(JobId("j".into()));
        for event in all {
            let _ = log.append(event);
        }
        let job = fold(&log);
        prop_assert!(job.worked_ms >= 0 && job.overhead_ms >= 0 && job.in_hand_ms >= 0);
        prop_assert!(job.done.iter().all(|done| done.work_ms >= 0));
        prop_assert!(job.elapsed_ms(&now) >= job.worked_ms);
        prop_assert!(job.step_elapsed_ms(&now) >= job.in_hand_ms);
        prop_assert!(job.lasted_ms(&now) >= job.lasted_ms);
        let forecast = outlook::forecast(&job, &now);
        prop_assert!(forecast.at(0.8) >= forecast.at(0.5) && forecast.at(0.5) >= 0.0);
        prop_assert!(forecast.at(0.95).is_finite() && forecast.pace.log_sd > 0.0);
        let _ = job.clock_irregularities(&now);
        let parts: i64 = job.done.iter().map(|done| done.work_ms).sum();
        let parts = parts + job.in_hand_ms + job.overhead_ms;
        prop_assert_eq!(parts, job.worked_ms, "every minute of work belongs somewhere");
        let tally = tally(&job);
        for one in tally.unaccounted() {
            prop_assert!(!one.describe().is_empty());
        }
        job.demands();
        if let Some(wait) = job.wait_before(&now) {
            prop_assert!((0..=wait.long_ms).contains(&wait.left_ms));
        }
        if let Some(step) = job.next() {
            job.hazard_wait(&"h".into(), step, 3, &now);
        }
        prop_assert!(!report(&job).is_empty() && !page(&job, &[]).is_empty());
        job.left_band();
        job.gap_to_ask(None, &now);
        for finding in &job.findings {
            prop_assert!(!finding.irregularity.to_string().is_empty());
        }
        // A position is found or refused, and never a panic.
        let _ = position(&job, &catalog, &now);
        let _ = closing_up(&job, &catalog, &now);
    }

    #[test]
    fn an_undo_that_is_itself_undone_never_was(all in events(), at in stamp()) {
        let mut log = Log::new(JobId("j".into()));
        for event in all {
            let _ = log.append(event);
        }
        // Only the last event is undone: nothing can have happened on top of it.
        let Some(last) = log.head().cloned() else { return Ok(()) };
        let before = fold(&log);
        let at = Stamp { run: last.at.run, ..at };
        let undo = log.draft(at, EventKind::Undone { event: last.id });
        log.append(undo.clone()).unwrap();
        let redo = log.draft(at, EventKind::Undone { event: undo.id });
        log.append(redo).unwrap();
        let after = fold(&log);
        let numbers = |job: &lidoff_job::Job| -> Vec<u32> {
            job.done.iter().map(|done| done.step.number).collect()
        };
        prop_assert_eq!(numbers(&after), numbers(&before));
        prop_assert_eq!(&after.remaining, &before.remaining);
        prop_assert_eq!(&after.status, &before.status);
        prop_assert_eq!(&after.tasks, &before.tasks);
        prop_assert_eq!(tally(&after), tally(&before));
    }
}
