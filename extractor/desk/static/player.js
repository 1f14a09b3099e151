// The sound, and the picture where there is one, which follows it without a sound of its own.

const LEAD_MS = 60; // a word's time begins a little late: its first consonant is heard too

/** Signals `time` (the place, ms), `state` (playing or not, and whether there is a sound at all). */
export class Player extends EventTarget {
  #until = null;
  #frame = 0;
  missing = true;

  /** @param {HTMLAudioElement} audio */
  constructor(audio) {
    super();
    this.audio = audio;
    /** @type {{element: HTMLVideoElement, from: number, to: number}[]} */ this.videos = [];
    audio.addEventListener("play", () => this.#began());
    audio.addEventListener("pause", () => this.#ended());
    audio.addEventListener("seeked", () => this.#tell());
    audio.addEventListener("loadedmetadata", () => this.#has(true));
    audio.addEventListener("error", () => this.#has(false));
  }

  load(source) {
    this.audio.preload = "auto";
    this.audio.src = source;
  }

  /** A picture shown while the place is between `from` and `to`, on the case's clock. */
  addVideo(element, from, to) {
    element.muted = true;
    this.videos.push({ element, from, to });
  }

  get ms() {
    return this.audio.currentTime * 1000;
  }

  get isPlaying() {
    return !this.audio.paused;
  }

  seek(ms) {
    this.#until = null;
    this.audio.currentTime = Math.max(0, ms) / 1000;
    this.#tell();
  }

  /** Exactly this stretch. The same again while it plays stops it. */
  play(from, to) {
    if (this.missing) return;
    if (this.isPlaying && this.#until === to) return this.stop();
    this.audio.currentTime = Math.max(0, from - LEAD_MS) / 1000;
    this.#until = to;
    this.audio.play().catch(() => {});
  }

  /** On from here, or stop. */
  toggle() {
    this.#until = null;
    if (this.isPlaying) this.stop();
    else if (!this.missing) this.audio.play().catch(() => {});
  }

  stop() {
    this.audio.pause();
  }

  set rate(rate) {
    this.audio.playbackRate = rate;
    for (const { element } of this.videos) element.playbackRate = rate;
  }

  #has(sound) {
    this.missing = !sound;
    this.dispatchEvent(new Event("state"));
  }

  #began() {
    cancelAnimationFrame(this.#frame);
    const step = () => {
      if (this.#until !== null && this.ms >= this.#until) {
        this.audio.pause();
        return;
      }
      this.#tell();
      this.#frame = requestAnimationFrame(step);
    };
    step();
    this.#stopOnTime();
    this.dispatchEvent(new Event("state"));
  }

  /** Frames stand still in a hidden page; the sound must end all the same. */
  #stopOnTime() {
    if (this.#until === null || !this.isPlaying) return;
    const left = (this.#until - this.ms) / this.audio.playbackRate;
    if (left <= 0) this.audio.pause();
    else setTimeout(() => this.#stopOnTime(), Math.max(20, left));
  }

  #ended() {
    cancelAnimationFrame(this.#frame);
    this.#tell();
    this.dispatchEvent(new Event("state"));
  }

  #tell() {
    this.#follow();
    this.dispatchEvent(new CustomEvent("time", { detail: this.ms }));
  }

  #follow() {
    for (const { element, from, to } of this.videos) {
      const inside = this.ms >= from && this.ms < to;
      const figure = element.closest("figure") ?? element;
      if (figure.hidden === inside) figure.hidden = !inside;
      if (!inside) {
        element.pause();
        continue;
      }
      const place = (this.ms - from) / 1000;
      if (Math.abs(element.currentTime - place) > (this.isPlaying ? 0.2 : 0.04)) element.currentTime = place;
      if (this.isPlaying && element.paused) element.play().catch(() => {});
      if (!this.isPlaying && !element.paused) element.pause();
    }
  }
}
