// Places that are gone to less often than the cell and the floor: one script, fetched once the first page stands.
export { createRunDialog } from "../pages/runDialog";
export { createAlarmsPlace } from "./alarmsPlace";
export { createCodesPlace } from "./codesPlace";
export { createFeedsPlace } from "./feedsPlace";
export { createOverlayPlace } from "./overlayPlace";
export { createRunPlace } from "./runPlace";
export { createRunsPlace } from "./runsPlace";
