// What every sheet does beyond plain forms and links. Each part works on marked elements and is safe to run again.
import { takeFocus } from "./focus.js";
import { watchGrids } from "./grid.js";
import { watchPresses } from "./presses.js";
import { watchUploads } from "./uploads.js";
import { watchSharing } from "./sharing.js";

watchPresses();
watchUploads();
watchSharing();
watchGrids();
takeFocus(document);

document.addEventListener("htmx:afterSettle", (event) => takeFocus(event.target));
