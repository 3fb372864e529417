// Where we are, in the address: a reload or a killed page comes back to the same screen.

export type Route =
  | { at: "home" | "begin" | "reports" | "check" | "keys" | "letters" | "statement" | "settings" | "desk" | "help" }
  | { at: "report"; identity: string }
  | { at: "inspection"; id: string; section: string; of: string | null };

export function read(hash: string): Route {
  const [first = "", second = "", third = "", fourth = ""] = hash.replace(/^#\/?/, "").split("/").map(decodeURIComponent);
  switch (first) {
    case "begin":
    case "reports":
    case "check":
    case "keys":
    case "letters":
    case "statement":
    case "settings":
    case "desk":
    case "help":
      return first === "reports" && second ? { at: "report", identity: second } : { at: first };
    case "inspection":
      return second ? { at: "inspection", id: second, section: third || "plan", of: fourth || null } : { at: "home" };
    default:
      return { at: "home" };
  }
}

class Place {
  route = $state.raw<Route>(read(location.hash));

  constructor() {
    addEventListener("hashchange", () => {
      this.route = read(location.hash);
      document.querySelector(".scroll")?.scrollTo(0, 0);
      // Who reads by ear hears where they are.
      queueMicrotask(() => document.querySelector<HTMLElement>("h1")?.focus({ preventScroll: true }));
    });
  }
}

export const place = new Place();

/** The address of a screen. */
export const to = (...parts: string[]) => `#/${parts.map(encodeURIComponent).join("/")}`;
export const inspection = (id: string, ...parts: string[]) => to("inspection", id, ...parts);
