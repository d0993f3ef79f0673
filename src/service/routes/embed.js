// <evenround-counts design="SLUG">: the counts of a published design, in the page of a blog.
// Attributes: design (slug or id), size and units (metric, imperial, both) to begin with, src (another service's address).
// Themed by --evenround-font, --evenround-ink, --evenround-accent, --evenround-ground, --evenround-band, --evenround-line.
const home = new URL(import.meta.url).origin;
const style = new CSSStyleSheet();
style.replaceSync(`
:host { display: block; font: var(--evenround-font, inherit); color: var(--evenround-ink, #1c2b2d); background: var(--evenround-ground, #fff); padding: .75rem; }
:host([hidden]) { display: none; }
h3 { font-size: 1.05em; margin: 1em 0 .3em; }
h2 { font-size: 1.2em; margin: 0 0 .4em; color: var(--evenround-accent, #0b5563); }
form { display: flex; flex-wrap: wrap; gap: .5em 1.5em; align-items: center; margin: .5em 0; }
fieldset { border: 0; margin: 0; padding: 0; display: flex; gap: .9em; align-items: center; }
legend { float: left; padding: 0; margin-right: .9em; }
label { display: inline-flex; gap: .35em; align-items: center; min-height: 1.9em; }
select { font: inherit; color: inherit; min-height: 1.9em; background: var(--evenround-ground, #fff); }
:focus-visible { outline: 3px solid var(--evenround-accent, #0b5563); outline-offset: 2px; }
.wide { overflow-x: auto; margin: .6em 0; }
table { border-collapse: collapse; min-width: 15em; }
caption { text-align: left; font-weight: 600; padding: .3em 0; }
th, td { padding: .2em .7em; text-align: right; font-weight: 400; border-bottom: 1px solid var(--evenround-line, #c3d0d0); font-variant-numeric: tabular-nums; }
thead th { background: var(--evenround-band, #eef4f3); font-weight: 600; }
th[scope=row], thead th:first-child { text-align: left; }
ul { margin: .4em 0; padding-left: 1.2em; }
.caution { border-left: 4px solid #b3541e; padding: .1em .8em; }
small { display: block; margin-top: .5em; }
`);

const make = (name, attributes = {}, ...inside) => {
  const made = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) if (value !== false && value != null) made.setAttribute(key, value === true ? "" : value);
  made.append(...inside.filter((part) => part !== "" && part != null));
  return made;
};

const count = (entry) => {
  if (!entry) return "–";
  if (entry.stitches == null) return "not read";
  return `${entry.stitches}${entry.spaces ? ` + ${entry.spaces} sp` : ""}${entry.right ? "" : " (not as printed)"}`;
};

const both = (quantity, metric, imperial, units) => {
  const [m, i] = [`${quantity[metric]} ${metric}`, `${quantity[imperial]} ${imperial}`];
  return units === "metric" ? m : units === "imperial" ? i : `${m} (${i})`;
};

const measured = (measure, units) => {
  const about = (is) => (is ? "about " : "");
  const parts = [["width", "wide"], ["around", "around"], ["across", "across"]]
    .filter(([key]) => measure[key])
    .map(([key, word]) => `${about(measure.width_about)}${both(measure[key], "cm", "in", units)} ${word}`);
  const along = measure.form === "vessel" ? "from the middle to the edge" : "long";
  if (!measure.across) parts.push(`${about(measure.length_about)}${both(measure.length, "cm", "in", units)} ${along}`);
  return parts.join(", ");
};

const range = ({ likely, low, high }, metric, imperial, units) => {
  const ends = (unit) => `${low[unit]} and ${high[unit]} ${unit}`;
  const between = units === "metric" ? ends(metric) : units === "imperial" ? ends(imperial) : `${ends(metric)} (${ends(imperial)})`;
  return `${both(likely, metric, imperial, units)}, between ${between}`;
};

const amount = (colour, units) => {
  const parts = [];
  if (colour.length) parts.push(range(colour.length, "m", "yd", units));
  if (colour.weight) parts.push(range(colour.weight, "g", "oz", units));
  return parts.join("; ") || "not known";
};

const label = (row, rows) => {
  if (rows.filter((other) => other.label === row.label).length < 2) return row.label;
  const first = row.counts.find((entry) => entry && entry.number != null);
  if (!first) return row.label;
  return `${row.label}: ${first.number}${first.times > 1 ? `–${first.number + first.times - 1}` : ""}`;
};

const word = (piece) => (piece.rows.every((row) => row.kind !== "row") ? "Round" : "Row");

// A row as one size works it: of a header that lists the numbers of all sizes only this size's are left.
const own = (text, entry) => {
  const word = text.match(/^\p{L}+/u)?.[0];
  if (!word || entry.number == null || !text.includes("(")) return text;
  return `${word} ${entry.number}${entry.times > 1 ? `–${entry.number + entry.times - 1}` : ""}`;
};

class EvenroundCounts extends HTMLElement {
  static observedAttributes = ["design", "src", "size", "units"];
  #root = this.attachShadow({ mode: "open" });
  #data = null;
  #asked = "";
  #status = make("p", { role: "status" });
  #content = make("div");

