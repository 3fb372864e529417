// The pages' types and the trade's words, from the schema on standard input, into a folder: `cargo xtask types`.
import { readFileSync, writeFileSync } from "node:fs";
import { compile } from "json-schema-to-typescript";

/** A reference stands alone, else the type that it names would be written out anew at each place. */
function tidy(schema) {
  if (Array.isArray(schema)) return schema.map(tidy);
  if (schema === null || typeof schema !== "object") return schema;
  if (typeof schema.$ref === "string") return { $ref: schema.$ref };
  const tidied = Object.fromEntries(Object.entries(schema).map(([key, value]) => [key, tidy(value)]));
  // A value of any kind.
  if (typeof schema.description === "string" && Object.keys(schema).length === 1) return { ...schema, tsType: "unknown" };
  // The core judges lengths and numbers; the pages need the form alone.
  for (const limit of ["allOf", "maxItems", "minItems", "pattern", "title"]) {
    // A field may have such a name too; then it holds a schema.
    if (typeof tidied[limit] !== "object" || Array.isArray(tidied[limit])) delete tidied[limit];
  }
  // What is not said to be open is closed.
  if (tidied.type === "object" && tidied.properties && !("additionalProperties" in tidied)) tidied.additionalProperties = false;
  return tidied;
}

const BANNER = "// Made by `cargo xtask types` from what the core says of itself; never edited by hand.";
const { $defs } = JSON.parse(readFileSync(0, "utf8"));
const write = (name, text) => writeFileSync(`${process.argv[2] ?? "src/contract"}/${name}`, text);

const schema = { title: "Contract", type: "object", additionalProperties: false, $defs: tidy($defs) };
const types = await compile(schema, "Contract", { bannerComment: BANNER, unreachableDefinitions: true, format: false });
write(
  "types.ts",
  types
    .replaceAll(/ \* \n \* This interface was referenced by `Contract`'s JSON-Schema\n \* via the `definition` "[^"]*"\.\n/g, "")
    .replaceAll(/\n{2,}/g, "\n")
    .replace("export interface Contract {\n}\n", ""),
);

/** What a choice is called on a screen and on a page, as the core has it. */
const choices = Object.entries($defs).flatMap(([name, { oneOf }]) => {
  if (!oneOf?.every((one) => typeof one.const === "string" && typeof one.title === "string")) return [];
  const lines = oneOf.map((one) => `  ${one.const}: ${JSON.stringify(one.title)},\n`);
  return [`export const ${name} = {\n${lines.join("")}} as const;\n`];
});
write("words.ts", `${BANNER}\n${choices.join("")}`);
