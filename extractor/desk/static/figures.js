// Times and figures as people read and write them.

/** Milliseconds -> `1:23`, from one hour on `1:02:03`; with tenths where asked. */
export function clock(ms, tenths = false) {
  const all = Math.floor(ms / 1000);
  const [hours, minutes, seconds] = [Math.floor(all / 3600), Math.floor(all / 60) % 60, all % 60];
  const two = (n) => String(n).padStart(2, "0");
  const text = hours ? `${hours}:${two(minutes)}:${two(seconds)}` : `${minutes}:${two(seconds)}`;
  return tenths ? `${text}.${Math.floor((ms % 1000) / 100)}` : text;
}

/** `1:02:03.5`, `62.5` -> milliseconds; null where it is no time. */
export function readClock(text) {
  const match = /^(?:(?:(\d+):)?(\d+):)?(\d+(?:\.\d+)?)$/.exec(text.trim());
  if (!match) return null;
  const [, hours = "0", minutes = "0", seconds] = match;
  return Math.round((Number(hours) * 3600 + Number(minutes) * 60 + Number(seconds)) * 1000);
}

/** `2.5`, `2,5`, `3,000` -> a number; null where it can be read in two ways or in none. */
export function readFigure(text) {
  const bare = text.trim().replace(/\s/g, "");
  if (/^-?[1-9]\d{0,2}(,\d{3})+(\.\d+)?$/.test(bare)) return Number(bare.replaceAll(",", ""));
  if (/^-?(\d+|\d*\.\d+)$/.test(bare)) return Number(bare);
  if (/^-?\d+,\d{1,2}$/.test(bare)) return Number(bare.replace(",", "."));
  return null;
}

/** A number without its unit, thousands with a comma: `3,000`, `0.014`. */
export function number(value) {
  const [whole, part] = String(value).split(".");
  const grouped = whole.replace(/\B(?=(\d{3})+(?!\d))/g, ",");
  return part ? `${grouped}.${part}` : grouped;
}

/** A size in bytes, for people. */
export function bytes(count) {
  const steps = ["bytes", "kB", "MB", "GB"];
  let [value, step] = [count, 0];
  while (value >= 1000 && step < 3) [value, step] = [value / 1000, step + 1];
  return `${value < 10 && step ? value.toFixed(1) : Math.round(value)} ${steps[step]}`;
}

/** An ISO time -> the day and time where the reader is. */
export function when(iso) {
  const time = new Date(iso);
  return Number.isNaN(time.getTime()) ? iso : time.toLocaleString("en-GB", { dateStyle: "medium", timeStyle: "short" });
}
