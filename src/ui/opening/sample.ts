import type { FlagKind } from "../../model/index.ts";
import type { PickedFolder } from "./picked.ts";

/** A shot of the sample production, as the first visit offers it. */
export interface Sample {
  readonly folder: string;
  /** One sentence: what happens in it. */
  readonly about: string;
  /** What is to be found in it, in the order in which it is told; empty: it is clean. */
  readonly shows: readonly FlagKind[];
}

/** The first one is what "Check the sample shot" opens. */
export const samples: readonly Sample[] = [
  {
    folder: "hive_010",
    about: "Oda lifts the honey. Her other arm should hold.",
    shows: ["sag", "camera-shift"],
  },
  { folder: "hive_010_true", about: "The same shot in which everything held.", shows: [] },
  {
    folder: "hive_020",
    about: "Oda tells Quill about the bees. Her elbow gives way.",
    shows: ["sag", "knock", "crawl"],
  },
  {
    folder: "hive_030",
    about: "Quill looks round with a letter. Nearly everything on him gives a little.",
    shows: ["sag", "spring-back", "skin-shift", "boil", "pop", "seating", "set-shift"],
  },
  {
    folder: "hive_040",
    about: "The elbow is repaired and holds. Light and focus do not, and something got in.",
    shows: ["light", "stray", "repeat", "soft"],
  },
];

interface Manifest {
  readonly shots: readonly { readonly folder: string; readonly files: readonly string[] }[];
}

const base = new URL("./sample/", document.baseURI);

/** Address of a sample's first frame, for a small picture of it. */
export const samplePicture = (folder: string): string => new URL(`${folder}/${folder}_0001.jpg`, base).href;

/** Fetches a sample shot from beside the page, as if its folder had been opened. */
export async function fetchSample(folder: string): Promise<PickedFolder> {
  const answer = await fetch(new URL("manifest.json", base));
  if (!answer.ok) throw new Error("the sample shot is not beside this page");
  const manifest = (await answer.json()) as Manifest;
  const shot = manifest.shots.find((each) => each.folder === folder);
  if (!shot) throw new Error(`the sample ${folder} is not beside this page`);
  const files = await Promise.all(
    shot.files.map(async (name) => {
      const file = await fetch(new URL(`${folder}/${name}`, base));
      if (!file.ok) throw new Error(`${name} of the sample shot is missing`);
      // A file that was fetched just now has no time of its own.
      return { name, source: new File([await file.blob()], name), modified: null };
    }),
  );
  return { name: folder, files, sample: folder };
}
