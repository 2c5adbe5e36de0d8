// Stores one complete version of the app, and serves it with or without a network.
// `cargo xtask build` fills in the version and the list of files.
//
// A version is stored whole or not at all: each file is checked against its hash
// when it is downloaded, so an install from a half-updated server fails and is
// repeated later. A new version waits until the page tells it to take over.
"use strict";

const VERSION = "%VERSION%";
const FILES = "%FILES%";

// Other copies of the app may live in other folders of the same origin.
const OURS = `lidoff ${registration.scope} `;
const KEPT = OURS + VERSION;

// A file with its hash in its name never changes, so the copy that the page has
// just loaded can be used. The others are fetched from the server.
const HASHED = /-[0-9a-f]{12,16}(_bg)?\.\w+$/;

const request = ([address, integrity]) =>
  new Request(address, {
    integrity,
    cache: HASHED.test(address) ? "default" : "reload",
  });

const keep = async () => {
  const cache = await caches.open(KEPT);
  await cache.addAll(FILES.map(request));
};

const dropOlder = async () => {
  for (const name of await caches.keys()) {
    if (name.startsWith(OURS) && name !== KEPT) await caches.delete(name);
  }
  await clients.claim();
};

const answer = async (request) => {
  const cache = await caches.open(KEPT);
  const kept = await cache.match(request, { ignoreSearch: true });
  if (kept) return kept;
  if (request.mode === "navigate") {
    const page = await cache.match("./");
    if (page) return page;
  }
  return fetch(request);
};

addEventListener("install", (event) => event.waitUntil(keep()));
addEventListener("activate", (event) => event.waitUntil(dropOlder()));
addEventListener("message", (event) => {
  if (event.data === "take over") event.waitUntil(skipWaiting());
});
addEventListener("fetch", (event) => {
  const { method, url } = event.request;
  if (method === "GET" && url.startsWith(registration.scope)) {
    event.respondWith(answer(event.request));
  }
});
