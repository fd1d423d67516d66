// What the server said to something from the store, in its place on the page that is open.

let refused;
let isOld = false;

function showCard(need, part) {
  const card = document.getElementById(`need-${need}`);
  if (card) {
    window.htmx.swap(card, part, { swapStyle: "outerHTML" });
  }
}

/** The reasons take the focus as soon as they are drawn. */
function takeFocus() {
  const reasons = refused && document.querySelector(`[data-entry="${refused}"] [data-reasons]:not([hidden])`);
  if (reasons) {
    refused = undefined;
    reasons.focus();
  }
}

function isKept() {
  return document.documentElement.hasAttribute("data-kept");
}

/** Whether something would be lost that was typed or chosen and not pressed yet. */
function isInUse() {
  const fields = Array.from(document.querySelectorAll("form[data-queue] :is(input:not([type=hidden]), textarea)"));
  return fields.some((field) => (field.files ? field.files.length : field.value !== field.defaultValue));
}

/** The sheet as the server has it now, once nothing more is on its way. */
function freshen() {
  if (isOld && !isInUse()) {
    isOld = false;
    location.reload();
  }
}

function answered({ detail: { entry, outcome } }) {
  if (outcome.part) {
    showCard(entry.requirement, outcome.part);
  }
  if (outcome.state === "stored" && document.querySelector(`[data-task="${entry.task}"]`)) {
    isOld ||= isKept() || entry.kind !== "evidence";
  }
  if (outcome.state === "refused") {
    refused = entry.key;
    takeFocus();
  }
}

export function watchAnswers() {
  document.addEventListener("outbox:answered", answered);
  document.addEventListener("outbox:drawn", takeFocus);
  document.addEventListener("outbox:through", freshen);
  window.addEventListener("online", () => {
    isOld ||= isKept();
  });
}
