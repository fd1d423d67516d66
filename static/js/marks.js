// A mark is placed on the photo with finger, mouse or arrow keys. Without script the lettered squares say where.
// Points are ten-thousandths of the photo, as the form and the store have them.
import { shapeOf } from "./mark_shapes.js";

const FULL = 10000;
const [STEP, FINE] = [200, 20];
const TAP = 150;

const marking = document.querySelector("[data-marking]");
const stage = marking?.querySelector("[data-stage]");
const form = marking?.querySelector(".marking-form");

if (stage && form) {
  begin(JSON.parse(marking.dataset.marking));
}

function begin(words) {
  const draft = stage.querySelector(".photo-draft");
  const place = stage.querySelector("[data-handles]");
  const handles = [...place.querySelectorAll("[data-handle]")];
  const where = marking.querySelector("[data-where]");
  const exact = ["x1", "y1", "x2", "y2"].map((name) => form.elements[name]);
  const squares = [form.elements.first, form.elements.second];
  const heads = draft.querySelector("defs");
  let points = null;

  const kind = () => form.elements.kind.value;
  const kept = (part) => Math.max(0, Math.min(FULL, Math.round(part)));
  const band = (part) => words.bands.filter((limit) => part >= limit).length;

  function squareOf([x, y]) {
    const across = Math.min(Math.floor((x * words.columns.length) / FULL), words.columns.length - 1);
    return `${words.columns[across]}${Math.min(Math.floor((y * words.rows) / FULL), words.rows - 1) + 1}`;
  }

  function told(which) {
    const [x, y] = points[which];
    return words.at
      .replace("%(point)s", words.points[kind()][which])
      .replace("%(place)s", `${words.across[band(x)]}, ${words.down[band(y)]}`)
      .replace("%(square)s", squareOf(points[which]));
  }

  /** Draw what is placed, and write it into the form. */
  function show() {
    place.hidden = !points;
    draft.replaceChildren(heads, ...(points ? shapeOf(kind(), points) : []));
    exact.forEach((input, n) => (input.value = points ? points[n >> 1][n & 1] : ""));
    points?.forEach(([x, y], which) => {
      handles[which].style.left = `${x / 100}%`;
      handles[which].style.top = `${y / 100}%`;
      handles[which].setAttribute("aria-label", told(which));
      squares[which].value = squareOf(points[which]);
    });
  }

  function put(which, [x, y]) {
    points[which] = [kept(x), kept(y)];
    show();
  }

  /** Where nothing is placed yet, or a photo was only tapped: a mark of a handy size. */
  function around([x, y]) {
    const away = (part, far) => (part + far > FULL ? part - far : part + far);
    if (kind() === "arrow") {
      return [[away(x, -1600 * (x < 1600 ? -1 : 1)), away(y, 1600)], [x, y]];
    }
    return kind() === "ring"
      ? [[kept(x - 900), kept(y - 900)], [kept(x + 900), kept(y + 900)]]
      : [[kept(x - 1200), y], [kept(x + 1200), y]];
  }

  function drawing(on) {
    stage.toggleAttribute("data-drawing", on);
  }

  function leave() {
    points = null;
    drawing(false);
    squares.forEach((input) => (input.value = ""));
    show();
    where.textContent = words.left;
    form.querySelector("[data-place]").focus();
  }

  function done() {
    drawing(false);
    where.textContent = words.placed;
    const next = kind() === "dimension" && !form.elements.typed.value ? form.elements.typed : form.elements.words;
    next.focus();
  }

  // ---- the button, the kinds, the squares
  form.querySelector("[data-scripted]").hidden = false;
  form.querySelector("[data-place]").addEventListener("click", (event) => {
    points ??= around([FULL / 2, FULL / 2]);
    show();
    drawing(true);
    stage.scrollIntoView({ block: "nearest" });
    if (event.pointerType === "touch") {
      where.textContent = words.drag;
    } else {
      handles[0].focus({ preventScroll: true });
    }
  });
  form.querySelector("[data-show-squares]").addEventListener("click", ({ currentTarget: button }) => {
    button.setAttribute("aria-pressed", String(marking.classList.toggle("with-squares")));
  });
  form.addEventListener("change", ({ target }) => {
    if (target.name === "kind" && points) {
      show();
    }
  });
  form.addEventListener("input", ({ target }) => {
    if (squares.includes(target)) {
      points = null;
      const typed = squares.map((input) => input.value);
      show();
      squares.forEach((input, n) => (input.value = typed[n]));
    }
  });

  // ---- the arrow keys
  const WAYS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
  place.addEventListener("focusin", ({ target }) => {
    where.textContent = `${told(Number(target.dataset.handle))}. ${words.keys}`;
  });
  place.addEventListener("keydown", (event) => {
    const which = Number(event.target.dataset.handle);
    const way = WAYS[event.key];
    if (way) {
      const far = event.shiftKey ? FINE : STEP;
      put(which, [points[which][0] + way[0] * far, points[which][1] + way[1] * far]);
      where.textContent = told(which);
    } else if (event.key === "Enter" || event.key === " ") {
      which === 0 ? handles[1].focus() : done();
    } else if (event.key === "Escape") {
      leave();
    } else {
      return;
    }
    event.preventDefault();
  });

  // ---- finger and mouse
  const at = (event) => {
    const box = draft.getBoundingClientRect();
    return [((event.clientX - box.left) / box.width) * FULL, ((event.clientY - box.top) / box.height) * FULL];
  };
  let hold = null;

  stage.addEventListener("pointerdown", (event) => {
    const which = event.target.dataset?.handle;
    const may = which || event.pointerType !== "touch" || stage.hasAttribute("data-drawing");
    if (!event.isPrimary || event.button !== 0 || !may) {
      return;
    }
    const [x, y] = at(event).map(kept);
    hold = which
      ? { which: Number(which), from: [x, y], began: [...points[Number(which)]] }
      : { which: 1, from: [x, y], began: [x, y], fresh: true };
    stage.setPointerCapture(event.pointerId);
    if (!which) {
      event.preventDefault();
    }
  });
  stage.addEventListener("pointermove", (event) => {
    if (!hold) {
      return;
    }
    const [x, y] = at(event);
    const moved = [x - hold.from[0], y - hold.from[1]];
    if (hold.fresh && Math.hypot(...moved) > TAP) {
      points = [hold.from, hold.from];
      hold.fresh = false;
    }
    if (!hold.fresh) {
      put(hold.which, [hold.began[0] + moved[0], hold.began[1] + moved[1]]);
    }
  });
  stage.addEventListener("pointerup", () => {
    if (hold?.fresh) {
      points = around(hold.from);
      show();
    }
    if (hold) {
      drawing(false);
      where.textContent = `${told(hold.which)}. ${words.placed}`;
    }
    hold = null;
  });
  stage.addEventListener("pointercancel", () => (hold = null));

  if (exact.every((input) => input.value !== "")) {
    const [x1, y1, x2, y2] = exact.map((input) => Number(input.value));
    points = [[x1, y1], [x2, y2]];
    show();
  }
}
