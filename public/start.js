// @ts-check
/**
 * Starts the program in the page, and says so where it cannot be started; hands files on to it that do not come by a
 * file chooser.
 */

/** The guide's text, opened at what it says about the screen `at`. A part of a page, not of the program: a first start has no need of it. */
class Guide extends HTMLElement {
  async connectedCallback() {
    const answer = await fetch("/text/guide.html").catch(() => undefined);
    if (!answer?.ok) {
      this.setAttribute("role", "alert");
      this.textContent = "The guide is not on this device yet. Connect to a network, then open it again.";
      return;
    }
    this.innerHTML = await answer.text();
    const about = this.querySelector(`[data-of~="${CSS.escape(this.getAttribute("at") ?? "")}"]`);
    about?.setAttribute("open", "");
    about?.scrollIntoView();
  }
}
customElements.define("loomwalk-guide", Guide);

// Beside the program's, not before it: nothing waits for it.
import("./thumb.js").catch(console.error);

const place = document.querySelector('meta[name="loomwalk-glue"]')?.getAttribute("content") ?? "";

try {
  /** @type {{ default: () => Promise<unknown> }} */
  const glue = await import(place);
  // Its words are there before its first screen, if the reader's language needs others.
  await /** @type {any} */ (window).loomwalkSpeak?.ready;
  await glue.default();
} catch (reason) {
  console.error(reason);
  const word = document.getElementById("first-word");
  if (word !== null) {
    word.setAttribute("role", "alert");
    word.textContent =
      `Loomwalk could not start: ${reason}. What you have recorded is still on this device. ` +
      "Load the page again; if that does not help, update this browser.";
  }
}

/**
 * Puts a file where it would be if it had been chosen there. False: the screen asks for none.
 * @param {File} file
 */
function choose(file) {
  const input = document.getElementById("read-file");
  if (!(input instanceof HTMLInputElement)) return false;
  const held = new DataTransfer();
  held.items.add(file);
  input.files = held.files;
  input.dispatchEvent(new Event("change", { bubbles: true }));
  return true;
}

// A file that is dropped, on the screen that reads one.
addEventListener("dragover", (event) => {
  if (document.getElementById("read-file")) event.preventDefault();
});
addEventListener("drop", (event) => {
  const file = event.dataTransfer?.files[0];
  if (file && choose(file)) event.preventDefault();
});

// The file with which the computer opened the installed app; the screen that reads it may not be there yet.
/** @type {any} */ (window).launchQueue?.setConsumer(async (/** @type {any} */ { files }) => {
  const file = await files?.[0]?.getFile();
  if (!file || choose(file)) return;
  const watch = new MutationObserver(() => choose(file) && watch.disconnect());
  watch.observe(document.body, { childList: true, subtree: true });
});

export {};
