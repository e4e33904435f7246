// Writes a plan whose every text is hostile: markup, scripts, formulas, right-to-left and endless words, emoji.
//
// node tests/pages/hostile.mjs PLAN.haccp >HOSTILE.haccp
import { readFileSync } from "node:fs";

const suffixes = [
  "<script>window.executed = true</script>",
  "<img src=http://127.0.0.1:9/x onerror=alert(1)>",
  "</style><svg onload=alert(2)>",
  "=HYPERLINK(1)+cmd|' /C calc'!A0",
  "\u202eback to front\u202c",
  "לשון כתובה מימין לשמאל",
  "نص من اليمين إلى اليسار",
  "🦆🦆🏭 🧑‍🏭",
  "{{ 7*7 }} {% raw %}",
  "&amp;&lt;&#60;",
  "endless".repeat(60),
  "10,000 characters: " + "word ".repeat(2000),
  "ﷺ".repeat(40),
  "Z͑ͫ̓ͪ̂ͫ̽͏̴̙̤̞͉͚̯̞̠͍A̴̵̜̰͔ͫ͗͢L̠ͨͧͩ͘G̴̻͈͍͔̹̑͗̎̅͛́Ǫ̵̹̻̝̳͂̌̌͘!",
];
let index = 0;
const text = readFileSync(process.argv[2], "utf8");
process.stdout.write(text.replace(/"([^"\n\\]*)"/g, (_, inner) => `"${inner} ${suffixes[index++ % suffixes.length]}"`));
