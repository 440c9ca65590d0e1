// @ts-check
// Before anything is painted: who has been here before, or comes for something else, is not told again what it is about.
if (navigator.serviceWorker?.controller || location.pathname !== "/") document.documentElement.classList.add("known");
