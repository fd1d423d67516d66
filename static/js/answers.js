// What the server said to something from the store, in its place on the page that is open.

function showCard(need, part) {
  const card = document.getElementById(`need-${need}`);
  if (card) {
    window.htmx.swap(card, part, { swapStyle: "outerHTML" });
  }
}

function focusOn(key) {
  const line = document.querySelector(`[data-entry="${key}"] [data-reasons]`);
  line?.focus();
}

function answered({ detail: { entry, outcome } }) {
  if (outcome.part) {
    showCard(entry.requirement, outcome.part);
  } else if (outcome.state === "stored" && document.querySelector(`[data-task="${entry.task}"]`)) {
    location.reload();
  }
  if (outcome.state === "refused") {
    requestAnimationFrame(() => focusOn(entry.key));
  }
}

export function watchAnswers() {
  document.addEventListener("outbox:answered", answered);
}
