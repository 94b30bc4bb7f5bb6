import { type ReactNode, useEffect, useState } from "react";
import { folderOfDrop } from "../opening/picked.ts";
import { openDropped } from "../state/opening.ts";

/** The whole page takes a folder, frames, a sheet or a report that is dropped on it. */
export function DropPlace({ children }: { readonly children: ReactNode }) {
  const [over, setOver] = useState(false);
  useEffect(() => {
    let depth = 0;
    const isFiles = (event: DragEvent) => event.dataTransfer?.types.includes("Files") ?? false;
    const enter = (event: DragEvent) => {
      if (!isFiles(event)) return;
      depth += 1;
      setOver(true);
    };
    const leave = (event: DragEvent) => {
      if (!isFiles(event)) return;
      depth -= 1;
      if (depth <= 0) setOver(false);
    };
    const drag = (event: DragEvent) => {
      if (isFiles(event)) event.preventDefault();
    };
    const drop = (event: DragEvent) => {
      if (!event.dataTransfer || !isFiles(event)) return;
      event.preventDefault();
      depth = 0;
      setOver(false);
      void openDropped(folderOfDrop(event.dataTransfer));
    };
    window.addEventListener("dragenter", enter);
    window.addEventListener("dragleave", leave);
    window.addEventListener("dragover", drag);
    window.addEventListener("drop", drop);
    return () => {
      window.removeEventListener("dragenter", enter);
      window.removeEventListener("dragleave", leave);
      window.removeEventListener("dragover", drag);
      window.removeEventListener("drop", drop);
    };
  }, []);
  return (
    <div className="page">
      {children}
      {over && (
        <div className="drop-veil" aria-hidden="true">
          <p>Let go: a folder of frames, a sheet or a report</p>
        </div>
      )}
    </div>
  );
}
