// The bench page: shows what the computer tells, and sends what is written down.  It keeps nothing: what
// is known stands in the file, and comes again whenever that changes.
"use strict";

const part = (id) => document.getElementById(id);
const SVG = "http://www.w3.org/2000/svg";
let told = null; // what the file says, as last heard
let warned = ""; // the danger of what was written down; stays until something else is typed
let broken = false; // whether the file can't be read as it stands
let enlarged = 1; // how many times wider than its window the drawing is
let brought = ""; // id of the wire that is brought out

function made(tag, words = "", kind = "") {
  const element = document.createElement(tag);
  element.textContent = words;
  if (kind) element.className = kind;
  return element;
}

function list(id, entries, entry) {
  part(id).replaceChildren(...entries.map(entry));
}

// ---- what the file says ----

function show(news) {
  document.querySelector("main").hidden = part("tabs").hidden = !news.good;
  part("last-good").textContent = news.good ? "What is shown is the last good one." : "";
  part("saved").textContent = `read ${news.saved} from ${news.file}`;
  showProblems(news.problems);
  if (news.good) showGood(news.good);
}

function showGood(good) {
  const before = told;
  told = good;
  part("machine").textContent = document.title = good.machine;
  part("parts").textContent = good.parts;
  part("standing").textContent = `${good.standing} This page validates no safety function.`;
  showPhases(good.phases);
  list("cautions", good.action.cautions, (words) => made("li", words));
  if (changed(before, "action") || changed(before, "terminals")) showAction(good.action);
  if (changed(before, "sheets")) drawSheets(good.sheets);
  markAsked(good.action);
  if (changed(before, "sheets") || changed(before, "action")) frame();
  part("no-sheet").hidden = !good.no_sheet;
  part("no-sheet").textContent = good.no_sheet;
  part("count").textContent = good.count;
  list("history", good.history, (line) => made("li", line));
  part("waiting-box").hidden = !good.waiting.length;
  list("waiting", good.waiting, (line) => made("li", line));
  part("unknown-box").hidden = !good.unknowns.length;
  part("unknown-count").textContent = good.unknowns.length;
  list("unknowns", good.unknowns, (line) => made("li", line));
  list("finding-list", good.findings, showFinding);
}

function changed(before, key) {
  return JSON.stringify(before && before[key]) !== JSON.stringify(told[key]);
}

function showPhases(phases) {
  const now = phases.findIndex((phase) => phase.now);
  list("phases", phases, (phase) => {
    const item = made("li", phase.words, phase.done ? "done" : "");
    if (phase.now) item.setAttribute("aria-current", "step");
    return item;
  });
  part("phase-now").textContent = now < 0 ? "" : phases[now].words;
  part("how-far").textContent = now < 0 ? "" : `${now + 1} of ${phases.length}`;
}

function showProblems(problems) {
  const before = broken;
  broken = problems.length > 0;
  part("problems").hidden = !broken;
  list("problem-list", problems, (problem) => {
    const item = made("li");
    item.append(made("b", problem.place), made("p", problem.reason), made("p", `do: ${problem.do}`));
    return item;
  });
  if (broken && !before) part("problems").scrollIntoView({ block: "nearest" });
  for (const button of document.querySelectorAll(".write, .quiet")) button.disabled = broken;
}

// What stops or warns is open; a note opens on its title
function showFinding(finding) {
  const item = made("li", "", finding.severity), inside = made("details");
  inside.open = finding.severity !== "note";
  inside.append(made("summary", `${finding.severity} ${finding.code}: ${finding.title}`));
  const wires = finding.wires.length ? `wire${finding.wires.length > 1 ? "s" : ""} ${finding.wires.join(", ")}` : "";
  for (const words of [[finding.place, wires].filter(Boolean).join(", "), finding.reason, `do: ${finding.do}`]) {
    if (words) inside.append(made("p", words));
  }
  item.append(inside);
  return item;
}

// ---- the next action ----

