// On every page of who logs work: sends what waits as soon as there is signal, fetches what is new, and says how many
// entries wait. The site counts an entry once however often it is sent (see the sync of the API).
"use strict";

const Outbox = (() => {
  const MOST = 100, FRESH_MS = 60000, KEPT_MS = 24 * 3600 * 1000;
  const KINDS = ["jobs", "operations", "levels", "crews", "people", "walls", "work_units"];
  const member = Number(document.body.dataset.member);
  // Whoever else signs in on this browser meanwhile, this page asks and sends for its own member or not at all.
  const MINE = { "X-Member": String(member) };
  const cookie = (name) => document.cookie.split("; ").find((one) => one.startsWith(`${name}=`))?.slice(name.length + 1);
  const plural = (count, verb) => `${count} ${count === 1 ? "entry" : "entries"} ${verb[count === 1 ? 0 : 1]}`;

  const say = async () => {
    const kept = await Store.outbox(member);
    const count = (state) => kept.filter((one) => one.state === state).length;
    const words = [];
    if (count("waiting")) words.push(plural(count("waiting"), ["waits to be sent", "wait to be sent"]));
    if (count("refused")) words.push(plural(count("refused"), ["was refused", "were refused"]));
    const line = document.getElementById("outbox-line");
    line.hidden = !words.length;
    line.querySelector("span").textContent = words.length ? `${words.join(", ")}.` : "";
    document.dispatchEvent(new Event("outbox"));
  };

  const settle = async (one, told) => {
    if (told.status === 201) {
      await Store.post({ ...one, state: "sent", sent_at: Date.now(), notices: told.entry.notices, problem: [] });
    } else if (told.status !== 503) {
      await Store.post({ ...one, state: "refused", problem: told.problem.errors.map((error) => error.detail) });
    }
  };

  const send = () => navigator.locks.request("piecewall-outbox", async () => {
    const kept = await Store.outbox(member);
    const old = kept.filter((one) => one.state === "sent" && Date.now() - one.sent_at > KEPT_MS);
    await Store.unpost(old.map((one) => one.uuid));
    const waiting = kept.filter((one) => one.state === "waiting");
    for (let start = 0; start < waiting.length; start += MOST) {
      const some = waiting.slice(start, start + MOST);
      const answer = await fetch("/api/sync/", {
        method: "POST",
        headers: { ...MINE, "Content-Type": "application/json", "X-CSRFToken": cookie("csrftoken") || "" },
        body: JSON.stringify({ operations: some.map((one) => ({ entry: one.entry })) }),
      });
      if (!answer.ok) break;
      const { operations } = await answer.json();
      for (const [nth, told] of operations.entries()) await settle(some[nth], told);
    }
  });

  const keepChanges = async (told) => {
    if (told.whole) await Store.forget();
    await Store.note("member", member);
    for (const kind of KINDS) await Store.keep(kind, told[kind]);
    const reach = Object.fromEntries(Object.entries(told.reach).map(([kind, ids]) => [kind, new Set(ids)]));
    for (const kind of ["jobs", "crews", "people"]) {
      const gone = (await Store.all(kind)).filter((row) => !reach[kind].has(row.id));
      await Store.leave(kind, gone.map((row) => row.id));
    }
    for (const kind of ["levels", "walls", "work_units"]) {
      const gone = (await Store.all(kind)).filter((row) => !reach.jobs.has(row.job));
      await Store.leave(kind, gone.map((row) => row.id));
    }
  };

  // The page to fall back to, as it is for this member.
  const keepShell = async () => {
    const shell = await fetch("/outbox/");
    if (!shell.ok || shell.redirected) return false;
    await (await caches.open("piecewall-field")).put("/outbox/", shell);
    return true;
  };

  const refresh = async () => {
    if ((await Store.fact("member")) !== member) {
      await (await caches.open("piecewall-field")).delete("/outbox/");
      await Store.forget();
      await keepShell();
    }
    if (Date.now() - ((await Store.fact("fetched")) || 0) < FRESH_MS) return;
    for (let more = true; more;) {
      const since = await Store.fact("cursor");
      const answer = await fetch(`/api/changes/${since ? `?since=${encodeURIComponent(since)}` : ""}`, { headers: MINE });
      if (!answer.ok) {
        if (answer.status === 400) await Store.forget();
        return;
      }
      const told = await answer.json();
      await keepChanges(told);
      await Store.note("cursor", told.cursor);
      more = told.more;
    }
    // Last: a page that is left half-way fetches all of it again.
    if (await keepShell()) await Store.note("fetched", Date.now());
  };

  // Without signal every step of this fails, and is tried again when there is some.
  const work = async () => {
    try {
      await send();
      await say();
      await refresh();
    } catch {
      await say();
    }
  };

  const leave = async () => {
    await Store.forget();
    await caches.delete("piecewall-field");
  };

  return { member, say, work, leave };
})();

if ("serviceWorker" in navigator && "locks" in navigator) {
  navigator.serviceWorker.register("/service-worker.js");
  document.querySelector("form[data-sign-out]")?.addEventListener("submit", () => { Outbox.leave(); });
  window.addEventListener("online", Outbox.work);
  document.addEventListener("visibilitychange", () => { if (!document.hidden) Outbox.work(); });
  navigator.serviceWorker.ready.then(Outbox.work);
  Outbox.say();
}
// A quantity that is typed is the part that is meant; the page shows the choice as the site will read it.
document.getElementById("quantity")?.addEventListener("input", (event) => {
  if (event.target.value) document.getElementById("part").checked = true;
});
