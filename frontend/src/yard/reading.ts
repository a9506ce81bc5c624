// Read a quantity as people write it, or say what is wrong and what was probably meant.
import { Fraction } from "./fraction";
import { likest } from "./likeness";
import { BLANK, about, find, kindsOf, spellings, strip, stripStart, tidy, type Kind, type Unit } from "./units";

const MOST_CHARACTERS = 80; // longer text is refused unread
const MOST_EXPONENT = 330;

const DIGITS = "(?:[0-9][0-9,]*(?:\\.[0-9]*)?|\\.[0-9]+)(?:[eE][+-]?[0-9]+)?";
const NUMBER = new RegExp(DIGITS, "y");
const OVER = new RegExp(`[${BLANK}]*/[${BLANK}]*([0-9]+)`, "uy"); // the rest of "1/8"
const AND = new RegExp(`(?:-|[${BLANK}]+)([0-9]+)[${BLANK}]*/[${BLANK}]*([0-9]+)`, "uy"); // of "5 1/2" or "5-1/2"
const UNIT = /(?:[^0-9+\-.,:]|\.(?![0-9])|(?<=[A-Za-z^])[23](?![0-9A-Za-z.]))+/uy;
const JOINT = new RegExp(`(?<![${BLANK}])-[${BLANK}]*|-[${BLANK}]+|`, "uy"); // the dash of 42'-6", never a minus
const RATIO = new RegExp(`^(${DIGITS})[${BLANK}]*(:|in(?=[${BLANK}]))[${BLANK}]*(${DIGITS})$`, "u");
const THOUSANDS = /^[0-9]{1,3}(?:,[0-9]{3})+(?![0-9,])/;
const MARKS: Readonly<Record<string, string>> = {
  "′": "'", "’": "'", "‘": "'", "″": '"', "”": '"', "“": '"', "−": "-", "–": "-", "º": "°", "⁄": "/",
};

/** A text is not the quantity wanted. */
export class QuantityError extends Error {
  constructor(
    readonly found: string,
    readonly expected: string,
    readonly hint: string,
  ) {
    super(`found ${found}; expected ${expected}${hint ? `. ${hint}` : ""}`);
  }
}

function at(pattern: RegExp, text: string, from: number): RegExpExecArray | null {
  pattern.lastIndex = from;
  return pattern.exec(text);
}

class Reader {
  constructor(
    private readonly value: string,
    readonly kind: Kind,
  ) {}

  refuse(hint: string, note = ""): never {
    const { phrase, example } = about(this.kind);
    throw new QuantityError(shown(this.value) + (note ? ` (${note})` : ""), `${phrase}, like ${example}`, hint);
  }

  bare(number: string): never {
    const choices = about(this.kind).usual.map((unit) => `'${number} ${unit}'`);
    const rest = choices.length > 1 ? ` (or ${choices.slice(1).join(" or ")})` : "";
    this.refuse(`write ${choices[0]}${rest}`, "a number without a unit");
  }

  /** Plain digits exactly, with thousands commas and an exponent. */
  number(text: string): Fraction {
    const [before = "", exponent = ""] = text.toLowerCase().split("e");
    let mantissa = before;
    if (mantissa.includes(",")) {
      if (!THOUSANDS.test(mantissa)) this.refuse(`write ${text.replace(",", ".")} with a point, or commas every three digits`);
      mantissa = mantissa.replaceAll(",", "");
    }
    if (exponent.length > 4 || Math.abs(Number(exponent || "0")) > MOST_EXPONENT) {
      this.refuse("the number is outside what can be computed with", "not a finite number");
    }
    return Fraction.decimal(`${mantissa}e${exponent || "0"}`);
  }

  over(numerator: string, denominator: string): Fraction {
    if (!/^[0-9]+$/.test(numerator)) this.refuse(`write the fraction with whole numbers, not ${numerator}/${denominator}`);
    if (BigInt(denominator) === 0n) this.refuse("a fraction cannot have zero below the line", "division by zero");
    return new Fraction(BigInt(numerator), BigInt(denominator));
  }

  /** `5`, `5.5`, `1/8` or `5 1/2`, and where it ends. */
  magnitude(text: string, start: number): [Fraction, number] {
    const match = at(NUMBER, text, start);
    if (!match) return this.refuse(start === 0 ? "start with a number" : "use digits, one point and a unit");
    const end = start + match[0].length;
    const mixed = at(AND, text, end);
    if (mixed) {
      const whole = this.number(match[0]);
      const part = this.over(mixed[1] ?? "", mixed[2] ?? "");
      if (whole.under !== 1n || match[0].includes(".") || part.against(new Fraction(1n)) >= 0) {
        this.refuse("before a fraction stands a whole number, and the fraction is below one");
      }
      return [whole.plus(part), end + mixed[0].length];
    }
    const fraction = at(OVER, text, end);
    if (fraction) return [this.over(match[0], fraction[1] ?? ""), end + fraction[0].length];
    if (text[end] === "." || text[end] === ",") this.refuse("a number has one decimal point", "two decimal points");
    return [this.number(match[0]), end];
  }

  unknown(name: string, number: string): never {
    const others = kindsOf(name).map((kind) => about(kind).phrase).join(" or ");
    const { phrase, usual } = about(this.kind);
    if (others) this.refuse(`'${name}' measures ${others}; ${phrase} is wanted`, others);
    const near = nearest(this.kind, name);
    const hint = near ? `did you mean '${number} ${near}'?` : `use one of: ${usual.join(", ")}`;
    this.refuse(hint, `unknown unit '${[...name].slice(0, 20).join("")}'`);
  }

