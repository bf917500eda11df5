// The form's values are the address. Whatever is typed or pulled asks for what the server then shows; no size is
// reckoned here. One question is under way at a time, and the latest is asked next.
"use strict";
(() => {
  const form = document.getElementById("sizes");
  if (!form) return;
  const live = form.dataset.liveAt;
  const fields = () => [...form.elements].filter((one) => one.name && one.name !== "show.name" && one.type !== "submit");
  const first = new URLSearchParams(location.search);
  const inFile = new Map(Object.entries(JSON.parse(document.getElementById("in-file").textContent)));

  const query = () => {
    const said = new URLSearchParams();
    for (const one of fields()) {
      if (one.name.startsWith("show.")) {
        if (one.name === "show.units" || first.has(one.name)) said.set(one.name, one.value);
      } else if (one.value.trim() !== (inFile.get(one.name) ?? "")) {
        said.set(one.name, one.value);
      }
    }
    return said.toString();
  };
  const address = (said) => location.pathname + (said ? "?" + said : "");

  let under = false, waiting = false;
  const ask = async () => {
    if (under) { waiting = true; return; }
    under = true;
    document.body.setAttribute("aria-busy", "true");
    try {
      do {
        waiting = false;
        const said = query();
        const answer = await fetch(live + "?" + said, { headers: { accept: "text/html" } });
        const text = await answer.text();
        if (answer.ok && said === query()) put(text); else if (answer.ok) waiting = true;
      } while (waiting);
    } catch (trouble) {
      const told = document.createElement("p");
      told.className = "remark error";
      told.textContent = "The studio does not answer: is it still running?";
      document.getElementById("remarks").replaceChildren(told);
    } finally {
      under = false;
      document.body.removeAttribute("aria-busy");
    }
  };
  const put = (text) => {
    const made = new DOMParser().parseFromString(text, "text/html");
    for (const one of made.querySelectorAll("[data-live]")) {
      const here = document.getElementById(one.id);
      if (!here) continue;
      // of what is no pot, the drawing before stays to be looked at
      here.classList.toggle("stale", one.hasAttribute("data-keep"));
      if (!one.hasAttribute("data-keep")) here.replaceChildren(...one.childNodes);
    }
    for (const beside of form.querySelectorAll("[id^='r-']")) {
      const one = made.getElementById(beside.id);
      beside.replaceChildren(...(one ? one.childNodes : []));
    }
    for (const range of form.querySelectorAll("input[type=range]")) follow(range);
  };
  const follow = (range) => {
    const field = document.getElementById(range.dataset.for);
    if (document.activeElement !== range && field.value.trim() !== "") range.value = field.value;
  };

  // each address that was settled on is one step back
  let step = history.state?.step ?? 0;
  let last = Math.max(step, Number(sessionStorage.getItem("last") ?? 0));
  if (!history.state) { last = 0; history.replaceState({ step }, ""); }
  const undo = document.getElementById("undo"), redo = document.getElementById("redo");
  const ways = () => {
    undo.hidden = redo.hidden = false;
    undo.disabled = step === 0;
    redo.disabled = step >= last;
    sessionStorage.setItem("last", String(last));
  };
  const settle = () => {
    const there = address(query());
    if (there === location.pathname + location.search) return;
    step += 1; last = step;
    history.pushState({ step }, "", there);
    ways();
  };
  const back = () => {
    const said = new URLSearchParams(location.search);
    for (const one of fields()) {
      if (!one.name.startsWith("show.")) one.value = said.get(one.name) ?? inFile.get(one.name) ?? "";
    }
    ask();
  };
  addEventListener("popstate", (event) => { step = event.state?.step ?? 0; ways(); back(); });
  undo.addEventListener("click", () => history.back());
  redo.addEventListener("click", () => history.forward());
  addEventListener("keydown", (event) => {
    if (!(event.ctrlKey || event.metaKey) || event.key.toLowerCase() !== "z") return;
    if (event.target.matches("input:not([type=range]), textarea")) return;  // there the browser undoes the typing
    event.preventDefault();
    (event.shiftKey ? redo : undo).click();
  });

  form.addEventListener("input", (event) => {
    const one = event.target;
    if (one.type === "range") document.getElementById(one.dataset.for).value = one.value;
    ask();
  });
  form.addEventListener("change", (event) => {
    const one = event.target;
    if (one.name && one.name.endsWith(".kind")) { location.assign(address(query())); return; }
    settle();
  });
  form.addEventListener("submit", (event) => {
    if (event.submitter?.id === "look") { event.preventDefault(); settle(); ask(); }
  });
  ways();
})();
