// Pass a link on with the phone's own means, or copy the message. Each button stays hidden where it could do nothing.

async function share({ shareTitle, shareText, shareLink }) {
  await navigator.share({ title: shareTitle, text: shareText, url: shareLink });
}

async function copy(button) {
  await navigator.clipboard.writeText(button.dataset.copy);
  button.textContent = button.dataset.copyDone;
}

function show(selector) {
  for (const button of document.querySelectorAll(selector)) {
    button.hidden = false;
  }
}

function watch(selector, act) {
  show(selector);
  document.addEventListener("click", (event) => {
    const button = event.target.closest?.(selector);
    if (button) {
      act(button).catch((reason) => {
        if (reason.name !== "AbortError") {
          throw reason;
        }
      });
    }
  });
}

export function watchSharing() {
  if (navigator.share) {
    watch("button[data-share-link]", (button) => share(button.dataset));
  }
  if (navigator.clipboard) {
    watch("button[data-copy]", copy);
  }
}
