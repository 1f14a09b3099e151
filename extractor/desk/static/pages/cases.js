// The list of cases: what each needs, a new one from dropped recordings, drafting on its way, what failed and again.

import { call, get, patch, post, told, upload } from "../api.js";
import { byId, h, refill, say, unseen } from "../dom.js";
import { askWhy } from "../dialogs.js";
import { parts } from "../ordered.js";
import { bytes, clock, when } from "../figures.js";
import "./plain.js";

const POLL_MS = 1000;
const BUSY = ["queued", "drafting"];
const LOGS = /\.(csv|tsv|xlsx|parquet)$/i;

/** Files not sent yet, in the order of the case. @type {File[]} */
let chosen = [];
let shown = "";

list().catch((error) => refill(byId("alarm"), told(error)));
listenForFiles();
setInterval(() => document.hidden || list().catch(() => {}), POLL_MS);

async function list() {
  const cases = await get("/cases");
  const text = JSON.stringify(cases);
  if (text === shown || document.querySelector("#cases [data-editing]")) return;
  shown = text;
  byId("no-cases").hidden = cases.length > 0;
  const focused = document.activeElement?.id;
  refill(byId("cases"), cases.map(row));
  if (focused) document.getElementById(focused)?.focus();
}

/** What a case needs, as a mark, and what to do about it. */
function needs({ state, waits, signed_by: by }) {
  if (state === "draft" && waits) return `${waits} to look at`;
  return (
    {
      waiting: "not drafted yet",
      queued: "waits to be drafted",
      drafting: "being drafted",
      failed: "could not be drafted",
      draft: "ready to sign",
      signed: `signed by ${by}`,
      amending: `being amended, ${waits} to look at`,
    }[state] ?? state
  );
}

function row(each) {
  const { id, title, state, files, progress, error, events, updated_at } = each;
  const hasTimeline = ["draft", "signed", "amending"].includes(state);
  const open = state === "signed" ? `/cases/${id}/sign` : `/cases/${id}`;
  return h(
    "li",
    { id: `case-${id}`, "aria-labelledby": `title-${id}` },
    h(
      "div",
      { class: "title" },
      hasTimeline ? h("a", { href: open, id: `title-${id}` }, title) : h("b", { id: `title-${id}` }, title),
      h("span", { class: `state ${state}` }, needs(each)),
      h(
        "button",
        { type: "button", class: "quiet", id: `rename-${id}`, onclick: () => rename(each) },
        "Rename",
        unseen(` ${title}`),
      ),
      h(
        "button",
        { type: "button", class: "quiet", id: `remove-${id}`, onclick: () => remove(each) },
        "Put away",
        unseen(` ${title}`),
      ),
      state === "draft" || state === "amending" ? logButton(each) : null,
    ),
    progress
      ? h(
          "p",
          {},
          h("progress", { ...howFar(progress), "aria-label": `Drafting ${title}` }),
          progress.total_s
            ? h("small", {}, `${clock(progress.done_s * 1000)} of ${clock(progress.total_s * 1000)} heard`)
            : null,
        )
      : null,
    error ? h("p", { class: "fault" }, typeof error === "string" ? error : told(error)) : null,
    state === "failed" || state === "waiting"
      ? h(
          "p",
          {},
          h(
            "button",
            { type: "button", class: "first", id: `draft-${id}`, onclick: () => draft(id) },
            state === "failed" ? "Try again" : "Draft it",
            unseen(`: ${title}`),
          ),
        )
      : null,
    files.length > 1 && !hasTimeline && !BUSY.includes(state)
      ? order(each)
      : h(
          "p",
          {},
          h(
            "small",
            {},
            files
              .map((file) => `${file.name} (${file.kind === "log" ? "pressure log, " : ""}${bytes(file.size)})`)
              .join(", "),
          ),
        ),
    h("p", {}, h("small", {}, hasTimeline ? `${events} events. ` : "", "Last changed ", when(updated_at))),
  );
}

/** How long it will be is not known at first: then the bar only tells that something goes on. */
const howFar = ({ done_s, total_s }) => (total_s ? { max: total_s, value: done_s } : {});

async function draft(id) {
  await doing(() => post(`/cases/${id}/draft`));
}

function rename({ id, title }) {
  const place = byId(`title-${id}`);
  const input = h("input", { value: title, "aria-label": "Title", "data-editing": "", maxlength: 200 });
  let done = false;
  const end = async (keep) => {
    if (done) return;
    done = true;
    input.replaceWith(place);
    shown = "";
    if (keep && input.value.trim() && input.value !== title)
      await doing(() => patch(`/cases/${id}`, { title: input.value.trim() }));
    byId(`rename-${id}`).focus();
  };
  input.addEventListener("keydown", (event) => {
    if (event.key === "Enter") end(true);
    if (event.key === "Escape") end(false);
  });
  input.addEventListener("blur", () => end(true));
  place.replaceWith(input);
  input.select();
}