  /** All parts of `42 ft 6 in`: each whole and of a smaller unit, but the last any number. */
  parts(text: string, sign: bigint): Fraction {
    let total = new Fraction(0n);
    let place = 0;
    let last: Unit | undefined;
    let value = new Fraction(0n);
    while (place < text.length) {
      const start = place;
      const previous = value;
      [value, place] = this.magnitude(text, start);
      const written = text.slice(start, place);
      const match = at(UNIT, text, place);
      if (!match || !strip(match[0])) {
        this.afterNumber(text, written, value, place, last);
        return new Fraction(sign).times(value);
      }
      const name = tidy(match[0]);
      const unit: Unit = find(this.kind, name) ?? this.unknown(name, written);
      if (last) {
        if (!about(this.kind).compound || unit.factor.against(last.factor) >= 0) {
          this.refuse("write one number and one unit, or smaller units after larger ones");
        }
        if (previous.under !== 1n) this.refuse("only the last part may have a decimal or a fraction");
        if (value.times(unit.factor).against(last.factor) >= 0) {
          this.refuse("carry the smaller part into the larger one, as 3 ft 14 in is 4 ft 2 in");
        }
      }
      last = unit;
      total = total.plus(new Fraction(sign).times(value).plus(unit.offset).times(unit.factor));
      place += match[0].length;
      place += at(JOINT, text, place)?.[0].length ?? 0;
      if (place === text.length && text.endsWith("-")) this.refuse("nothing follows the last dash");
    }
    return total;
  }

  private afterNumber(text: string, written: string, value: Fraction, place: number, last: Unit | undefined): void {
    const left = strip(text.slice(place));
    if (left) this.refuse("write one number and its unit", `cannot read from '${[...left].slice(0, 12).join("")}'`);
    if (last) this.refuse(`give the unit of the last number, ${written}`, "a number without a unit");
    if (this.kind !== "fraction" || value.against(new Fraction(1n)) > 0) this.bare(written);
  }
}

/** A text in quotes, as the office shows it. */
function shown(text: string): string {
  const letters = [...text];
  const cut = letters.length <= 48 ? text : `${letters.slice(0, 45).join("")}...`;
  const quote = cut.includes("'") && !cut.includes('"') ? '"' : "'";
  let out = quote;
  for (const letter of cut) {
    const code = letter.codePointAt(0) ?? 0;
    if (letter === quote || letter === "\\") out += `\\${letter}`;
    else if (letter === "\n") out += "\\n";
    else if (letter === "\r") out += "\\r";
    else if (letter === "\t") out += "\\t";
    else if (letter !== " " && /[\p{C}\p{Z}]/u.test(letter)) {
      out += code < 0x100 ? `\\x${hex(code, 2)}` : code < 0x10000 ? `\\u${hex(code, 4)}` : `\\U${hex(code, 8)}`;
    } else out += letter;
  }
  return out + quote;
}

function hex(code: number, digits: number): string {
  return code.toString(16).padStart(digits, "0");
}

/** The spelling of a kind nearest to a misspelt one, or nothing. */
function nearest(kind: Kind, name: string): string {
  const { ratio } = about(kind);
  const slash = name.lastIndexOf("/");
  if (slash >= 0 && ratio) {
    const [first, second] = ratio;
    const [above, below] = [name.slice(0, slash), name.slice(slash + 1)];
    const top = first && (find(first, above) ? above : nearest(first, above));
    const bottom = second && (find(second, below) ? below : nearest(second, below));
    return top && bottom ? `${top}/${bottom}` : "";
  }
  const known = spellings(kind);
  return likest(name, known) ?? likest(name.toLowerCase(), known) ?? "";
}

/** Spell out vulgar fractions and typographic marks: `5½″` is `5 1/2"`. */
function plain(text: string): string {
  let out = "";
  for (const letter of text) {
    const spelt = /\p{No}/u.test(letter) ? letter.normalize("NFKC") : letter;
    if (spelt !== letter && spelt.includes("⁄")) out += (/\p{Nd}$/u.test(out) ? " " : "") + spelt;
    else out += letter;
  }
  return strip([...out].map((letter) => MARKS[letter] ?? letter).join("").replaceAll("''", '"'));
}

/**
 * Read a quantity with its unit, and give it in the unit used inside (metres, radians, ...).
 *
 * Gives the very float that the office gives for the same text. Throws a QuantityError where it is not such a quantity.
 */
export function parse(text: string, kind: Kind): number {
  const reader = new Reader(text, kind);
  if ([...text].length > MOST_CHARACTERS) reader.refuse(`a quantity has at most ${MOST_CHARACTERS} characters`, "too long");
  let left = plain(text);
  const negative = left.startsWith("-");
  if (negative || left.startsWith("+")) left = stripStart(left.slice(1));
  if (!left) reader.refuse("write a number and its unit", "nothing to read");
  const ratio = kind === "grade" ? RATIO.exec(left) : null;
  let value: Fraction;
  if (ratio) {
    const [, above = "", joint = "", below = ""] = ratio;
    const [rise, run] = [reader.number(above), reader.number(below)];
    if (joint !== ":") reader.refuse(`write '${above}:${below}'`);
    if (run.isZero || rise.against(run) > 0) reader.refuse("a grade is rise to run, as 1:100; write a steeper one in %");
    value = negative ? rise.by(run).negative() : rise.by(run);
  } else {
    value = reader.parts(left, negative ? -1n : 1n);
  }
  if (negative && !value.isZero && !about(kind).signed) {
    reader.refuse(`${about(kind).phrase} is never below zero; leave out the minus sign`, "negative");
  }
  const found = value.toNumber();
  if (!Number.isFinite(found)) reader.refuse("the number is outside what can be computed with", "not a finite number");
  return found;
}
