"use strict";
(() => {
  const data = JSON.parse(document.getElementById("data").textContent);
  const root = document.documentElement;
  root.classList.remove("still");
  const DRAWN = "http://www.w3.org/2000/svg";

  // Text comes plain, or in pieces of which pairs are in metric and in US units.
  const write = (node, text, tag) => {
    const pieces = typeof text === "string" ? [text] : text;
    for (const piece of pieces) {
      if (typeof piece === "string") {
        node.append(piece);
        continue;
      }
      ["metric", "us"].forEach((units, at) => {
        const part = tag === "tspan" ? document.createElementNS(DRAWN, tag) : document.createElement(tag);
        part.setAttribute("class", units);
        part.textContent = piece[at];
        node.append(part);
      });
    }
    return node;
  };
  const make = (tag, text) => write(document.createElement(tag), text ?? "", "span");

  const SHAPES = {
    line: ["polyline", "points"],
    area: ["polygon", "points"],
    dot: ["circle", "cx", "cy", "r"],
    text: ["text", "x", "y"],
  };
  const draw = (group, shapes) => {
    group.replaceChildren(...shapes.map(([sort, look, ...values]) => {
      const [tag, ...names] = SHAPES[sort];
      const shape = document.createElementNS(DRAWN, tag);
      shape.setAttribute("class", look);
      names.forEach((name, at) => shape.setAttribute(name, values[at]));
      return sort === "text" ? write(shape, values[2], "tspan") : shape;
    }));
  };

  const fillSelect = (select, options, wanted) => {
    select.replaceChildren(...options.map(([value, name]) => {
      const option = make("option", name);
      option.value = value;
      return option;
    }));
    const values = options.map(([value]) => String(value));
    select.value = values.includes(String(wanted)) ? String(wanted) : values[0];
  };

  const start = (rapid) => {
    const article = document.getElementById(rapid.id);
    const [technique, bank, running] = ["technique", "bank", "running"].map((name) => document.getElementById(`${rapid.id}-${name}`));
    const find = (selector) => article.querySelector(selector);

    const show = () => {
      const [spot, scenario, name, banks] = rapid.picks[technique.value];
      fillSelect(bank, banks.flatMap((there, at) => (there ? [[at, data.sides[at]]] : [])), bank.value);
      const [kind, picks] = banks[bank.value];
      fillSelect(running, picks.flatMap((there, at) => (there ? [[at, rapid.runs[at]]] : [])), running.value);
      const [met, witness, lines, picture, more] = picks[running.value];
      find(".answer").textContent = `${spot}, ${scenario}: ${name} from ${data.sides[bank.value]}, while ${rapid.runs[running.value]} runs: ${met ? "can be done" : "short"}`;
      const details = find(".more");
      details.replaceChildren();
      [kind, more].map((at) => data.words[at]).filter((text) => text.length).forEach((text, at) => {
        write(details, at ? "; " : "", "span");
        write(details, text, "span");
      });
      draw(find(".boats"), data.boats[rapid.boats[running.value]]);
      draw(find(".work"), data.pictures[picture]);
      find(".lists").hidden = data.witnesses[witness].length === 0;
      const table = find(".witness");
      for (const body of [...table.tBodies]) body.remove();
      table.append(...data.witnesses[witness].map(([place, rows]) => {
        const body = document.createElement("tbody");
        const head = make("th", place);
        head.scope = "rowgroup";
        head.colSpan = 2;
        body.insertRow().append(head);
        for (const cells of rows) body.insertRow().append(...cells.map((cell) => make("td", cell)));
        return body;
      }));
      find(".lines").replaceChildren(...data.lines[lines].map(([letter, text]) => {
        const line = document.createElement("li");
        if (letter) line.append(make("b", letter), " ");
        return write(line, text, "span");
      }));
    };
    for (const select of [technique, bank, running]) select.addEventListener("change", show);
    find(".pick").addEventListener("submit", (event) => event.preventDefault());
    return (wanted) => {
      technique.value = wanted[0];
      show();
      bank.value = wanted[1];
      show();
      running.value = wanted[2];
      show();
      technique.focus({ preventScroll: true });
      article.scrollIntoView();
    };
  };

  const open = new Map(data.rapids.map((rapid) => [rapid.id, start(rapid)]));
  for (const link of document.querySelectorAll("a[data-pick]")) {
    link.addEventListener("click", (event) => {
      event.preventDefault();
      open.get(link.getAttribute("href").slice(1))(link.dataset.pick.split(" "));
    });
  }

  for (const input of document.querySelectorAll(".units input")) {
    input.addEventListener("change", () => { root.dataset.units = input.value; });
  }

  // Long parts are folded on a screen, and whole on paper.
  const folds = [...document.querySelectorAll("details.folds")];
  let unfolded = [];
  const fold = () => { for (const one of folds) one.open = unfolded.includes(one); };
  fold();
  window.addEventListener("beforeprint", () => {
    unfolded = folds.filter((one) => one.open);
    for (const one of folds) one.open = true;
  });
  window.addEventListener("afterprint", fold);
})();
