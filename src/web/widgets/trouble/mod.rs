//! "Something's wrong": a short list of large choices, from any step, each with a
//! small form of its own that leads to the right thing.

mod fastener;
mod part;
mod words;

use leptos::prelude::*;

pub use self::fastener::Fastener;
use self::part::Part;
use self::words::{CatalogWrong, Note};
use crate::slice::OpenJob;
use crate::widgets::choose_task::{ChooseTask, Purpose};
use crate::widgets::offer::{Broken, CloseUp, OtherRoute};
use crate::widgets::pause_reasons::PauseReasons;
use crate::widgets::sheet::Sheet;
use lidoff_app_core::blocked_operation::{blocked, replacing};
use lidoff_i18n::tr;
use lidoff_job::{Lack, PlannedStep};

/// What can be wrong.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Wrong {
    Broken,
    Stuck,
    Fastener,
    Lacks(Lack),
    Catalog,
    Stop,
    Other,
}

impl Wrong {
    const ALL: [Self; 8] = [
        Self::Broken,
        Self::Stuck,
        Self::Fastener,
        Self::Lacks(Lack::Missing),
        Self::Lacks(Lack::Wrong),
        Self::Catalog,
        Self::Stop,
        Self::Other,
    ];

    fn words(self) -> String {
        match self {
            Self::Broken => tr!("It is broken"),
            Self::Stuck => tr!("It won't come off"),
            Self::Fastener => tr!("A fastener is lost or stripped"),
            Self::Lacks(Lack::Missing) => tr!("The new part is missing"),
            Self::Lacks(Lack::Wrong) => tr!("The wrong part was brought"),
            Self::Catalog => tr!("It differs from the catalog"),
            Self::Stop => tr!("I need to stop"),
            Self::Other => tr!("Something else: write a note"),
        }
    }
}

/// The sheet.
#[component]
pub fn Trouble(job: OpenJob, step: PlannedStep, open: RwSignal<bool>) -> impl IntoView {
    view! {
        <Sheet open title=tr!("Something's wrong")>
            <Inside job step=step.clone() open/>
        </Sheet>
    }
}

#[component]
fn Inside(job: OpenJob, step: PlannedStep, open: RwSignal<bool>) -> impl IntoView {
    let chosen = RwSignal::new(None::<Wrong>);
    move || {
        let Some(wrong) = chosen.get() else {
            let choices = Wrong::ALL.into_iter().map(|wrong| {
                view! {
                    <button type="button" class="wide choice" on:click=move |_| chosen.set(Some(wrong))>{wrong.words()}</button>
                }
            });
            let choices: Vec<_> = choices.collect();
            return view! { <div class="stack">{choices}</div> }.into_any();
        };
        let step = step.clone();
        let number = step.number;
        let form = match wrong {
            Wrong::Broken => view! { <WhatIsBroken job step then=open/> }.into_any(),
            Wrong::Stuck if blocked(&step).is_some() => {
                view! { <OtherRoute job step then=open/><CloseUp job then=open/> }
                    .into_any()
            }
            Wrong::Stuck => view! {
                <p>{tr!("Nothing comes off in this step, so there is no other route to try. Write down what you found.")}</p>
                <Note job step=number open/>
            }
            .into_any(),
            Wrong::Fastener => {
                let stays_in = blocked(&step).is_some().then(|| {
                    let step = step.clone();
                    view! {
                        <p>{tr!("Or its head is stripped and it is still in:")}</p>
                        <OtherRoute job step then=open/>
                    }
                });
                view! { <Fastener job step=Some(step) open/>{stays_in} }.into_any()
            }
            Wrong::Lacks(lack) => view! { <Part job step lack open/> }.into_any(),
            Wrong::Catalog => view! { <CatalogWrong job step=number open/> }.into_any(),
            Wrong::Stop => view! {
                <p>{tr!("Pause and continue from here later:")}</p>
                <PauseReasons job open/>
                <p>{tr!("Or close the unit and leave the rest for another visit:")}</p>
                <CloseUp job then=open/>
            }
            .into_any(),
            Wrong::Other => view! { <Note job step=number open/> }.into_any(),
        };
        view! {
            <div class="stack">
                <h3>{wrong.words()}</h3>
                {form}
                <button type="button" class="quiet wide" on:click=move |_| chosen.set(None)>{tr!("Choose something else")}</button>
            </div>
        }
        .into_any()
    }
}

/// The part of the step in hand, where it has one, or another.
#[component]
fn WhatIsBroken(job: OpenJob, step: PlannedStep, then: RwSignal<bool>) -> impl IntoView {
    let another = RwSignal::new(replacing(&step).is_none());
    move || {
        if another.get() {
            return view! {
                <p>{tr!("Which part is broken?")}</p>
                <ChooseTask job purpose=Purpose::Broken then/>
            }
            .into_any();
        }
        view! {
            <Broken job step=step.clone() then/>
            <button type="button" class="wide" on:click=move |_| another.set(true)>{tr!("Another part")}</button>
        }
        .into_any()
    }
}
