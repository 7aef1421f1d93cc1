/* What is typed into the brief is sent to the server as a draft, so that a closed tab loses nothing.
   Without this script a kept brief is a draft whenever one of its buttons is pressed. */
(() => {
  "use strict";
  const TYPING_MS = 400;
  const OWN = "draft";

  const keeps = document.getElementById("keep"); // the form that keeps for good says which draft is then over
  if (keeps) keeps.elements.draft.value = sessionStorage.getItem(OWN) ?? "";

  const form = document.querySelector("form[data-draft]");
  const sender = document.getElementById("draft-sender");
  if (!form || !sender) return;

  const typed = () => new URLSearchParams(new FormData(form)).toString();
  let sent = typed();
  let waiting;
  let own = "named" in form.dataset && form.dataset.draft; // a draft that is gone on with has its name
  if (own) id();

  /* One draft a tab. A brief begun anew is another one, and so is the brief of each kept consultation. */
  function id() {
    if (form.elements.consultation) return form.dataset.draft;
    const isBegun = location.pathname === "/" && !location.search;
    if (!own) own = (!isBegun && sessionStorage.getItem(OWN)) || form.dataset.draft;
    sessionStorage.setItem(OWN, own);
    return own;
  }

  function send() {
    clearTimeout(waiting);
    if (typed() === sent) return;
    sent = typed();
    const body = new URLSearchParams(sent);
    for (const [name, value] of new FormData(sender)) body.set(name, value);
    // Alive beyond the page: the tab may be closing.
    fetch(`${sender.getAttribute("action")}/${id()}`, { method: "POST", body, keepalive: true }).catch(() => (sent = null));
  }

  form.addEventListener("input", () => {
    clearTimeout(waiting);
    waiting = setTimeout(send, TYPING_MS);
  });
  addEventListener("pagehide", send);
  document.addEventListener("visibilitychange", () => document.visibilityState === "hidden" && send());
})();
