// Keeps the pages of the field as they last were, and shows them where nothing answers.
//
// A page that the desk refuses is forgotten; one whose reader has to sign in anew is not: who
// stands in the field has no desk at hand. What is sent to the desk never passes here.

"use strict";

const KEPT = "stintbook-field";
/** How long a page is waited for that is kept already, in milliseconds. */
const PATIENCE = 6000;
/** Scripts, sheets and pages that are kept. */
const MOST = 40;

const inTime = answer =>
  Promise.race([answer, new Promise((_, late) => setTimeout(late, PATIENCE))]);

const keep = async (store, address, answer) => {
  try {
    await store.put(address, answer);
    const all = await store.keys();
    await Promise.all(all.slice(0, Math.max(0, all.length - MOST)).map(old => store.delete(old)));
  } catch {
    // A phone that is full shows what it has.
  }
};

/** The page as the desk has it now, or as it last was. */
const latest = async request => {
  const store = await caches.open(KEPT);
  const before = await store.match(request.url);
  let answer;
  try {
    answer = await (before ? inTime(fetch(request)) : fetch(request));
  } catch {
    return before ?? Response.error();
  }
  if (answer.ok) {
    await keep(store, request.url, answer.clone());
    return answer;
  }
  if (answer.status >= 400 && answer.status < 500) {
    await store.delete(request.url);
    return answer;
  }
  return before ?? answer;
};

/** What never changes under its address. */
const fixed = async request => {
  const store = await caches.open(KEPT);
  const before = await store.match(request.url);
  if (before) return before;
  const answer = await fetch(request);
  if (answer.ok) await keep(store, request.url, answer.clone());
  return answer;
};

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", event => event.waitUntil(self.clients.claim()));
self.addEventListener("fetch", event => {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  if (request.method !== "GET" || origin !== self.location.origin) return;
  if (/^\/field\/(page|walk)$/.test(pathname)) event.respondWith(latest(request));
  if (/^\/field\/(app\.js|app\.css|icon\.svg)$/.test(pathname)) event.respondWith(fixed(request));
});
