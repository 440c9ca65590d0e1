// @ts-check
/**
 * A thumb that taps twice means one tap. Where the first tap puts another key under it ("Begin" becomes "It opened"), or
 * turns what it means round (a tick, a chosen answer), the second does nothing. The same key may be tapped as fast as one
 * likes: a bump each. Keys that are pressed on a keyboard or by a screen reader have no thumb above them.
 */

/** So long after it changed, a key under the thumb does nothing: ms. A double tap takes less; reading what it says, more. */
const DEAF = 500;
/** So long after a tap it is looked at what lies there, ms, and so often. */
const WATCHED = 2000;
const LOOK_EACH = 100;
/** So far off, a tap still comes from the thumb that did not move: CSS px. */
const NEAR = 30;

/** The last tap: where, what lay there, and when that became something else. @type {{ x: number, y: number, key: Element | null, means: string, changed: number } | undefined} */
let last;
let until = 0;
/** A finger went down, and its click has not come yet. What a label passes on to its box is no tap of its own. */
let down = false;

/** The key at an element: for a label, its box. @param {EventTarget | null} at */
function keyAt(at) {
  const key = at instanceof Element ? at.closest("a, button, input, label, select, summary, textarea, [role=button]") : null;
  return key instanceof HTMLLabelElement ? (key.control ?? key) : key;
}

/**
 * What a tap on it would mean: its words without what counts or tells the time, where it leads, what it is about, whether it is on.
 * @param {Element | null} key
 * @param {boolean} turned its box has been ticked, or cleared, by the tap that is asked about
 */
function meaning(key, turned = false) {
  if (key === null) return "";
  const said = ["id", "href", "aria-label", "aria-pressed", "aria-expanded", "data-of"].map((name) => key.getAttribute(name));
  const ticked = key instanceof HTMLInputElement && key.type === "checkbox" && key.checked !== turned;
  const unfolded = key.localName === "summary" && key.parentElement?.hasAttribute("open");
  // A key that goes one on at each tap is the same key all the while.
  const words = key.hasAttribute("data-again") ? "" : key.textContent?.replace(/\d+/g, "");
  return [words, ...said, ticked, unfolded].join("\n");
}

/** Looks whether something else lies where the last tap was. @param {Element | null} [turned] */
function look(turned) {
  if (last === undefined) return;
  const key = keyAt(document.elementFromPoint(last.x, last.y));
  const means = meaning(key, key !== null && key === turned);
  if (key !== last.key || means !== last.means) last = { ...last, key, means, changed: performance.now() };
}

function keepLooking() {
  if (last === undefined || performance.now() > until) {
    last = undefined;
    return;
  }
  look();
  setTimeout(keepLooking, LOOK_EACH);
}

addEventListener("pointerdown", () => (down = true), true);
// It scrolls, or the thumb types meanwhile: what lies there then was brought there.
for (const busy of ["pointercancel", "wheel", "keydown", "beforeinput"]) {
  addEventListener(busy, () => (last = undefined), { capture: true, passive: true });
}

addEventListener(
  "click",
  (event) => {
    if (!down) return;
    down = false;
    const turned = event.target instanceof HTMLInputElement ? event.target : null;
    look(turned);
    const now = performance.now();
    const { clientX: x, clientY: y } = event;
    // Only what now lies there is deaf: a key beside it was what it is all the while.
    const same = last && Math.hypot(x - last.x, y - last.y) < NEAR && keyAt(event.target) === last.key;
    if (last && same && now - last.changed < DEAF) {
      event.preventDefault();
      event.stopImmediatePropagation();
      return;
    }
    const key = keyAt(event.target);
    const idle = last === undefined;
    last = { x, y, key, means: meaning(key, key === turned), changed: -Infinity };
    until = now + WATCHED;
    if (idle) setTimeout(keepLooking, LOOK_EACH);
  },
  true,
);

export {};
