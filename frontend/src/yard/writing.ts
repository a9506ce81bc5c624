// Write a value kept inside in the units of the trade, as the office does.
import { Fraction } from "./fraction";
import { about, find, tidy, type Kind, type System } from "./units";

const FIGURES = 3; // where a style sets no number of decimals
const LARGEST = 1e300;

/** Write a value with its unit, rounded for people; the same letters as the office's. */
export function write(value: number, kind: Kind, system: System, style?: string, digits?: number): string {
  const known = about(kind).styles[system];
  const name = style ?? Object.keys(known)[0] ?? "";
  const chosen = known[name];
  if (!chosen) throw new RangeError(`style = ${name}: expected one of ${Object.keys(known).join(", ")}`);
  if (!(Math.abs(value) <= LARGEST)) throw new RangeError(`${kind} = ${value}: expected a finite number`);
  const unit = find(kind, tidy(chosen.label));
  if (!unit) throw new RangeError(`${chosen.label} is no unit of ${kind}`);
  const number = Fraction.of(value).by(unit.factor).minus(unit.offset);
  if (chosen.parts && chosen.label === "ft") {
    if (digits !== undefined) throw new RangeError("feet and inches are written to 1/8 in");
    return feetAndInches(number, BigInt(chosen.parts));
  }
  let text: string;
  if (chosen.parts && digits === undefined) {
    const parts = number.times(new Fraction(BigInt(chosen.parts))).rounded();
    text = (parts < 0n ? "-" : "") + mixed(parts < 0n ? -parts : parts, BigInt(chosen.parts));
  } else {
    text = decimal(number.toNumber(), digits ?? chosen.digits);
  }
  return `${text}${chosen.label === "°" ? "" : " "}${chosen.label}`;
}

function decimal(number: number, digits: number | null): string {
  if (digits !== null) return fixed(number, digits);
  const size = Math.abs(number);
  if (number && size < 1e-3) return scientific(number, FIGURES - 1);
  return fixed(number, number ? Math.max(0, FIGURES - 1 - order(size)) : 0);
}

/** Power of ten of the first figure. */
function order(size: number): number {
  return Number(size.toExponential(20).split("e")[1]);
}

/** With so many decimals and commas every three digits; never a minus before zero. */
function fixed(number: number, digits: number): string {
  const shifted = Fraction.of(number).times(new Fraction(10n ** BigInt(digits))).rounded();
  const size = (shifted < 0n ? -shifted : shifted).toString().padStart(digits + 1, "0");
  const whole = size.slice(0, size.length - digits).replace(/\B(?=(?:[0-9]{3})+$)/g, ",");
  return (shifted < 0n ? "-" : "") + whole + (digits ? `.${size.slice(-digits)}` : "");
}

function scientific(number: number, digits: number): string {
  const size = Math.abs(number);
  let power = order(size);
  const shift = digits - power;
  const scale = new Fraction(10n ** BigInt(Math.abs(shift)));
  const exact = Fraction.of(size);
  let figures = (shift >= 0 ? exact.times(scale) : exact.by(scale)).rounded().toString();
  if (figures.length > digits + 1) [figures, power] = [figures.slice(0, -1), power + 1];
  const sign = power < 0 ? "-" : "+";
  return `${number < 0 ? "-" : ""}${figures[0]}.${figures.slice(1)}e${sign}${String(Math.abs(power)).padStart(2, "0")}`;
}

/** `count` n-ths as a mixed number: 44 eighths are `5 1/2`. */
function mixed(count: bigint, parts: bigint): string {
  const [whole, rest] = [count / parts, count % parts];
  const part = new Fraction(rest, parts);
  const texts = [whole || !rest ? whole.toString() : "", rest ? `${part.over}/${part.under}` : ""];
  return texts.filter((text) => text).join(" ");
}

function feetAndInches(feet: Fraction, parts: bigint): string {
  const count = feet.times(new Fraction(12n * parts)).rounded();
  const size = count < 0n ? -count : count;
  const [whole, rest] = [size / (12n * parts), size % (12n * parts)];
  const texts = whole ? [`${fixed(Number(whole), 0)} ft`] : [];
  if (rest || !whole) texts.push(`${mixed(rest, parts)} in`);
  return (count < 0n ? "-" : "") + texts.join(" ");
}
