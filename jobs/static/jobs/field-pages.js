// The log pages without signal: the same steps and the same form, from what this phone was told last. The service worker
// puts this page in the place of the one that could not be fetched; its address says which step is meant.
"use strict";

const made = (name, facts = {}, ...inside) => {
  const element = document.createElement(name);
  for (const [key, value] of Object.entries(facts)) {
    if (value === true) element.setAttribute(key, "");
    else if (value !== false && value !== undefined) element.setAttribute(key, value);
  }
  element.append(...inside);
  return element;
};
const link = (to, ...inside) => made("a", { href: to }, ...inside);
const item = (...inside) => made("li", {}, ...inside);
const partOf = (unit) => [
  unit.face && (["left", "right"].includes(unit.face) ? `${unit.face} face` : unit.face),
  unit.layer && `layer ${unit.layer}`, unit.opening && `opening ${unit.opening}`,
].filter(Boolean).join(", ");
const byPlace = (units, operations) => units.sort((a, b) =>
  operations.get(a.operation).position - operations.get(b.operation).position || a.id - b.id);

const Pages = {
  named: async (kind) => new Map((await Store.all(kind)).map((row) => [row.id, row])),

  // What is left on this phone: as told last, less what waits in the outbox for all of it.
  async units(filter) {
    const waiting = new Set((await Store.outbox(Outbox.member))
      .filter((one) => one.state === "waiting" && one.entry.quantity === "all left").map((one) => one.entry.work_unit));
    return (await Store.all("work_units")).filter((one) => filter(one) && Number(one.left) > 0 && !waiting.has(one.id));
  },

  async words(unit) {
    const operation = await Store.one("operations", unit.operation);
    const wall = unit.wall && (await Store.one("walls", unit.wall));
    const level = await Store.one("levels", unit.level);
    return [wall ? `Wall ${wall.mark}` : level.name, operation.name, partOf(unit)].filter(Boolean).join(", ");
  },

  async jobs() {
    const jobs = await Store.all("jobs");
    const lines = jobs.map((job) => item(link(`/jobs/${job.id}/log/`, made("span", {}, job.name), made("span", {}, job.code))));
    return [made("h2", {}, "Log finished work"), lines.length ? made("ul", { class: "pick" }, ...lines)
      : made("p", {}, "This phone was told of no job yet. Open a page once with signal.")];
  },

  async walls(job) {
    const levels = await Pages.named("levels"), walls = await Pages.named("walls");
    const counts = new Map();
    for (const unit of await Pages.units((one) => one.job === job && one.wall)) {
      counts.set(unit.wall, (counts.get(unit.wall) || 0) + 1);
    }
    const shown = [];
    for (const level of [...levels.values()].filter((one) => one.job === job).sort((a, b) => a.position - b.position)) {
      const here = [...counts.keys()].map((id) => walls.get(id)).filter((wall) => wall.level === level.id)
        .sort((a, b) => a.mark.localeCompare(b.mark, undefined, { numeric: true }));
      if (here.length) shown.push(made("h3", {}, level.name), made("ul", { class: "marks" }, ...here.map((wall) => item(
        link(`/jobs/${job}/log/${wall.id}/`, made("strong", {}, wall.mark), made("small", {}, `${counts.get(wall.id)} to do`))))));
    }
    return [made("h2", {}, "Which wall?"), ...(shown.length ? shown : [made("p", {}, "Nothing is left to log here.")])];
  },

  async work(job, wall) {
    const operations = await Pages.named("operations"), mark = (await Store.one("walls", wall))?.mark || "";
    const units = byPlace(await Pages.units((one) => one.wall === wall), operations);
    const lines = units.map((unit) => {
      const operation = operations.get(unit.operation);
      return item(link(`/work-units/${unit.id}/log/`, made("span", {}, [operation.name, partOf(unit)].filter(Boolean).join(", ")),
        made("span", { class: "left" }, `${unit.left} ${operation.unit} left`)));
    });
    return [made("h2", {}, `Wall ${mark}: what was finished?`), made("ul", { class: "pick" }, ...lines),
      made("p", {}, link(`/jobs/${job}/log/`, "Another wall"))];
  },

  choice(facts, words, small, ...more) {
    const label = made("label", { for: facts.id }, made("strong", {}, words));
    if (small) label.append(made("small", {}, small));
    return made("div", { class: "choice" }, made("input", facts), label, ...more);
  },

  async form(id) {
    const unit = await Store.one("work_units", id);
    if (!unit) return [made("p", {}, "This phone was not told of that work. It needs signal.")];
    const operation = await Store.one("operations", unit.operation), job = await Store.one("jobs", unit.job);
    const people = await Pages.named("people"), crews = await Store.all("crews");
    const today = new Intl.DateTimeFormat("en-CA", { timeZone: job.time_zone, dateStyle: "short" }).format(new Date());
    const spoken = operation.measure === "board" ? ["sheets", ...(unit.face ? ["feet"] : [])] : [];
    const said = made("span", { class: "said" }, made("label", { for: "quantity", class: "hidden" }, `Quantity in ${operation.unit}`),
      made("input", { class: "narrow", type: "text", id: "quantity", name: "quantity", placeholder: " ", autocomplete: "off" }));
    if (spoken.length) said.append(made("label", { for: "said_in", class: "hidden" }, "Told in"),
      made("select", { id: "said_in", name: "said_in" }, made("option", { value: "" }, operation.unit),
        ...spoken.map((one) => made("option", { value: one }, one === "feet" ? "feet of wall" : one))));
    else said.append(made("span", {}, operation.unit));
    const much = made("fieldset", {}, made("legend", {}, "How much?"),
      Pages.choice({ type: "radio", name: "how_much", id: "all", value: "all", checked: true },
        `All that is left: ${unit.left} ${operation.unit}`, `of ${unit.measured} ${operation.unit} measured, as this phone was told last`),
      Pages.choice({ type: "radio", name: "how_much", id: "part", value: "part" }, "A part of it", "", said));
    if (operation.measure === "board" && unit.face) much.append(Pages.choice(
      { type: "radio", name: "how_much", id: "by_sheets", value: "sheets" }, "Sheets by number", "of the hanging order, such as 4, 5",
      made("span", { class: "said" }, made("label", { for: "sheets", class: "hidden" }, "Numbers of the sheets"),
        made("input", { class: "narrow", type: "text", id: "sheets", name: "sheets", pattern: "[0-9, ]*",
          title: "Numbers with commas between them, such as 4, 5", inputmode: "text", autocomplete: "off" }))));
    const names = (crew) => crew.people.map((one) => people.get(one.person)?.name).filter(Boolean).join(", ");
    const who = made("fieldset", { id: "who" }, made("legend", {}, "Who did it?"),
      ...crews.filter((crew) => crew.people.length).map((crew, nth) => Pages.choice(
        { type: "radio", name: "who", id: `crew${crew.id}`, value: `crew ${crew.id}`, checked: nth === 0 }, crew.name, names(crew))),
      Pages.choice({ type: "radio", name: "who", id: "people", value: "people", checked: !crews.length }, "Only the people ticked here", ""),
      made("details", {}, made("summary", {}, "Choose people"), ...[...people.values()].map((one) => Pages.choice(
        { type: "checkbox", name: "person", id: `person${one.id}`, value: one.id }, one.name, ""))));
    const form = made("form", { method: "post", action: `/work-units/${id}/log/` },
      made("input", { type: "hidden", name: "uuid", value: crypto.randomUUID() }),
      made("input", { type: "hidden", name: "sender", value: Outbox.member }),
      made("input", { type: "hidden", name: "csrfmiddlewaretoken", value: document.cookie.match(/csrftoken=([^;]+)/)?.[1] || "" }),
      much, who,
      made("div", { class: "field" }, made("label", { for: "worked_on" }, "Worked on"),
        made("input", { type: "date", id: "worked_on", name: "worked_on", value: today, max: today })),
      made("details", {}, made("summary", {}, "Add a note"), made("div", { class: "field" }, made("label", { for: "note" }, "Note"),
        made("textarea", { id: "note", name: "note", rows: "2", maxlength: "500" }))),
      made("details", {}, made("summary", {}, "When in the day it was done"),
        made("input", { type: "hidden", name: "time_zone", value: job.time_zone }),
        ...[["started", "From"], ["finished", "To"]].map(([name, words]) => made("div", { class: "field" },
          made("label", { for: name }, words), made("input", { type: "time", id: name, name })))),
      made("p", { class: "help" }, "A photo is added on the entry's own page, once the entry was sent."),
      made("div", { class: "actions" }, made("button", {}, "Record")));
    for (const [typed, choice] of [["#quantity", "#part"], ["#sheets", "#by_sheets"]]) {
      form.querySelector(typed)?.addEventListener("input", (event) => {
        if (event.target.value) form.querySelector(choice).checked = true;
      });
    }
    return [made("h2", {}, await Pages.words(unit)), form];
  },

  async step() {
    const path = location.pathname;
    const [, unit] = path.match(/^\/work-units\/(\d+)\/log\/$/) || [];
    const [, job, wall] = path.match(/^\/jobs\/(\d+)\/(?:log\/(?:(\d+)\/)?)?$/) || [];
    if (unit) return Pages.form(Number(unit));
    if (wall) return Pages.work(Number(job), Number(wall));
    return job ? Pages.walls(Number(job)) : Pages.jobs();
  },

  line(one) {
    const inside = [made("strong", {}, one.state), ` ${one.told}`];
    if (one.state === "sent") inside.push(" ", link(`/entries/${one.uuid}/`, "the entry"));
    for (const sentence of [...(one.problem || []), ...(one.notices || []).map((notice) => `${notice.sentence} ${notice.next}`)]) {
      inside.push(made("p", {}, sentence));
    }
    if (one.state === "refused") {
      const away = made("button", { class: "plain", type: "button" }, "Take it off the list");
      away.addEventListener("click", async () => { await Store.unpost([one.uuid]); Outbox.say(); });
      inside.push(made("p", {}, link(`/work-units/${one.entry.work_unit}/log/`, "Log it anew")), made("p", {}, away));
    }
    return item(...inside);
  },

  async kept() {
    const kept = (await Store.outbox(Outbox.member)).reverse();
    const list = document.getElementById("outbox-list");
    list.replaceChildren(...kept.map(Pages.line));
    document.getElementById("outbox-empty").hidden = kept.length > 0;
  },

  async show() {
    document.getElementById("no-signal").hidden = navigator.onLine && location.pathname === "/outbox/";
    document.getElementById("field").replaceChildren(...(await Pages.step()));
    await Pages.kept();
  },
};

document.addEventListener("outbox", Pages.kept);
Pages.show();
