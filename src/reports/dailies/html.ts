import { type Flag, flagKindLabels } from "../../model/index.ts";
import { sizesBeside } from "../flag-size.ts";
import { together } from "../words.ts";
import type { Dailies, DailiesNote, DailiesShot, Finding } from "./dailies.ts";
import { departmentLabels } from "./department.ts";
import { type Box, type DriftDrawing, driftDrawing } from "./drift-drawing.ts";
import { htmlStyle } from "./html-style.ts";
import {
  dayWords,
  headline,
  leftOutWords,
  nothingWords,
  ownerOf,
  shotFacts,
  shotTitle,
  verdictWords,
} from "./sentences.ts";
import { stretch } from "./span.ts";

// The notes as one HTML file that needs nothing else: pictures are data URLs, there is no script, and its own policy
// keeps it from asking anyone for anything.

/** A picture of a piece of a frame. */
export interface Picture {
  /** "data:image/jpeg;base64,..." */
  readonly dataUrl: string;
  readonly frame: number;
  /** What of the frame it shows, px of the original frame. */
  readonly box: Box;
}

/** Pictures of a finding; null where there is none. */
export interface FindingPictures {
  readonly anchor: Picture | null;
  readonly last: Picture | null;
}

export type PicturesOf = (shot: DailiesShot, flag: Flag) => FindingPictures | null;