/** A pump's log laid beside a draft: what it says is shown at the events. */
function logButton({ id, title }) {
  const input = h("input", {
    type: "file",
    accept: ".csv,.tsv,.xlsx,.parquet",
    class: "unseen",
    tabIndex: -1,
    "aria-hidden": "true",
  });
  input.addEventListener("change", () => {
    const [file] = input.files;
    const headers = { "X-Kind": "log", "Content-Type": "application/octet-stream" };
    if (file) doing(() => upload(`/cases/${id}/files/${encodeURIComponent(file.name)}`, file, headers, () => {}));
  });
  return [
    h(
      "button",
      { type: "button", class: "quiet", id: `log-${id}`, onclick: () => input.click() },
      "Add a pressure log",
      unseen(` to ${title}`),
    ),
    input,
  ];
}

async function remove({ id, title }) {
  const why = await askWhy(`Put “${title}” away`, "It leaves this list; nothing of it is deleted from the store.");
  if (why !== null) await doing(() => call("DELETE", `/cases/${id}`, { why }));
}

/** The files of a case that is not drafted: their order is the order of the case. */
function order({ id, title, files }) {
  const names = files.map(({ name }) => name);
  const send = (moved) => doing(() => patch(`/cases/${id}`, { order: moved }));
  return parts(
    names,
    `Files of ${title}, in order`,
    (moved) => send(moved),
    (name) => doing(() => call("DELETE", `/cases/${id}/files/${encodeURIComponent(name)}`)),
  );
}

function listenForFiles() {
  byId("files").addEventListener("change", (event) => {
    add([...event.target.files]);
    event.target.value = "";
  });
  const over = (on) => (event) => {
    if (!event.dataTransfer?.types.includes("Files")) return;
    event.preventDefault();
    document.body.classList.toggle("over", on);
  };
  document.addEventListener("dragover", over(true));
  document.addEventListener("dragleave", over(false));
  document.addEventListener("drop", (event) => {
    over(false)(event);
    if (event.dataTransfer?.files.length) add([...event.dataTransfer.files]);
  });
}

/** Several files become one case; the same name twice could not be told apart. */
function add(files) {
  for (const file of files) {
    if (chosen.some((other) => other.name === file.name)) say(`${file.name} is chosen already.`, true);
    else chosen.push(file);
  }
  showChosen();
}

function showChosen() {
  const place = byId("new-case");
  place.hidden = chosen.length === 0;
  if (!chosen.length) return;
  const kept = place.querySelector("input")?.value;
  const title = h("input", {
    id: "new-title",
    value: kept ?? chosen[0].name.replace(/\.[^.]+$/, ""),
    maxlength: 200,
    autocomplete: "off",
  });
  const bars = h("div", {});
  const start = h("button", { type: "button", class: "first", id: "make-case" }, "Make the case and draft it");
  start.addEventListener("click", () => send(title.value.trim(), bars, start));
  refill(
    place,
    h("label", { class: "field" }, h("span", {}, "Title"), title),
    chosen.length > 1 ? h("p", {}, "These notes are one case, in this order:") : null,
    parts(
      chosen.map(({ name }) => name),
      "Chosen files, in order",
      (names) => {
        chosen = names.map((name) => chosen.find((file) => file.name === name));
        showChosen();
      },
      (name) => {
        chosen = chosen.filter((file) => file.name !== name);
        showChosen();
      },
    ),
    bars,
    h("p", { class: "buttons" }, start),
  );
  start.focus();
}

async function send(title, bars, start) {
  start.disabled = true;
  try {
    const { id } = await post("/cases", title ? { title } : {});
    for (const file of chosen) {
      const bar = h("progress", { max: 1, value: 0, "aria-label": `Sending ${file.name}` });
      bars.append(h("p", {}, `${file.name} `, bar));
      const kind = LOGS.test(file.name) && chosen.length > 1 ? "log" : "recording";
      await upload(
        `/cases/${id}/files/${encodeURIComponent(file.name)}`,
        file,
        { "X-Kind": kind, "Content-Type": "application/octet-stream" },
        (share) => (bar.value = share),
      );
    }
    chosen = [];
    showChosen();
    await post(`/cases/${id}/draft`);
    say("Sent. It is being drafted; you may go on with another case.");
    shown = "";
    await list();
    document.getElementById(`case-${id}`)?.scrollIntoView({ block: "nearest" });
  } catch (error) {
    refill(byId("alarm"), told(error));
    start.disabled = false;
  }
}

async function doing(act) {
  try {
    await act();
    refill(byId("alarm"));
  } catch (error) {
    refill(byId("alarm"), told(error));
  }
  shown = "";
  await list();
}
