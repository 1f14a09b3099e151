// Two pictures of the sound: the whole case with its events, and a close look at the seconds around the place, with
// the words under it. Pictures only: everything in them is elsewhere as text, and the place has a slider.

const STEP_MS = 20; // one peak
const CLOSE_MS = 12000; // width of the close look

export class Waveform {
  #peaks = null;
  #still = null;
  #ms = 0;

  /** @param {HTMLCanvasElement} whole @param {HTMLCanvasElement} near @param {{seek: (ms: number) => void, choose: (id: string) => void}} acts */
  constructor(whole, near, acts) {
    Object.assign(this, { whole, near, acts });
    this.timeline = null;
    this.marks = { waiting: new Set(), chosen: null, range: null };
    whole.addEventListener("click", (event) => this.#clicked(event));
    near.addEventListener("click", (event) => acts.seek(this.#left + (event.offsetX / near.clientWidth) * CLOSE_MS));
    new ResizeObserver(() => this.redraw()).observe(whole);
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => this.redraw());
  }

  take(peaks) {
    this.#peaks = peaks;
    this.redraw();
  }

  /** @param {any} timeline @param {Set<string>} waiting ids of events with something to look at */
  show(timeline, waiting, chosen, range) {
    this.timeline = timeline;
    this.marks = { waiting, chosen, range };
    this.#soon(() => this.redraw());
  }

  /** Once before the next frame, however much has changed. */
  #soon(draw) {
    if (this.waits) this.waits.draw = draw === null ? this.waits.draw : draw;
    else {
      this.waits = { draw };
      requestAnimationFrame(() => {
        const { draw: last } = this.waits;
        this.waits = null;
        if (last) last();
        else this.#drawAt();
      });
    }
  }

  get #length() {
    return Math.max(1, this.timeline?.recording.duration_ms ?? 1);
  }

