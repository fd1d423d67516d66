// Single keys for the reviewer's queue (WCAG 2.1.4): only where their legend is in sight, and only while they are
// switched on. A key moves the focus or ticks a reason; none decides.

const SWITCH = "sill.review-keys";

function stored() {
  try {
    return localStorage.getItem(SWITCH) !== "off";
  } catch {
    return true;
  }
}

function store(on) {
  try {
    localStorage.setItem(SWITCH, on ? "on" : "off");
  } catch {
    // Without a store the switch holds until the next page.
  }
}

function legend() {
  const found = document.querySelector("[data-review-keys]");
  return found?.checkVisibility() ? found : null;
}

function isOn() {
  return legend()?.querySelector("[data-keys-on]").checked ?? false;
}

function writes(element) {
  const types = ["checkbox", "radio", "submit", "button"];
  const field = element.closest("input, textarea, select, [contenteditable]");
  return field !== null && !types.includes(field.type);
}

function reasons() {
  return [...document.querySelectorAll("[data-refusing] input[name=reasons]")];
}

/** Open the reasons and put the focus on one of them. */
function openReasons(number = 0) {
  const refusing = document.querySelector("[data-refusing]");
  if (!refusing) {
    return;
  }
  refusing.open = true;
  (reasons()[number] ?? refusing.querySelector("textarea")).focus();
}

const DOES = {
  a: () => document.querySelector("[data-key-to=accept]")?.focus(),
  r: () => openReasons(),
  n: () => document.querySelector("[data-key-to=next]")?.click(),
};

function whenPressed(event) {
  const other = event.ctrlKey || event.altKey || event.metaKey || event.repeat || event.isComposing;
  if (other || event.defaultPrevented || writes(event.target) || !isOn()) {
    return;
  }
  const key = event.key.toLowerCase();
  if (key in DOES) {
    event.preventDefault();
    DOES[key]();
  } else if (/^[1-9]$/.test(key) && reasons()[key - 1]) {
    event.preventDefault();
    openReasons(key - 1);
    reasons()[key - 1].click();
  }
}

/** Without a reason, Refuse leads to the reasons first; without script the server asks for them. */
function whenRefused(event) {
  const refusing = document.querySelector("[data-refusing]");
  if (event.target.closest?.("[data-refuse]") && refusing && !refusing.open) {
    event.preventDefault();
    event.stopPropagation();
    openReasons();
    refusing.scrollIntoView({ block: "nearest" });
  }
}

/** Show the legend with its switch as it was left. */
export function showLegend() {
  const found = document.querySelector("[data-review-keys]");
  if (found) {
    found.hidden = false;
    found.querySelector("[data-keys-on]").checked = stored();
    document.documentElement.toggleAttribute("data-single-keys", stored());
  }
}

export function watchReviewKeys() {
  document.addEventListener("keydown", whenPressed);
  document.addEventListener("click", whenRefused, { capture: true });
  document.addEventListener("change", (event) => {
    if (event.target.matches?.("[data-keys-on]")) {
      store(event.target.checked);
      document.documentElement.toggleAttribute("data-single-keys", event.target.checked);
    }
  });
  showLegend();
}
