// What figures can do where there is script: go phrase by phrase, copy moves, enlarge a picture,
// and take on the colours of the reader's own cube. Words and letters are given by the page.
(() => {
  const say = document.currentScript.dataset;

  const make = (name, kind, ...inside) => {
    const made = document.createElement(name);
    if (kind) made.className = kind;
    made.append(...inside);
    return made;
  };

  const button = (kind, text, act) => {
    const made = make("button", kind, text);
    made.type = "button";
    made.addEventListener("click", act);
    return made;
  };

  // pictures: stickers are runs of strokes, and what is painted later covers what is below

  const unit = svg => (svg.classList.contains("few") ? 2 : 1);

  function* runs(path) {
    let x = 0, y = 0;
    for (const [, move, dx, dy, length] of
      path.getAttribute("d").matchAll(/([mM])(-?[\d.]+) ?(-?[\d.]+)v(\d+)/g)) {
      x = +dx + (move === "m" ? x : 0);
      y = +dy + (move === "m" ? y : 0);
      yield [x, y, +length];
      y += +length;
    }
  }

  // for each part of a picture, the colour number (6: none) at each "x y"
  const stickers = svg => {
    const parts = new Map();
    for (const path of svg.querySelectorAll("path")) {
      const found = /^(?:c(\d)|bare)$/.exec(path.getAttribute("class"));
      if (!found) continue;
      if (!parts.has(path.parentNode)) parts.set(path.parentNode, new Map());
      const cells = parts.get(path.parentNode), step = unit(svg);
      for (const [x, y, length] of runs(path)) {
        for (let at = y; at < y + length; at += step) cells.set(`${x} ${at}`, found[1] ?? "6");
      }
    }
    return [...parts];
  };

  const add = (parent, name, attributes, text = "") => {
    const made = document.createElementNS("http://www.w3.org/2000/svg", name);
    for (const key in attributes) made.setAttribute(key, attributes[key]);
    made.textContent = text;
    parent.append(made);
    return made;
  };

  // where labels are, how far they reach, and half of a letter beyond
  const labels = svg => [...svg.querySelectorAll(".tag")].map(tag => {
    const em = parseFloat(getComputedStyle(tag).fontSize), half = unit(svg) / 4;
    const wide = tag.getAttribute("textLength") ?? (0.3 + 0.68 * tag.textContent.length) * em;
    return [
      +tag.getAttribute("x"), tag.getAttribute("y") - 0.31 * em, wide / 2 + half, 0.58 * em + half];
  });

  const letter = ([svg, tags]) => {
    const step = unit(svg);
    for (const [part, cells] of svg.querySelector(".letters, .own") ? [] : stickers(svg)) {
      const group = add(part, "g", {
        class: "own", transform: `translate(0 ${0.75 * step})`,
        "font-size": 0.7 * step, "stroke-width": 0.1 * step, "stroke-opacity": 0.3,
      });
      const slant = part.transform.baseVal.consolidate()?.matrix;
      const isTagged = (left, top) => {
        const {x, y} = new DOMPoint(left, top + step / 2).matrixTransform(slant);
        return tags.some(([at, level, wide, high]) =>
          Math.abs(at - x) < wide && Math.abs(level - y) < high);
      };
      for (const [place, colour] of cells) {
        const [x, y] = place.split(" ");
        if (colour < 6 && !isTagged(+x, +y)) add(group, "text", {x, y}, say.letters[colour]);
      }
    }
  };

  // all are measured first: a change would have them styled anew
  const letterAll = () => [...document.querySelectorAll("svg.cube")]
    .map(svg => [svg, labels(svg)]).forEach(letter);

  const compare = (svg, earlier) => {
    const before = stickers(earlier), step = unit(svg);
    for (const old of svg.querySelectorAll(".changed")) old.remove();
    stickers(svg).forEach(([part, cells], number) => {
      for (const [place, colour] of cells) {
        if (colour < 6 && before[number]?.[1].get(place) !== colour) {
          add(part, "path", {class: `changed on${colour}`, d: `M${place}v${step}`});
        }
      }
    });
  };

  // one picture, as large as it can be

  const enlarged = make("dialog", "enlarged");
  const enlarge = svg => {
    const frame = make("div", "", svg.cloneNode(true));
    frame.tabIndex = 0;
    enlarged.replaceChildren(button("", say.close, () => enlarged.close()), frame);
    enlarged.showModal();
    frame.scrollLeft = 0.375 * frame.scrollWidth - frame.clientWidth / 2; // the middle of a net
  };
  enlarged.addEventListener("click", event => event.target.closest("svg") && enlarged.close());
  document.body.append(enlarged);

  // moves, as they are printed, but for names: nobody knows these elsewhere

  const printed = turns => turns.textContent.trim().replace(/\s+/g, " ");

  const written = phrases => {
    const named = [...phrases.parentNode.querySelectorAll(".named")];
    const out = text => text.replace(/\{([^}]+)\}([\d']*)/g, (all, name, often) => {
      const line = named.find(one => one.querySelector("code").textContent === name);
      if (!line) return all;
      const moves = out(printed(line.querySelector(".turns")));
      return often ? `(${moves})${often}` : moves;
    });
    return [...phrases.querySelectorAll(".turns")].map(turns => out(printed(turns))).join("\n");
  };

  const copy = async (pressed, phrases) => {
    try {
      await navigator.clipboard.writeText(written(phrases));
    } catch { // no page that comes without encryption may write there
      const field = make("textarea", "spoken", written(phrases));
      pressed.after(field);
      field.select();
      document.execCommand("copy");
      field.remove();
      pressed.focus();
    }
    pressed.textContent = say.copied;
    setTimeout(() => { pressed.textContent = say.copy; }, 2000);
  };

  // one phrase after another

  const walk = (moves, start, pictures) => {
    const phrases = [...moves.querySelectorAll(".phrases > li")], around = moves.parentNode;
    const frame = make("div", "frame"), caption = make("div", "caption"), place = make("span", "place");
    const stage = make("div", "stage", frame);
    let at = 0;
    const go = line => {
      if (line < 0 || line >= pictures.length) return;
      at = line;
      const shown = pictures[at].cloneNode(true);
      if (at) compare(shown, pictures[at - 1]);
      frame.replaceChildren(shown);
      caption.replaceChildren(...at ? phrases[at - 1].cloneNode(true).childNodes : [say.before]);
      place.textContent = say.place.replaceAll("{line}", at).replaceAll("{count}", phrases.length);
      back.setAttribute("aria-disabled", !at);
      next.setAttribute("aria-disabled", at === phrases.length);
      phrases.forEach((phrase, number) => phrase.classList.toggle("now", number === at - 1));
    };
    const leave = () => {
      stage.remove();
      around.classList.remove("walking");
      phrases.forEach(phrase => phrase.classList.remove("now"));
      start.hidden = false;
      start.focus();
    };
    const back = button("", say.back, () => go(at - 1));
    const next = button("", say.next, () => go(at + 1));
    // below the picture, whose height stays: a thumb on "next" need not follow captions
    stage.append(make("div", "controls", back, place, next, button("leave", say.leave, leave)), caption);
    stage.setAttribute("role", "group");
    stage.setAttribute("aria-label", say.walk);
    caption.setAttribute("aria-live", "polite");
    stage.addEventListener("keydown", event => {
      const way = {ArrowLeft: -1, ArrowRight: 1}[event.key];
      if (way) {
        event.preventDefault();
        go(document.dir === "rtl" ? at - way : at + way);
      }
    });
    return () => {
      around.prepend(stage);
      around.classList.add("walking");
      start.hidden = true;
      go(0);
      next.focus({preventScroll: true});
      stage.scrollIntoView({block: "nearest"});
    };
  };

  for (const figure of document.querySelectorAll(".moves-figure")) {
    const pictures = [];
    for (const picture of figure.querySelectorAll(".picture")) {
      const svg = picture.querySelector("svg");
      pictures[picture.dataset.line] = svg;
      svg.classList.add("can-grow");
      svg.addEventListener("click", () => enlarge(svg));
      const label = picture.querySelector(".label"), grow = button("", say.enlarge, () => enlarge(svg));
      const which = label.textContent.trim(); // nothing, where there is no other
      if (which) grow.setAttribute("aria-label", `${say.enlarge}: ${which}`);
      label.append(grow);
    }
    for (const phrases of figure.querySelectorAll(".phrases")) {
      const label = phrases.parentNode.querySelector(".label") ?? phrases.parentNode;
      const pressed = button("", say.copy, () => copy(pressed, phrases));
      label.append(pressed);
    }
    const moves = figure.querySelector(".moves");
    const lines = moves ? moves.querySelectorAll(".phrases > li").length : 0;
    if (lines > 1 && pictures.filter(Boolean).length === lines + 1) {
      const start = button("", say.walk, () => begin());
      const begin = walk(moves, start, pictures);
      moves.querySelector(".label").append(start);
    }
  }

  // the reader's own cube, which a theme may leave out

  const control = document.querySelector(".own-cube"), form = control?.querySelector("form");
  const root = document.documentElement;
  const kept = () => {
    try {
      return JSON.parse(localStorage.getItem("own-cube")) ?? {};
    } catch {
      return {};
    }
  };
  const apply = ({colours = {}, letters = false}) => {
    for (const number of "012345") {
      const name = `--cube-${number}`, ink = form?.querySelector(`[name="${number}"]`);
      root.style.removeProperty(name);
      if (/^#[0-9a-f]{6}$/.test(colours[number])) root.style.setProperty(name, colours[number]);
      if (ink) ink.value = getComputedStyle(root).getPropertyValue(name).trim();
    }
    if (form) form.letters.checked = letters;
    for (const own of document.querySelectorAll(".own")) own.remove();
    if (letters) letterAll();
  };
  const keep = chosen => {
    try {
      localStorage.setItem("own-cube", JSON.stringify(chosen));
    } catch { /* it holds for this page */ }
    apply(chosen);
  };
  form?.addEventListener("input", event => {
    const {colours = {}} = kept(), {name, value, type} = event.target;
    if (type === "color") colours[name] = value;
    keep({colours, letters: form.letters.checked});
  });
  form?.addEventListener("reset", event => {
    event.preventDefault();
    keep({});
  });
  if (control) control.hidden = false;
  apply(kept());

  // paper may have no colours
  addEventListener("beforeprint", letterAll);
  addEventListener("afterprint", () => apply(kept()));
})();
