// What a pump's log and the spoken pressures do not agree on, in one line; each stands beside its event, too.

/** A cross-check -> sentences; empty where there is no log, or all of it agrees. */
export function disagreements(found) {
  if (!found?.logs?.length) return "";
  const lost = found.logs.filter((log) => !log.found).map(({ name, why }) => `${name} is not compared: ${why}.`);
  const counts = [
    [
      found.pairs.filter(({ verdict }) => verdict === "differs").length,
      "differs from what was said",
      "differ from what was said",
    ],
    [found.not_logged.length, "was said and is not logged", "were said and are not logged"],
    [found.not_spoken.length, "was logged and not said", "were logged and not said"],
  ];
  const told = counts.filter(([count]) => count).map(([count, one, many]) => `${count} ${count === 1 ? one : many}`);
  return [...lost, told.length ? `Pressures of the pump's log: ${told.join(", ")}.` : ""].filter(Boolean).join(" ");
}
