// The page's script: a classic one, deferred, that adds to a page which is complete without it.
import { Explorer, followAddress, goToState } from "./explorer";
import { LoneFigure } from "./figure";
import { possible } from "./module";
import { offline } from "./offline";
import { questions } from "./question";
import { reading } from "./reading";
import { searching } from "./search";
import { stageFromAddress } from "./stage";
import { terms } from "./terms";
import { units } from "./units";

document.documentElement.classList.add("script");
document.documentElement.classList.toggle("still", !possible);
units();
customElements.define("gripleaf-explorer", Explorer);
customElements.define("gripleaf-figure", LoneFigure);
followAddress();
goToState();
stageFromAddress();
terms();
questions();
searching();
reading();
offline();