function showAction(action) {
  part("title").textContent = action.title;
  list("lines", action.lines, (line) => {
    const item = made("li");
    const words = made("span", line.do);
    if (line.expect) words.append(made("b", `Expect: ${line.expect}`));
    item.append(words);
    return item;
  });
  list("outcomes", action.outcomes, (outcome) => {
    const item = made("li", "", outcome.stop ? "stop" : outcome.right ? "right" : "");
    item.append(made("b", outcome.figures), made("span", outcome.words));
    return item;
  });
  part("unlocks").textContent = action.unlocks && `Then: ${action.unlocks}`;
  part("put-off").textContent = action.put_off;
  part("later-box").hidden = !action.asked.later;
  part("later-box").open = false;
  const reads = action.asked.kind === "reading";
  part("meter").hidden = !reads;
  part("reading-box").open = reads;
  part("command-field").hidden = reads && action.asked.command === "";
  part("reading-box").classList.toggle("asked-for", reads);
  part("other").hidden = action.asked.kind !== "words";
  for (const id of ["value", "command", "remark", "other-words", "later-why"]) part(id).value = "";
  part("hint").textContent = action.asked.hint;
  askReading(action.asked);
  if (action.asked.kind === "words") askWords(action.asked);
  alarm(warned);
  compare();
}

function askWords(asked) {
  part("other-label").textContent = asked.label;
  part("other-words").required = asked.needed;
  part("failed").hidden = !asked.failed;
  part("unknown").hidden = !asked.unknown;
  part("other").querySelector(".write").textContent = asked.failed ? "Done, as expected" : "Write down";
}

function askReading(asked) {
  part("meter-red").textContent = asked.red;
  part("meter-black").textContent = asked.black;
  part("meter-unit").textContent = `${asked.unit} DC`;
  choices("red", told.terminals, asked.red);
  choices("black", told.terminals, asked.black);
  part("reading").classList.toggle("long", told.terminals.some((label) => label.length > 7));
  choices("state", told.states, asked.state);
  choices("unit", told.units, asked.unit);
  part("command").value = asked.command;
}

function choices(id, values, chosen) {
  list(id, values, (value) => new Option(value, value, value === chosen, value === chosen));
}

function typed() {
  const words = part("value").value.trim().replace("−", "-").replace(",", ".");
  return /^[-+]?(\d+\.?\d*|\.\d+)$/.test(words) ? Number(words) : NaN;
}

// As the figure is typed: the danger before all else, then which result it is
function hint() {
  const unit = part("unit").value, limit = told.dangerous[unit];
  const dangerous = limit !== undefined && Math.abs(typed()) > limit;
  warned = "";
  alarm(dangerous ? `${part("value").value} ${unit}. ${told.danger}` : "");
  compare();
}

function compare() {
  const value = typed(), unit = part("unit").value;
  const asked = told.action.asked;
  const same = asked.kind === "reading" && asked.red === part("red").value && asked.black === part("black").value && asked.unit === unit
    && asked.state === part("state").value;
  told.action.outcomes.forEach((outcome, index) => {
    const holds = same && outcome.spans.some(([low, high]) => value >= (low ?? -Infinity) && value <= (high ?? Infinity));
    part("outcomes").children[index].classList.toggle("shown", holds);
  });
}

function alarm(words) {
  if (part("alarm").textContent === words) return; // said once
  part("alarm").hidden = !words;
  part("alarm").textContent = words;
}

async function write(words, remark = "") {
  const held = document.activeElement, drive = told.action.drive;
  const buttons = document.querySelectorAll(".write, .quiet");
  buttons.forEach((button) => { button.disabled = true; });
  try {
    const reply = await fetch("note", {
      method: "POST", headers: { "Content-Type": "application/json" },
      body: JSON.stringify({ words: drive ? `${drive}: ${words}` : words, remark }),
    });
    answer(reply.ok ? await reply.json() : unwritten(await reply.text()));
  } catch {
    answer(unwritten("No connection to doorsheet open."));
  }
  buttons.forEach((button) => { button.disabled = broken; });
  held.focus({ preventScroll: true });
}

