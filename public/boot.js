// What must work when the app does not: takes the boot screen away, says so when
// the app has stopped and hands out the records, and looks after the version
// that is kept for use without a network. Talks to the app by events on `window`
// and by `window.lidoffOffline`, and needs nothing of it.
"use strict";
{
  const byId = (id) => document.getElementById(id);

  // --- Started, or stopped ---------------------------------------------------

  let started = false;

  const stopped = (why) => {
    const what = byId("stopped-what");
    if (!started) what.textContent = what.dataset.early;
    // The first reason is the cause; what follows is its wake.
    if (byId("stopped").hidden) byId("stopped-why").textContent = String(why);
    byId("stopped").hidden = false;
  };

  // A trap in WASM is the end of the app; any other error is, only before it
  // has started.
  const fatal = (error) => !started || error instanceof WebAssembly.RuntimeError;

  addEventListener("lidoff-shown", () => {
    started = true;
    byId("boot")?.remove();
  });
  addEventListener("lidoff-panic", (event) => stopped(event.detail));
  addEventListener("unhandledrejection", (event) => {
    if (fatal(event.reason)) stopped(event.reason);
  });
  addEventListener(
    "error",
    (event) => {
      // A file that does not load is told to its element and does not bubble.
      const script = event.target instanceof HTMLScriptElement;
      if (script || (event instanceof ErrorEvent && fatal(event.error))) {
        stopped(event.message || byId("stopped-why").dataset.unloaded);
      }
    },
    true,
  );

  byId("stopped-reload").addEventListener("click", () => location.reload());
  byId("stopped-save").addEventListener("click", async () => {
    const text = JSON.stringify(await records(), null, 1);
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([text], { type: "application/json" }));
    link.download = `lidoff-records-${new Date().toISOString().slice(0, 10)}.json`;
    link.click();
  });

  // --- The records, as they lie in the browser -------------------------------

  const done = (request) =>
    new Promise((resolve, reject) => {
      request.onsuccess = () => resolve(request.result);
      request.onerror = () => reject(request.error);
    });

  // Everything stored under a name that begins with "lidoff". What cannot be
  // read is said in `unread`; the rest is still saved.
  const records = async () => {
    const all = { format: "lidoff-rescue/1", localStorage: {}, indexedDB: {}, unread: [] };
    const unread = (what) => (error) => all.unread.push(`${what}: ${error}`);
    try {
      for (const [key, value] of Object.entries(localStorage)) {
        if (key.startsWith("lidoff")) all.localStorage[key] = value;
      }
    } catch (error) {
      unread("localStorage")(error);
    }
    const names = async () => (await indexedDB.databases()).map(({ name }) => name);
    for (const name of (await names().catch(unread("indexedDB"))) || []) {
      if (name.startsWith("lidoff")) {
        await database(name)
          .then((stores) => (all.indexedDB[name] = stores))
          .catch(unread(name));
      }
    }
    return all;
  };

  const database = async (name) => {
    const open = await done(indexedDB.open(name));
    const stores = {};
    for (const name of open.objectStoreNames) {
      // The key says of which job an event is.
      const store = open.transaction(name).objectStore(name);
      const [keys, values] = await Promise.all([done(store.getAllKeys()), done(store.getAll())]);
      stores[name] = keys.map((key, nth) => [key, values[nth]]);
    }
    open.close();
    return stores;
  };

  // --- Kept for use without a network ------------------------------------------

  // kept:   "no" (not yet, or this browser cannot), "yes", or why it failed
  // update: whether another version waits for `lidoff-take-update`
  const offline = { kept: "no", update: false };
  window.lidoffOffline = offline;

  const say = (change) => {
    Object.assign(offline, change);
    dispatchEvent(new CustomEvent("lidoff-offline", { detail: offline }));
    if (change.update) dispatchEvent(new CustomEvent("lidoff-update"));
  };

  const keep = async () => {
    const workers = navigator.serviceWorker;
    let ours = workers.controller;
    // How often the page was loaded anew because the next version would not take over.
    const TRIES = "lidoff/tries-to-take";
    const tries = Number(sessionStorage.getItem(TRIES));
    sessionStorage.removeItem(TRIES);
    let taking = false;

    // Before the registration, so that no change is missed.
    workers.addEventListener("controllerchange", () => {
      if (taking) location.reload();
      // Taken in another window: this page is of the old version, and goes on
      // until the person here says so.
      else if (ours) say({ update: true });
      ours = workers.controller;
    });

    const registration = await workers.register("sw.js", { updateViaCache: "none" });
    workers.ready.then(() => say({ kept: "yes" }));

    const take = () => {
      taking = true;
      if (!registration.waiting) return location.reload();
      registration.waiting.postMessage("take over");
      // Chromium leaves a worker waiting for good if the one before it was given
      // something to answer just then; it lets go when the page does.
      setTimeout(() => {
        sessionStorage.setItem(TRIES, tries + 1);
        location.reload();
      }, 2000);
    };
    addEventListener("lidoff-take-update", take);
    // Loaded anew on the way; if the next version has taken over meanwhile, this
    // page may still be of the one before.
    if (tries > 0 && (tries < 5 || !registration.waiting)) take();

    const offer = () => {
      // The first version of all has nobody to wait for.
      if (registration.waiting && registration.active) say({ update: true });
    };
    offer();
    registration.addEventListener("updatefound", () => {
      registration.installing.addEventListener("statechange", offer);
    });

    // An installed app may stay open for days.
    const HOUR = 3_600_000;
    let asked = Date.now();
    document.addEventListener("visibilitychange", () => {
      if (document.visibilityState === "visible" && navigator.onLine && Date.now() - asked > HOUR) {
        asked = Date.now();
        // No network after all: the next time will do.
        registration.update().catch((error) => console.info(`no look for an update: ${error}`));
      }
    });
  };

  if ("serviceWorker" in navigator) {
    // The app first, the copy for later afterwards.
    addEventListener("load", () => keep().catch((error) => say({ kept: String(error) })));
  }
}