  constructor() {
    super();
    this.#root.adoptedStyleSheets = [style];
    this.#root.append(this.#status, this.#content);
  }

  connectedCallback() { this.#load(); }

  attributeChangedCallback(name, before, now) {
    if (!this.isConnected || before === now) return;
    if (name === "design" || name === "src") this.#load();
    else this.#draw();
  }

  get #address() {
    const base = new URL(this.getAttribute("src") || home, home);
    return new URL(`/v1/designs/${encodeURIComponent(this.getAttribute("design") || "")}`, base).href;
  }

  async #load() {
    const address = this.#address;
    if (this.#asked === address) return;
    this.#asked = address;
    this.#status.textContent = "Loading the counts …";
    try {
      const answer = await fetch(`${address}/counts`, { headers: { accept: "application/json" }, credentials: "omit" });
      if (!answer.ok) throw new Error(answer.status);
      const data = await answer.json();
      if (this.#asked !== address) return;
      this.#data = data;
      this.#status.textContent = "";
      this.#draw();
    } catch {
      if (this.#asked !== address) return;
      this.#asked = "";
      this.#content.replaceChildren();
      this.#status.replaceChildren("The counts could not be loaded. ", make("a", { href: `${address}/embed` }, "Open them on a page of their own."));
    }
  }

  #draw() {
    const data = this.#data;
    if (!data) return;
    const units = ["metric", "imperial"].includes(this.getAttribute("units")) ? this.getAttribute("units") : "both";
    const wanted = this.getAttribute("size") || "";
    const only = data.sizes.findIndex((size) => size.trim().toLowerCase() === wanted.trim().toLowerCase());
    this.#status.textContent = wanted && only < 0 ? `There is no size “${wanted}” here; all sizes are shown.` : "";
    const sizes = data.sizes.map((_, at) => at).filter((at) => only < 0 || at === only);
    const had = this.#root.activeElement?.id;

    const select = make("select", { id: "size" }, make("option", { value: "", selected: only < 0 }, "All sizes"),
      ...data.sizes.map((size, at) => make("option", { value: size, selected: at === only }, size)));
    select.addEventListener("change", () => this.#choose("size", select.value));
    const radios = [["metric", "cm"], ["imperial", "in"], ["both", "both"]].map(([value, words]) => {
      const input = make("input", { type: "radio", name: "units", id: value, value, checked: value === units });
      input.addEventListener("change", () => this.#choose("units", value));
      return make("label", { for: value }, input, words);
    });
    const form = make("form", {}, data.sizes.length > 1 ? make("label", { for: "size" }, "Size ", select) : "",
      make("fieldset", {}, make("legend", {}, "Units"), ...radios));
    form.addEventListener("submit", (event) => event.preventDefault());

    const parts = [make("h2", {}, data.title), form];
    for (const piece of data.pieces) {
      parts.push(make("div", { class: "wide", tabindex: "0", role: "region", "aria-label": `Stitch counts, ${piece.name}` },
        make("table", {}, make("caption", {}, `${piece.name}: stitches after each ${word(piece).toLowerCase()}`),
          make("thead", {}, make("tr", {}, make("th", { scope: "col" }, word(piece)), ...sizes.map((at) => make("th", { scope: "col" }, data.sizes[at])))),
          make("tbody", {}, ...piece.rows.filter((row) => only < 0 || row.counts[only]).map((row) => make("tr", {},
            make("th", { scope: "row" }, only < 0 ? label(row, piece.rows) : own(label(row, piece.rows), row.counts[only])),
            ...sizes.map((at) => make("td", {}, count(row.counts[at])))))))));
    }
    for (const piece of data.measurements) {
      const lines = sizes.filter((at) => piece.sizes[at]);
      if (lines.length) parts.push(make("h3", {}, `Measurements of ${piece.piece}`), make("ul", {}, ...lines.map((at) => make("li", {}, `${data.sizes[at]}: ${measured(piece.sizes[at], units)}`))));
    }
    const yarn = data.yarn.filter((size) => only < 0 || size.name === data.sizes[only]).flatMap((size) => size.colours.map((colour) =>
      make("li", {}, `${size.name}${colour.colour && `, ${colour.colour}`}: ${amount(colour, units)}${colour.balls ? `, ${colour.balls} ${colour.balls === 1 ? "ball" : "balls"}` : ""}`)));
    if (yarn.length) parts.push(make("h3", {}, "Yarn"), make("ul", {}, ...yarn));
    for (const caution of data.cautions) parts.push(make("p", { class: "caution" }, make("strong", {}, `Caution, ${caution.about}: `), caution.in_short));
    if (data.cautions.length) parts.push(make("small", {}, data.cautions[0].defers));
    parts.push(make("small", {}, ...data.notes.flatMap((note) => [note, make("br")]), `Revision ${data.revision}, counted by Evenround.`));
    this.#content.replaceChildren(...parts);
    if (had) this.#root.getElementById(had)?.focus();
  }

  #choose(name, value) {
    if (value) this.setAttribute(name, value);
    else this.removeAttribute(name);
    this.dispatchEvent(new CustomEvent("evenround-change", { bubbles: true, composed: true, detail: { name, value } }));
  }
}

if (!customElements.get("evenround-counts")) customElements.define("evenround-counts", EvenroundCounts);
