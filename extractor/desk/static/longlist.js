// A long list of which only what is in sight is made, whatever height each row turns out to have.

const BEYOND = 400; // pixels made above and below what is seen

/** Rows are placed by their measured heights, those not yet seen by an estimate; a row with the focus in it stays. */
export class LongList {
  /** @type {any[]} */ items = [];
  #made = new Map();
  #heights = new Map();
  #tops = new Float64Array(1);
  #places = new Map();
  #waits = false;
  // Asking the browser for these makes it lay everything out at once, so they are asked for only when they change.
  #top = 0;
  #height = 0;

  /**
   * @param {HTMLElement} scroller @param {HTMLElement} list positioned, inside of it
   * @param {{key: (item: any) => string, render: (item: any, old: HTMLElement|null) => HTMLElement, estimate: number}} how
   */
  constructor(scroller, list, how) {
    this.scroller = scroller;
    this.list = list;
    this.how = how;
    scroller.addEventListener(
      "scroll",
      () => {
        this.#top = scroller.scrollTop;
        this.#later();
      },
      { passive: true },
    );
    this.#height = scroller.clientHeight;
    new ResizeObserver(() => {
      this.#height = scroller.clientHeight;
      this.#remeasure();
    }).observe(scroller);
    this.grown = new ResizeObserver((entries) => {
      if (
        entries.some(
          ({ target }) => target.isConnected && this.#heights.get(target.dataset.key) !== target.offsetHeight,
        )
      )
        this.#remeasure();
    });
  }

  /** Other items; rows whose item is the same object stay as they are. */
  show(items, force = false) {
    const kept = new Map([...this.#made].map(([key, made]) => [key, made]));
    this.items = items;
    this.#places = new Map(items.map((item, place) => [this.how.key(item), place]));
    for (const [key, made] of kept) {
      const place = this.#places.get(key);
      if (place === undefined) this.#remove(key);
      else if (force || made.item !== items[place]) this.#make(items[place], made.element);
    }
    this.#layout();
    this.paint();
  }

  /** Makes rows anew, where they are made at all. Whether they grew is seen before the next frame. */
  refresh(...keys) {
    for (const key of keys) {
      const place = this.#places.get(key);
      if (place !== undefined && this.#made.has(key)) this.#make(this.items[place], this.#made.get(key).element);
    }
  }

  element(key) {
    return this.#made.get(key)?.element ?? null;
  }

  has(key) {
    return this.#places.has(key);
  }

  /** Brings a row into sight and makes it, so that it can be focused. */
  reveal(key, margin = 60) {
    const place = this.#places.get(key);
    if (place === undefined) return null;
    if (!this.#made.has(key)) {
      this.#make(this.items[place], null);
      this.#measure(key);
      this.#layout();
    }
    const [top, bottom] = [this.#tops[place], this.#tops[place + 1]];
    if (top < this.#top + margin) this.#scrollTo(top - margin);
    else if (bottom > this.#top + this.#height - margin)
      this.#scrollTo(Math.min(top - margin, bottom - this.#height + margin));
    this.paint();
    return this.element(key);
  }

  /** Makes what is in sight and drops what is far from it. */
  paint() {
    const [from, to] = [this.#at(this.#top - BEYOND), this.#at(this.#top + this.#height + BEYOND)];
    const wanted = new Set();
    const fresh = [];
    for (let place = from; place <= to && place < this.items.length; place++) {
      const key = this.how.key(this.items[place]);
      wanted.add(key);
      if (!this.#made.has(key)) {
        this.#make(this.items[place], null);
        if (!this.#heights.has(key)) fresh.push(key);
      }
    }
    for (const [key, { element }] of this.#made) {
      if (!wanted.has(key) && !element.contains(document.activeElement)) this.#remove(key);
    }
    if (fresh.length) this.#measure(...fresh);
    this.#layout();
  }

  #make(item, old) {
    const key = this.how.key(item);
    const element = this.how.render(item, old);
    element.dataset.key = key;
    if (element !== old) {
      if (old) {
        this.grown.unobserve(old);
        old.replaceWith(element);
      } else this.#insert(element, this.#places.get(key));
      this.grown.observe(element);
    }
    this.#made.set(key, { item, element });
    return element;
  }

  /** In the order of the list, so that the tab key and a screen reader go on in it. */
  #insert(element, place) {
    const next = [...this.list.children].find((other) => (this.#places.get(other.dataset.key) ?? -1) > place);
    this.list.insertBefore(element, next ?? null);
  }

  #remove(key) {
    const { element } = this.#made.get(key);
    this.grown.unobserve(element);
    element.remove();
    this.#made.delete(key);
  }

  #measure(...keys) {
    for (const key of keys) this.#heights.set(key, this.#made.get(key).element.offsetHeight);
  }

  #scrollTo(top) {
    this.#top = Math.max(0, top);
    this.scroller.scrollTop = this.#top;
  }

  /** Heights anew; what stands at the upper edge stays there. */
  #remeasure() {
    const first = this.#at(this.#top);
    const within = this.#top - this.#tops[first];
    this.#measure(...this.#made.keys());
    this.#layout();
    if (this.#top > 0 && this.items.length) this.#scrollTo(this.#tops[first] + within);
    this.#later();
  }

  #layout() {
    const count = this.items.length;
    if (this.#tops.length !== count + 1) this.#tops = new Float64Array(count + 1);
    for (let place = 0; place < count; place++) {
      this.#tops[place + 1] =
        this.#tops[place] + (this.#heights.get(this.how.key(this.items[place])) ?? this.how.estimate);
    }
    this.list.style.height = `${this.#tops[count]}px`;
    for (const [key, { element }] of this.#made) element.style.top = `${this.#tops[this.#places.get(key)]}px`;
  }

  #at(top) {
    let [low, high] = [0, Math.max(0, this.items.length - 1)];
    while (low < high) {
      const middle = (low + high + 1) >> 1;
      if (this.#tops[middle] <= top) low = middle;
      else high = middle - 1;
    }
    return low;
  }

  #later() {
    if (this.#waits) return;
    this.#waits = true;
    requestAnimationFrame(() => {
      this.#waits = false;
      this.paint();
    });
  }
}
