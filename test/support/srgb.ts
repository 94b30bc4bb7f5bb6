// sRGB after IEC 61966-2-1, written here apart from the product's own, so that the two can disagree.

/** Linear light, 0 to 1, from an encoded value, 0 to 1. */
export const decodeSrgb = (encoded: number): number =>
  encoded <= 0.04045 ? encoded / 12.92 : ((encoded + 0.055) / 1.055) ** 2.4;

/** Encoded value, 0 to 1, from linear light; what is outside 0 to 1 is clipped. */
export const encodeSrgb = (linear: number): number =>
  linear <= 0 ? 0 : linear >= 1 ? 1 : linear <= 0.0031308 ? linear * 12.92 : 1.055 * linear ** (1 / 2.4) - 0.055;

/** Change of the encoded value, 0 to 1, with linear light. */
export const slopeOfSrgb = (linear: number): number =>
  linear <= 0.0031308 ? 12.92 : (1.055 / 2.4) * linear ** (1 / 2.4 - 1);

/** Luma weights of ITU-R BT.709. */
export const LUMA = [0.2126, 0.7152, 0.0722] as const;

/** Mid grey: the linear reflectance, and light, at which noise is told. */
export const MID_GREY = 0.18;
