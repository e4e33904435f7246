// Colours the worked examples with the TextMate engine that editors use, and asks that each word of the vocabulary gets
// its colour and no text in quotes or comment is taken for a word.
//
// node tests/pages/textmate.mjs MODULES   (MODULES: the folder with node_modules)
import { createRequire } from "node:module";
import { readFileSync, readdirSync } from "node:fs";
import { dirname, join, resolve } from "node:path";
import { fileURLToPath } from "node:url";

const top = join(dirname(fileURLToPath(import.meta.url)), "../..");
const require = createRequire(join(resolve(process.argv[2]), "package.json"));
const { Registry, INITIAL, parseRawGrammar } = require("vscode-textmate");
const engine = require("vscode-oniguruma");
const wasm = readFileSync(join(dirname(require.resolve("vscode-oniguruma")), "onig.wasm"));
await engine.loadWASM(wasm.buffer.slice(wasm.byteOffset, wasm.byteOffset + wasm.byteLength));
const path = join(top, "grammar/haccp.tmLanguage.json");
const registry = new Registry({
  onigLib: Promise.resolve({
    createOnigScanner: (patterns) => new engine.OnigScanner(patterns),
    createOnigString: (text) => new engine.OnigString(text),
  }),
  loadGrammar: async () => parseRawGrammar(readFileSync(path, "utf8"), path),
});
const grammar = await registry.loadGrammar("source.haccp");

const failures = [];
const words = readFileSync(join(top, "grammar/words.csv"), "utf8").split("\n").slice(1).filter(Boolean).map((line) => line.split(","));
const blocks = words.filter(([, use]) => use === "block").map(([word]) => word);

/** The innermost colour of each piece of each line. */
function colour(text) {
  let state = INITIAL;
  return text.split("\n").map((line) => {
    const result = grammar.tokenizeLine(line, state);
    state = result.ruleStack;
    return result.tokens.map((token) => ({ text: line.slice(token.startIndex, token.endIndex), scopes: token.scopes }));
  });
}

const has = (piece, scope) => piece.scopes.some((one) => one.startsWith(scope));
function want(line, text, scope) {
  const piece = colour(line)[0].find((one) => one.text === text);
  if (!piece || !has(piece, scope)) failures.push(`\`${text}\` in \`${line}\` is ${piece ? piece.scopes.at(-1) : "no piece"}, not ${scope}`);
}

for (const [word, use, where] of words) {
  if (use === "block") want(`${word} x`, word, "keyword.control.block");
  if (use === "statement" && where) want(`  ${word} x`, word, "keyword.other.statement");
}
want("ccp lethality at cook {", "lethality", "entity.name.type");
want("growth model listeria {", "listeria", "entity.name.type");
want("  limit a core >= 72 °C held for 2 min", "°C", "keyword.other.unit");
want("  limit a core >= 72 °C held for 2 min", ">=", "keyword.operator");
want("  limit a core >= 72 °C held for 2 min", "held", "keyword.other");
want("  flow-confirmed 2026-08-12 by coordinator", "2026-08-12", "constant.other.date");
want("  shelf-life ___ d", "___", "invalid.deprecated.blank");
want('  does "limit 72 °C"  # step', "limit 72 °C", "string.quoted");
want('  does "limit 72 °C"  # step', "# step", "comment.line");
want("equipment oven { cleaned by sanitation }", "cleaned", "keyword.other.statement");
// A name that holds a word is no word.
want("  uses step-one, limit-b", " step-one, limit-b", "source.haccp");
// A text that is not closed ends with its line.
if (!has(colour('  does "open\nccp x at y')[1][0], "keyword.control.block")) failures.push("a text that is not closed runs on");

let lines = 0;
let seen = 0;
for (const name of readdirSync(join(top, "plans")).filter((one) => one.endsWith(".haccp"))) {
  const text = readFileSync(join(top, "plans", name), "utf8");
  colour(text).forEach((pieces, at) => {
    lines += 1;
    const line = text.split("\n")[at];
    const block = blocks.find((word) => new RegExp(`^${word}(?![\\w-])`).test(line));
    const first = pieces[0];
    if (block) {
      seen += 1;
      if (first.text !== block || !has(first, "keyword.control.block")) failures.push(`${name}:${at + 1}: \`${block}\` is no block`);
    } else if (/^ +[a-zA-Z]/.test(line)) {
      const word = pieces.find((piece) => /\S/.test(piece.text));
      if (!has(word, "keyword.other.statement") && !/^ +[a-z0-9-]+ +(<|>)/.test(line) && !/^ {4,}/.test(line)) {
        failures.push(`${name}:${at + 1}: \`${word.text}\` begins no statement`);
      }
    }
    for (const piece of pieces) {
      if (has(piece, "string") && has(piece, "keyword")) failures.push(`${name}:${at + 1}: a word in quotes: ${piece.text}`);
    }
  });
}
if (failures.length) {
  console.error(failures.slice(0, 20).join("\n"));
  process.exit(1);
}
console.log(`textmate: ${words.length} words, ${lines} lines, ${seen} blocks of the worked examples have their colours`);
