// The closed lists of the two file formats, each with the plain words that stand for it on the screen.
// The key is what files hold and never changes; the words may.

/** What kind of thing a part is. These a person can choose. */
export const partKinds = [
  "limb",
  "head",
  "hand",
  "body",
  "costume",
  "skin",
  "hair",
  "face",
  "eye",
  "prop",
  "set",
  "support",
] as const;

/** "found" is a part that was found in the pictures and that nobody has told the kind of yet. */
export const everyPartKind = [...partKinds, "found"] as const;
export type PartKind = (typeof everyPartKind)[number];

export const intentNames = ["moves", "holds", "alive", "rides", "swapped", "hidden"] as const;
export type IntentName = (typeof intentNames)[number];

export const intentLabels: Readonly<Record<IntentName, string>> = {
  moves: "moves",
  holds: "holds",
  alive: "alive (a moving hold)",
  rides: "rides its carrier",
  swapped: "swapped",
  hidden: "hidden",
};

/** What the camera can be meant to do. */
export const cameraIntentNames = ["holds", "moves"] as const;
export type CameraIntentName = (typeof cameraIntentNames)[number];

export const flagKinds = [
  "sag",
  "spring-back",
  "crawl",
  "boil",
  "skin-shift",
  "knock",
  "pop",
  "camera-shift",
  "set-shift",
  "seating",
  "soft",
  "light",
  "stray",
  "repeat",
] as const;
export type FlagKind = (typeof flagKinds)[number];

export const flagKindLabels: Readonly<Record<FlagKind, string>> = {
  sag: "sag",
  "spring-back": "spring-back",
  crawl: "crawl",
  boil: "boil",
  "skin-shift": "skin shift",
  knock: "knock",
  pop: "pop",
  "camera-shift": "camera shift",
  "set-shift": "set shift",
  seating: "seating",
  soft: "soft focus",
  light: "light",
  stray: "stray object",
  repeat: "repeated exposure",
};

/** How an armature is built at a part. */
export const builds = ["ball", "wire", "other"] as const;
export type Build = (typeof builds)[number];

export const markKinds = ["reset", "correction", "break", "anchor"] as const;
export type MarkKind = (typeof markKinds)[number];

/** How well one part could be measured in one frame. */
export const trackStates = ["ok", "weak", "ambiguous", "hidden", "lost"] as const;
export type TrackState = (typeof trackStates)[number];