function unwritten(why) {
  return { written: false, danger: "", lines: ["Not written down.", why] };
}

function answer(reply) {
  part("answer").className = reply.written ? "" : "refused";
  list("answer", reply.lines, (line) => made("p", line));
  warned = reply.danger;
  alarm(warned);
  part("answer").scrollIntoView({ block: "nearest" });
}

// ---- the sheet ----

function drawSheets(sheets) {
  const drawings = sheets.map((text) => document.importNode(
    new DOMParser().parseFromString(text, "image/svg+xml").documentElement, true));
  part("drawing").replaceChildren(...drawings);
  for (const wire of part("drawing").querySelectorAll('g[id^="wire-"]')) makeTouchable(wire);
  if (brought && part(brought)) bringOut(part(brought));
}

function makeTouchable(wire) {
  const edges = wire.querySelectorAll(".ds-wire-edge");
  for (const edge of edges) {
    wire.prepend(copy(edge, "glow"));
    wire.append(copy(edge, "hit"));
  }
  wire.setAttribute("role", "button");
  wire.setAttribute("aria-pressed", "false");
  wire.setAttribute("aria-label", wire.querySelector("title").textContent);
  wire.setAttribute("tabindex", "0");
  wire.addEventListener("click", () => bringOut(wire));
  wire.addEventListener("focus", () => bringOut(wire));
}

function copy(edge, kind) {
  const line = edge.cloneNode();
  line.setAttribute("class", kind);
  return line;
}

function bringOut(wire) {
  for (const other of part("drawing").querySelectorAll('g[aria-pressed="true"]')) {
    other.setAttribute("aria-pressed", "false");
  }
  wire.setAttribute("aria-pressed", "true");
  brought = wire.id;
  const words = wire.querySelector("title").textContent;
  const read = told.readings[wire.id] || [];
  part("strip").textContent = [`${words[0].toUpperCase()}${words.slice(1)}.`, ...read].join(" ");
}

// Both lead places, and the wires that the action is about
function markAsked(action) {
  for (const old of part("drawing").querySelectorAll(".leads")) old.remove();
  for (const [id, lead] of [[action.red_id, "red"], [action.black_id, "black"]]) {
    const terminal = id && part(id);
    if (terminal) markLead(terminal, lead);
  }
  for (const wire of part("drawing").querySelectorAll('g[id^="wire-"]')) {
    wire.classList.toggle("asked", action.wires.includes(wire.id));
  }
}

function markLead(terminal, lead) {
  const hole = terminal.querySelector(".ds-hole").getBBox();
  const group = document.createElementNS(SVG, "g"), plate = document.createElementNS(SVG, "rect");
  const word = document.createElementNS(SVG, "text");
  const right = hole.x + hole.width + 1, middle = hole.y + hole.height / 2;
  const wide = lead === "red" ? 11 : 16;
  Object.entries({ x: right - wide, y: middle - 3.2, width: wide, height: 6.4, rx: 3.2, class: `lead-${lead}` })
    .forEach(([name, value]) => plate.setAttribute(name, value));
  Object.entries({ x: right - wide / 2, y: middle + 1.5, "font-size": 4.4, class: "lead-word" })
    .forEach(([name, value]) => word.setAttribute(name, value));
  group.setAttribute("class", "leads");
  word.textContent = lead;
  group.append(plate, word);
  terminal.ownerSVGElement.append(group);
}

