/** Grey of "no difference" and how far it is from black, as the picture is made. */
const STILL = 104;
/** CSS px. */
const BAR = 130;
const HEIGHT = 55;

/** What the greys of a difference mean: grey levels of 255 by which the frame is darker or brighter. */
export function paintLegend(context: CanvasRenderingContext2D, gain: number, left: number, bottom: number): void {
  const most = STILL / gain;
  const words = `${most < 10 ? most.toFixed(1) : Math.round(most)}`;
  const [x, top] = [left + 10, bottom - HEIGHT];
  context.fillStyle = "#0c0c0ccc";
  context.beginPath();
  context.roundRect(left, top, BAR + 20, HEIGHT, 4);
  context.fill();
  const ramp = context.createLinearGradient(x, 0, x + BAR, 0);
  ramp.addColorStop(0, "rgb(0 0 0)");
  ramp.addColorStop(1, `rgb(${2 * STILL} ${2 * STILL} ${2 * STILL})`);
  context.fillStyle = ramp;
  context.fillRect(x, top + 9, BAR, 9);
  context.strokeStyle = "#f0f0f066";
  context.lineWidth = 1;
  context.strokeRect(x + 0.5, top + 9.5, BAR - 1, 8);
  context.font = '12px "Atkinson Hyperlegible Next Variable", sans-serif';
  context.fillStyle = "#f0f0f0";
  context.textBaseline = "middle";
  const write = (text: string, align: CanvasTextAlign, at: number, y: number) => {
    context.textAlign = align;
    context.fillText(text, at, y);
  };
  write(`\u2212${words}`, "left", x, top + 29);
  write("0", "center", x + BAR / 2, top + 29);
  write(`+${words}`, "right", x + BAR, top + 29);
  write("grey levels of 255", "center", x + BAR / 2, top + 44);
  context.textAlign = "left";
}
