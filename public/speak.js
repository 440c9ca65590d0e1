// @ts-check
/**
 * Says in the reader's language what the program says in English.
 *
 * The program writes English into the page. Before that is painted, each text and each attribute for people is looked up in
 * a catalogue (assets/text/app, compiled by the build) and replaced. What stands under `translate="no"` is a user's own
 * words, and stays. For a reader of English nothing is fetched and nothing is watched.
 *
 * A text is looked up whole; then as a pattern with slots; then in the parts that its punctuation divides it into.
 *
 * `window.loomwalkSpeak` is what the program and the tests see of it.
 */

/** @typedef {string | { by: string, of: Record<string, Words> }} Words what is said; by the number in a slot, if need be */
/** @typedef {{ exact: Record<string, Words>, patterns: [string, Words][] }} Catalogue */
/** @typedef {[string, number]} Found what to say, and how much of it was found in no catalogue */

/** The addresses of each language's catalogues: what the first screens need, and the rest. The next line is written by the build. @type {Record<string, string[]>} */
const CATALOGUES = {};

const SETTINGS = "loomwalk/settings";
const FOR_PEOPLE = ["aria-label", "aria-description", "aria-valuetext", "placeholder", "title", "alt", "label"];
const NOT_WORDS = "script,style,textarea,code,noscript,[contenteditable]";
/** Where a text is divided, the strongest first; a full stop stays with what it ends. */
const CUTS = [" · ", "\n", ". ", "; ", ": ", ", "];
/** Above this many parts a text is halved. */
const MOST_PARTS = 12;
const UNITS = /(\d)\s?(?:[mkM]?[ΩAVW]|[mck]?m[²/]?h?|min|[smhx×%]|[kMG]B|°C|dB)(?![\p{L}\d])/gu;
/** A slot for a number; one for a user's words; all others are looked up. */
const NUMBER = /^(?:n\d*|minutes|metres|percent|amps|count)$/;
const OWN_WORDS = /^text/;

let language = "en";
/** @type {Record<string, Words>} */
let exact = {};
/** @typedef {{ head: string, tail: string, fixed: string[], names: string[], length: number, words: Words, forms?: RegExp[] }} Pattern */
/** @type {Pattern[]} */
let patterns = [];
/** @type {Map<string, Found>} */
let known = new Map();
let point = ".";
let plural = new Intl.PluralRules("en");
/** Texts for which nothing was found. @type {Set<string>} */
const missing = new Set();
/** What the program wrote, and what was put in its place, for each node and its attributes. @type {WeakMap<Node, Record<string, [string, string]>>} */
const written = new WeakMap();

/** Under what the build has kept a text: FNV-1a over UTF-16 units. @param {string} text */
function key(text) {
  let sum = 0x811c9dc5;
  for (let at = 0; at < text.length; at++) sum = Math.imul(sum ^ text.charCodeAt(at), 0x01000193);
  return (sum >>> 0).toString(36);
}

/** Numbers as the language writes them; version numbers and the like stay. @param {string} text */
const figures = (text) => text.replace(/(^-?|[^\w.-])(\d+)\.(\d+)(?![.\d]*\d)/g, `$1$2${point}$3`);

/** @param {Words} words @param {Record<string, string>} slots @param {Record<string, string>} raw @returns {string} */
function fill(words, slots, raw) {
  while (typeof words !== "string") {
    const number = parseFloat((raw[words.by] ?? "").replace("−", "-").replace(",", "."));
    words = words.of[number] ?? words.of[plural.select(number)] ?? words.of.other ?? "";
  }
  return words.replace(/\{(\w+)\}/g, (_, name) => slots[name] ?? "");
}

/** What a number looks like. */
const FIGURE = /([-−+±≈<>≤≥]?\s?\d(?:[\d.,e]*\d)?)/.source;

/** The shortest that fits a slot is tried first, then the longest. @param {Pattern} pattern */
function forms({ fixed, names }) {
  const one = (/** @type {string} */ some) => {
    const slots = names.map((name) => (NUMBER.test(name) ? FIGURE : some));
    const text = fixed.map((piece, at) => piece.replace(/[\\^$.*+?()[\]{}|/]/g, "\\$&") + (slots[at] ?? "")).join("");
    return new RegExp(`^${text}$`, "s");
  };
  return names.length > 1 ? [one("(.+?)"), one("(.+)")] : [one("(.+)")];
}

