// The one door for addresses of scripts, as the pages' policy demands (W3C Trusted Types): our own files, nothing else.
interface Factory {
  createPolicy(name: string, rules: { createScriptURL: (url: string) => string }): { createScriptURL: (url: string) => unknown };
}

const policy = (globalThis as { trustedTypes?: Factory }).trustedTypes?.createPolicy("rimside", {
  createScriptURL: (url) => {
    const address = new URL(url, location.href);
    if (address.origin !== location.origin) throw new TypeError("only scripts of this place are started");
    return address.href;
  },
});

/** The address of a script of ours, in the form that the browser asks for. */
export const script = (url: string): string => (policy?.createScriptURL(url) ?? url) as string;
