// Pass a link on with the phone's own means, or copy it. The buttons stay hidden where neither is possible.

async function share(button) {
  const { shareTitle, shareText, shareLink, shareDone } = button.dataset;
  if (navigator.share) {
    await navigator.share({ title: shareTitle, text: shareText, url: shareLink });
  } else {
    await navigator.clipboard.writeText(shareLink);
    button.textContent = shareDone;
  }
}

export function watchSharing() {
  if (!navigator.share && !navigator.clipboard) {
    return;
  }
  for (const button of document.querySelectorAll("button[data-share-link]")) {
    button.hidden = false;
  }
  document.addEventListener("click", (event) => {
    const button = event.target.closest?.("button[data-share-link]");
    if (button) {
      share(button).catch((reason) => {
        if (reason.name !== "AbortError") {
          throw reason;
        }
      });
    }
  });
}
