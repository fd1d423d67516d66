// What the server said to something from the store, in its place on the page that is open.

function showCard(need, part) {
  const card = document.getElementById(`need-${need}`);
  if (card) {
    window.htmx.swap(card, part, { swapStyle: "outerHTML" });
  }
}

let refused;

/** The reasons take the focus as soon as they are drawn. */
function takeFocus() {
  const reasons = refused && document.querySelector(`[data-entry="${refused}"] [data-reasons]:not([hidden])`);
  if (reasons) {
    refused = undefined;
    reasons.focus();
  }
}

function answered({ detail: { entry, outcome } }) {
  if (outcome.part) {
    showCard(entry.requirement, outcome.part);
  } else if (outcome.state === "stored" && document.querySelector(`[data-task="${entry.task}"]`)) {
    location.reload();
  }
  if (outcome.state === "refused") {
    refused = entry.key;
    takeFocus();
  }
}

export function watchAnswers() {
  document.addEventListener("outbox:answered", answered);
  document.addEventListener("outbox:drawn", takeFocus);
}