const entities: Readonly<Record<string, string>> = {
  "&": "&amp;",
  "<": "&lt;",
  ">": "&gt;",
  '"': "&quot;",
  "'": "&#39;",
};
const plain = (text: string | number): string => String(text).replace(/[&<>"']/gu, (mark) => entities[mark] ?? mark);

/** Keeps a number and its unit on one line; px and mm may stand on two. */
const sizeHtml = (size: string): string =>
  size
    .split(/ (?=\()/u)
    .map((part) => `<span class="size">${plain(part)}</span>`)
    .join(" ");

const figure = (value: number): string => String(Number(value.toFixed(1)));
const corners = (ring: readonly (readonly [number, number])[]): string =>
  ring.map(([x, y]) => `${figure(x)},${figure(y)}`).join(" ");

/** Only what is a picture is put into the page, whatever a caller hands over. */
const isPicture = ({ dataUrl }: Picture): boolean =>
  /^data:image\/(?:jpeg|png|webp);base64,[A-Za-z0-9+/=]+$/u.test(dataUrl);

const arrowSvg = ([[x0, y0], [x1, y1]]: NonNullable<DriftDrawing["arrow"]>, unit: number): string => {
  const length = Math.hypot(x1 - x0, y1 - y0);
  const [ux, uy] = [(x1 - x0) / length, (y1 - y0) / length];
  const head = Math.min(length * 0.6, unit * 7);
  const at = (along: number, across: number): readonly [number, number] => [
    x1 - ux * along - uy * across,
    y1 - uy * along + ux * across,
  ];
  const line = `x1="${figure(x0)}" y1="${figure(y0)}" x2="${figure(x1)}" y2="${figure(y1)}"`;
  const tip = corners([[x1, y1], at(head, head * 0.45), at(head, -head * 0.45)]);
  return `<line class="under" ${line}/><line class="after" ${line}/><polygon class="head" points="${tip}"/>`;
};

const drawingSvg = (drawing: DriftDrawing, picture: Picture | null, words: string): string => {
  const { box } = drawing;
  const unit = box.width / 320;
  const image =
    picture === null
      ? ""
      : `<image href="${picture.dataUrl}" x="${figure(picture.box.x)}" y="${figure(picture.box.y)}" width="${figure(picture.box.width)}" height="${figure(picture.box.height)}" preserveAspectRatio="none"/>`;
  const ring = (name: string) => (points: readonly (readonly [number, number])[]) =>
    `<polygon class="${name}" points="${corners(points)}"/>`;
  const pivot =
    drawing.pivot === null
      ? ""
      : `<circle class="pivot" cx="${figure(drawing.pivot[0])}" cy="${figure(drawing.pivot[1])}" r="${figure(unit * 4)}"/>`;
  return [
    `<svg role="img" aria-label="${plain(words)}" viewBox="${[box.x, box.y, box.width, box.height].map(figure).join(" ")}">`,
    image,
    ...drawing.before.map(ring("under")),
    ...drawing.before.map(ring("before")),
    ...drawing.after.map(ring("under")),
    ...drawing.after.map(ring("after")),
    drawing.arrow === null ? "" : arrowSvg(drawing.arrow, unit),
    pivot,
    "</svg>",
  ].join("");
};

const flipHtml = (anchor: Picture, last: Picture): string =>
  `<label class="flip"><input type="checkbox" aria-label="Show frame ${anchor.frame} in place of frame ${last.frame}">` +
  `<small class="tick">flip</small><span class="pair">` +
  `<span class="first"><img src="${anchor.dataUrl}" alt="Frame ${anchor.frame}"><small>Frame ${anchor.frame}, the anchor</small></span>` +
  `<span class="second"><img src="${last.dataUrl}" alt="Frame ${last.frame}"><small>Frame ${last.frame}</small></span>` +
  `</span></label>`;

const pictureCell = (shot: DailiesShot, { flag }: Finding, picturesOf: PicturesOf): string => {
  const found = picturesOf(shot, flag);
  const anchor = found?.anchor != null && isPicture(found.anchor) ? found.anchor : null;
  const last = found?.last != null && isPicture(found.last) ? found.last : null;
  const drawing = driftDrawing(shot.source.report, flag);
  const scale =
    drawing === null || drawing.times === 1 ? "as large as it is" : `${drawing.times} times as large as it is`;
  const words = `Dashed: where it was. Coloured: where it went, drawn ${scale}.`;
  const drawn =
    drawing === null
      ? ""
      : `<figure>${drawingSvg(drawing, last, `${flag.message} ${words}`)}<figcaption>${plain(words)}</figcaption></figure>`;
  if (anchor !== null && last !== null) return drawn + flipHtml(anchor, last);
  return drawn === "" ? "<p>No place to show: it is the whole frame.</p>" : drawn;
};

const countCell = ({ span }: Finding): string => {
  const time = span.timecode === null ? "no timecode at this rate" : stretch(span.timecode);
  return (
    `<div><small>frames</small><span>${plain(stretch([span.from, span.to]))}</span></div>` +
    `<div><small>timecode</small>${plain(time)}</div><div><small>feet</small><span>${plain(stretch(span.feet))}</span></div>`
  );
};

const decidedCell = ({ verdict, state, grown, department }: Finding): string => {
  const who = verdict === null || verdict.who === "" ? "" : ` ${plain(verdict.who)}`;
  const note = verdict === null || verdict.note === "" ? "" : `<p>${plain(verdict.note)}</p>`;
  const since = grown && verdict !== null ? `<p>It has grown since “${plain(verdictWords(verdict.choice))}”.</p>` : "";
  return (
    `<span class="state${state === "open" ? " open" : ""}">${plain(verdictWords(state))}</span>${who}${note}${since}` +
    `<p class="owner">${plain(departmentLabels[department])}</p>`
  );
};

const findingRow = (shot: DailiesShot, finding: Finding, picturesOf: PicturesOf): string => {
  const { flag } = finding;
  const owner = ownerOf(finding);
  const sizes = sizesBeside(flag).map(sizeHtml).join("<br>");
  return (
    `<tr><td>${pictureCell(shot, finding, picturesOf)}</td>` +
    `<td><strong class="kind">${plain(flagKindLabels[flag.kind])}</strong>${plain(together(flag.message))}` +
    `${sizes === "" ? "" : `<p>${sizes}</p>`}${owner === "" ? "" : `<p class="owner">${plain(owner)}</p>`}</td>` +
    `<td class="count">${countCell(finding)}</td><td>${decidedCell(finding)}</td></tr>`
  );
};

const noteItem = ({ note, part, span }: DailiesNote): string => {
  const frame = span === null ? [] : [`frame ${span.from}${span.timecode === null ? "" : ` (${span.timecode[0]})`}`];
  const where = [...frame, ...(part === null ? [] : [part.name])].join(", ");
  return `<li>${where === "" ? "" : `<span class="owner">${plain(where)}:</span> `}${plain(note.text)}${note.who === "" ? "" : ` <span class="owner">(${plain(note.who)})</span>`}</li>`;
};

const table = (shot: DailiesShot, picturesOf: PicturesOf): string =>
  `<table><thead><tr><th class="picture" scope="col">Picture</th><th scope="col">Finding</th>` +
  `<th class="count" scope="col">Where</th><th class="decided" scope="col">Verdict</th></tr></thead>` +
  `<tbody>${shot.findings.map((finding) => findingRow(shot, finding, picturesOf)).join("")}</tbody></table>`;

const shotHtml = (shot: DailiesShot, picturesOf: PicturesOf): string =>
  `<section><h3>${plain(shotTitle(shot))}</h3><p class="facts">${plain(shotFacts(shot))}</p>` +
  (shot.findings.length === 0 ? `<p>${plain(nothingWords(shot))}</p>` : table(shot, picturesOf)) +
  (shot.notes.length === 0 ? "" : `<ul aria-label="Notes">${shot.notes.map(noteItem).join("")}</ul>`) +
  leftOutWords(shot)
    .map((line) => `<p class="left">${plain(line)}</p>`)
    .join("") +
  `</section>`;

const noPictures: PicturesOf = () => null;

/** The notes as one page. Without pictures the outlines alone are drawn. */
export const dailiesHtml = (dailies: Dailies, picturesOf: PicturesOf = noPictures): string => {
  const days = dailies.days.map(
    ({ day, shots }) => `<h2>${plain(dayWords(day))}</h2>${shots.map((shot) => shotHtml(shot, picturesOf)).join("")}`,
  );
  return [
    `<!doctype html>`,
    `<html lang="en"><head><meta charset="utf-8"><title>Dailies</title>`,
    `<meta name="viewport" content="width=device-width, initial-scale=1">`,
    `<meta http-equiv="Content-Security-Policy" content="default-src 'none'; img-src data:; style-src 'unsafe-inline'">`,
    `<style>${htmlStyle}</style></head>`,
    `<body><h1>Dailies</h1><p>${plain(headline(dailies))}</p>${days.join("")}</body></html>`,
    "",
  ].join("\n");
};
