// @ts-check
/// <reference lib="webworker" />
/**
 * The worker beside the page: runs a program away from the screen, so that a large photograph does not freeze it.
 * Started as `new Worker("/worker.js", { type: "module", name: "/assets/….js" })`: its name says where the program's
 * glue is, because a worker that comes from the service worker's cache is not told what stood behind a `?`. The program
 * must have its message handler in place when its `main` returns; what arrives earlier is kept here and handed on in order.
 */

const scope = /** @type {DedicatedWorkerGlobalScope} */ (/** @type {unknown} */ (self));

/** @type {MessageEvent[]} */
const early = [];
/** @param {MessageEvent} event */
const keep = (event) => {
  event.stopImmediatePropagation();
  early.push(event);
};
scope.addEventListener("message", keep);

const place = new URL(scope.name, scope.location.origin);
if (place.origin !== scope.location.origin) throw new Error(`The program is not on this address: ${place.href}`);

/** @type {{ default: () => Promise<unknown> }} */
const glue = await import(place.href);
// Glue made by dx has begun by itself; asked again, it gives the same promise.
await glue.default();

scope.removeEventListener("message", keep);
for (const { data, ports } of early) scope.dispatchEvent(new MessageEvent("message", { data, ports: [...ports] }));

export {};
