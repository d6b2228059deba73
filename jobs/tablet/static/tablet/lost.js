// Browsers that do not know Clear-Site-Data wipe by this.
import { wipe } from "./store.js";

await wipe();
document.documentElement.dataset.wiped = "yes";
