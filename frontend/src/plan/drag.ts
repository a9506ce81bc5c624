// Dragging by mouse and finger: a handle of the thing chosen, or another thing to choose.
import type MapBrowserEvent from "ol/MapBrowserEvent";
import PointerInteraction from "ol/interaction/Pointer";
import type { Handle, Sight } from "./sight";
import type { At, Thing } from "./model";

const NEAR = { mouse: 14, touch: 28 } as const; // how near a handle must be touched [pixels]
const CLICK = 6; // a shorter way of the pointer is no drag [pixels]

export interface Drags {
  choose(path: string | undefined, number?: number): void;
  /** Before a handle moves; false where it may not. */
  begin(handle: Handle): boolean;
  move(handle: Handle, at: At, reach: number): void;
  end(handle: Handle, moved: boolean): void;
  /** Whether the next tap tells a place, and chooses nothing. */
  readonly pointing: boolean;
  pointed(at: At, thing: Thing | undefined): void;
  /** The pin of a photograph was touched. */
  pinned(photo: string): void;
}

export class Drag extends PointerInteraction {
  private held: Handle | undefined;
  private start: number[] = [0, 0];
  /** From the finger to the place that it took hold of [m]. */
  private off: At = [0, 0];
  private moved = false;

  constructor(
    private readonly sight: Sight,
    private readonly drags: Drags,
  ) {
    super();
  }

  override handleDownEvent(event: MapBrowserEvent): boolean {
    if (this.targetPointers.length > 1 || this.drags.pointing) return false;
    const near = this.near(event);
    this.start = event.pixel;
    this.moved = false;
    const handle = this.handleAt(event.pixel, near) ?? this.grabbed(event, near);
    if (!handle) return false;
    this.sight.map.getTargetElement()?.classList.add("holding");
    this.held = handle;
    const [e = 0, n = 0] = event.coordinate;
    this.off = [handle.at[0] - e, handle.at[1] - n];
    return true;
  }

  override handleDragEvent(event: MapBrowserEvent): void {
    if (!this.held) return;
    const [x = 0, y = 0] = event.pixel;
    if (!this.moved && Math.hypot(x - (this.start[0] ?? 0), y - (this.start[1] ?? 0)) < CLICK) return;
    if (!this.moved) {
      if (!this.drags.begin(this.held)) {
        this.held = undefined;
        return;
      }
      this.moved = true;
    }
    const [e = 0, n = 0] = event.coordinate;
    const resolution = this.sight.map.getView().getResolution() ?? 0.05;
    this.drags.move(this.held, [e + this.off[0], n + this.off[1]], (this.near(event) / 1.6) * resolution);
  }

  override handleUpEvent(event: MapBrowserEvent): boolean {
    this.sight.map.getTargetElement()?.classList.remove("holding");
    if (this.held) {
      if (this.moved) this.drags.end(this.held, true);
      else this.pick(event, this.held);
    }
    this.held = undefined;
    return false;
  }

  override handleMoveEvent(event: MapBrowserEvent): void {
    if (event.dragging) return;
    const near = this.near(event);
    const over = this.handleAt(event.pixel, near) ?? this.sight.under(event.pixel, near);
    this.sight.map.getTargetElement()?.classList.toggle("over", over !== undefined);
  }

  /** A tap that was no drag. */
  tap(event: MapBrowserEvent): void {
    const near = this.near(event);
    const thing = this.sight.pointUnder(event.pixel, near);
    if (this.drags.pointing) {
      const [east = 0, north = 0] = event.coordinate;
      return this.drags.pointed([east, north], thing);
    }
    if (this.handleAt(event.pixel, near)) return;
    const photo = thing ? undefined : this.sight.pinUnder(event.pixel, near);
    if (photo) this.drags.pinned(photo);
    else this.drags.choose((thing ?? this.sight.under(event.pixel, near))?.path);
  }

  private pick(event: MapBrowserEvent, handle: Handle): void {
    const other = this.sight.under(event.pixel, this.near(event) / 2);
    const stays = other === undefined || other.shape !== "point" || other.path === this.sight.chosen;
    this.drags.choose(stays ? handle.thing.path : other.path, stays && handle.kind !== "bend" ? handle.number : 0);
  }

  private near(event: MapBrowserEvent): number {
    const original = event.originalEvent as PointerEvent | undefined;
    return original?.pointerType === "touch" ? NEAR.touch : NEAR.mouse;
  }

  /** With a mouse, a thing at a point is taken hold of at once; a finger chooses it first. */
  private grabbed(event: MapBrowserEvent, near: number): Handle | undefined {
    const original = event.originalEvent as PointerEvent;
    if (original.pointerType === "touch") return undefined;
    const thing: Thing | undefined = this.sight.under(event.pixel, near);
    const place = thing?.places[0];
    if (!thing || !place || thing.shape !== "point" || place.holds) return undefined;
    this.drags.choose(thing.path);
    return { at: place.at, thing, number: 0, kind: "place" };
  }

  private handleAt(pixel: number[], near: number): Handle | undefined {
    let best: Handle | undefined;
    let least = near;
    for (const one of this.sight.handles()) {
      const [x, y] = this.sight.pixel(one.at);
      const away = Math.hypot(x - (pixel[0] ?? 0), y - (pixel[1] ?? 0)) + (one.kind === "bend" ? 4 : 0);
      if (away < least) [best, least] = [one, away];
    }
    return best;
  }
}
