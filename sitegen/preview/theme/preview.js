// Keeps a page of a preview fresh: it is loaded anew when it has changed, and nothing moves.
"use strict";

(() => {
  const version = document.currentScript.dataset.version;
  const kept = "sitegen preview";
  const told = "sitegen preview told";
  const patience = 5000; // milliseconds that a page which a link leads to may take to come
  let leaving = false;
  let busy = false; // what was pressed is not let go yet, or the page that it leads to is on its way
  let late = false; // there was news meanwhile

  // what is open, known by the nearest name above it and its place below that
  function folds() {
    const counts = {};
    return [...document.querySelectorAll("details")].map((fold) => {
      const home = fold.closest("[id]")?.id ?? "";
      counts[home] = (counts[home] ?? 0) + 1;
      return [`${home} ${counts[home]}`, fold];
    });
  }

  function focusable() {
    return [...document.querySelectorAll("a[href], button, summary, input, [tabindex]")];
  }

  // the last named thing above the middle of the window: the text stays where it was beside it
  function anchor() {
    const above = [...document.querySelectorAll("main [id], article [id]")].filter((one) => {
      const top = one.getBoundingClientRect().top;
      return one.getClientRects().length && top <= window.innerHeight / 2;
    });
    const last = above.at(-1);
    return last && { id: last.id, top: last.getBoundingClientRect().top };
  }

  function keep() {
    const active = document.activeElement;
    const place = active && active !== document.body ? focusable().indexOf(active) : -1;
    const open = Object.fromEntries(folds().map(([name, fold]) => [name, fold.open]));
    const focus = place < 0 ? null : { place, text: active.textContent };
    const state = { path: location.pathname, x: scrollX, y: scrollY, anchor: anchor(), open, focus };
    sessionStorage.setItem(kept, JSON.stringify(state));
  }

  function scroll(state) {
    let top = state.y;
    const found = state.anchor && document.getElementById(state.anchor.id);
    if (state.y > 0 && found && found.getClientRects().length) {
      top = scrollY + found.getBoundingClientRect().top - state.anchor.top;
    }
    window.scrollTo({ left: state.x, top, behavior: "instant" });
  }

  function restore() {
    const state = JSON.parse(sessionStorage.getItem(kept) ?? "null");
    sessionStorage.removeItem(kept);
    if (state?.path !== location.pathname) return;
    for (const [name, fold] of folds()) {
      if (name in state.open) fold.open = state.open[name];
    }
    const focused = state.focus && focusable()[state.focus.place];
    if (focused && focused.textContent === state.focus.text) focused.focus({ preventScroll: true });
    scroll(state);
    const { scrollX: x, scrollY: y } = window;
    addEventListener("load", () => {
      // what has come in since may have moved the text; a reader who has moved on is left alone
      if (scrollX === x && scrollY === y) scroll(state);
    });
    // back and forward are the browser's again, once this page is left for another
    addEventListener("pagehide", () => {
      if (!leaving) history.scrollRestoration = "auto";
    });
  }

  function refresh() {
    late = busy;
    if (leaving || busy) return;
    leaving = true;
    keep();
    history.scrollRestoration = "manual";
    location.reload();
  }

  async function check() {
    try {
      const answer = await fetch(location.pathname, { method: "HEAD", cache: "no-store" });
      const now = answer.headers.get("ETag");
      if (now && now !== `"${version}"`) refresh();
    } catch {
      // the server has stopped; the stream begins anew when it is back
    }
  }

  // to be loaded anew amid a click, or while the page that a link leads to comes, would undo it
  function wait(most) {
    clearTimeout(wait.over);
    busy = true;
    if (most) wait.over = setTimeout(resume, most);
  }

  function resume() {
    busy = false;
    if (late) check();
  }

  addEventListener("pointerdown", () => wait(0), true);
  for (const end of ["pointerup", "pointercancel"]) {
    addEventListener(end, () => wait(100), true); // the click comes after it
  }
  addEventListener("beforeunload", () => wait(patience));
  addEventListener("pageshow", (event) => event.persisted && resume());

  // One page of all that are open listens, and tells the others: a browser opens few connections
  // to one server, and a stream takes up one for good.
  const others = new BroadcastChannel(kept);
  others.onmessage = check;

  function listen() {
    const stream = new EventSource("/.preview/events");
    stream.addEventListener("site", () => {
      others.postMessage("site");
      check();
    });
    stream.addEventListener("error", () => {
      if (stream.readyState === EventSource.CLOSED) setTimeout(listen, 1000);
    });
  }

  navigator.locks.request(kept, () => {
    listen();
    return new Promise(() => {});
  });

  // heard, not seen, and only when it is news
  function announce() {
    const status = document.querySelector(".preview-heard");
    if (!status) return;
    const says = status.dataset.says;
    const before = sessionStorage.getItem(told) ?? "";
    sessionStorage.setItem(told, says);
    const news = says || (before && "Everything on this page holds");
    if (says !== before) setTimeout(() => status.append(news), 100);
  }

  function copies() {
    for (const button of document.querySelectorAll(".preview-paste button")) {
      button.hidden = false;
      button.addEventListener("click", async () => {
        const net = button.closest(".preview-paste").querySelector("pre").textContent;
        await navigator.clipboard.writeText(net);
        button.textContent = "Copied";
      });
    }
  }

  copies();
  restore();
  announce();
  check();
})();
