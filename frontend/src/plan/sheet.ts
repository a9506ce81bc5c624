// The sheet under the drawing: the measured grid, and the picture that the job lays below its plan.
import type { FrameState } from "ol/Map";
import Layer from "ol/layer/Layer";
import type { Inks } from "./looks";
import { FOOT, type Drawn, type Units } from "./model";

const STEPS: Readonly<Record<Units, readonly number[]>> = {
  US: [1, 5, 10, 50, 100, 500].map((feet) => feet * FOOT),
  SI: [0.25, 1, 5, 10, 50, 100],
};
const LEAST = 11; // between two lines [pixels]

/** A layer that draws the grid and, below it, the picture. */
export class Sheet extends Layer {
  private readonly canvas = document.createElement("canvas");
  private image: HTMLImageElement | undefined;
  private laid: Drawn["picture"] = null;

  constructor(
    private readonly units: Units,
    public look: Inks,
  ) {
    super({});
    this.canvas.className = "plan-grid";
  }

  lay(picture: Drawn["picture"], address: string): void {
    this.laid = picture;
    if (!picture || this.image) return;
    this.image = new Image();
    this.image.addEventListener("load", () => this.changed());
    this.image.src = address;
  }

  override render(frame: FrameState | null): HTMLElement {
    if (!frame) return this.canvas;
    const [width = 0, height = 0] = frame.size;
    const ratio = frame.pixelRatio;
    this.canvas.width = width * ratio;
    this.canvas.height = height * ratio;
    const context = this.canvas.getContext("2d");
    if (!context) return this.canvas;
    context.scale(ratio, ratio);
    const { resolution, center } = frame.viewState;
    const west = (center[0] ?? 0) - (width / 2) * resolution;
    const top = (center[1] ?? 0) + (height / 2) * resolution;
    this.picture(context, west, top, resolution);
    const shown = STEPS[this.units].filter((step) => step / resolution >= LEAST).slice(0, 3);
    for (const [number, step] of shown.entries()) {
      context.strokeStyle = this.look.rule;
      context.globalAlpha = number === 0 ? 0.45 : 0.9;
      context.lineWidth = number === 2 ? 1.5 : 1;
      context.beginPath();
      for (let at = Math.ceil(west / step) * step; at < west + width * resolution; at += step) {
        const x = Math.round((at - west) / resolution) + 0.5;
        context.moveTo(x, 0);
        context.lineTo(x, height);
      }
      for (let at = Math.floor(top / step) * step; at > top - height * resolution; at -= step) {
        const y = Math.round((top - at) / resolution) + 0.5;
        context.moveTo(0, y);
        context.lineTo(width, y);
      }
      context.stroke();
    }
    context.globalAlpha = 1;
    return this.canvas;
  }

  private picture(context: CanvasRenderingContext2D, west: number, top: number, resolution: number): void {
    if (!this.laid || !this.image?.complete || this.image.naturalWidth === 0) return;
    const { corner, pixel, turn, width, height } = this.laid;
    context.save();
    context.translate((corner[0] - west) / resolution, (top - corner[1]) / resolution);
    context.rotate(-turn);
    context.scale(pixel / resolution, pixel / resolution);
    context.globalAlpha = 0.75;
    context.drawImage(this.image, 0, 0, width, height);
    context.restore();
  }
}
