/** Name of a sheet that lies beside the frames and is found there. */
export const SHEET_FILE = "holdfast-sheet.json";

/** Widest that frames are analysed, px, unless told otherwise. */
export const ANALYSIS_WIDTH = 1920;
