// The review: sound, words, timeline and what needs a look, put together; each follows the others.

import { Acts } from "../acts.js";
import { get, getBytes, told } from "../api.js";
import { help, isOpen, notice } from "../dialogs.js";
import { byId, choice, h, refill, say } from "../dom.js";
import { Filters } from "../filters.js";
import { clock } from "../figures.js";
import { listen } from "../keys.js";
import { Looks } from "../looks.js";
import { Player } from "../player.js";
import { disagreements } from "../pressure_log.js";
import { bindings } from "../review_keys.js";
import { Rows } from "../rows.js";
import { Sending } from "../sending.js";
import { Case } from "../state.js";
import { showTrail } from "../trail.js";
import { firstAfter, Waveform } from "../waveform.js";
import { vocabulary } from "../wording.js";
import { Words } from "../words.js";
import "./plain.js";

const LOOK_FOR_OTHERS_MS = 5000;

const id = location.pathname.split("/")[2];
const desk = new Case(id);
const player = new Player(byId("sound"));
const acts = new Acts(desk, player);
const pages = {
  trail: () => showTrail(desk),
  sign: () => location.assign(`/cases/${id}/sign`),
  help: () => help(keys),
  filters: () => narrow("filter-looks"),
  search: () => narrow("filter-text"),
};
const keys = bindings(acts, pages);

start().catch((error) => {
  byId("main").removeAttribute("aria-busy");
  refill(byId("alarm"), told(error));
  throw error;
});

async function start() {
  const fetched = desk.fetch();
  fetched.catch(() => {});
  const [words, info] = await Promise.all([get("/vocabulary"), get(`/cases/${id}`)]);
  Object.assign(vocabulary, words);
  names();
  const doing = {
    play: () => acts.play(),
    edit: (edit, what) => acts.edit(edit, what),
    hearFrom: (ms) => acts.hearFrom(ms),
  };
  acts.rows = new Rows(desk, byId("timeline"), doing);
  acts.looks = new Looks(desk, byId("looks"), acts);
  const spoken = new Words(desk, byId("words"), doing);
  new Filters(desk, byId("filters"));
  new Sending(desk, byId("sending"));
  const picture = new Waveform(byId("whole"), byId("near"), {
    seek: (ms) => player.seek(ms),
    choose: (event) => acts.goToEvent(event),
  });
  follow(spoken, picture);
  byId("case-title").textContent = info.title;
  document.title = `${info.title} · review`;
  const unsent = await desk.load(fetched);
  byId("main").removeAttribute("aria-busy");
  if (desk.isSigned) byId("notice").textContent = "Signed. It is changed only by an amendment, signed in its turn.";
  if (unsent) notice(`${unsent} of your changes had not been kept when this page was left. They are being sent now.`);
  sound(picture);
  listen(keys, { busy: isOpen, first: choose });
  buttons();
  const asked = desk.open.find(({ name }) => name === decodeURIComponent(location.hash.slice(1)));
  if (asked) acts.goTo(asked);
  beside();
  setInterval(() => document.hidden || desk.catchUp().catch(() => {}), LOOK_FOR_OTHERS_MS);
}

/** Everything that moves with the selection or with the sound. */
function follow(spoken, picture) {
  const slider = byId("place");
  const show = () => {
    const waits = new Set(desk.waits.flatMap(({ event }) => (event ? [event] : [])));
    picture.show(desk.timeline, waits, desk.selection.event, acts.stretch());
    slider.max = String(desk.timeline.recording.duration_ms);
    const { length } = desk.waits;
    byId("waits").textContent = length ? `${length} to look at before signing` : "nothing left to look at";
  };
  desk.addEventListener("timeline", show);
  desk.addEventListener("selection", show);
  player.addEventListener("time", ({ detail: ms }) => {
    picture.at(ms);
    const { words } = desk.timeline;
    const index = firstAfter(words, ms + 1) - 1;
    const spokenNow = player.isPlaying && index >= 0 && ms < words[index].end_ms + 200 ? index : null;
    spoken.mark(spokenNow);
    acts.rows.mark(player.isPlaying ? ms : null);
    if (slider !== document.activeElement || player.isPlaying) slider.value = String(Math.round(ms));
    const text = `${clock(ms)} of ${clock(desk.timeline.recording.duration_ms)}`;
    if (byId("clock").textContent !== text) {
      byId("clock").textContent = text;
      slider.setAttribute("aria-valuetext", text);
    }
  });
  slider.addEventListener("input", () => player.seek(Number(slider.value)));
  player.addEventListener("state", () => {
    byId("listen").textContent = player.isPlaying ? "Stop" : "Listen";
    byId("no-sound").hidden = !player.missing;
  });
}

