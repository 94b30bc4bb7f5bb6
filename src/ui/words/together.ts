export { together } from "../../reports/words.ts";
