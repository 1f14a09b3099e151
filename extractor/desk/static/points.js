// What asks for a look: the same names as in the timeline's format (`e0003.pressure`, `words-22`, `check-1`, `gap-1`).

/**
 * @typedef {{name: string, sort: "event"|"value"|"words"|"check"|"gap", event: string|null, key: string|null, index: number, ms: number}} Point
 */

/** Every point that asks for a look, in the order of the case. @returns {Point[]} */
export function openPoints(timeline) {
  /** @type {Point[]} */
  const points = [];
  const started = new Map(timeline.events.map((event) => [event.id, event.start_ms]));
  for (const event of timeline.events) {
    const base = { event: event.id, index: 0, ms: event.start_ms };
    if (event.review) points.push({ ...base, name: event.id, sort: "event", key: null });
    for (const [key, value] of Object.entries(event.values)) {
      if (value.review) points.push({ ...base, name: `${event.id}.${key}`, sort: "value", key });
    }
  }
  for (const [index, repair] of (timeline.corrections ?? []).entries()) {
    if (repair.review) {
      points.push({
        name: `words-${repair.words[0]}`,
        sort: "words",
        event: null,
        key: null,
        index,
        ms: timeline.words[repair.words[0]]?.start_ms ?? 0,
      });
    }
  }
  for (const [index, check] of (timeline.checks ?? []).entries()) {
    const times = check.events.map((id) => started.get(id)).filter((ms) => ms !== undefined);
    if (check.severity === "review") {
      points.push({
        name: `check-${index + 1}`,
        sort: "check",
        event: check.events.find((id) => started.has(id)) ?? null,
        key: null,
        index,
        ms: check.words ? timeline.words[check.words[0]].start_ms : times.length ? Math.max(...times) : Infinity,
      });
    }
  }
  for (const [index, gap] of (timeline.gaps ?? []).entries()) {
    points.push({ name: `gap-${index + 1}`, sort: "gap", event: null, key: null, index, ms: gap.start_ms });
  }
  return points.sort((one, other) => one.ms - other.ms || 0);
}

/** Those that nobody has looked at yet. */
export const waiting = (timeline) => openPoints(timeline).filter((point) => !timeline.looked?.[point.name]);

/** Points that were looked at, by the revisions: name -> true. */
export function lookedAt(revisions) {
  /** @type {Record<string, boolean>} */
  const looked = {};
  for (const { changes } of revisions) {
    for (const { at, after } of changes)
      if (at.startsWith("looked.")) looked[at.slice("looked.".length)] = Boolean(after);
  }
  return looked;
}
