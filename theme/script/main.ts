// The page's script: a classic one, deferred, that adds to a page which is complete without it.
import { Explorer, followAddress, goToState } from "./explorer";
import { stageFromAddress } from "./stage";
import { units } from "./units";
import { possible } from "./module";

document.documentElement.classList.add("script");
document.documentElement.classList.toggle("still", !possible);
units();
customElements.define("gripleaf-explorer", Explorer);
followAddress();
goToState();
stageFromAddress();