  get #left() {
    return Math.max(0, Math.min(this.#ms - CLOSE_MS / 3, this.#length - CLOSE_MS / 2));
  }

  redraw() {
    if (!this.timeline) return;
    this.colours = colours();
    this.#still = this.#drawWhole();
    this.#drawAt();
  }

  /** The place moved. */
  at(ms) {
    this.#ms = ms;
    this.#soon(null);
  }

  #drawAt() {
    const ms = this.#ms;
    if (!this.#still) return;
    const pen = fitted(this.whole);
    pen.drawImage(this.#still, 0, 0, this.whole.clientWidth, this.whole.clientHeight);
    pen.fillStyle = this.colours.place;
    pen.fillRect((ms / this.#length) * this.whole.clientWidth - 1, 0, 2, this.whole.clientHeight);
    this.#drawNear();
  }

  #drawWhole() {
    const { clientWidth: width, clientHeight: height } = this.whole;
    const still = document.createElement("canvas");
    const pen = sized(still, width, height);
    const tall = height - 18;
    pen.fillStyle = this.colours.wave;
    for (let x = 0; x < width; x++) {
      const tip = this.#loudest((x / width) * this.#length, ((x + 1) / width) * this.#length) * (tall / 2);
      pen.fillRect(x, tall / 2 - tip, 1, Math.max(1, 2 * tip));
    }
    for (const event of this.timeline.events) this.#tick(pen, event, (event.start_ms / this.#length) * width, tall);
    pen.fillStyle = this.colours.look;
    for (const gap of this.timeline.gaps ?? [])
      pen.fillRect(
        (gap.start_ms / this.#length) * width,
        tall / 2 - 1,
        Math.max(3, ((gap.end_ms - gap.start_ms) / this.#length) * width),
        3,
      );
    return still;
  }

  /** An event as a tick; one that waits for a look is a triangle, taller: told by its form, not by colour alone. */
  #tick(pen, event, x, tall) {
    const [waits, chosen] = [this.marks.waiting.has(event.id), event.id === this.marks.chosen];
    pen.fillStyle = waits ? this.colours.look : this.colours.tick;
    if (waits) {
      pen.beginPath();
      pen.moveTo(x, tall + 2);
      pen.lineTo(x - 5, tall + 14);
      pen.lineTo(x + 5, tall + 14);
      pen.fill();
    } else pen.fillRect(x - 0.5, tall + 6, 1.5, 8);
    if (chosen) {
      pen.fillStyle = this.colours.chosen;
      pen.fillRect(x - 1, 0, 2, tall + 18);
    }
  }

  #drawNear() {
    const { clientWidth: width, clientHeight: height } = this.near;
    if (!width) return;
    const [pen, left, tall] = [fitted(this.near), this.#left, height - 18];
    const x = (ms) => ((ms - left) / CLOSE_MS) * width;
    const { range } = this.marks;
    if (range) {
      pen.fillStyle = this.colours.range;
      pen.fillRect(x(range[0]), 0, Math.max(2, x(range[1]) - x(range[0])), height);
    }
    pen.fillStyle = this.colours.wave;
    for (let place = 0; place < width; place += 2) {
      const from = left + (place / width) * CLOSE_MS;
      const tip = this.#loudest(from, from + (2 / width) * CLOSE_MS) * (tall / 2);
      pen.fillRect(place, tall / 2 - tip, 1.5, Math.max(1, 2 * tip));
    }
    this.#writeWords(pen, x, left, height);
    pen.fillStyle = this.colours.place;
    pen.fillRect(x(this.#ms) - 1, 0, 2, height);
  }

  #writeWords(pen, x, left, height) {
    const { words } = this.timeline;
    pen.fillStyle = this.colours.text;
    pen.font = "12px system-ui, sans-serif";
    let edge = -Infinity;
    for (
      let index = firstAfter(words, left - 2000);
      index < words.length && words[index].start_ms < left + CLOSE_MS;
      index++
    ) {
      const place = Math.max(x(words[index].start_ms), edge + 4);
      pen.fillText(words[index].text, place, height - 5);
      edge = place + pen.measureText(words[index].text).width;
    }
  }

  #loudest(from, to) {
    const peaks = this.#peaks;
    if (!peaks) return 0;
    let loudest = 0;
    const past = Math.min(peaks.length, Math.max(Math.ceil(to / STEP_MS), Math.floor(from / STEP_MS) + 1));
    for (let index = Math.floor(from / STEP_MS); index < past; index++)
      if (peaks[index] > loudest) loudest = peaks[index];
    return loudest / 255;
  }

  #clicked(event) {
    const ms = (event.offsetX / this.whole.clientWidth) * this.#length;
    const reach = (6 / this.whole.clientWidth) * this.#length;
    const near =
      event.offsetY > this.whole.clientHeight - 18
        ? this.timeline.events.filter((each) => Math.abs(each.start_ms - ms) < reach)
        : [];
    near.sort((one, other) => Math.abs(one.start_ms - ms) - Math.abs(other.start_ms - ms));
    if (near.length) this.acts.choose(near[0].id);
    else this.acts.seek(ms);
  }
}

/** Index of the first word that begins at `ms` or later. */
export function firstAfter(words, ms) {
  let [low, high] = [0, words.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if (words[middle].start_ms < ms) low = middle + 1;
    else high = middle;
  }
  return low;
}

function fitted(canvas) {
  return sized(canvas, canvas.clientWidth, canvas.clientHeight);
}

/** A pen on a canvas as sharp as the screen, emptied. */
function sized(canvas, width, height) {
  const sharp = Math.min(2, devicePixelRatio || 1);
  const [wide, high] = [Math.round(width * sharp), Math.round(height * sharp)];
  if (canvas.width !== wide || canvas.height !== high) Object.assign(canvas, { width: wide, height: high });
  const pen = canvas.getContext("2d");
  pen.setTransform(sharp, 0, 0, sharp, 0, 0);
  pen.clearRect(0, 0, width, height);
  return pen;
}

function colours() {
  const style = getComputedStyle(document.documentElement);
  return Object.fromEntries(
    ["wave", "tick", "look", "chosen", "range", "place", "text"].map((name) => [
      name,
      style.getPropertyValue(`--${name}`).trim(),
    ]),
  );
}