/** @param {Pattern} pattern @param {string} text @param {RegExp} form @returns {Found | undefined} */
function fitted({ names, words }, text, form) {
  const values = form.exec(text);
  if (!values) return undefined;
  let lost = 0;
  /** @type {Record<string, string>} */
  const raw = {};
  /** @type {Record<string, string>} */
  const slots = {};
  names.forEach((name, at) => {
    const value = values[at + 1] ?? "";
    raw[name] = value;
    // A user's words fit anything: whatever else fits is better.
    if (OWN_WORDS.test(name)) [slots[name], lost] = [value, lost + 0.1];
    else if (NUMBER.test(name)) slots[name] = figures(value);
    else {
      const [said, less] = find(value);
      [slots[name], lost] = [said, lost + less];
    }
  });
  return [fill(words, slots, raw), lost];
}

/** @param {string} text @returns {Found} */
function find(text) {
  const before = known.get(text);
  if (before) return before;
  const found = look(text);
  known.set(text, found);
  return found;
}

/** @param {string} text @returns {Found} */
function look(text) {
  const whole = exact[key(text)];
  if (whole !== undefined) return [fill(whole, {}, {}), 0];
  // No word: figures with their units, codes, ids and places in a file.
  if (!/\p{Ll}/u.test(text.replace(UNITS, "$1"))) return [figures(text), 0];
  if (/^\S*[\d_/]\S*$/.test(text)) return [text, 0];
  /** @type {Found} */
  let best = [text, text.length];
  /** @param {Found | undefined} other */
  const better = (other) => {
    if (other && other[1] < best[1]) best = other;
    return best[1] === 0;
  };
  for (const pattern of patterns) {
    if (!text.startsWith(pattern.head) || !text.endsWith(pattern.tail)) continue;
    if (!pattern.fixed.every((piece) => text.includes(piece))) continue;
    for (const form of (pattern.forms ??= forms(pattern))) if (better(fitted(pattern, text, form))) return best;
  }
  const [, open, stem, end] = /^([(×–.,]*\s?)(.*?)([.:;,!?…)\s]*)$/s.exec(text) ?? [];
  if (stem && stem !== text) {
    const [said, lost] = find(stem);
    if (better([open + said + end, lost])) return best;
  }
  for (const cut of CUTS) {
    const parts = text.split(cut);
    const stop = cut === ". " ? "." : "";
    // A part may hold the sign itself: each place is tried, unless there are too many.
    const places = parts.length > MOST_PARTS ? [parts.length >> 1] : parts.slice(1).map((_, at) => at + 1);
    for (const at of places) {
      const [one, less] = find(parts.slice(0, at).join(cut) + stop);
      const [other, more] = find(parts.slice(at).join(cut));
      if (better([one + cut.slice(stop.length) + other, less + more])) return best;
    }
  }
  // Half a text that nobody has put into words is more likely a user's: it stays as it is.
  return best[1] * 2 > text.length ? [text, text.length] : best;
}

/** What the language says for a text; the spaces around it stay. @param {string} text */
function say(text) {
  const [, before, words, after] = /^(\s*)(.*?)(\s*)$/s.exec(text) ?? [];
  if (language === "en" || !words) return text;
  const [said, lost] = find(words.replace(/[^\S\n]+/g, " "));
  if (lost >= 1) missing.add(words);
  return before + said + after;
}

/**
 * Puts what is to be read in place of what the program wrote. What stands there already is not taken for English.
 * @param {Node} node @param {string} name of the attribute, or "" @param {string} now @param {boolean} own a user's @param {(text: string) => void} write
 */
function put(node, name, now, own, write) {
  const notes = written.get(node) ?? {};
  const note = notes[name];
  const source = note && note[1] === now ? note[0] : now;
  const wanted = own ? source : say(source);
  if (wanted !== now) write(wanted);
  if (wanted !== source || note) written.set(node, { ...notes, [name]: [source, wanted] });
}

/** Whether the words under an element are a user's. @param {Element | null} element */
const isOwn = (element) => element?.closest("[translate]")?.getAttribute("translate") === "no";

