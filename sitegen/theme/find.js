// Searching the site, and picking figures out of a list: each on a page of its own.
"use strict";
{
  const MOST = 60;
  const TOKEN = /(?:\d+(?:-\d+)?)?[UDLRFBMESxyzudlrfb]w?2?'?|[([,:]|[)\]]\d*'?|\{[\w-]+\}\d*'?/g;
  const find = document.querySelector(".find");
  const input = find.querySelector("input");
  // compared in small letters without accents, with one apostrophe, times sign and spelling
  const plain = (text) => text.toLowerCase().normalize("NFD")
    .replace(/[\u0300-\u036f]/g, "").replace(/[’′´`]/g, "'").replace(/center/g, "centre").replace(/×/g, "x");
  const terms = () => plain(input.value).split(/\s+/).filter((term) => term);
  const has = (text, words) => words.every((word) => text.includes(word));

  // what an item of a list says in words: its picture says the letters of all its stickers
  const said = (item) => plain(["name", "from"]
    .map((kind) => item.querySelector(`.${kind}`).textContent).join(" "));

  const pick = () => {
    const words = terms();
    const output = find.querySelector("output");
    let left = 0;
    for (const section of document.querySelectorAll(".gallery-of")) {
      const items = [...section.querySelectorAll("li")];
      for (const item of items) item.hidden = !has(said(item), words);
      const shown = items.filter((item) => !item.hidden).length;
      section.hidden = !shown;
      left += shown;
    }
    const says = left === 1 ? output.dataset.one : output.dataset.many;
    output.value = words.length ? says.replaceAll("{count}", left) : "";
  };

  // what is typed, as moves: signs with spaces between; "" where it cannot be moves
  const asMoves = (text) => {
    const typed = text.replace(/[’′´`]/g, "'"), closed = typed.replace(/\s+/g, "");
    return closed && !closed.replace(TOKEN, "") ? ` ${(typed.match(TOKEN) ?? []).join(" ")} ` : "";
  };

  const results = () => {
    const words = terms();
    const moves = asMoves(input.value);
    const found = [];
    if (!words.length) return found;
    for (const [address, title, about, places] of searchIndex) {
      const name = plain(title);
      if (has(name, words)) found.push([2, address, title, ""]);
      else if (has(`${name} ${plain(about)}`, words)) found.push([4, address, title, about]);
      for (const [anchor, text, written, carriedOut] of places) {
        const says = plain(text);
        const turned = moves && [written, carriedOut].some((line) => ` ${line} `.includes(moves));
        const said = words.some((word) => says.includes(word)) && has(`${name} ${says}`, words);
        if (turned || said)
          found.push([turned ? (text ? 0 : 1) : 3, `${address}${anchor && "#"}${encodeURIComponent(anchor)}`,
            text || title, text && title, written]);
      }
    }
    return found.sort(([one], [other]) => one - other);
  };

  const closed = (moves) => moves.replace(/([[(]) /g, "$1").replace(/ ([\]),:])/g, "$1");

  const element = (name, text, kind) =>
    Object.assign(document.createElement(name), { textContent: text, className: kind });

  const show = () => {
    const status = document.querySelector("#found");
    const list = document.querySelector("#results");
    const { none, one, many, first, root } = status.dataset;
    const found = results();
    const says = found.length > MOST ? first : found.length > 1 ? many : found.length ? one : none;
    status.textContent = terms().length
      ? says.replaceAll("{count}", found.length).replaceAll("{shown}", MOST) : "";
    list.replaceChildren(...found.slice(0, MOST).map(([, address, text, from, moves]) => {
      const item = document.createElement("li");
      const link = element("a", text, "");
      link.href = root + address;
      item.append(link);
      if (from) item.append(" ", element("span", from, "from"));
      if (moves) item.append(" ", element("code", closed(moves), "turned"));
      return item;
    }));
    history.replaceState(null, "", `#${encodeURIComponent(input.value)}`);
  };

  let loading;
  const search = () => {
    const status = document.querySelector("#found");
    loading ??= new Promise((done, failed) => {
      const script = document.createElement("script");
      Object.assign(script, { src: status.dataset.index, onload: done, onerror: failed });
      document.head.append(script);
    });
    loading.then(show, () => { status.textContent = status.dataset.missing; });
  };

  const step = (event) => {
    const links = [...document.querySelectorAll("#results a")];
    const at = links.indexOf(document.activeElement);
    const by = { ArrowDown: 1, ArrowUp: -1 }[event.key];
    // keys are those of whoever has them, and of what composes a letter
    if ((at < 0 && document.activeElement !== input) || event.isComposing) return;
    if (event.key === "Enter" && at < 0) links[0]?.click();
    if (!by || !links.length) return;
    event.preventDefault();
    (at + by < 0 ? input : links[Math.min(at + by, links.length - 1)]).focus();
  };

  find.hidden = false;
  const searches = document.querySelector("#results");
  input.addEventListener("input", searches ? search : pick);
  if (searches) {
    document.addEventListener("keydown", step);
    try {
      input.value = decodeURIComponent(location.hash.slice(1));
    } catch { /* somebody wrote it by hand */ }
    if (input.value) search();
    input.focus();
  }
}