// This step: only the frames and what is between them, large enough to read; the whole sheet: the paper
function frame() {
  const whole = part("sheet").dataset.view === "whole";
  for (const svg of part("drawing").querySelectorAll("svg")) {
    svg.dataset.paper ||= svg.getAttribute("viewBox");
    const boxes = [...svg.querySelectorAll('.ds-device, g[id^="wire-"]')].map((each) => each.getBBox());
    const left = Math.min(...boxes.map((box) => box.x)) - 1, top = Math.min(...boxes.map((box) => box.y)) - 1;
    const right = Math.max(...boxes.map((box) => box.x + box.width)) + 1;
    const bottom = Math.max(...boxes.map((box) => box.y + box.height)) + 1;
    svg.setAttribute("viewBox", whole || !boxes.length ? svg.dataset.paper
      : [left, top, right - left, bottom - top].join(" "));
  }
  zoom(whole ? 0 : legible());
}

// How much larger than the window a drawing must be, so that its small words can be read
function legible() {
  const svg = part("drawing").querySelector("svg");
  if (!svg || !svg.viewBox.baseVal.width) return 1;
  const sizes = [...svg.querySelectorAll('g[id^="terminal-"] text')].map((text) => Number(text.getAttribute("font-size")));
  const pixels = Math.min(...sizes) * part("drawing").clientWidth / svg.viewBox.baseVal.width;
  return pixels < 8 ? 12 / pixels : 1;
}

function view(name) {
  part("sheet").dataset.view = name;
  part("view-step").setAttribute("aria-pressed", String(name === "step"));
  part("view-whole").setAttribute("aria-pressed", String(name === "whole"));
  frame();
}

function zoom(times) {
  enlarged = Math.min(5, Math.max(1, times));
  part("drawing").style.setProperty("--zoom", enlarged);
  const frame = part("drawing"), lead = frame.querySelector(".leads");
  if (lead) frame.scrollLeft += lead.getBoundingClientRect().left - frame.getBoundingClientRect().left - 60;
}

// ---- hands ----

part("view-step").addEventListener("click", () => view("step"));
part("view-whole").addEventListener("click", () => view("whole"));
part("smaller").addEventListener("click", () => zoom(enlarged / 1.3));
part("larger").addEventListener("click", () => zoom(enlarged * 1.3));
part("print").addEventListener("click", () => {
  const before = part("sheet").dataset.view;
  view("whole");
  window.print();
  view(before);
});
part("sign").addEventListener("click", () => {
  const field = part("value");
  field.value = /^[-−]/.test(field.value) ? field.value.slice(1) : `−${field.value.replace(/^\+/, "")}`;
  field.focus();
  hint();
});
for (const id of ["value", "red", "black", "state", "unit"]) part(id).addEventListener("input", hint);
part("reading").addEventListener("submit", (event) => {
  event.preventDefault();
  const of = (id) => part(id).value.trim(), command = of("command");
  write(`red on ${of("red")}, black on ${of("black")}: ${of("value")} ${of("unit")}, ${of("state")}`
    + (command ? ` at ${command} %` : ""), of("remark"));
});
part("other").addEventListener("submit", (event) => {
  event.preventDefault();
  const { before, after, failed } = told.action.asked, words = part("other-words").value.trim();
  write(failed ? [before, words].filter(Boolean).join(": ") : `${before}${words}${after}`);
});
part("later").addEventListener("submit", (event) => {
  event.preventDefault();
  write(`${told.action.asked.later}${part("later-why").value.trim()}`);
});
part("failed").addEventListener("click", () => {
  write([told.action.asked.failed, part("other-words").value.trim()].filter(Boolean).join(", "));
});
part("unknown").addEventListener("click", () => write(told.action.asked.unknown));
for (const tab of part("tabs").children) {
  tab.addEventListener("click", () => {
    document.body.dataset.tab = tab.dataset.to;
    for (const other of part("tabs").children) other.setAttribute("aria-pressed", String(other === tab));
    markAsked(told.action);
    frame();
  });
}
window.addEventListener("resize", frame);

const news = new EventSource("news");
news.addEventListener("message", (event) => {
  part("lost").hidden = true;
  show(JSON.parse(event.data));
});
news.addEventListener("error", () => { part("lost").hidden = false; });
