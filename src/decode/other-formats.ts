const text = (bytes: Uint8Array, from: number, to: number): string => String.fromCharCode(...bytes.subarray(from, to));

const BRANDS: Readonly<Record<string, string>> = {
  avif: "an AVIF picture",
  avis: "an AVIF picture",
  heic: "a HEIC picture",
  heix: "a HEIC picture",
  mif1: "a HEIC picture",
  "crx ": "a camera raw file",
  "qt  ": "a film",
};

/** What a file is that is neither JPEG nor PNG, by its first bytes, with its article ("a TIFF picture"); null where that can't be told. */
export const otherFormat = (bytes: Uint8Array): string | null => {
  const start = text(bytes, 0, 12);
  if (start.startsWith("GIF8")) return "a GIF picture";
  if (start.startsWith("BM")) return "a BMP picture";
  if (start.startsWith("II*\0") || start.startsWith("MM\0*")) return "a TIFF picture or a camera raw file";
  if (start.startsWith("FUJIFILMCCD") || start.startsWith("IIRO") || start.startsWith("IIU\0"))
    return "a camera raw file";
  if (start.startsWith("RIFF") && start.endsWith("WEBP")) return "a WebP picture";
  if (start.startsWith("RIFF") && start.endsWith("AVI ")) return "a film";
  if (start.startsWith("v/1\x01")) return "an OpenEXR picture";
  if (start.startsWith("SDPX") || start.startsWith("XPDS")) return "a DPX picture";
  if (start.startsWith("8BPS")) return "a layered picture";
  if (start.startsWith("\xff\x0a") || start.startsWith("\0\0\0\x0cJXL ")) return "a JPEG XL picture";
  if (start.startsWith("\0\0\0\x0cjP  ")) return "a JPEG 2000 picture";
  if (start.slice(4, 8) === "ftyp") return BRANDS[start.slice(8)] ?? "a film";
  if (start.startsWith("%PDF")) return "a PDF";
  return null;
};
