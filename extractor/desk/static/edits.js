// How changes are taken in, as the desk does it (extractor/desk/edits.py), and what a change of one field will be,
// shown before the desk has answered. What the desk answers always wins.

/**
 * @typedef {{at: string, before: any, after: any}} Change
 * @typedef {{number: number, at: string, by: string, what: string, why: string, changes: Change[]}} Revision
 */

/** A timeline and changes -> the timeline with them taken in; what did not change is shared. @param {Change[]} changes */
export function put(timeline, changes) {
  let next = { ...timeline };
  for (const { at, after } of changes) {
    const [what, ...rest] = at.split(".");
    if (what === "looked") next.looked = { ...next.looked, [rest.join(".")]: Boolean(after) };
    else if (what === "corrections") next.corrections = withCorrection(next.corrections, Number(rest[0]), after);
    else if (what === "checks") next.checks = withCheck(next.checks, Number(rest[0]) - 1, rest[1], after);
    else if (what === "order") next.events = moved(next.events, rest[0], after);
    else if (rest.length === 1) next.events = withEvent(next.events, rest[0], after);
    else next.events = next.events.map((event) => (event.id === rest[0] ? within(event, rest.slice(1), after) : event));
  }
  return next;
}

/** A field deep in an event. A value that is null is no longer there; any other field that is null is empty. */
function within(holder, [name, ...rest], after) {
  if (name === "values" && rest.length === 1 && after === null) {
    const values = { ...holder.values };
    delete values[rest[0]];
    return { ...holder, values };
  }
  return { ...holder, [name]: rest.length ? within(holder?.[name] ?? {}, rest, after) : after };
}

function withEvent(events, id, after) {
  const without = events.filter((event) => event.id !== id);
  if (after === null) return without;
  const { after: behind = undefined, ...event } = after;
  if (behind === undefined) {
    const place = events.findIndex((each) => each.id === id);
    return place < 0 ? [...events, event] : events.map((each) => (each.id === id ? event : each));
  }
  return placed(without, event, behind);
}

function moved(events, id, behind) {
  const event = events.find((each) => each.id === id);
  return event
    ? placed(
        events.filter((each) => each.id !== id),
        event,
        behind,
      )
    : events;
}

function placed(events, event, behind) {
  const place = behind === null ? 0 : events.findIndex((each) => each.id === behind) + 1;
  return [...events.slice(0, place), event, ...events.slice(place)];
}

function withCorrection(corrections, first, after) {
  const others = corrections.filter((each) => each.words[0] !== first);
  return after === null ? others : [...others, after].sort((one, other) => one.words[0] - other.words[0]);
}

/** A caution comes and goes at the end of the list, for its number is its name; or its severity changes. */
function withCheck(checks, place, field, after) {
  if (field) return checks.map((check, index) => (index === place ? { ...check, [field]: after } : check));
  return after === null ? checks.slice(0, place) : [...checks.slice(0, place), after];
}

/**
 * An edit -> the changes it will most likely make, to be shown at once; null where only the desk can tell
 * (a new event, a merge, a split). @returns {Change[] | null}
 */
export function foresee(timeline, edit) {
  const event = timeline.events.find((each) => each.id === edit.event);
  const at = `events.${edit.event}`;
  if (edit.do === "look") return edit.points.map((point) => ({ at: `looked.${point}`, before: null, after: true }));
  if (edit.do === "delete" && event) return [{ at, before: event, after: null }];
  if (edit.do === "move" && event) return [{ at: `order.${edit.event}`, before: null, after: edit.after }];
  if (edit.do === "take" && event?.values[edit.key]) {
    const value = event.values[edit.key];
    const { value: taken, unit } = value.alternatives[edit.alternative];
    return [
      {
        at: `${at}.values.${edit.key}`,
        before: value,
        after: byHand(value, taken, unit ?? value.unit, edit.alternative),
      },
    ];
  }
  if (edit.do === "set" && event) return foreseeField(event, at, edit.field, edit.value);
  return null;
}

function foreseeField(event, at, field, after) {
  const [head, key, part] = field.split(".");
  if (head === "values") {
    const value = event.values[key];
    if (!part && after === null) return [{ at: `${at}.values.${key}`, before: value ?? null, after: null }];
    const fresh = value ?? {
      value: 0,
      unit: "",
      confidence: 1,
      review: false,
      flags: [],
      heard: "",
      words: event.words,
      alternatives: [],
    };
    const figure = part ? { value: fresh.value, unit: fresh.unit, [part]: after } : after;
    return [
      {
        at: `${at}.values.${key}`,
        before: value ?? null,
        after: byHand(fresh, figure.value, figure.unit, -1, !value),
      },
    ];
  }
  if (head === "site") {
    const site = { name: null, side: null, part: null, ...event.site, [key]: after };
    return [{ at: `${at}.site`, before: event.site, after: site.name || site.side || site.part ? site : null }];
  }
  return [{ at: `${at}.${field}`, before: event[field], after }];
}

function byHand(value, figure, unit, taken, isNew = false) {
  // In a unit that is said, without what it became: the number of an alternative is its name until the desk answers.
  const rivals = [value, ...value.alternatives]
    .map((each) => ({ value: each.value, unit: each.unit ?? value.unit, log_ratio: null }))
    .filter((each, index) => index === 0 || each.value !== figure || each.unit !== unit)
    .map((each) => ({ ...each, unit: each.unit === unit ? null : each.unit }));
  return {
    ...value,
    value: figure,
    unit,
    confidence: 1,
    review: false,
    flags: ["set-by-hand"],
    alternatives: isNew ? [] : rivals,
  };
}
