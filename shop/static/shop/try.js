/* Recomputes a form marked data-try after each change: does what its "Try" button
   does, by asking for the same full page, and puts the result in. The page works
   without it. Errors beside their boxes are kept in step; what was typed is not touched. */
"use strict";
(() => {
  const PAUSE = 400;
  const form = document.querySelector("form[data-try]");
  const result = document.getElementById("result");
  if (!form || !result) return;
  let timer, running;

  form.addEventListener("change", () => {
    clearTimeout(timer);
    timer = setTimeout(compute, PAUSE);
  });
  form.addEventListener("submit", stop);

  function stop() {
    clearTimeout(timer);
    running?.abort();
    result.removeAttribute("aria-busy");
  }

  async function compute() {
    stop();
    const mine = (running = new AbortController());
    const body = new URLSearchParams(new FormData(form));
    body.set("try", "1");
    result.setAttribute("aria-busy", "true");
    try {
      const address = form.getAttribute("action") || location.href;
      const answer = await fetch(address, { method: "POST", body, signal: mine.signal });
      show(new DOMParser().parseFromString(await answer.text(), "text/html"));
    } catch {
      // Not reached, or overtaken by a newer change: the page stays as it was.
    }
    if (running === mine) result.removeAttribute("aria-busy");
  }

  function show(page) {
    if (!page.getElementById("result")) return;
    for (const place of document.querySelectorAll("#result, #errors, #said, .error[id], .tried[id]")) {
      place.replaceChildren(...(page.getElementById(place.id)?.childNodes ?? []));
    }
    document.getElementById("errors")?.toggleAttribute("hidden", !page.querySelector("#errors li"));
    for (const box of form.querySelectorAll("[id][name]")) {
      const fresh = page.getElementById(box.id);
      for (const name of ["aria-invalid", "aria-describedby"]) {
        if (fresh?.hasAttribute(name)) box.setAttribute(name, fresh.getAttribute(name));
        else box.removeAttribute(name);
      }
    }
  }
})();
