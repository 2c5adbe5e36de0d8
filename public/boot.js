// Everything that must work even if the app does not: removes the boot screen, reports
// that the app has stopped, saves the records to a file, and installs the offline
// version. It also guards the page against text that would run. It communicates with the app only by events on `window` and by
// `window.lidoffOffline`.
"use strict";
{
  const byId = (id) => document.getElementById(id);

  // --- Trusted Types ---------------------------------------------------------

  // The page's policy lets no text become HTML or a script's address unless it passes
  // here. The app builds elements from templates that are compiled into it: they hold
  // nothing that runs.
  const RUNS = /<\/?(script|iframe|frame|object|embed|base|meta|link)\b|\bon\w+\s*=|\bsrcdoc\b|javascript:/i;
  const WORKER = "sw.js";
  window.trustedTypes?.createPolicy("default", {
    createHTML: (html) => (RUNS.test(html) ? null : html),
    createScriptURL: (url) => (url === WORKER ? url : null),
  });

  // --- Started, or stopped ---------------------------------------------------

  let started = false;

  const stopped = (why) => {
    const what = byId("stopped-what");
    if (!started) what.textContent = what.dataset.early;
    // The first reason is the cause; later ones are its consequences.
    if (byId("stopped").hidden) byId("stopped-why").textContent = String(why);
    byId("stopped").hidden = false;
  };

  // A WASM trap always ends the app; any other error only does before the app
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
      // A failed load is reported to its element and does not bubble.
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

  // --- The records, as stored in the browser ---------------------------------

  const done = (request) =>
    new Promise((resolve, reject) => {
      request.onsuccess = () => resolve(request.result);
      request.onerror = () => reject(request.error);
    });

  // Everything stored under a name that begins with "lidoff". What cannot be
  // read is listed in `unread`; the rest is still saved.
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
      // The key contains the job of an event.
      const store = open.transaction(name).objectStore(name);
      const [keys, values] = await Promise.all([done(store.getAllKeys()), done(store.getAll())]);
      stores[name] = keys.map((key, nth) => [key, values[nth]]);
    }
    open.close();
    return stores;
  };

  // --- Offline version ---------------------------------------------------------

  // kept:   "no" (not yet, or not supported), "yes", or why it failed
  // update: whether a new version waits for `lidoff-take-update`
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
    // How often the page was reloaded because the new version did not take over.
    const TRIES = "lidoff/tries-to-take";
    const tries = Number(sessionStorage.getItem(TRIES));
    sessionStorage.removeItem(TRIES);
    let taking = false;

    // Before the registration, so that no change is missed.
    workers.addEventListener("controllerchange", () => {
      if (taking) location.reload();
      // Another window installed the new version. This page stays on the old one
      // until the user updates here.
      else if (ours) say({ update: true });
      ours = workers.controller;
    });

    const registration = await workers.register(WORKER, { updateViaCache: "none" });
    workers.ready.then(() => say({ kept: "yes" }));

    const take = () => {
      taking = true;
      if (!registration.waiting) return location.reload();
      registration.waiting.postMessage("take over");
      // Chromium may leave a worker waiting forever if the previous one received a
      // request just then. A reload ends that.
      setTimeout(() => {
        sessionStorage.setItem(TRIES, tries + 1);
        location.reload();
      }, 2000);
    };
    addEventListener("lidoff-take-update", take);
    // Reloaded during the update. Even if the new version has taken over meanwhile,
    // this page may still be from the old one.
    if (tries > 0 && (tries < 5 || !registration.waiting)) take();

    const offer = () => {
      // The very first version does not wait: there is no update to offer.
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
        // No network after all: try again next time.
        registration.update().catch((error) => console.info(`no check for an update: ${error}`));
      }
    });
  };

  if (window.lidoffOneFile) {
    say({ kept: "yes" });
  } else if ("serviceWorker" in navigator) {
    // Load the app first, then store it for offline use.
    addEventListener("load", () => keep().catch((error) => say({ kept: String(error) })));
  }
}
