// What every sheet does beyond plain forms and links. Each part works on marked elements and is safe to run again.
import { watchChecks } from "./checking.js";
import { takeFocus } from "./focus.js";
import { watchGrids } from "./grid.js";
import { watchPresses } from "./presses.js";
import { showLegend, watchReviewKeys } from "./review_keys.js";
import { fillTaken, watchTaken } from "./taken.js";
import { watchUploads } from "./uploads.js";
import { watchSharing } from "./sharing.js";

watchPresses();
watchUploads();
watchSharing();
watchGrids();
watchTaken();
watchChecks();
watchReviewKeys();
takeFocus(document);

document.addEventListener("htmx:afterSettle", (event) => {
  showLegend();
  takeFocus(event.target);
  fillTaken(document);
});