/** @param {Node} root */
function visit(root) {
  const walker = document.createTreeWalker(root, NodeFilter.SHOW_ELEMENT | NodeFilter.SHOW_TEXT);
  for (let node = /** @type {Node | null} */ (root); node; node = walker.nextNode()) {
    if (node instanceof Text) {
      const { parentElement, data } = node;
      const text = node;
      if (!parentElement?.closest(NOT_WORDS)) put(node, "", data, isOwn(parentElement), (words) => (text.data = words));
    } else if (node instanceof Element) {
      const element = node;
      for (const name of FOR_PEOPLE) {
        const now = element.getAttribute(name);
        if (now) put(element, name, now, isOwn(element), (words) => element.setAttribute(name, words));
      }
    }
  }
}

const observer = new MutationObserver((changes) => {
  for (const { type, target, addedNodes } of changes) {
    if (type === "childList") addedNodes.forEach(visit);
    else visit(target);
  }
  // What was written just now is nobody's change.
  observer.takeRecords();
});

/** @param {Catalogue} catalogue */
function learn(catalogue) {
  Object.assign(exact, catalogue.exact);
  for (const [english, words] of catalogue.patterns) {
    const pieces = english.split(/\{(\w+)\}/);
    const fixed = pieces.filter((_, at) => at % 2 === 0);
    const names = pieces.filter((_, at) => at % 2 === 1);
    const [head = "", tail = ""] = [fixed[0], fixed[fixed.length - 1]];
    patterns.push({ head, tail, fixed, names, length: fixed.join("").length, words });
  }
  // The more of a pattern is fixed, the sooner it is tried.
  patterns.sort((one, other) => other.length - one.length);
  learned += 1;
  known.clear();
  missing.clear();
  visit(document.documentElement);
}

/** The language that is wished for: the user's choice, else the browser's first that we know. */
function wished() {
  let choice = "";
  try {
    choice = JSON.parse(localStorage.getItem(SETTINGS) ?? "{}").language;
  } catch {
    // A browser that keeps nothing, or something unreadable: as the browser says.
  }
  const tags = [choice, ...navigator.languages].map((tag) => String(tag).toLowerCase().split("-")[0] ?? "");
  return tags.find((tag) => tag === "en" || CATALOGUES[tag]) ?? "en";
}

/** @param {string} next */
function become(next) {
  language = next;
  document.documentElement.lang = next;
  [exact, patterns, learned] = [{}, [], 0];
  point = new Intl.NumberFormat(next).format(1.5).charAt(1);
  plural = new Intl.PluralRules(next);
}

/** @param {string} address @returns {Promise<Catalogue>} */
async function read(address) {
  const answer = await fetch(address);
  if (!answer.ok) throw new Error(`${address}: ${answer.status}`);
  return answer.json();
}

/** How many of its catalogues have been taken in. */
let learned = 0;
let latest = 0;
/** What the latest change goes to. */
let wanted = language;
/** Changes to the language that is wished for now. Without its catalogue the page stays as it is. */
async function change() {
  const next = wished();
  // Asked for again while its words are on their way: they go on.
  if (next === wanted) return;
  wanted = next;
  const mine = ++latest;
  if (next === "en") {
    observer.disconnect();
    become(next);
    visit(document.documentElement);
    return;
  }
  try {
    const [first = "", rest = ""] = CATALOGUES[next] ?? [];
    // Where all is kept on the device already, all is there before the first screen; else the rest comes behind it.
    const all = navigator.serviceWorker?.controller ? read(rest) : undefined;
    const start = await read(first);
    const second = await all;
    if (mine !== latest) return;
    become(next);
    observer.observe(document.documentElement, {
      subtree: true,
      childList: true,
      characterData: true,
      attributeFilter: [...FOR_PEOPLE, "translate"],
    });
    learn(start);
    if (second) learn(second);
    else
      void read(rest).then(
        (more) => mine === latest && learn(more),
        (reason) => console.error(reason),
      );
  } catch (reason) {
    console.error(reason);
    if (mine === latest) wanted = language;
  }
}

/** A whole page that was written in English, in the reader's language. @param {string} html */
function page(html) {
  const made = new DOMParser().parseFromString(html, "text/html");
  const root = made.documentElement;
  if (language === "en" || root.lang !== "en") return html;
  visit(root);
  root.lang = language;
  return `<!DOCTYPE html>${root.outerHTML}`;
}

addEventListener("storage", (event) => event.key === SETTINGS && void change());

Object.assign(window, {
  loomwalkSpeak: { ready: change(), change, say, page, missing, language: () => language, complete: () => language === "en" || learned === 2 },
});

export {};
