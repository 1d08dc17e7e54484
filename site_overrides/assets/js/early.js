// Runs before the first paint: says that scripts run, and sets the scheme that this browser was last told.
(function () {
  "use strict";
  document.documentElement.classList.replace("no-js", "js");
  try {
    const site = document.querySelector('meta[name="benchlore-site"]')?.getAttribute("content");
    const scheme = localStorage.getItem("benchlore/" + site + "/scheme");
    if (scheme === '"light"' || scheme === '"dark"')
      document.documentElement.dataset.scheme = JSON.parse(scheme);
  } catch {
    // A forbidden store: the page follows the system. store.js says so once something is to be kept.
  }
})();
