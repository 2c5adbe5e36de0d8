//! Dynamic parts of a screen: texts, views, keyed lists and optional content. Each is
//! compiled once, not once for each use.

use std::hash::{DefaultHasher, Hash, Hasher};
use std::sync::Arc;

use leptos::prelude::*;

use crate::slice::Slice;

/// A row: its key and how it is built.
struct Row {
    key: u64,
    build: Box<dyn FnOnce() -> AnyView + Send>,
}

/// One row per item. A row is built when an item with a new key appears and removed with
/// it. Two items with the same key are distinguished by their order.
pub fn rows<T, K, V>(
    items: impl Fn() -> Vec<T> + Send + 'static,
    key: impl Fn(&T) -> K + Send + 'static,
    row: impl Fn(T) -> V + Send + Sync + 'static,
) -> AnyView
where
    T: Send + 'static,
    K: Hash,
    V: IntoView + 'static,
{
    let row = Arc::new(move |item: T| row(item).into_any());
    keyed(Box::new(move || {
        let rows = items().into_iter().map(|item| {
            let row = Arc::clone(&row);
            let mut hasher = DefaultHasher::new();
            key(&item).hash(&mut hasher);
            Row {
                key: hasher.finish(),
                build: Box::new(move || row(item)),
            }
        });
        rows.collect()
    }))
}

fn keyed(rows: Box<dyn Fn() -> Vec<Row> + Send>) -> AnyView {
    let each = move || {
        let mut rows = rows();
        for at in 1..rows.len() {
            while rows[..at].iter().any(|before| before.key == rows[at].key) {
                rows[at].key = rows[at].key.wrapping_add(1);
            }
        }
        rows
    };
    view! { <For each key=|row: &Row| row.key children=|row: Row| (row.build)()/> }.into_any()
}

/// Collects views of any kind as views of one type, so that a list is compiled once.
pub trait CollectAny {
    /// The views.
    fn collect_any(self) -> Vec<AnyView>;
}

impl<V: IntoView + 'static, I: Iterator<Item = V>> CollectAny for I {
    fn collect_any(self) -> Vec<AnyView> {
        self.map(IntoAny::into_any).collect()
    }
}

/// A text that updates when it changes.
pub fn text(read: impl Fn() -> String + Send + Sync + 'static) -> Signal<String> {
    Signal::derive(read)
}

/// A view that is rebuilt when what it reads changes.
pub fn rebuilt<V: IntoView + 'static>(view: impl Fn() -> V + Send + 'static) -> AnyView {
    erased(Box::new(move || view().into_any()))
}

fn erased(view: Box<dyn Fn() -> AnyView + Send>) -> AnyView {
    (move || view()).into_any()
}

/// Content that exists only while `is` is true.
#[component]
pub fn When(#[prop(into)] is: Signal<bool>, children: ChildrenFn) -> impl IntoView {
    let is = Slice::new(move || is.get());
    rebuilt(move || is.get().then(|| children()))
}
