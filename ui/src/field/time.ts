// Times in the place's own offset, as a record has them.

const two = (value: number) => String(Math.trunc(Math.abs(value))).padStart(2, "0");

/** A moment with this place's offset, as `2026-11-24T14:02:00+01:00`. */
export function stamp(at: Date = new Date()): string {
  const ahead = -at.getTimezoneOffset();
  const offset = `${ahead < 0 ? "-" : "+"}${two(ahead / 60)}:${two(ahead % 60)}`;
  return `${day(at)}T${two(at.getHours())}:${two(at.getMinutes())}:${two(at.getSeconds())}${offset}`;
}

/** `2026-11-24`. */
export function day(at: Date = new Date()): string {
  return `${at.getFullYear()}-${two(at.getMonth() + 1)}-${two(at.getDate())}`;
}

/** A record's moment to be read: `2026-11-24 14:02 +01:00`, as it was written there, its parts on one line. */
export function shown(stamped: string): string {
  const parts = /^(\d{4}-\d{2}-\d{2})T(\d{2}:\d{2})(?::[\d.]+)?(.*)$/.exec(stamped);
  return parts ? [parts[1], parts[2], parts[3] === "Z" ? "+00:00" : parts[3]].filter(Boolean).join("\u00a0") : stamped;
}
