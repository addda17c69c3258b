{% load static %}// Between the pages of the field and the network: what cannot be fetched is shown from what the phone keeps, and an entry
// that cannot be sent waits in the outbox. With signal everything comes from the site, as if this were not there.
"use strict";

importScripts("{% static 'jobs/field-store.js' %}");

const CACHE = "piecewall-field", SHELL = "{% url 'outbox' %}";
const FILES = [
  "{% static 'jobs/piecewall.css' %}", "{% static 'jobs/field-store.js' %}", "{% static 'jobs/field-outbox.js' %}",
  "{% static 'jobs/field-pages.js' %}", "{% static 'jobs/mark.svg' %}",
];

const filed = async () => (await caches.open(CACHE)).addAll(FILES);
self.addEventListener("install", (event) => event.waitUntil(filed().then(() => self.skipWaiting())));
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));

const file = async (request) => {
  const cache = await caches.open(CACHE);
  try {
    const answer = await fetch(request);
    if (answer.ok) await cache.put(request, answer.clone());
    return answer;
  } catch (error) {
    const kept = await cache.match(request);
    if (kept) return kept;
    throw error;
  }
};

const page = async (request) => {
  try {
    return await fetch(request);
  } catch (error) {
    const kept = await (await caches.open(CACHE)).match(SHELL);
    if (kept) return kept;
    throw error;
  }
};

// The line may be cut before the form arrives or before its answer does: the same UUID is sent again, and counts once.
const entry = async (request, unit) => {
  const copy = request.clone();
  try {
    return await fetch(request);
  } catch (error) {
    // Whose form it was; somebody else may have signed in since.
    const form = await copy.formData(), member = Number(form.get("sender"));
    const asked = member && entryOfForm(unit, form, await Store.all("crews"), new Date());
    if (!asked) throw error;
    await Store.post({
      uuid: asked.uuid, member, made_at: asked.made_at, state: "waiting", entry: asked, told: await told(unit, asked),
    });
    return Response.redirect(`${SHELL}?kept`, 303);
  }
};

const told = async (unit, asked) => {
  const found = await Store.one("work_units", unit);
  if (!found) return "finished work";
  const operation = await Store.one("operations", found.operation);
  const wall = found.wall && (await Store.one("walls", found.wall));
  const much = asked.part ? `${asked.part.count || asked.part.numbers.join(", ")} ${asked.part.unit}`
    : asked.quantity === "all left" ? "all that is left" : `${asked.quantity} ${operation.unit}`;
  const face = found.face && (["left", "right"].includes(found.face) ? `${found.face} face` : found.face);
  return [wall ? `Wall ${wall.mark}` : "", operation.name, face, found.opening].filter(Boolean).join(", ") + `: ${much}`;
};

self.addEventListener("fetch", (event) => {
  const { request } = event, { origin, pathname } = new URL(request.url);
  if (origin !== self.location.origin) return;
  const [, unit] = pathname.match(/^\/work-units\/(\d+)\/log\/$/) || [];
  if (request.mode === "navigate" && request.method === "POST" && unit) event.respondWith(entry(request, Number(unit)));
  else if (request.mode === "navigate" && request.method === "GET") event.respondWith(page(request));
  else if (request.method === "GET" && /^\/(static|accent)\//.test(pathname)) event.respondWith(file(request));
});
