import { useEffect, useState } from "react";
import type { ShotRecord } from "../../model/index.ts";
import { thumbnailOf } from "../state/thumbnails.ts";

/** The small picture of a shot; an empty frame of its own shape where there is none. */
export function ShotPicture({ shot }: { readonly shot: ShotRecord }) {
  const [address, setAddress] = useState<string | null>(null);
  const { id, firstFrame, width, height, changed } = shot;
  useEffect(() => {
    let own: string | null = null;
    let isGone = false;
    void thumbnailOf(id, firstFrame).then((blob) => {
      if (isGone || blob === null) return;
      own = URL.createObjectURL(blob);
      setAddress(own);
    });
    return () => {
      isGone = true;
      if (own !== null) URL.revokeObjectURL(own);
      setAddress(null);
    };
    // A picture that was made since comes with a change of the shot.
  }, [id, firstFrame, changed]);
  return (
    <span className="shot-picture" style={{ aspectRatio: `${width} / ${height}` }}>
      {address !== null && <img src={address} alt="" decoding="async" />}
    </span>
  );
}
