/* When a field changes, the server's own part of the page is fetched and swapped in.
   Without this script the button under the brief does the same. */
(() => {
  "use strict";
  const TYPING_MS = 30; // gathers what one key or paste sets off
  const SETTLED_MS = 700; // before anything is said aloud, called wrong or drawn anew
  const KEPT = 24;

  const byId = (id) => document.getElementById(id);
  const form = byId("brief");
  if (!form || !byId("advice") || !byId("follow-note")) return;
  const typed = () => new URLSearchParams(new FormData(form)).toString();
  const note = byId("follow-note").firstElementChild;
  const isTick = (control) => control.type === "checkbox" || control.type === "radio";
  const isField = (control) => control.name && !/^(hidden|submit|fieldset)$/.test(control.type);
  const kept = new Map(); // what was typed -> the part that answers it
  const isWide = matchMedia("(min-width: 50rem)").matches;

  const start = {};
  let shown = isAsServed() ? typed() : null; // the brief that the advice in sight answers
  let asked = shown;
  let verdict = headline();
  let visit = start; // to one field: what is changed during it is one step of the history
  let recorded = start;
  let controller, asking, settling, mending;

  function headline() {
    return byId("verdict-bar").textContent.trim();
  }

  /* ---- asking ---- */

  function plan(control, delay) {
    if (control.name !== visit.name) visit = { name: control.name };
    clearTimeout(asking);
    if (typed() === asked) return;
    leave();
    const from = visit;
    asking = setTimeout(() => ask(from), delay);
  }

  async function ask(from) {
    const query = typed();
    if (query === asked) return;
    leave();
    asked = query;
    const known = kept.get(query);
    if (known) return answer(from, query, known);
    const { signal } = (controller = new AbortController());
    byId("advice").setAttribute("aria-busy", "true");
    try {
      const response = await fetch(`/advice?${query}`, { headers: { "X-Fragment": "advice" }, signal });
      const html = await response.text();
      if (signal.aborted) return;
      if (response.ok) answer(from, query, html);
      else if (response.status === 422) refuse(html);
      else fail();
    } catch {
      if (!signal.aborted) fail();
    } finally {
      if (!signal.aborted) byId("advice").removeAttribute("aria-busy");
    }
  }

  /* Whatever is under way is for a brief of before. */
  function leave() {
    controller?.abort();
    asked = null;
    clearTimeout(asking);
    clearTimeout(mending);
    byId("advice").removeAttribute("aria-busy");
  }

  function answer(from, query, html) {
    keep(query, html);
    const part = parse(html);
    swap(part);
    shown = query;
    if (from) record(from, query, byId("advice").dataset.address);
  }

  function fail() {
    asked = null; // the same may be asked again
    note.textContent = note.dataset.failed;
  }

  function refuse(html) {
    note.textContent = note.dataset.refused;
    // A number half typed is not yet wrong.
    mending = setTimeout(() => inPlace(() => mend(parse(html))), SETTLED_MS);
  }

  function keep(query, html) {
    kept.delete(query);
    kept.set(query, html);
    if (kept.size > KEPT) kept.delete(kept.keys().next().value);
  }

  /* ---- swapping ---- */

  const parse = (html) => new DOMParser().parseFromString(html, "text/html");

  function swap(part) {
    const old = byId("advice");
    const fresh = part.getElementById("advice");
    const focused = old.contains(document.activeElement) ? document.activeElement.id || "advice" : null;
    fold(fresh);
    for (const was of old.querySelectorAll("details[id]")) {
      const now = part.getElementById(was.id);
      if (now) now.open = was.open;
    }
    const pictures = keepPictures(old, fresh);
    const title = document.querySelector(".start h1"); // the advice has its own
    if (title) title.outerHTML = `<p class="title">${title.innerHTML}</p>`;
    inPlace(() => {
      unmend();
      byId("verdict-bar").replaceWith(part.getElementById("verdict-bar"));
      old.replaceWith(fresh);
    });
    if (focused) (byId(focused) ?? fresh).focus({ preventScroll: true });
    document.title = fresh.dataset.title;
    note.textContent = "";
    clearTimeout(settling);
    settling = setTimeout(() => settle(pictures), SETTLED_MS);
  }

  /* The picture of before stays until its successor is ready. */
  function keepPictures(old, fresh) {
    const pictures = [];
    for (const now of fresh.querySelectorAll("picture")) {
      const image = now.lastElementChild;
      const shown = old.querySelector(`#${image.id}`);
      if (!shown) continue;
      const was = shown.parentNode;
      shown.alt = image.alt;
      was.next = now;
      now.replaceWith(was);
      if (shown.getAttribute("src") !== image.getAttribute("src")) pictures.push([was, now, image]);
    }
    return pictures;
  }

  function settle(pictures) {
    if (headline() !== verdict) byId("follow-said").textContent = verdict = headline();
    for (const [was, now, image] of pictures) {
      document.adoptNode(now);
      image.src = image.getAttribute("src"); // begins to load
      image.decode().catch(() => {}).then(() => was.next === now && was.replaceWith(now));
    }
  }

  /* On a phone what is one step down begins folded. */
  function fold(root) {
    if (!isWide) for (const part of root.querySelectorAll(".fold")) part.open = false;
  }

  /* The field in hand stays in its place, whatever grows or shrinks above it. */
  function inPlace(change) {
    const held = form.contains(document.activeElement) ? document.activeElement : null;
    const before = held?.getBoundingClientRect().top;
    change();
    const moved = held ? held.getBoundingClientRect().top - before : 0;
    if (!moved) return;
    const column = form.closest(".beside-brief");
    const inner = column && column.scrollHeight > column.clientHeight && getComputedStyle(column).overflowY !== "visible";
    (inner ? column : window).scrollBy({ top: moved, behavior: "instant" });
  }

  /* ---- what needs mending ---- */

  function mend(part) {
    unmend();
    form.prepend(part.getElementById("problems"));
    for (const message of part.querySelectorAll("p.error")) {
      const id = message.id.replace(/-error$/, "");
      const field = byId(id)?.closest(".field");
      if (!field) continue;
      field.classList.add("wrong");
      (byId(`${id}-hint`) ?? field.querySelector("label, legend")).after(message);
      describe(byId(id), (ids) => [...ids, message.id]);
      if (byId(id).form && byId(id) !== field) byId(id).setAttribute("aria-invalid", "true");
      for (let fold = field.closest("details"); fold; fold = fold.parentElement.closest("details")) fold.open = true;
    }
  }

  function unmend() {
    byId("problems")?.remove();
    for (const field of form.querySelectorAll(".wrong")) field.classList.remove("wrong");
    for (const message of form.querySelectorAll("p.error")) {
      const control = byId(message.id.replace(/-error$/, ""));
      message.remove();
      control?.removeAttribute("aria-invalid");
      if (control) describe(control, (ids) => ids.filter((id) => id !== message.id));
    }
  }

  function describe(control, change) {
    const ids = change((control.getAttribute("aria-describedby") ?? "").split(" ").filter(Boolean));
    if (ids.length) control.setAttribute("aria-describedby", ids.join(" "));
    else control.removeAttribute("aria-describedby");
  }

  /* ---- the address and the way back ---- */

  function record(from, query, address) {
    const step = from === recorded ? "replaceState" : "pushState";
    recorded = from;
    history[step]({ typed: query }, "", address);
    for (const back of document.querySelectorAll("input[name=back]")) back.value = address;
  }

  function restore(query) {
    const was = new URLSearchParams(query);
    for (const control of form.elements) {
      if (!isField(control)) continue;
      const values = was.getAll(control.name);
      if (isTick(control)) control.checked = values.includes(control.value);
      else control.value = values[0] ?? "";
    }
  }

  addEventListener("popstate", async ({ state }) => {
    // A jump within the page shows what is shown now.
    if (!state?.typed) return history.replaceState({ typed: shown }, "");
    leave();
    visit = recorded = {};
    inPlace(unmend);
    restore(state.typed);
    if (state.typed === shown) {
      asked = shown;
      note.textContent = "";
    } else if (kept.has(state.typed) || location.pathname === "/advice") {
      await ask(null);
    } else location.reload();
  });

  /* ---- beginning ---- */

  function isAsServed() {
    return [...form.elements].every((control) => {
      if (!isField(control)) return true;
      if (control.options) return [...control.options].every((option) => option.selected === option.defaultSelected);
      if (isTick(control)) return control.checked === control.defaultChecked;
      return control.value === control.defaultValue;
    });
  }

  const region = byId("advice");
  const isWaiting = "ask" in region.dataset;
  region.dataset.address ??= location.pathname + location.search;
  if (shown && !isWaiting) keep(shown, byId("verdict-bar").outerHTML + region.outerHTML);
  fold(region);
  if (isWide && byId("aside-brief")) byId("aside-brief").open = true;
  history.replaceState({ typed: typed() }, "");
  form.addEventListener("input", ({ target }) => plan(target, target.options || isTick(target) ? 0 : TYPING_MS));
  form.addEventListener("change", ({ target }) => plan(target, 0));
  form.addEventListener("focusin", ({ target }) => {
    if (target.name !== visit.name) visit = { name: target.name };
  });
  addEventListener("pageshow", ({ persisted }) => {
    // A browser may bring back what was typed.
    if (persisted ? typed() === asked : isAsServed() && !isWaiting) return;
    asked = null;
    ask((recorded = start));
  });
})();
