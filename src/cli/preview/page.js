"use strict";
// Follows what is saved: asks for the number of the last reading, and takes the page's findings and the document anew.
(function () {
  const state = document.getElementById("state");
  const frame = document.getElementById("document");
  let version = document.body.dataset.version;
  let ended = false;

  async function renew() {
    const answer = await fetch("/");
    const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
    for (const id of ["findings", "sheet-head"]) {
      document.getElementById(id).replaceChildren(...fresh.getElementById(id).childNodes);
    }
    state.textContent = fresh.getElementById("state").textContent;
    document.title = fresh.title;
    version = fresh.body.dataset.version;
    const at = frame.contentWindow.scrollY;
    frame.addEventListener("load", () => frame.contentWindow.scrollTo(0, at), { once: true });
    frame.contentWindow.location.replace("/document?" + version);
  }

  async function follow() {
    if (ended) return;
    try {
      const answer = await fetch("/version");
      const now = await answer.text();
      if (now !== version) await renew();
      setTimeout(follow, 500);
    } catch (gone) {
      if (!ended) state.textContent = "The preview has ended; what you see is the last reading.";
      ended = true;
    }
  }

  document.getElementById("stop").addEventListener("click", async () => {
    ended = true;
    await fetch("/stop", { method: "POST" });
    state.textContent = "The preview has ended; this page may be closed.";
  });
  setTimeout(follow, 500);
})();