/** The sound, its waveform, and the picture of a video. */
async function sound(picture) {
  const { has_sound: hasSound, films } = desk.info;
  if (hasSound) player.load(`/api/cases/${id}/sound`);
  for (const { number, name, offset_ms, duration_ms } of films) {
    const video = h("video", {
      src: `/api/cases/${id}/video/${number}`,
      preload: "metadata",
      playsinline: true,
      "aria-label": `Picture of ${name}`,
    });
    video.muted = true;
    byId("videos").append(h("figure", {}, video));
    player.addVideo(video, offset_ms, offset_ms + duration_ms);
  }
  byId("no-sound").hidden = hasSound;
  if (hasSound) picture.take(await getBytes(`/cases/${id}/peaks`));
}

/** What the pump logged, where there is a log. */
async function beside() {
  const found = await get(`/cases/${id}/crosscheck`).catch(() => null);
  if (found?.logs?.length) acts.rows.takeCrosscheck(found);
  const told = disagreements(found);
  byId("log-note").hidden = !told;
  byId("log-note").textContent = told;
}

/** A name or value of a row that has the focus is what a key means, selected or not. */
function choose(target) {
  const button = target.closest(".row .chip, .row .name");
  if (button && button.getAttribute("aria-pressed") !== "true") button.click();
}

/** Lists of names for the fields, from the lexicon. */
function names() {
  for (const sort of ["devices", "drugs", "findings", "sites", "parts"]) {
    document.body.append(
      h(
        "datalist",
        { id: `names-${sort}` },
        vocabulary[sort].map((name) => h("option", { value: name })),
      ),
    );
  }
}

function narrow(field) {
  showPane("timeline");
  byId("filters").closest("details").open = true;
  byId(field).focus();
}

/** Which pane a narrow screen shows; a wide one shows all. */
function showPane(name) {
  if (byId("panes").dataset.shown === name) return;
  byId("panes").dataset.shown = name;
  for (const tab of document.querySelectorAll("[data-pane]"))
    tab.setAttribute("aria-pressed", String(tab.dataset.pane === name));
  const { event } = desk.selection;
  if (name === "timeline" && event) requestAnimationFrame(() => acts.rows.list.reveal(event));
}

function buttons() {
  const press = (name, act) => byId(name).addEventListener("click", act);
  press("listen", () => player.toggle());
  press("hear", () => acts.play());
  press("undo", () => acts.undo());
  press("redo", () => acts.undo(true));
  press("show-trail", pages.trail);
  press("show-keys", pages.help);
  for (const [name, act] of Object.entries({
    edit: () => acts.open(),
    add: () => acts.add(),
    delete: () => acts.remove(),
    merge: () => acts.merge(),
    split: () => acts.split(),
    up: () => acts.move(-1),
    down: () => acts.move(1),
    word: () => acts.word(),
  }))
    press(`do-${name}`, act);
  byId("sign-link").href = `/cases/${id}/sign`;
  byId("hears").addEventListener("change", (event) => (acts.hears = event.target.checked));
  const rate = choice(
    { id: "rate", "aria-label": "Speed" },
    [
      ["0.7", "0.7 ×"],
      ["1", "1 ×"],
      ["1.5", "1.5 ×"],
      ["2", "2 ×"],
    ],
    "1",
  );
  rate.addEventListener("change", () => (player.rate = Number(rate.value)));
  byId("rate-place").append(rate);
  for (const tab of document.querySelectorAll("[data-pane]"))
    tab.addEventListener("click", () => showPane(tab.dataset.pane));
  byId("timeline").addEventListener("wanted", () => showPane("timeline"));
  say("Ready. Press ? for the keys.");
}

// For measurements and tests: what a key does, without guessing from the outside.
Object.assign(window, { desk, acts });
