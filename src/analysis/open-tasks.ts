import type { FrameFile, FrameOutcome, Injection, Task } from "./contract.ts";
import type { FrameNumber } from "../units/index.ts";

/** Frames a task. Short, so that results appear soon; each task but the first decodes one frame twice. */
const CHUNK = 4;
/** Headers a task: reading one takes no time. */
const HEADERS = 16;

/** What a measuring task asks for in its frames. */
type Asked = Omit<Task & { readonly kind: "measure" }, "id" | "kind" | "revision" | "frames">;

function chunks<T>(items: readonly T[], size: number): T[][] {
  const out: T[][] = [];
  for (let i = 0; i < items.length; i += size) out.push(items.slice(i, i + size));
  return out;
}

/** The tasks that were given out in a check: which of them are still open, and how far the check is through its frames. */
export class OpenTasks {
  private readonly open = new Set<string>();
  private made = 0;
  private through = 0;
  private inAll: number;

  /** @param frames frames that are expected before more is known, each counted once for every task it is in */
  constructor(frames: number) {
    this.inAll = frames;
  }

  get done(): number {
    return this.through;
  }

  get total(): number {
    return Math.max(this.inAll, this.through);
  }

  get areAllClosed(): boolean {
    return this.open.size === 0;
  }

  /** From here on so many frames are still to come. */
  expect(frames: number): void {
    this.inAll = this.through + frames;
  }

  give(tasks: readonly Task[]): void {
    for (const task of tasks) this.open.add(task.id);
  }

  /** False where no such task is open. */
  close(id: string): boolean {
    return this.open.delete(id);
  }

  count(outcomes: readonly FrameOutcome[]): void {
    this.through += outcomes.length;
  }

  inspect(files: readonly FrameFile[]): Task[] {
    return chunks(files, HEADERS).map((frames) => ({ id: this.nextId("inspect"), kind: "inspect" as const, frames }));
  }

  /** @param name what the pass is for: the ids of its tasks begin with it */
  measure(name: string, revision: number, frames: readonly FrameNumber[], asked: Asked): Task[] {
    return chunks(frames, CHUNK).map((part) => ({
      id: this.nextId(name),
      kind: "measure" as const,
      revision,
      frames: part,
      ...asked,
    }));
  }

  prove(revision: number, frames: readonly FrameNumber[], injections: readonly Injection[]): Task[] {
    return chunks(frames, CHUNK).map((part) => ({
      id: this.nextId("prove"),
      kind: "prove" as const,
      revision,
      frames: part,
      injections,
    }));
  }

  private nextId(name: string): string {
    this.made++;
    return `${name}-${this.made}`;
  }
}
