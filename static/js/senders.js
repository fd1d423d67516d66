// Who uses this phone now. What another has left in the store is counted, never shown and never sent under this name.

const HOLDER = "holder";
const SENDERS = "senders";

function known() {
  return JSON.parse(localStorage.getItem(SENDERS) ?? "[]");
}

/** Learn from the page whose it is. A page without a holder says nothing of that. */
export function meet({ holder, sender }) {
  if (holder === undefined) {
    return;
  }
  const before = holder === localStorage.getItem(HOLDER) ? known() : [];
  localStorage.setItem(HOLDER, holder);
  localStorage.setItem(SENDERS, JSON.stringify([...new Set(sender ? [...before, sender] : before)]));
}

/** Nobody uses this phone from now on. */
export function leave() {
  localStorage.removeItem(HOLDER);
  localStorage.removeItem(SENDERS);
}

export function isMine(entry) {
  return known().includes(entry.sender);
}
