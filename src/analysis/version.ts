/** Version of the tool that a report says it was made with; the same as in package.json. */
export const VERSION = "0.1.0";
