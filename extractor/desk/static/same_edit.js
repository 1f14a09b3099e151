// Whether a revision in the trail is what an edit made whose answer was lost: told by what it left, not by where alone.

/** @param {{edit: any, changes: import("./edits.js").Change[]|null}} item @param {import("./edits.js").Revision} revision */
export function isOf({ edit, changes }, revision) {
  const at = (path) => revision.changes.find((change) => change.at === path);
  const touches = (id) => revision.changes.some((change) => `${change.at}.`.startsWith(`events.${id}.`));
  const only = (id) =>
    revision.changes.every(({ at: path }) => !path.startsWith("events.") || path.startsWith(`events.${id}.`));
  const isNew = (change) => change.at.startsWith("events.") && (change.before ?? null) === null && change.after?.kind;
  switch (edit.do) {
    case "look":
      return edit.points.every((point) => at(`looked.${point}`)?.after === true);
    case "delete":
      return at(`events.${edit.event}`)?.after === null;
    case "move":
      return at(`order.${edit.event}`)?.after === edit.after;
    case "word":
      return at(`corrections.${edit.words[0]}`)?.after?.read === edit.read;
    case "take":
    case "set":
      return only(edit.event) && Boolean(changes?.length) && changes.every((change) => leaves(revision, change));
    case "add":
      return revision.changes.some(
        (change) =>
          isNew(change) && change.after.kind === edit.event.kind && change.after.start_ms === edit.event.start_ms,
      );
    case "merge":
      return edit.events.every(touches) && at(`events.${edit.events[1]}`)?.after === null;
    case "split":
      return touches(edit.event) && revision.changes.some(isNew);
    case "undo":
      return revision.what.startsWith(`undid revision ${edit.revision}:`);
    default:
      return false;
  }
}

/** Whether a revision left a field as it was foreseen; of a value, its figure and unit; told whole or in its parts. */
function leaves(revision, { at, before, after }) {
  const whole = revision.changes.find((change) => change.at === at);
  if (whole) return alike(whole.after, after);
  const parts = revision.changes.filter((change) => change.at.startsWith(`${at}.`));
  if (!parts.length || after === null || typeof after !== "object") return false;
  const left = {
    ...before,
    ...Object.fromEntries(parts.map((change) => [change.at.slice(at.length + 1), change.after])),
  };
  return alike(left, after);
}

function alike(one, other) {
  if (one === null || other === null || typeof one !== "object" || typeof other !== "object") return one === other;
  const names = "value" in other ? ["value", "unit"] : ["name", "side", "part"];
  return names.every((name) => (one[name] ?? null) === (other[name] ?? null));
}
