// Move the focus to what is wrong, so that it is read out and in sight.

/** Focus the first marked message inside `place`, if there is one. */
export function takeFocus(place) {
  const message = place.querySelector?.("[data-take-focus]");
  if (message) {
    message.removeAttribute("data-take-focus");
    message.focus({ preventScroll: true });
    message.scrollIntoView({ block: "center" });
  }
}
