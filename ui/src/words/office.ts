// The texts around the office: being let in, and what is on its way there.
export const office = {
  title: "The office",
  none: "No office lets this device in. Nothing leaves it by itself.",
  window: "The desktop app does not speak to an office yet. Use the app that the office's own address gives.",
  code: "Code from the office",
  codeHint: "Ask the office to make one and read it out. It is good once, for ten minutes.",
  join: "Be let in",
  joined: (host: string) => `The office at ${host} lets this device in.`,
  what: "Entries, photographs and recordings go there when there is a signal: findings first. Colleagues who are let in see them.",
  now: "Sync now",
  leave: "Leave the office",
  leaveHint: "What is here stays here; what is there stays there.",
  told: (time: string) => `also at the office ${time}`,
  waiting: (entries: number, blobs: number) =>
    entries + blobs === 0
      ? "on its way to the office"
      : [entries > 0 ? `${entries} ${entries === 1 ? "entry" : "entries"}` : "", blobs > 0 ? `${blobs} ${blobs === 1 ? "picture or recording" : "pictures and recordings"}` : ""].filter(Boolean).join(" and ") + " not at the office yet",
  awaited: (count: number) => `${count} ${count === 1 ? "picture or recording" : "pictures and recordings"} of colleagues still to come`,
};
