/* A form pressed twice within a second is sent once; the server guards as well. */
"use strict";
(() => {
  const PAUSE = 1000;
  const sent = new WeakMap();

  document.addEventListener("submit", (event) => {
    const now = Date.now();
    if (now - (sent.get(event.target) ?? -PAUSE) < PAUSE) {
      event.preventDefault();
      return;
    }
    sent.set(event.target, now);
  });
})();
