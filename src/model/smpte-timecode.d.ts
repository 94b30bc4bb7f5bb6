// The library brings no types. Only what is used here.
declare module "smpte-timecode" {
  export default class Timecode {
    /** Throws on a malformed timecode, a rate it doesn't know, and numbers that drop-frame leaves out. */
    constructor(timecode: number | string, frameRate: number | readonly [number, number], dropFrame: boolean);
    readonly hours: number;
    readonly minutes: number;
    readonly seconds: number;
    readonly frames: number;
    readonly frameCount: number;
  }
}
