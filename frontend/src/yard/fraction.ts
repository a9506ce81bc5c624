// Exact fractions, and the way to the nearest float and back: what is typed is reckoned as the office reckons it.

export class Fraction {
  readonly over: bigint;
  readonly under: bigint; // above zero, without a common factor

  constructor(over: bigint, under = 1n) {
    if (under === 0n) throw new RangeError("a fraction cannot have zero below the line");
    const sign = under < 0n ? -1n : 1n;
    const common = greatest(over < 0n ? -over : over, under < 0n ? -under : under) || 1n;
    this.over = (sign * over) / common;
    this.under = (sign * under) / common;
  }

  /** The very value of a float. */
  static of(value: number): Fraction {
    if (!Number.isFinite(value)) throw new RangeError(`${value} is no finite number`);
    const bits = new DataView(new ArrayBuffer(8));
    bits.setFloat64(0, value);
    const word = bits.getBigUint64(0);
    const field = Number((word >> 52n) & 0x7ffn);
    const mantissa = (word & 0xfffffffffffffn) | (field ? 1n << 52n : 0n);
    const power = (field || 1) - 1075;
    const signed = word >> 63n ? -mantissa : mantissa;
    return power >= 0 ? new Fraction(signed << BigInt(power)) : new Fraction(signed, 1n << BigInt(-power));
  }

  /** Plain digits with a point and an exponent, exactly. */
  static decimal(text: string): Fraction {
    const match = /^([0-9]*)(?:\.([0-9]*))?(?:e([+-]?[0-9]+))?$/i.exec(text);
    const whole = match?.[1] ?? "";
    const part = match?.[2] ?? "";
    if (!match || whole + part === "") throw new RangeError(`${text} is no number`);
    const power = BigInt(match[3] ?? "0") - BigInt(part.length);
    const digits = BigInt(whole + part);
    return power >= 0n ? new Fraction(digits * 10n ** power) : new Fraction(digits, 10n ** -power);
  }

  plus(other: Fraction): Fraction {
    return new Fraction(this.over * other.under + other.over * this.under, this.under * other.under);
  }

  minus(other: Fraction): Fraction {
    return this.plus(other.negative());
  }

  times(other: Fraction): Fraction {
    return new Fraction(this.over * other.over, this.under * other.under);
  }

  by(other: Fraction): Fraction {
    return new Fraction(this.over * other.under, this.under * other.over);
  }

  negative(): Fraction {
    return new Fraction(-this.over, this.under);
  }

  /** Below zero, zero or above zero, as this less the other is. */
  against(other: Fraction): number {
    const gap = this.over * other.under - other.over * this.under;
    return gap < 0n ? -1 : gap > 0n ? 1 : 0;
  }

  get isZero(): boolean {
    return this.over === 0n;
  }

  /** The nearest whole number; of two alike, the even one. */
  rounded(): bigint {
    return nearest(this.over, this.under);
  }

  /** The nearest float; of two alike, the even one. Infinite beyond the range. */
  toNumber(): number {
    if (this.over === 0n) return 0;
    const size = this.over < 0n ? -this.over : this.over;
    const sign = this.over < 0n ? -1 : 1;
    // The power of two of the last of 53 binary digits; no finer than that of the least float.
    let power = length(size) - length(this.under) - 53;
    let digits = 0n;
    for (;;) {
      const step = Math.max(power, -1074);
      digits = step >= 0 ? nearest(size, this.under << BigInt(step)) : nearest(size << BigInt(-step), this.under);
      if (digits < 1n << 53n || step !== power) return sign * scaled(digits, step);
      if (digits === 1n << 53n) return sign * scaled(digits, step); // rounded up to the next power: exact
      power += 1; // one digit too many: anew, since rounding twice may be wrong
    }
  }
}

function greatest(a: bigint, b: bigint): bigint {
  while (b) [a, b] = [b, a % b];
  return a;
}

function length(value: bigint): number {
  return value.toString(2).length;
}

function nearest(over: bigint, under: bigint): bigint {
  const negative = over < 0n;
  const size = negative ? -over : over;
  let whole = size / under;
  const twice = 2n * (size % under);
  if (twice > under || (twice === under && whole % 2n === 1n)) whole += 1n;
  return negative ? -whole : whole;
}

/** digits × 2^power, where that is a float. */
function scaled(digits: bigint, power: number): number {
  let value = Number(digits);
  let left = power;
  while (left > 0) {
    const step = Math.min(left, 1000);
    value *= 2 ** step;
    left -= step;
  }
  while (left < 0) {
    const step = Math.min(-left, 1000);
    value /= 2 ** step;
    left += step;
  }
  return value;
}

/** The sum of floats, rounded once: it does not hang on their order. */
export function exactSum(values: readonly number[]): number {
  let total = new Fraction(0n);
  for (const value of values) total = total.plus(Fraction.of(value));
  return total.toNumber();
}
