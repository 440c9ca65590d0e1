// @ts-check
/// <reference lib="webworker" />
/**
 * The service worker: keeps one whole build on the device, so that the program starts without a network, and changes
 * to the next build only when told to. Without a list (as under `dx serve`) it keeps nothing and answers nothing.
 */

/** @typedef {{ url: string, integrity: string }} Listed */

/** What belongs to this build. The next line is written by the build. @type {{ build: string, files: Listed[] }} */
const LIST = { build: "", files: [] };

const OURS = "loomwalk-";
const CACHE = OURS + LIST.build;
const LISTED = new Set(LIST.files.map((file) => file.url));
/** Pages that the desk makes, not the program. */
const THE_DESKS = /^\/(api|desk|schema|trust)(\/|$)/;

const worker = /** @type {ServiceWorkerGlobalScope} */ (/** @type {unknown} */ (self));

worker.addEventListener("install", (event) => event.waitUntil(install()));
worker.addEventListener("activate", (event) => event.waitUntil(activate()));
worker.addEventListener("message", (event) => {
  // The user has taken the new build; the page reloads once on `controllerchange`.
  if (event.data?.take === "now") event.waitUntil(worker.skipWaiting());
});
worker.addEventListener("fetch", (event) => {
  const path = pathFor(event.request);
  if (path !== undefined) event.respondWith(answer(path, event.request));
});

/** Fetches every file of the build, or fails as a whole: half a build must never be started. */
async function install() {
  // A build that was taken back comes again while its own worker still serves it: its cache stays, whatever happens here.
  const isNew = !(await caches.has(CACHE));
  const cache = await caches.open(CACHE);
  try {
    await Promise.all(LIST.files.map((file) => keep(cache, file)));
  } catch (reason) {
    if (isNew) await caches.delete(CACHE);
    throw reason;
  }
}

/**
 * A name under /assets/ carries the hash of what it names: one that an earlier build kept is the same file.
 * All else comes from the server, past the browser's own cache. The browser compares it with the list (`integrity`), and
 * a redirected answer, which some engines refuse to show later, is an error.
 * @param {Cache} cache
 * @param {Listed} file
 */
async function keep(cache, { url, integrity }) {
  const kept = url.startsWith("/assets/") ? await caches.match(url) : undefined;
  const response = kept ?? (await fetch(new Request(url, { cache: "reload", integrity, redirect: "error" })));
  if (!response.ok) throw new Error(`${url}: the server answered ${response.status}`);
  await cache.put(url, response);
}

/** Forgets earlier builds. Where there was none, takes charge of the page that is already open. */
async function activate() {
  const earlier = (await caches.keys()).filter((name) => name.startsWith(OURS) && name !== CACHE);
  await Promise.all(earlier.map((name) => caches.delete(name)));
  if (earlier.length === 0 && LISTED.size > 0) await worker.clients.claim();
}

/**
 * Under which name the answer to a request is kept; undefined: leave it to the network.
 * @param {Request} request
 */
function pathFor(request) {
  const { origin, pathname } = new URL(request.url);
  if (request.method !== "GET" || origin !== worker.location.origin) return undefined;
  if (LISTED.has(pathname)) return pathname;
  const page = request.mode === "navigate" && !THE_DESKS.test(pathname);
  return page && LISTED.has("/") ? "/" : undefined;
}

/**
 * @param {string} path
 * @param {Request} request
 */
async function answer(path, request) {
  const cache = await caches.open(CACHE);
  return (await cache.match(path)) ?? fetch(request);
}
