// @ts-check
/**
 * Keeps the list of jobs fresh: when the desk calls out that a job has grown, the list is fetched again and put in place
 * of the old one. While somebody is in the list with the keyboard it stays as it is, and a key offers the new one.
 */

const list = document.querySelector("[data-live]");
if (list instanceof HTMLElement && list.dataset.live) {
  const source = new EventSource(list.dataset.live);
  let waiting = false;

  /** @param {string} words */
  const say = (words) => {
    const status = list.querySelector("[role=status]");
    if (status) status.textContent = words;
  };

  const refresh = async () => {
    waiting = false;
    const answer = await fetch(location.href, { headers: { accept: "text/html" } });
    if (!answer.ok || answer.redirected) {
      say("This list does not change by itself any more: load the page again.");
      return;
    }
    const fresh = new DOMParser().parseFromString(await answer.text(), "text/html").querySelector("[data-live]");
    if (!fresh) return;
    if (list.contains(document.activeElement)) {
      offer();
      return;
    }
    list.replaceChildren(...fresh.childNodes);
    say("The list has changed just now.");
  };

  const offer = () => {
    if (list.querySelector("[data-offer]")) return;
    const key = document.createElement("button");
    key.type = "button";
    key.dataset.offer = "";
    key.textContent = "Show what has changed";
    key.addEventListener("click", () => {
      key.blur();
      void refresh();
    });
    list.querySelector("[role=status]")?.after(key);
    say("Something has arrived.");
  };

  const later = () => {
    if (waiting) return;
    // Several that come together are fetched together.
    waiting = true;
    setTimeout(() => void refresh().catch(() => undefined), 400);
  };

  source.addEventListener("job", later);
  let before = false;
  source.addEventListener("open", () => {
    // What came while nobody listened, as when this machine slept or the desk was started anew.
    if (before) later();
    before = true;
  });
  source.addEventListener("error", () => {
    if (source.readyState === EventSource.CLOSED) {
      say("This list does not change by itself any more: load the page again.");
    }
  });
}

export {};
