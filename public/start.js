// @ts-check
/** Starts the program in the page, and says so where it cannot be started. */

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

export {};
