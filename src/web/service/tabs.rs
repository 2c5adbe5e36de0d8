//! Several tabs of one browser: one writes, the others read.
//!
//! The writer holds an exclusive Web Lock for as long as its page lives. When the page
//! closes, the reader that waited longest takes over. Tabs announce changed jobs over a
//! BroadcastChannel. Web Locks are called through `Reflect`, because `web-sys` has them
//! only behind an unstable flag.

use std::cell::{Cell, OnceCell};
use std::rc::Rc;

use js_sys::{Object, Promise, Reflect};
use wasm_bindgen::closure::Closure;
use wasm_bindgen::{JsCast as _, JsValue};
use wasm_bindgen_futures::{JsFuture, spawn_local};
use web_sys::{BroadcastChannel, MessageEvent};

use lidoff_i18n::{tr, tr_noop};

use super::browser::{self, Thrown};
use lidoff_catalog::format::Text;
use lidoff_job::JobId;

/// Name of the lock and of the channel.
pub const NAME: &str = "lidoff";

/// What a tab may do.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Role {
    /// The only tab that writes.
    Writer,
    /// It only reads, because another tab writes.
    Reader,
}

/// This tab's handle; clones are the same tab.
#[derive(Clone)]
pub struct Tabs(Rc<Inner>);

/// The initial state of this tab.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Joined {
    /// Its role.
    pub role: Role,
    /// Why this browser cannot coordinate tabs, if it cannot. The tab then writes: events
    /// of two tabs have different ids, so nothing is overwritten.
    pub trouble: Option<Text>,
}

struct Inner {
    name: String,
    /// The browser's locks, where it has them.
    locks: Option<JsValue>,
    role: Cell<Role>,
    on_role: Box<dyn Fn(Role)>,
    /// Whether this tab waits for its turn to write.
    waiting: Cell<bool>,
}

#[derive(Clone, Copy)]
enum Ask {
    /// Immediately or not at all.
    Now,
    /// After the other tabs have closed.
    InTurn,
    /// Immediately; the other tab becomes a reader.
    Instead,
}

thread_local! {
    static CHANNEL: OnceCell<BroadcastChannel> = const { OnceCell::new() };
}

/// Joins the other tabs. `on_role` is called at every later change of this tab's role.
/// After the tab has become the writer, reload everything.
pub async fn join(name: &str, on_role: impl Fn(Role) + 'static) -> (Tabs, Joined) {
    let tabs = Tabs(Rc::new(Inner {
        name: name.to_owned(),
        locks: browser::of_navigator("locks"),
        role: Cell::new(Role::Reader),
        on_role: Box::new(on_role),
        waiting: Cell::new(false),
    }));
    let answer = match tabs.ask(Ask::Now) {
        Ok(answer) => JsFuture::from(answer).await.map_err(Thrown::from),
        Err(error) => Err(error),
    };
    let (role, trouble) = match answer {
        Ok(granted) if granted.is_truthy() => (Role::Writer, None),
        Ok(_) => (Role::Reader, None),
        Err(why) => (
            Role::Writer,
            Some(tr!(
                "This browser cannot coordinate two Lidoff tabs ({why}). Use only one.",
                why
            )),
        ),
    };
    tabs.0.role.set(role);
    if role == Role::Reader {
        tabs.wait();
    }
    (tabs, Joined { role, trouble })
}

impl Tabs {
    /// What this tab may do.
    pub fn role(&self) -> Role {
        self.0.role.get()
    }

    /// Makes this tab the writer, and the previous writer a reader.
    pub fn take_over(&self) {
        let tabs = self.clone();
        spawn_local(async move {
            let taken = match tabs.ask(Ask::Instead) {
                Ok(answer) => JsFuture::from(answer).await.is_ok(),
                Err(_) => false,
            };
            // If the lock is refused, the tab waits for its turn.
            if taken {
                tabs.become_(Role::Writer);
            }
        });
    }

    fn become_(&self, role: Role) {
        if self.0.role.replace(role) != role {
            (self.0.on_role)(role);
        }
    }

    /// Waits to become the writer, once.
    fn wait(&self) {
        if self.0.waiting.replace(true) {
            return;
        }
        let tabs = self.clone();
        spawn_local(async move {
            let granted = match tabs.ask(Ask::InTurn) {
                Ok(answer) => JsFuture::from(answer).await.is_ok(),
                Err(_) => false,
            };
            tabs.0.waiting.set(false);
            if granted {
                tabs.become_(Role::Writer);
            }
        });
    }

    /// Requests the lock. The promise resolves to whether it was granted. It is then held
    /// until the page closes or another tab takes over.
    fn ask(&self, how: Ask) -> Result<Promise, Thrown> {
        let locks = self.0.locks.as_ref();
        let locks = locks
            .ok_or_else(|| Thrown::from(JsValue::from(tr_noop!("locks are not supported"))))?;
        let options = Object::new();
        match how {
            Ask::Now => Reflect::set(&options, &"ifAvailable".into(), &JsValue::TRUE)?,
            Ask::InTurn => true,
            Ask::Instead => Reflect::set(&options, &"steal".into(), &JsValue::TRUE)?,
        };
        let mut request = Err(Thrown::from(JsValue::UNDEFINED));
        let answer = Promise::new(&mut |resolve, reject| {
            let granted = Closure::once_into_js(move |lock: JsValue| -> JsValue {
                let granted = !lock.is_null();
                let _told = resolve.call1(&JsValue::UNDEFINED, &granted.into());
                if granted {
                    // The lock is held until this promise settles, which it never does.
                    Promise::new(&mut |_, _| {}).into()
                } else {
                    JsValue::UNDEFINED
                }
            });
            request = browser::call(
                locks,
                "request",
                &[&self.0.name.as_str().into(), &options, &granted],
            );
            if let Ok(held) = &request {
                self.mourn(held.clone(), reject);
            }
        });
        request.map(|_| answer)
    }

    /// Waits for a lock to be refused or lost.
    fn mourn(&self, held: JsValue, reject: js_sys::Function) {
        let tabs = self.clone();
        spawn_local(async move {
            if let Err(why) = JsFuture::from(Promise::resolve(&held)).await {
                let _told = reject.call1(&JsValue::UNDEFINED, &why);
                if tabs.role() == Role::Writer {
                    tabs.become_(Role::Reader);
                    tabs.wait();
                }
            }
        });
    }
}

/// Announces a change of this job to the other tabs.
pub fn announce(job: &JobId) {
    with_channel(|channel| {
        // A tab that misses the message reads the change when it is reloaded.
        let _told = channel.post_message(&job.as_str().into());
    });
}

/// Listens for announcements of other tabs for as long as the page lives.
pub fn listen(on_news: impl Fn(JobId) + 'static) {
    with_channel(move |channel| {
        let listener = Closure::<dyn FnMut(MessageEvent)>::new(move |message: MessageEvent| {
            if let Some(job) = message.data().as_string() {
                on_news(JobId(job));
            }
        });
        channel.set_onmessage(Some(listener.as_ref().unchecked_ref()));
        listener.forget();
    });
}

/// Uses one channel only, so that a tab does not receive its own messages.
fn with_channel(action: impl FnOnce(&BroadcastChannel)) {
    CHANNEL.with(|channel| {
        if channel.get().is_none()
            && let Ok(new) = BroadcastChannel::new(NAME)
        {
            let _first = channel.set(new);
        }
        if let Some(channel) = channel.get() {
            action(channel);
        }
    });
}
