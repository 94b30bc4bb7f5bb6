import { Button } from "react-aria-components";
import { type FlagKind, flagKindLabels } from "../../model/index.ts";
import { actions } from "../actions.ts";
import { Key } from "./ActionButton.tsx";
import { Mark } from "../marks/Mark.tsx";
import { type Sample, samplePicture, samples } from "../opening/sample.ts";
import { RecentShots } from "../store/RecentShots.tsx";
import { openSample } from "../state/opening.ts";

/** What a shot without a sheet, or with one, is watched for. */
const watched: readonly { readonly kind: FlagKind; readonly name: string; readonly words: string }[] = [
  { kind: "sag", name: "Sag", words: "a held limb that droops" },
  { kind: "spring-back", name: "Spring-back", words: "one that creeps back" },
  { kind: "knock", name: "Knock", words: "a jump that stays" },
  { kind: "pop", name: "Pop", words: "one frame out, then back" },
  { kind: "crawl", name: "Crawl", words: "cloth that creeps" },
  { kind: "boil", name: "Boil", words: "cloth that jitters" },
  { kind: "skin-shift", name: "Skin shift", words: "a skin off its core" },
  { kind: "seating", name: "Seating", words: "a face that sits askew" },
  { kind: "set-shift", name: "Set shift", words: "a prop or board that moved" },
  { kind: "camera-shift", name: "Camera", words: "a tripod that gave" },
  { kind: "light", name: "Light", words: "a lamp that dropped" },
  { kind: "soft", name: "Soft", words: "focus that crept" },
  { kind: "stray", name: "Stray", words: "what was not there" },
  { kind: "repeat", name: "Repeat", words: "one exposure twice" },
];

/** Before anything is open: what to do, in two lines, and the sample production. */
export function Welcome({ isReading }: { readonly isReading: boolean }) {
  return (
    <div className="welcome">
      <Trace />
      <div className="welcome-middle">
        <div className="welcome-words">
          <h1>What moved that nobody meant to move?</h1>
          <p>
            Open the folder of a shot, or drop it here. Holdfast compares its frames and shows what drifted, by how much
            and since when.
          </p>
          <p>Everything happens on this computer: no picture leaves it, and no file is written to.</p>
          <div className="button-row">
            <Button className="button strong large" onPress={actions.openFolder.perform}>
              Open a folder <Key action={actions.openFolder} />
            </Button>
            <Button className="button large" isDisabled={isReading} onPress={() => void openSample(samples[0].folder)}>
              {isReading ? "Fetching the sample…" : "Check the sample shot"}
            </Button>
          </div>
        </div>
        <RecentShots />
        <section className="samples" aria-labelledby="samples-title">
          <h2 id="samples-title">A production to try it on</h2>
          <ul>
            {samples.map((sample) => (
              <li key={sample.folder}>
                <Button className="sample" isDisabled={isReading} onPress={() => void openSample(sample.folder)}>
                  <img src={samplePicture(sample.folder)} alt="" width={144} height={81} decoding="async" />
                  <span className="sample-words">
                    <strong>{sample.folder}</strong>
                    <span>{sample.about}</span>
                    <span className="sample-marks">
                      {sample.shows.map((kind) => (
                        <Mark key={kind} kind={kind} />
                      ))}
                      {sample.shows.length === 0 ? "clean" : <span className="unseen">{shownIn(sample)}</span>}
                    </span>
                  </span>
                </Button>
              </li>
            ))}
          </ul>
        </section>
      </div>
      <ul className="watched" aria-label="What is watched for">
        {watched.map(({ kind, name, words }) => (
          <li key={kind}>
            <Mark kind={kind} />
            <strong>{name}</strong>
            <span>{words}</span>
          </li>
        ))}
      </ul>
    </div>
  );
}

const shownIn = ({ shows }: Sample): string => `In it: ${shows.map((kind) => flagKindLabels[kind]).join(", ")}.`;

/** A hold, its band, and a drift that leaves it: the whole idea, drawn once. */
function Trace() {
  return (
    <svg className="welcome-trace" viewBox="0 0 1440 240" preserveAspectRatio="xMidYMid slice" aria-hidden="true">
      <rect className="welcome-band" x="0" y="58" width="1440" height="40" />
      <path
        className="welcome-line"
        d="M0 78 L28 77 56 79 84 78 112 76.5 140 78 168 79 196 77.5 224 78.5 252 77 280 78 308 79 336 77.8 364 78.4 392 77.6 420 78 448 79 476 77.5 504 78 532 78.6 560 78"
      />
      <path
        className="welcome-drift"
        d="M560 78 L588 78.4 616 79.6 644 80.4 672 82.6 700 84.8 728 86.6 756 89.8 784 93 812 95.6 840 99.6 868 103.6 896 107.2 924 112 952 116.4 980 120.8 1008 126 1036 130.6 1064 135.6 1092 141 1120 146 1148 151.6 1176 156.6 1204 161.6 1232 167.6 1260 172.4 1288 178 1316 183 1344 188.6 1372 193.6 1400 199 1440 206"
      />
    </svg>
  );
}
