/** A canvas that is as large as its place on the screen, sharp at any pixel ratio, drawn at most once a screen frame. */
export interface Surface {
  /** Asks for a drawing. */
  draw(): void;
  /** Draws at once: what else changed at this moment is never seen without it. */
  now(): void;
  end(): void;
}

export function surfaceOn(
  canvas: HTMLCanvasElement,
  paint: (context: CanvasRenderingContext2D, width: number, height: number) => void,
): Surface {
  // Opaque canvases would draw text sharper, but the grounds show through here.
  const context = canvas.getContext("2d");
  let width = 0;
  let height = 0;
  let asked = 0;
  const now = () => {
    asked = 0;
    if (!context || width === 0 || height === 0) return;
    const ratio = devicePixelRatio;
    context.setTransform(ratio, 0, 0, ratio, 0, 0);
    context.clearRect(0, 0, width, height);
    paint(context, width, height);
  };
  const draw = () => {
    if (asked === 0) asked = requestAnimationFrame(now);
  };
  const fit = () => {
    width = canvas.clientWidth;
    height = canvas.clientHeight;
    const w = Math.round(width * devicePixelRatio);
    const h = Math.round(height * devicePixelRatio);
    if (canvas.width !== w || canvas.height !== h) {
      canvas.width = w;
      canvas.height = h;
      // In the same breath, or the emptied canvas would flash.
      cancelAnimationFrame(asked);
      now();
    }
  };
  const observer = new ResizeObserver(fit);
  observer.observe(canvas);
  fit();
  return {
    draw,
    now() {
      cancelAnimationFrame(asked);
      fit();
      now();
    },
    end() {
      observer.disconnect();
      cancelAnimationFrame(asked);
    },
  };
}
