//! Several tabs: within one page, each request for the lock stands for a tab.

use std::cell::RefCell;
use std::rc::Rc;

use lidoff_web::service::tabs::{self, Role};
use wasm_bindgen::JsCast as _;
use wasm_bindgen::closure::Closure;
use wasm_bindgen_test::wasm_bindgen_test;

use super::page::{self, job};

type Heard<T> = Rc<RefCell<Vec<T>>>;

fn ear<T: 'static>() -> (Heard<T>, impl Fn(T) + 'static) {
    let heard = Heard::<T>::default();
    let ear = Rc::clone(&heard);
    (heard, move |it| ear.borrow_mut().push(it))
}

#[wasm_bindgen_test]
async fn one_tab_writes_and_another_can_take_over() {
    let (heard_first, ear) = ear();
    let (first, joined) = tabs::join("test-take-over", ear).await;
    assert_eq!((joined.role, joined.trouble), (Role::Writer, None));
    let (heard_second, ear) = self::ear();
    let (second, joined) = tabs::join("test-take-over", ear).await;
    assert_eq!((joined.role, joined.trouble), (Role::Reader, None));
    assert!(heard_first.borrow().is_empty() && heard_second.borrow().is_empty());

    second.take_over();
    page::until("the first reads", || first.role() == Role::Reader).await;
    page::until("the second writes", || second.role() == Role::Writer).await;
    first.take_over();
    page::until("the second reads", || second.role() == Role::Reader).await;
    page::until("the first writes", || first.role() == Role::Writer).await;
    assert_eq!(*heard_first.borrow(), [Role::Reader, Role::Writer]);
    assert_eq!(*heard_second.borrow(), [Role::Writer, Role::Reader]);
}

#[wasm_bindgen_test]
async fn a_reader_writes_when_the_writer_has_gone() {
    // A writer in a page of its own, which can go.
    let document = page::window().document().expect("a page");
    let frame = document.create_element("iframe").expect("a frame");
    let body = document.body().expect("a body");
    body.append_child(&frame).expect("added");
    let locks = js_sys::Function::new_with_args(
        "frame",
        "return new Promise((held) => frame.contentWindow.navigator.locks.request(
            'test-gone', () => { held(); return new Promise(() => {}); }))",
    );
    let held = locks
        .call1(&wasm_bindgen::JsValue::NULL, &frame)
        .expect("asked");
    wasm_bindgen_futures::JsFuture::from(js_sys::Promise::resolve(&held))
        .await
        .expect("held");

    let (heard, ear) = ear();
    let (tab, joined) = tabs::join("test-gone", ear).await;
    assert_eq!(joined.role, Role::Reader);
    frame.remove();
    page::until("the reader writes", || tab.role() == Role::Writer).await;
    assert_eq!(*heard.borrow(), [Role::Writer]);
}

#[wasm_bindgen_test]
async fn a_browser_without_locks_writes_and_says_so() {
    let navigator = page::window().navigator();
    let undefined = wasm_bindgen::JsValue::UNDEFINED;
    let bent = page::bend(&navigator, "locks", &undefined);
    let (tab, joined) = tabs::join("test-no-locks", |_| ()).await;
    drop(bent);
    assert_eq!((tab.role(), joined.role), (Role::Writer, Role::Writer));
    assert!(joined.trouble.is_some());
}

#[wasm_bindgen_test]
async fn tabs_hear_of_each_others_events_and_not_of_their_own() {
    let (heard_here, ear) = ear();
    tabs::listen(ear);
    let other = web_sys::BroadcastChannel::new(tabs::NAME).expect("a channel");
    let (heard_there, ear) = self::ear();
    let listener =
        Closure::<dyn FnMut(web_sys::MessageEvent)>::new(move |message: web_sys::MessageEvent| {
            ear(message.data().as_string())
        });
    other.set_onmessage(Some(listener.as_ref().unchecked_ref()));

    tabs::announce(&job("TM-0001"));
    other.post_message(&"TM-0002".into()).expect("told");
    page::until("both have heard", || {
        !heard_here.borrow().is_empty() && !heard_there.borrow().is_empty()
    })
    .await;
    page::pass(30).await;
    assert_eq!(*heard_here.borrow(), [job("TM-0002")]);
    assert_eq!(*heard_there.borrow(), [Some("TM-0001".to_owned())]);
    other.close();
}
