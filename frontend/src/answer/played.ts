/** One case of the storm test, as the office sends it: a value for each moment. */
export interface Played {
  key: string;
  title: string;
  seconds: number[];
  rain: number[];
  rain_unit: string;
  level_unit: string;
  outline: [number, number][];
  boundary: [number, number][];
  runs: { name: string; line: [number, number][]; pressure: boolean; station: string; upper: number[]; lower: number[] }[];
  ponds: { name: string; at: [number, number]; depth: number[]; told: string }[];
  basins: { name: string; at: [number, number]; level: number[]; marks: [string, number][]; pumping: boolean[] }[];
  house: number[];
  floor: number;
  failure: number | null;
  wet: number | null;
}

/** ``1:05`` for 65 minutes. */
export function clock(seconds: number): string {
  const minutes = Math.round(seconds / 60);
  return `${Math.floor(minutes / 60)}:${String(minutes % 60).padStart(2, "0")}`;
}
