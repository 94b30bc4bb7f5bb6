import { useState } from "react";
import { Button } from "react-aria-components";
import type { DriftDrawing } from "../../reports/dailies/drift-drawing.ts";
import type { FindingPictures, Picture } from "../../reports/dailies/html.ts";

const points = (ring: readonly (readonly [number, number])[]): string =>
  ring.map(([x, y]) => `${x.toFixed(1)},${y.toFixed(1)}`).join(" ");

function Arrow({ arrow, unit }: { readonly arrow: NonNullable<DriftDrawing["arrow"]>; readonly unit: number }) {
  const [[x0, y0], [x1, y1]] = arrow;
  const length = Math.hypot(x1 - x0, y1 - y0);
  const [ux, uy] = [(x1 - x0) / length, (y1 - y0) / length];
  const head = Math.min(length * 0.6, unit * 7);
  const at = (along: number, across: number): readonly [number, number] => [
    x1 - ux * along - uy * across,
    y1 - uy * along + ux * across,
  ];
  return (
    <>
      <line className="under" x1={x0} y1={y0} x2={x1} y2={y1} />
      <line className="after" x1={x0} y1={y0} x2={x1} y2={y1} />
      <polygon className="head" points={points([[x1, y1], at(head, head * 0.45), at(head, -head * 0.45)])} />
    </>
  );
}

function Outlines({ drawing }: { readonly drawing: DriftDrawing }) {
  const unit = drawing.box.width / 320;
  return (
    <>
      {drawing.before.map((ring) => (
        <g key={`b${points(ring)}`}>
          <polygon className="under" points={points(ring)} />
          <polygon className="before" points={points(ring)} />
        </g>
      ))}
      {drawing.after.map((ring) => (
        <g key={`a${points(ring)}`}>
          <polygon className="under" points={points(ring)} />
          <polygon className="after" points={points(ring)} />
        </g>
      ))}
      {drawing.arrow && <Arrow arrow={drawing.arrow} unit={unit} />}
      {drawing.pivot && <circle className="pivot" cx={drawing.pivot[0]} cy={drawing.pivot[1]} r={unit * 4} />}
    </>
  );
}

const scaleWords = ({ times }: DriftDrawing): string => (times === 1 ? "as large as it is" : `${times} times larger`);

const Shown = ({ picture }: { readonly picture: Picture | null }) =>
  picture && (
    <image
      href={picture.dataUrl}
      x={picture.box.x}
      y={picture.box.y}
      width={picture.box.width}
      height={picture.box.height}
      preserveAspectRatio="none"
    />
  );

/** A finding in the picture: where it was, where it went, and the two frames to flip between. */
export function DriftPicture({
  drawing,
  pictures,
  words,
}: {
  /** Null for what has no place in the frame. */
  readonly drawing: DriftDrawing | null;
  /** Null while they are asked for. */
  readonly pictures: FindingPictures | null;
  readonly words: string;
}) {
  const [flipped, setFlipped] = useState(false);
  const { anchor = null, last = null } = pictures ?? {};
  const box = drawing?.box ?? last?.box ?? anchor?.box;
  if (box === undefined)
    return (
      <p className="daily-bare">
        {pictures === null ? "Looking for a picture" : "It is the whole frame, and no picture of it is at hand."}
      </p>
    );
  const view = `${box.x} ${box.y} ${box.width} ${box.height}`;
  const canFlip = anchor !== null && last !== null;
  const shown = flipped && canFlip ? anchor : (last ?? anchor);
  const drawn = drawing !== null && !(flipped && canFlip);
  return (
    <figure className="daily-picture">
      <svg viewBox={view} role="img" aria-label={words}>
        <Shown picture={shown} />
        {drawn && <Outlines drawing={drawing} />}
      </svg>
      <figcaption>
        {shown === null
          ? pictures === null
            ? "Looking for a picture. "
            : "No picture of it is at hand. "
          : `Frame ${shown.frame}${shown === anchor ? ", the anchor" : ""}. `}
        {drawn && `Dashed: where it was. Coloured: where it went, ${scaleWords(drawing)}.`}
      </figcaption>
      {/* Nothing moves under the pointer when the pictures come. */}
      {pictures === null && (
        <Button className="button small daily-flip" isDisabled>
          Flip
        </Button>
      )}
      {canFlip && (
        <>
          <Button className="button small daily-flip" onPress={() => setFlipped(!flipped)}>
            {flipped ? `Frame ${last.frame}` : `Frame ${anchor.frame}, the anchor`}
          </Button>
          <div className="daily-pair" aria-hidden="true">
            {[anchor, last].map((each) => (
              <span key={each.frame}>
                <svg viewBox={view}>
                  <Shown picture={each} />
                </svg>
                Frame {each.frame}
              </span>
            ))}
          </div>
        </>
      )}
    </figure>
  );
}
