//! "Something's wrong": a short list of large buttons, available from any step, each
//! with a small form.

mod danger;
mod fastener;
mod missing_part;
mod note;

use leptos::prelude::*;

use self::danger::DangerForm;
pub use self::fastener::FastenerForm;
use self::missing_part::MissingPart;
use self::note::{CatalogNote, StepNote};
use crate::slice::OpenJob;
use crate::widgets::choose_task::{ChooseTask, Purpose};
use crate::widgets::dynamic::rebuilt;
use crate::widgets::offer::{Broken, CloseUp, OtherRoute};
use crate::widgets::pause_reasons::PauseReasons;
use crate::widgets::sheet::Sheet;
use lidoff_app_core::blocked_operation::{blocked_operation, replacement_task};
use lidoff_i18n::tr;
use lidoff_job::{Lack, PlannedStep};

/// The kinds of problem.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Problem {
    Danger,
    Broken,
    Stuck,
    Fastener,
    Lacks(Lack),
    Catalog,
    Stop,
    Other,
}

impl Problem {
    const ALL: [Self; 9] = [
        Self::Danger,
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
            Self::Danger => tr!("Danger: smoke, live part, swollen battery, someone hurt"),
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
pub fn ProblemSheet(job: OpenJob, step: PlannedStep, open: RwSignal<bool>) -> impl IntoView {
    view! {
        <Sheet open title=tr!("Something's wrong")>
            <ProblemForm job step=step.clone() open/>
        </Sheet>
    }
}

#[component]
fn ProblemForm(job: OpenJob, step: PlannedStep, open: RwSignal<bool>) -> impl IntoView {
    let chosen = RwSignal::new(None::<Problem>);
    rebuilt(move || {
        let Some(wrong) = chosen.get() else {
            let choices = Problem::ALL.into_iter().map(|wrong| {
                view! {
                    <button type="button" class="wide choice" class:wrong=wrong == Problem::Danger on:click=move |_| chosen.set(Some(wrong))>{wrong.words()}</button>
                }
            });
            let choices: Vec<_> = choices.collect();
            return view! { <div class="stack">{choices}</div> }.into_any();
        };
        let step = step.clone();
        let number = step.number;
        let form = match wrong {
            Problem::Danger => view! { <DangerForm job step=number open/> }.into_any(),
            Problem::Broken => view! { <WhatIsBroken job step then=open/> }.into_any(),
            Problem::Stuck if blocked_operation(&step).is_some() => {
                view! { <OtherRoute job step then=open/> }.into_any()
            }
            Problem::Stuck => view! {
                <p>{tr!("Nothing comes off in this step, so there is no other route to try. Write down what you found.")}</p>
                <StepNote job step=number open/>
            }
            .into_any(),
            Problem::Fastener => {
                let stays_in = blocked_operation(&step).is_some().then(|| {
                    let step = step.clone();
                    view! {
                        <p>{tr!("If the fastener is stripped and still in:")}</p>
                        <OtherRoute job step then=open/>
                    }
                });
                view! { <FastenerForm job step=Some(step) open/>{stays_in} }.into_any()
            }
            Problem::Lacks(lack) => view! { <MissingPart job step lack open/> }.into_any(),
            Problem::Catalog => view! { <CatalogNote job step=number open/> }.into_any(),
            Problem::Stop => view! {
                <p>{tr!("Pause and continue from here later:")}</p>
                <PauseReasons job open/>
                <p>{tr!("Or close the unit and leave the rest for another visit:")}</p>
                <CloseUp job then=open/>
            }
            .into_any(),
            Problem::Other => view! { <StepNote job step=number open/> }.into_any(),
        };
        view! {
            <div class="stack">
                <h3>{wrong.words()}</h3>
                {form}
                <button type="button" class="quiet wide" on:click=move |_| chosen.set(None)>{tr!("Choose something else")}</button>
            </div>
        }
        .into_any()
    })
}

/// Choosing the broken part: that of the current step, or another.
#[component]
fn WhatIsBroken(job: OpenJob, step: PlannedStep, then: RwSignal<bool>) -> impl IntoView {
    let another = RwSignal::new(replacement_task(&step).is_none());
    rebuilt(move || {
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
    })
}
