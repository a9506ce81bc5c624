// Runs before the page is drawn: the theme chosen on this device, or the one that its system has.
import { chosenTheme } from "./themes";

document.documentElement.dataset["theme"] = chosenTheme();
