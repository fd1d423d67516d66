// One press, one sending. The server takes a double press without harm; this spares the wait.

const sending = new WeakSet();

function whenSubmitted(event) {
  const form = event.target;
  if (event.defaultPrevented || form.method !== "post" || form.hasAttribute("hx-post")) {
    return;
  }
  if (sending.has(form)) {
    event.preventDefault();
    return;
  }
  sending.add(form);
  event.submitter?.setAttribute("aria-disabled", "true");
}

function whenShownAgain() {
  for (const form of document.forms) {
    sending.delete(form);
    for (const button of form.querySelectorAll("[aria-disabled]")) {
      button.removeAttribute("aria-disabled");
    }
  }
}

export function watchPresses() {
  document.addEventListener("submit", whenSubmitted);
  window.addEventListener("pageshow", whenShownAgain);
}
