import { createPictures } from "../../client/pictures.ts";

/** The page's one store of decoded pictures, outside React. */
export const pictures = createPictures();
