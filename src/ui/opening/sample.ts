import type { PickedFolder } from "./picked.ts";

interface Manifest {
  readonly shots: readonly { readonly folder: string; readonly files: readonly string[] }[];
}

const base = new URL("./sample/", document.baseURI);

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
  return { name: folder, files };
}
