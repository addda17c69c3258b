// What a phone keeps for work without signal: rows of the last changes told, and entries that wait to be sent.
// Read by pages and by the service worker alike. One database of the browser; nothing here talks to the site.
"use strict";

const Store = (() => {
  const asked = (request) => new Promise((done, failed) => {
    request.onsuccess = () => done(request.result);
    request.onerror = () => failed(request.error);
  });
  let opening = null;
  const open = () => {
    if (!opening) {
      const request = indexedDB.open("piecewall-field", 1);
      request.onupgradeneeded = () => {
        for (const [name, key] of [["rows", "key"], ["outbox", "uuid"], ["facts", "name"]]) {
          request.result.createObjectStore(name, { keyPath: key });
        }
      };
      opening = asked(request);
    }
    return opening;
  };
  const within = async (name, mode, work) => {
    const transaction = (await open()).transaction(name, mode);
    const ended = new Promise((done, failed) => {
      transaction.oncomplete = () => done();
      transaction.onerror = transaction.onabort = () => failed(transaction.error);
    });
    const found = await work(transaction.objectStore(name));
    await ended;
    return found;
  };
  const get = (name, key) => within(name, "readonly", (store) => asked(store.get(key)));
  const put = (name, rows) => within(name, "readwrite", (store) => { rows.forEach((row) => store.put(row)); });
  const drop = (name, keys) => within(name, "readwrite", (store) => { keys.forEach((key) => store.delete(key)); });
  const clear = (name) => within(name, "readwrite", (store) => { store.clear(); });
  const keyOf = (kind, id) => `${kind}:${id}`;

  return {
    // Rows of one kind: jobs, operations, levels, crews, people, walls, work_units.
    all: (kind) => within("rows", "readonly", (store) =>
      asked(store.getAll(IDBKeyRange.bound(`${kind}:`, `${kind};`, false, true)))),
    one: (kind, id) => get("rows", keyOf(kind, id)),
    keep: (kind, rows) => put("rows", rows.map((row) => ({ ...row, key: keyOf(kind, row.id) }))),
    leave: (kind, ids) => drop("rows", ids.map((id) => keyOf(kind, id))),
    forget: async () => { await clear("rows"); await clear("facts"); },
    fact: async (name) => (await get("facts", name))?.value,
    note: (name, value) => put("facts", [{ name, value }]),
    // Entries of the member who is signed in, in the order in which they were made.
    outbox: async (member) => (await within("outbox", "readonly", (store) => asked(store.getAll())))
      .filter((one) => one.member === member).sort((a, b) => (a.made_at < b.made_at ? -1 : 1)),
    post: (one) => put("outbox", [one]),
    unpost: (uuids) => drop("outbox", uuids),
  };
})();

// The moment when a clock in `zone` shows so many hours and minutes of a day; the earlier of two alike.
const momentOn = (day, clock, zone) => {
  const shown = Date.parse(`${day}T${clock}Z`);
  const offset = (at) => {
    const [, sign, hours, minutes] = new Intl.DateTimeFormat("en", { timeZone: zone, timeZoneName: "longOffset" })
      .format(at).match(/GMT(?:([+-])(\d\d):(\d\d))?/);
    return (sign === "-" ? -60000 : 60000) * (60 * Number(hours || 0) + Number(minutes || 0));
  };
  return new Date(shown - offset(shown - offset(shown))).toISOString();
};

// The entry that a form asks for, as the API is told it: by the rules of the site's own reading of the same form, so
// that an entry whose answer was lost on the way is known again by its UUID. Null where nothing can be made of it.
const entryOfForm = (unit, form, crews, now) => {
  const uuid = form.get("uuid"), typed = (form.get("quantity") || "").trim();
  const named = (form.get("sheets") || "").split(/[, ]+/).filter(Boolean);
  const steps = [...form.getAll("step"), ...named].map(Number);
  let how = form.get("how_much") || "part";
  if (how === "all" && typed) how = "part";
  if (how === "all" && steps.length) how = "sheets";
  const entry = { uuid, work_unit: unit, worked_on: form.get("worked_on"), made_at: now.toISOString() };
  if (how === "all") entry.quantity = "all left";
  else if (how === "sheets") {
    entry.part = { unit: "sheets", numbers: steps.sort((a, b) => a - b) };
    if (Number(form.get("plan"))) entry.part.plan = Number(form.get("plan"));
  } else if (form.get("said_in")) entry.part = { unit: form.get("said_in"), count: typed };
  else if (/['′’]/.test(typed)) entry.part = { unit: "feet", count: typed };
  else entry.quantity = typed.replaceAll(",", "").replace(/^\./, "0.").replace(/\.$/, "");
  const crew = crews.find((one) => form.get("who") === `crew ${one.id}`);
  if (crew) {
    const weights = new Set(crew.people.map((one) => Number(one.weight)));
    entry.shares = { by: weights.size > 1 ? "weight" : "equal", crew: crew.id };
  } else {
    const people = form.getAll("person").map((id) => (
      { person: Number(id), weight: (form.get(`parts-${id}`) || "").trim() || "1" }));
    if (new Set(people.map((one) => Number(one.weight))).size > 1) entry.shares = { by: "weight", people };
    else entry.shares = { by: "equal", people: people.map(({ person }) => ({ person })) };
  }
  const note = (form.get("note") || "").trim();
  if (note) entry.note = note;
  for (const name of ["started", "finished"]) {
    if (form.get(name)) entry[`${name}_at`] = momentOn(entry.worked_on, form.get(name), form.get("time_zone"));
  }
  return uuid ? entry : null;
};
