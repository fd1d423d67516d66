// The app on a phone: sheets without signal, and a store from which everything is sent when there is signal again.
// Where the browser lacks one of the means, the pages work as plain forms, while there is signal.
import { watchAnswers } from "./answers.js";
import { listSheets, watchWorker } from "./kept.js";
import { finishLeaving, watchLeaving } from "./leaving.js";
import { watchLines } from "./queue_lines.js";
import { meet } from "./senders.js";
import { watchSending } from "./sending.js";
import { watchForms } from "./taking.js";

const HAS_THE_MEANS =
  "indexedDB" in window && "locks" in navigator && "caches" in window && crypto.subtle !== undefined;

if (HAS_THE_MEANS && !finishLeaving()) {
  meet(document.body.dataset);
  watchForms();
  watchAnswers();
  watchLines();
  watchLeaving();
  watchSending();
  const { worker } = document.querySelector("[data-queue-bar]").dataset;
  if (worker) {
    watchWorker(worker);
  }
  const list = document.querySelector("[data-sheets]");
  if (list) {
    listSheets(list);
  }
  for (const part of document.querySelectorAll("[data-elsewhere]")) {
    const isHere = part.dataset.elsewhere.split(" ").includes(location.pathname);
    part.hidden = part.hasAttribute("data-only") ? !isHere : isHere;
  }
}
